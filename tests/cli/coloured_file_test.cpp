// coloured.step as a run leaves it: names in any script, another axis up, and a target that cannot
// be written.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <string>
#include <vector>

#include "geometry/step_reader.hpp"
#include "tests/cli/program.hpp"
#include "tests/cli/small_site.hpp"

namespace noonshell {
namespace {

using namespace test;
using ::testing::HasSubstr;
using ::testing::IsTrue;

class ColouredFile : public testing::Test {
  protected:
    std::string site(const std::string& keys, const std::string& tables) {
        return write_site(folder_, place_toml +
                                       "[model]\nfile = \"site.step\"\nfacet_size_m = 2\n" + keys +
                                       design_day_toml + coarse_toml + tables);
    }
    Outcome run(const std::string& site_file) {
        return run_program({"run", site_file, "--out", out_.string()});
    }

    Folder folder_;
    std::filesystem::path out_ = folder_ / "out", coloured_ = out_ / "coloured.step";
};

// Code points worked by hand: u with diaeresis U+00FC, the kanji for "roof" U+5C4B U+6839, and a
// sun U+1F31E beyond the 16-bit range, which ISO 10303-21 writes with eight digits.
TEST_F(ColouredFile, NamesOfShadesInAnyScriptAreEscapedAndReadBack) {
    const std::vector<std::string> names{
        "S\xC3\xBC"
        "d 'dach'",
        "\xE5\xB1\x8B\xE6\xA0\xB9", "\xF0\x9F\x8C\x9E back\\slash"};
    std::string tables;
    double height = 0.8;
    for (const std::string& name : names) {
        tables += "[[shade_roof]]\nname = \"" +
                  (name.ends_with("slash") ? names[2].substr(0, 9) + "\\\\slash" : name) +
                  "\"\nover = [\"unit-1\"]\nheight_m = " + std::to_string(height) + "\n";
        height += 1;
    }
    const Outcome outcome = run(site("", tables));
    ASSERT_EQ(outcome.status, 0) << outcome.err;
    const std::string text = content_of(coloured_);
    EXPECT_THAT(std::all_of(text.begin(), text.end(),
                            [](char c) { return static_cast<unsigned char>(c) < 0x7F; }),
                IsTrue());
    for (const char* escaped : {"S\\X2\\00FC\\X0\\d ''dach''", "\\X2\\5C4B", "6839\\X0\\",
                                "\\X4\\0001F31E\\X0\\ back\\\\slash"})
        EXPECT_THAT(text, HasSubstr(escaped));
    const Model again = read_step(coloured_);
    for (const std::string& name : names) {
        const auto has_name = [&](const Body& body) { return body.name == name; };
        EXPECT_EQ(std::count_if(again.bodies.begin(), again.bodies.end(), has_name), 1) << name;
    }
    EXPECT_TRUE(again.warnings.empty());
}

TEST_F(ColouredFile, StandsInTheAxesOfAFileWhoseYIsUp) {
    // The two units of write_site() on their backs: y of the file, from 0 to 4.896, is up.
    const std::string tables =
        "[[shade_roof]]\nname = \"sail\"\nover = [\"unit-*\"]\nheight_m = 1\nthickness_m = 0.1\n";
    const Outcome outcome = run(site("up = \"y\"\n", tables));
    ASSERT_EQ(outcome.status, 0) << outcome.err;
    const Model as_drawn = read_step(coloured_);  // z taken for up: the file's own axes
    const auto sail = std::find_if(as_drawn.bodies.begin(), as_drawn.bodies.end(),
                                   [](const Body& body) { return body.name == "sail"; });
    ASSERT_TRUE(sail != as_drawn.bodies.end());
    double low = 1e9, high = -1e9;
    for (std::uint32_t f = 0; f < sail->n_faces; ++f) {
        const Face& face = as_drawn.faces[sail->first_face + f];
        for (std::uint32_t t = 0; t < face.n_triangles; ++t) {
            for (int c = 0; c < 3; ++c) {
                const double y = as_drawn.mesh.corner(face.first_triangle + t, c).y();
                low = std::min(low, y);
                high = std::max(high, y);
            }
        }
    }
    EXPECT_NEAR(low, 4.896 + 1, 1e-6);
    EXPECT_NEAR(high, 4.896 + 1.1, 1e-6);
}

TEST_F(ColouredFile, ATargetThatIsAFolderIsOneLineAndEarlierResultsStay) {
    const std::string site_file = site("", "");
    ASSERT_EQ(run(site_file).status, 0);
    std::filesystem::remove(coloured_);
    std::filesystem::create_directories(coloured_ / "kept");
    const auto before = bytes_below(out_);
    // Another result, so that a file that was replaced would be seen.
    const Outcome hotter = run(site("", "[room]\ncooling_set_point_c = 22\n"));
    EXPECT_EQ(hotter.status, 3);
    EXPECT_EQ(hotter.out, "");
    expect_one_error_line(hotter, "coloured.step: expected a name for a file, saw a folder");
    expect_same_files(before, out_);
}

}  // namespace
}  // namespace noonshell
