// Results appear together or not at all, and earlier ones stay as they were.
#include "cli/output_folder.hpp"

#include <gtest/gtest.h>
#include <sys/resource.h>

#include <csignal>
#include <string>

#include "geometry/diagnostics.hpp"
#include "tests/cli/program.hpp"

namespace noonshell {
namespace {

using test::bytes_below;
using test::content_of;
using test::Folder;
using Bytes = std::map<std::string, std::string>;

TEST(OutputFolder, PutsFilesInPlaceAtCommit) {
    const Folder folder;
    OutputFolder output(folder / "a/b");
    output.add("one.txt", "1");
    output.add("two.txt", std::string(100000, 'x'));
    EXPECT_FALSE(std::filesystem::exists(folder / "a/b/one.txt"));
    output.commit();
    EXPECT_EQ(bytes_below(folder / "a/b"),
              (Bytes{{"one.txt", "1"}, {"two.txt", std::string(100000, 'x')}}));
}

TEST(OutputFolder, ReplacesEarlierResults) {
    const Folder folder;
    folder.write("one.txt", "old");
    folder.write("other.txt", "not ours");
    OutputFolder output(folder.path());
    output.add("one.txt", "new");
    output.commit();
    EXPECT_EQ(bytes_below(folder.path()), (Bytes{{"one.txt", "new"}, {"other.txt", "not ours"}}));
}

TEST(OutputFolder, LeavesNothingWithoutCommit) {
    const Folder folder;
    folder.write("one.txt", "old");
    const Bytes before = bytes_below(folder.path());
    {
        OutputFolder output(folder.path());
        output.add("one.txt", "new");
    }
    { OutputFolder output(folder / "x/y"); }
    require_writable(folder / "p/q/r");
    EXPECT_EQ(bytes_below(folder.path()), before);
}

TEST(OutputFolder, TakesBackWhatWasPlacedWhenALaterFileCannotBe) {
    const Folder folder;
    folder.write("one.txt", "old");
    std::filesystem::create_directory(folder / "three.txt");
    const Bytes before = bytes_below(folder.path());
    {
        OutputFolder output(folder.path());
        output.add("one.txt", "new");    // replaces a file
        output.add("two.txt", "new");    // makes a file
        output.add("three.txt", "new");  // cannot replace a folder
        EXPECT_THROW(output.commit(), InputError);
    }
    EXPECT_EQ(bytes_below(folder.path()), before);
}

TEST(OutputFolder, SaysWhyAFolderCannotBeUsed) {
    const Folder folder;
    const std::string file = folder.write("file", "");
    for (const std::string& path : {file, file + "/below", std::string("/proc/none/below")}) {
        try {
            require_writable(path);
            FAIL() << path;
        } catch (const InputError& error) {
            EXPECT_EQ(error.place().file, path);
            EXPECT_NE(error.expected().find("folder"), std::string::npos);
            EXPECT_FALSE(error.seen().empty());
        }
    }
}

// The limit on the size of a file stands for a full disk: write() fails in its middle.
TEST(OutputFolder, CleansUpWhenTheDiskIsFull) {
    const Folder folder;
    folder.write("one.txt", "old");
    const Bytes before = bytes_below(folder.path());
    rlimit earlier{};
    getrlimit(RLIMIT_FSIZE, &earlier);
    const auto handler = std::signal(SIGXFSZ, SIG_IGN);
    const rlimit small{1000, earlier.rlim_max};
    setrlimit(RLIMIT_FSIZE, &small);
    std::string message;
    try {
        OutputFolder output(folder.path());
        output.add("one.txt", "new");
        output.add("two.txt", std::string(5000, 'x'));
    } catch (const InputError& error) {
        message = error.what();
    }
    setrlimit(RLIMIT_FSIZE, &earlier);
    std::signal(SIGXFSZ, handler);
    EXPECT_NE(message.find("expected room to write 5000 bytes, saw File too large"),
              std::string::npos)
        << message;
    EXPECT_EQ(bytes_below(folder.path()), before);
}

}  // namespace
}  // namespace noonshell
