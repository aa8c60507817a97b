// One direction only: geometry -> solar -> thermal -> cli. The CAD kernel stays inside geometry,
// the ray tracer inside one source of solar, and libraries neither print nor exit.
#include <gtest/gtest.h>

#include <array>
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

const std::array<std::string, 4> layers{"geometry", "solar", "thermal", "cli"};

std::size_t layer_of(const std::string& path) {
    const auto found = std::find(layers.begin(), layers.end(), path.substr(0, path.find('/')));
    return static_cast<std::size_t>(found - layers.begin());
}

struct Include {
    std::string file, target;
    bool quoted;
    std::size_t line;
    std::string place() const { return file + ":" + std::to_string(line) + ": "; }
};

std::vector<Include> includes_below(const fs::path& root) {
    static const std::regex directive(R"re(^\s*#\s*include\s*(["<])([^">]+)[">])re");
    std::vector<Include> includes;
    for (const std::string& layer : layers) {
        for (const std::string& file : sources(root, layer)) {
            const std::vector<std::string> lines = lines_of(read_text(root / file));
            for (std::size_t i = 0; i < lines.size(); ++i) {
                std::smatch match;
                if (!std::regex_search(lines[i], match, directive)) continue;
                includes.push_back({file, match[2], match[1] == "\"", i + 1});
            }
        }
    }
    return includes;
}

std::vector<std::string> wrong_arrows(const fs::path& root) {
    std::vector<std::string> wrong;
    for (const Include& include : includes_below(root)) {
        const std::size_t target = layer_of(include.target);
        if (include.quoted && target == layers.size()) {
            wrong.push_back(include.place() + "\"" + include.target +
                            "\" does not begin with a layer's folder");
        }
        if (target != layers.size() && target > layer_of(include.file)) {
            wrong.push_back(include.place() + "points back up to \"" + include.target + "\"");
        }
    }
    return wrong;
}

// A layer links only what stands to its left.
std::vector<std::string> wrong_links(const fs::path& root) {
    static const std::regex command(R"(target_link_libraries\s*\(([^)]*)\))");
    static const std::regex word(R"([A-Za-z0-9_:]+)");
    std::vector<std::string> wrong;
    for (const std::string& layer : layers) {
        const fs::path file = root / layer / "CMakeLists.txt";
        if (!fs::exists(file)) continue;
        const std::string text = read_text(file);
        for (std::sregex_iterator it(text.begin(), text.end(), command), end; it != end; ++it) {
            const std::string arguments = (*it)[1];
            std::sregex_iterator name(arguments.begin(), arguments.end(), word);
            for (++name; name != std::sregex_iterator(); ++name) {
                const std::size_t linked = layer_of(name->str());
                if (linked != layers.size() && linked > layer_of(layer)) {
                    wrong.push_back(layer + "/CMakeLists.txt: links " + name->str());
                }
            }
        }
    }
    return wrong;
}

bool of_cad_kernel(const std::string& target) {
    return target.ends_with(".hxx") || target.ends_with(".lxx") ||
           target.rfind("opencascade/", 0) == 0;
}

// Headers that bring types of the CAD kernel along, directly or through another header, may only be
// included by sources of geometry.
std::vector<std::string> escaped_cad_kernel(const fs::path& root) {
    const std::vector<Include> includes = includes_below(root);
    std::set<std::string> carriers;
    std::size_t before = 0;
    do {
        before = carriers.size();
        for (const Include& include : includes) {
            if (of_cad_kernel(include.target) || carriers.count(include.target) != 0) {
                carriers.insert(include.file);
            }
        }
    } while (carriers.size() != before);
    std::vector<std::string> escaped;
    for (const Include& include : includes) {
        if (layer_of(include.file) == 0) continue;
        if (of_cad_kernel(include.target) || carriers.count(include.target) != 0) {
            escaped.push_back(include.place() + "brings in the CAD kernel by " + include.target);
        }
    }
    return escaped;
}

/// Includes of a library, known by how its headers begin, outside the first source that has one of
/// each layer that may.
std::vector<std::string> outside_its_doors(const fs::path& root, const std::string& header,
                                           const std::string& what,
                                           const std::set<std::string>& layers_with_door) {
    std::vector<std::string> escaped;
    std::map<std::string, std::string> door;
    for (const Include& include : includes_below(root)) {
        if (include.target.rfind(header, 0) != 0) continue;
        const std::string layer = include.file.substr(0, include.file.find('/'));
        if (layers_with_door.count(layer) != 0 && include.file.ends_with(".cpp"))
            door.emplace(layer, include.file);
        if (door.count(layer) == 0 || include.file != door.at(layer)) {
            escaped.push_back(include.place() + "brings in " + what + " by " + include.target);
        }
    }
    return escaped;
}

