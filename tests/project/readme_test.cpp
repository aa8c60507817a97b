// Every example of README.md runs here and prints what the README shows.
#include <gtest/gtest.h>

#include <array>
#include <cstdio>
#include <cstdlib>
#include <string>

#include "tests/project/readme_examples.hpp"
#include "tests/support/scratch_folder.hpp"

namespace noonshell::project {
namespace {

namespace fs = std::filesystem;

std::string replaced(std::string text, const std::string& from, const std::string& to) {
    for (std::size_t at = text.find(from); at != std::string::npos;
         at = text.find(from, at + to.size())) {
        text.replace(at, from.size(), to);
    }
    return text;
}

// Runs a command of the README in the top folder with the program under test, and with a folder of
// its own in place of out/. Adds nothing but what went to standard output.
std::string output_of(const std::string& command, const fs::path& out_folder, int& status) {
    std::string line = replaced(command, "build/noonshell", NOONSHELL_BINARY_DIR "/noonshell");
    line = replaced(line, "out/", out_folder.string() + "/");
    line = std::string("cd '") + NOONSHELL_SOURCE_DIR + "' && " + line;
    FILE* pipe = popen(line.c_str(), "r");
    if (pipe == nullptr) throw std::runtime_error("cannot run " + line);
    std::string output;
    std::array<char, 4096> buffer{};
    while (const std::size_t n = fread(buffer.data(), 1, buffer.size(), pipe)) {
        output.append(buffer.data(), n);
    }
    status = pclose(pipe);
    return replaced(output, out_folder.string() + "/", "out/");
}

TEST(Readme, ExamplesPrintWhatIsShown) {
    const auto examples = examples_of(read_text(fs::path(NOONSHELL_SOURCE_DIR) / "README.md"));
    EXPECT_FALSE(examples.empty());
    const test_support::ScratchFolder scratch;
    const fs::path& out = scratch.path();
    for (const Example& example : examples) {
        for (const Command& command : example.commands) {
            int status = 0;
            const std::string output = output_of(command.line, out, status);
            EXPECT_EQ(status, 0) << command.line;
            EXPECT_EQ(difference(command.printed, lines_of(output)), "")
                << "README.md:" << command.line_number << ", example " << example.name << ": "
                << command.line << "\nprinted in full:\n"
                << output;
        }
    }
}

TEST(ReadmeExamples, AreReadWithNameCommandsAndOutput) {
    const auto examples = examples_of(
        "text\n<!-- example: two -->\n```console\n$ one a\nx\n\ny\n$ two\n```\n```toml\nz\n```\n");
    ASSERT_EQ(examples.size(), 1u);
    EXPECT_EQ(examples[0].name, "two");
    ASSERT_EQ(examples[0].commands.size(), 2u);
    EXPECT_EQ(examples[0].commands[0].line, "one a");
    EXPECT_EQ(examples[0].commands[0].printed, (std::vector<std::string>{"x", "", "y"}));
    EXPECT_EQ(examples[0].commands[1].line_number, 8u);
}

TEST(ReadmeExamples, BrokenOnesAreRefused) {
    EXPECT_THROW(examples_of("```console\n$ a\n```\n"), std::runtime_error);
    EXPECT_THROW(examples_of("<!-- example: a -->\ntext\n"), std::runtime_error);
    EXPECT_THROW(examples_of("<!-- example: a -->\n```console\n$ a\n"), std::runtime_error);
    EXPECT_THROW(examples_of("<!-- example: a -->\n```console\n```\n"), std::runtime_error);
    EXPECT_THROW(examples_of("<!-- example: a -->\n```console\nout\n$ a\n```\n"),
                 std::runtime_error);
}

TEST(ReadmeExamples, AnyOtherTextIsADifference) {
    using Lines = std::vector<std::string>;
    const Lines seen{"roof 1.23", "wall 4.56", "took 3.1 s"};
    EXPECT_EQ(difference(seen, seen), "");
    EXPECT_EQ(difference({"roof 1.23", "wall 4.56", "took 99 s"}, seen), "");
    EXPECT_EQ(difference({"roof 1.23", "[...]"}, seen), "");
    EXPECT_EQ(difference({"[...]", "wall 4.56", "[...]"}, seen), "");
    EXPECT_EQ(difference({"roof  1.24", "wall 4.55", "took 3.1 s"}, seen), "");  // last place
    EXPECT_NE(difference({"roof 1.25", "wall 4.56", "took 3.1 s"}, seen), "");
    EXPECT_NE(difference({"roof 1.2", "wall 4.56", "took 3.1 s"}, seen), "");
    EXPECT_NE(difference({"roof 1.23,", "wall 4.56", "took 3.1 s"}, seen), "");
    EXPECT_NE(difference({"floor 1.23", "wall 4.56", "took 3.1 s"}, seen), "");
    EXPECT_NE(difference({"roof 1.23", "wall 4.56", "took 3.1 h"}, seen), "");
    EXPECT_NE(difference({"roof 1.23", "wall 4.56"}, seen), "");
    EXPECT_NE(difference({"roof 1.23", "wall 4.56", "took 3.1 s", ""}, seen), "");
    EXPECT_NE(difference({"[...]", "wall 4.58", "[...]"}, seen), "");
    EXPECT_EQ(difference({"left 1.4e-11, right 2"}, {"left 7.0e-12, right 2"}), "");
    EXPECT_NE(difference({"left 1.4e-11, right 2"}, {"left 1.4e-03, right 2"}), "");
    EXPECT_EQ(difference({"16 Oct 12:50"}, {"17 Oct 13:10"}), "");
    EXPECT_NE(difference({"16 Oct 12:50"}, {"16 Oct 14:50"}), "");
    EXPECT_NE(difference({}, seen), "");
}

}  // namespace
}  // namespace noonshell::project
