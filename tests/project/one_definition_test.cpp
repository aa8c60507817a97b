// The language wants every class defined once in a program [ISO/IEC 14882, basic.def.odr]; two of
// one name in different sources link without a word and destroy each other's objects.
#include <gtest/gtest.h>

#include <map>
#include <regex>
#include <set>
#include <string>

#include "tests/project/source_files.hpp"
#include "tests/support/scratch_folder.hpp"

namespace noonshell::project {
namespace {

namespace fs = std::filesystem;

/// Files that define each class, struct or enumeration at the top level; what stands in a nameless
/// namespace is a source's own and is not counted.
std::map<std::string, std::set<std::string>> definitions_below(const fs::path& root) {
    static const std::regex definition(
        R"re(^(?:class|struct|enum class) ([A-Za-z]\w*)(?: final)?(?: :[^;]*)? \{)re");
    std::map<std::string, std::set<std::string>> files;
    for (const char* folder : {"geometry", "solar", "thermal", "cli"}) {
        for (const std::string& file : sources(root, folder)) {
            if (!file.ends_with("pp")) continue;
            bool own = false;
            for (const std::string& line : lines_of(read_text(root / file))) {
                if (line == "namespace {") own = true;
                if (line == "}  // namespace") own = false;
                std::smatch match;
                if (!own && std::regex_search(line, match, definition))
                    files[match[1]].insert(file);
            }
        }
    }
    return files;
}

std::set<std::string> defined_twice(const fs::path& root) {
    std::set<std::string> twice;
    for (const auto& [name, files] : definitions_below(root)) {
        if (files.size() > 1) twice.insert(name + ": " + *files.begin() + ", " + *files.rbegin());
    }
    return twice;
}

TEST(OneDefinition, OfEveryClass) {
    EXPECT_GT(definitions_below(NOONSHELL_SOURCE_DIR).size(), 200u);
    EXPECT_EQ(defined_twice(NOONSHELL_SOURCE_DIR), std::set<std::string>{});
}

TEST(OneDefinition, ASecondOneIsSeen) {
    const test_support::ScratchFolder scratch;
    scratch.write("geometry/a.hpp", "namespace noonshell {\nclass Tree {\n};\n}\n");
    scratch.write("geometry/b.hpp", "namespace noonshell {\nclass Tree : public Plant {\n};\n}\n");
    scratch.write("solar/c.cpp",
                  "namespace noonshell {\nnamespace {\nstruct Tree {\n};\n}  // namespace\n}\n");
    EXPECT_EQ(defined_twice(scratch.path()),
              std::set<std::string>{"Tree: geometry/a.hpp, geometry/b.hpp"});
}

}  // namespace
}  // namespace noonshell::project