std::vector<std::string> escaped_ray_tracer(const fs::path& root) {
    return outside_its_doors(root, "embree", "the ray tracer", {"solar"});
}

std::vector<std::string> escaped_netcdf(const fs::path& root) {
    // Read by one source of solar, written by one of cli.
    return outside_its_doors(root, "netcdf", "the NetCDF library", {"solar", "cli"});
}

std::vector<std::string> talkative_libraries(const fs::path& root) {
    static const std::regex talk(
        R"re((^|[^A-Za-z0-9_])(std\s*::\s*(cout|cerr|clog|print|println)\b|(printf|vprintf|puts|putchar|perror|exit|_exit|_Exit|quick_exit|abort|terminate)\s*\(|fprintf\s*\(\s*std|fputs\s*\([^;]*\bstd(out|err)\b|#\s*include\s*<iostream>))re");
    static const std::regex member(R"([.>]\s*$)");
    std::vector<std::string> found;
    for (const char* layer : {"geometry", "solar", "thermal"}) {
        for (const std::string& file : sources(root, layer)) {
            if (file.ends_with("CMakeLists.txt")) continue;
            const std::vector<std::string> lines = lines_of(code_only(read_text(root / file)));
            for (std::size_t i = 0; i < lines.size(); ++i) {
                std::smatch match;
                if (!std::regex_search(lines[i], match, talk)) continue;
                // A member of that name, such as table.print(), is another function.
                const std::string before = match.prefix().str() + match[1].str();
                if (std::regex_search(before, member)) continue;
                found.push_back(file + ":" + std::to_string(i + 1) + ": " + match[2].str());
            }
        }
    }
    return found;
}

std::string joined(const std::vector<std::string>& lines) {
    std::string text;
    for (const std::string& line : lines) text += line + "\n";
    return text;
}

const fs::path project = NOONSHELL_SOURCE_DIR;

TEST(Layering, IncludesPointOneWay) {
    EXPECT_EQ(joined(wrong_arrows(project)), "");
}
TEST(Layering, LinksPointOneWay) {
    EXPECT_EQ(joined(wrong_links(project)), "");
}
TEST(Layering, CadKernelStaysInGeometry) {
    EXPECT_EQ(joined(escaped_cad_kernel(project)), "");
}
TEST(Layering, RayTracerStaysInOneSource) {
    EXPECT_EQ(joined(escaped_ray_tracer(project)), "");
    EXPECT_EQ(joined(escaped_netcdf(project)), "");
}
TEST(Layering, LibrariesNeitherPrintNorExit) {
    EXPECT_EQ(joined(talkative_libraries(project)), "");
}
TEST(Layering, ReadsTheWholeTree) {
    std::map<std::string, int> sources_per_layer;
    for (const Include& include : includes_below(project)) {
        ++sources_per_layer[layers.at(layer_of(include.file))];
    }
    EXPECT_EQ(sources_per_layer.size(), layers.size());
}

// The checks above must be able to fail: each is shown a small tree with one fault planted.
class PlantedFault : public testing::Test {
  protected:
    void SetUp() override {
        for (const std::string& layer : layers) fs::create_directories(root_ / layer);
        plant("geometry/shape.hpp", "#pragma once\n#include <vector>\n");
        plant("geometry/kernel.hpp", "#pragma once\n#include <TopoDS_Shape.hxx>\n");
        plant("geometry/shape.cpp", "#include \"geometry/kernel.hpp\"\n");
        plant("solar/rays.cpp", "#include <embree3/rtcore.h>\n#include \"geometry/shape.hpp\"\n");
        plant("cli/main.cpp", "#include <iostream>\n#include \"thermal/heat.hpp\"\n");
    }

    void plant(const std::string& file, const std::string& text) {
        std::ofstream(root_ / file) << text;
    }

    test_support::ScratchFolder scratch_;
    const fs::path& root_ = scratch_.path();
};

