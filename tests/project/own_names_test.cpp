// Names in the nameless namespaces of a folder differ from source to source, so that several
// sources can be built as one (CMAKE_UNITY_BUILD), whichever CMake groups, and a search for a name
// finds it.
#include <gtest/gtest.h>

#include <map>
#include <regex>
#include <set>
#include <string>
#include <vector>

#include "tests/project/source_files.hpp"
#include "tests/support/scratch_folder.hpp"

namespace noonshell::project {
namespace {

namespace fs = std::filesystem;

/// What a name stands for: functions of one name may differ in their parameters, nothing else may
/// share a name.
using Kinds = std::map<std::string, std::vector<std::string>>;  // parameters, or "", to files

/// "int a, const B& b = {}" to "int,const B&".
std::string types_of(const std::string& parameters) {
    static const std::regex comma(R"(,\s*(?![^<]*>))"), name(R"(\s*\w+(\s*=.*)?$)");
    std::string types;
    for (std::sregex_token_iterator i(parameters.begin(), parameters.end(), comma, -1), end;
         i != end; ++i)
        types += "," + std::regex_replace(i->str(), name, "");
    return types;
}

/// A declaration begins at the first column and ends where a body or a value begins.
void add_declaration(const std::string& text, const std::string& file,
                     std::map<std::string, Kinds>& names) {
    static const std::regex type(R"(^(?:class|struct|enum class|enum) (\w+))"),
        alias(R"(^using (\w+) =)"), function(R"(^[\w:<>,&\*\[\] ]*?[ &\*](\w+)\((.*)\)[^()]*\{)"),
        value(R"((\w+)(?:\[\w*\])? ?[={])"),
        constant(R"(^(?:inline |static )*(?:const|constexpr) )");
    std::smatch match;
    if (std::regex_search(text, match, type) || std::regex_search(text, match, alias)) {
        names[match[1]][""].push_back(file);
    } else if (text.find('(') < text.find('=') && std::regex_search(text, match, function)) {
        names[match[1]]["(" + types_of(match[2])].push_back(file);
    } else if (std::regex_search(text, constant)) {
        for (std::sregex_iterator i(text.begin(), text.end(), value), end; i != end; ++i)
            names[(*i)[1]][""].push_back(file);
    }
}

std::map<std::string, Kinds> own_names_below(const fs::path& root, const std::string& folder) {
    std::map<std::string, Kinds> names;
    for (const std::string& file : sources(root, folder)) {
        if (!file.ends_with(".cpp")) continue;
        bool own = false;
        std::string declaration;
        for (const std::string& line : lines_of(read_text(root / file))) {
            if (line.starts_with("}  // namespace")) own = false;
            if (own && declaration.empty() && !line.empty() && std::isalnum(line[0]) != 0 &&
                !line.starts_with("template"))
                declaration = line;
            else if (!declaration.empty())
                declaration +=
                    " " + line.substr(std::min(line.size(), line.find_first_not_of(' ')));
            if (!declaration.empty() && line.find_first_of("{;") != std::string::npos) {
                add_declaration(declaration, file, names);
                declaration.clear();
            }
            if (line == "namespace {") own = true;
        }
    }
    return names;
}

std::set<std::string> in_two_sources(const fs::path& root, const std::string& folder) {
    std::set<std::string> met;
    for (const auto& [name, kinds] : own_names_below(root, folder)) {
        std::set<std::string> all;
        bool same = false;
        for (const auto& [parameters, files] : kinds) {
            const std::set<std::string> of_kind(files.begin(), files.end());
            same = same || of_kind.size() > 1 || (parameters.empty() && kinds.size() > 1);
            all.insert(of_kind.begin(), of_kind.end());
        }
        if (same && all.size() > 1) met.insert(name + ": " + *all.begin() + ", " + *all.rbegin());
    }
    return met;
}

TEST(OwnNames, OfNoTwoSourcesMeet) {
    std::size_t names = 0;
    for (const char* folder : {"geometry", "solar", "thermal", "cli"}) {
        names += own_names_below(NOONSHELL_SOURCE_DIR, folder).size();
        EXPECT_EQ(in_two_sources(NOONSHELL_SOURCE_DIR, folder), std::set<std::string>{});
    }
    EXPECT_GT(names, 1000u);
}

TEST(OwnNames, ThatMeetAreSeen) {
    const test_support::ScratchFolder scratch;
    const auto source = [](const std::string& text) {
        return "namespace noonshell {\nnamespace {\n" + text + "\n}  // namespace\n}\n";
    };
    scratch.write("solar/a.cpp", source("constexpr double near_m = 1, far_m = 2;\nclass Tree {\n"
                                        "    int leaf() {}\n};\nint leaf(int a) {\n}\n"
                                        "double sum(const std::map<int, int>& of,\n"
                                        "           int from = 0) {\n}"));
    scratch.write("solar/b.cpp", source("constexpr double far_m = 3;\nint leaf(double a) {\n}\n"
                                        "double sum(const std::map<int, int>& in, int to) {\n}\n"
                                        "using Tree = int;"));
    scratch.write("geometry/c.cpp", source("constexpr double near_m = 3;"));
    EXPECT_EQ(
        in_two_sources(scratch.path(), "solar"),
        (std::set<std::string>{"Tree: solar/a.cpp, solar/b.cpp", "far_m: solar/a.cpp, solar/b.cpp",
                               "sum: solar/a.cpp, solar/b.cpp"}));
    EXPECT_EQ(in_two_sources(scratch.path(), "geometry"), std::set<std::string>{});
}

}  // namespace
}  // namespace noonshell::project