TEST_F(PlantedFault, NoneInAGoodTree) {
    EXPECT_EQ(joined(wrong_arrows(root_)), "");
    EXPECT_EQ(joined(wrong_links(root_)), "");
    EXPECT_EQ(joined(escaped_cad_kernel(root_)), "");
    EXPECT_EQ(joined(escaped_ray_tracer(root_)), "");
    EXPECT_EQ(joined(talkative_libraries(root_)), "");
}

TEST_F(PlantedFault, ArrowBackUpIsFound) {
    plant("geometry/bad.cpp", "\n  # include \"solar/sky.hpp\"\n");
    plant("solar/bad.hpp", "#include <thermal/heat.hpp>\n");
    plant("thermal/bad.cpp", "#include \"cli/table.hpp\"\n");
    EXPECT_EQ(joined(wrong_arrows(root_)),
              "geometry/bad.cpp:2: points back up to \"solar/sky.hpp\"\n"
              "solar/bad.hpp:1: points back up to \"thermal/heat.hpp\"\n"
              "thermal/bad.cpp:1: points back up to \"cli/table.hpp\"\n");
}

TEST_F(PlantedFault, UnrootedIncludeIsFound) {
    plant("cli/bad.cpp", "#include \"../geometry/shape.hpp\"\n#include \"table.hpp\"\n");
    EXPECT_EQ(wrong_arrows(root_).size(), 2u);
}

TEST_F(PlantedFault, LinkBackUpIsFound) {
    plant("solar/CMakeLists.txt", "target_link_libraries(solar PUBLIC geometry\n PRIVATE cli)\n");
    EXPECT_EQ(joined(wrong_links(root_)), "solar/CMakeLists.txt: links cli\n");
}

TEST_F(PlantedFault, CadKernelOutsideGeometryIsFound) {
    plant("solar/bad.cpp", "#include <gp_Pnt.hxx>\n");
    plant("geometry/middle.hpp", "#include \"geometry/kernel.hpp\"\n");
    plant("thermal/bad.cpp", "#include \"geometry/middle.hpp\"\n");
    EXPECT_EQ(escaped_cad_kernel(root_).size(), 2u);
}

TEST_F(PlantedFault, SecondSourceWithTheRayTracerIsFound) {
    plant("solar/second.cpp", "#include <embree3/rtcore.h>\n");
    EXPECT_EQ(escaped_ray_tracer(root_).size(), 1u);
    plant("geometry/bad.cpp", "#include <embree3/rtcore_ray.h>\n");
    EXPECT_EQ(escaped_ray_tracer(root_).size(), 2u);
}

TEST_F(PlantedFault, SecondSourceWithNetcdfIsFound) {
    plant("solar/file.cpp", "#include <netcdf.h>\n");
    EXPECT_EQ(joined(escaped_netcdf(root_)), "");
    plant("cli/output.cpp", "#include <netcdf.h>\n");
    EXPECT_EQ(joined(escaped_netcdf(root_)), "");
    plant("solar/second.cpp", "#include <netcdf.h>\n");
    plant("cli/third.cpp", "#include <netcdf.h>\n");
    EXPECT_EQ(escaped_netcdf(root_).size(), 2u);
    plant("thermal/fourth.cpp", "#include <netcdf.h>\n");
    EXPECT_EQ(escaped_netcdf(root_).size(), 3u);
}

TEST_F(PlantedFault, PrintingOrLeavingLibraryIsFound) {
    plant("geometry/a.cpp", "void f() { std::cout << 1; }\n");
    plant("geometry/b.cpp", "void f() { printf(\"x\"); }\n");
    plant("solar/c.cpp", "void f() {\n    std::exit(3);\n}\n");
    plant("thermal/d.cpp", "void f() { std::fprintf(stderr, \"x\"); }\n");
    plant("thermal/e.cpp", "#include <iostream>\n");
    EXPECT_EQ(talkative_libraries(root_).size(), 5u);
    plant("solar/c.cpp", "\n\nvoid f() { abort(); }\n");
    EXPECT_NE(joined(talkative_libraries(root_)).find("solar/c.cpp:3"), std::string::npos);
}

TEST_F(PlantedFault, WordsInCommentsStringsAndOtherNamesAreNoFault) {
    plant("solar/ok.cpp",
          "// never exit() or std::cout\n/* printf( */ auto s = \"abort()\"; char q = '\"';\n"
          "void g() { std::snprintf(b, 3, \"x\"); on_exit(); table.print(); n = 1'000; log.exit(); "
          "}\n");
    EXPECT_EQ(joined(talkative_libraries(root_)), "");
}

}  // namespace
}  // namespace noonshell::project
