// Pictures of a run: read by libxml2; areas, colours and the sun's paths against what they stand
// for.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <map>
#include <numeric>
#include <set>

#include "cli/sun_files.hpp"
#include "geometry/colour_scale.hpp"
#include "geometry/colours.hpp"
#include "geometry/step_reader.hpp"
#include "tests/cli/program.hpp"
#include "tests/cli/small_site.hpp"
#include "tests/cli/svg_file.hpp"

namespace noonshell {
namespace {

using namespace test;
using ::testing::Contains;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using ::testing::StartsWith;

const Vec3 upper_corner_m(2, 1, 2.8);
const std::string of_plan = "//s:g[s:title='From above']/s:path";
const std::string of_all = "//s:g/s:path[s:title]";

/// A box on the ground and, 0.2 m above it, a second one aside, with a shade beside both.
class Pictures : public testing::Test {
  protected:
    Outcome run(std::vector<std::string> options, const std::string& tables = "") {
        write_blocks({block("low", twenty_foot_m), block("high", twenty_foot_m, upper_corner_m)},
                     folder_ / "site.step");
        const std::string site = folder_.write("site.toml", toml_ + tables);
        options.insert(options.begin(), {"run", site, "--out", out_.string()});
        return run_program(std::move(options));
    }
    SvgFile picture(const std::string& name) const { return SvgFile(content_of(out_ / name)); }

    Folder folder_;
    std::filesystem::path out_ = folder_ / "out";
    std::string toml_ = quick_site_toml();
};

double area_in(const SvgFile& svg, const std::string& view, const std::string& surface) {
    return area_of_path(svg.one("//s:g[s:title='" + view + "']/s:path[starts-with(s:title, '" +
                                surface + "')]/@d"));
}

TEST_F(Pictures, AreasAreThoseOfTheVisibleParts) {
    const Outcome outcome = run({"--only", "sun", "--views", "sun"});
    ASSERT_EQ(outcome.status, 0) << outcome.err;
    EXPECT_THAT(outcome.out, HasSubstr("views-sun.svg"));
    const SvgFile svg = picture("views-sun.svg");
    const double length = twenty_foot_m.x(), width = twenty_foot_m.y(), height = twenty_foot_m.z();
    // The upper roof is wholly seen: it gives the scale, and so do the bar and its number.
    const double px2_per_m2 = area_in(svg, "From above", "high/roof") / (length * width);
    const double hidden = (length - upper_corner_m.x()) * (width - upper_corner_m.y());
    EXPECT_NEAR(area_in(svg, "From above", "low/roof") / px2_per_m2, length * width - hidden, 2e-3);
    double bar = 0;
    for (const std::string& part : svg.find("//s:rect[@height='6']/@width")) bar += std::stod(part);
    const std::string bar_text = svg.one("//s:text[contains(., ' m') and not(contains(., ':'))]");
    EXPECT_NEAR(bar / std::stod(bar_text), std::sqrt(px2_per_m2), 0.02);
    // No north given: the model's axes. From the south and the north both walls are wholly seen.
    for (const char* side : {"South side, faces 180\u00B0", "North side, faces 0\u00B0"}) {
        const std::string wall = std::string("low/wall-") + (side[0] == 'S' ? "s" : "n");
        EXPECT_NEAR(area_in(svg, side, wall) / px2_per_m2, length * height, 2e-3);
    }
    // What looks away or down is not drawn.
    for (const std::string& title : svg.find(of_plan + "/s:title"))
        EXPECT_THAT(title, HasSubstr("/roof"));
    EXPECT_THAT(svg.find("//s:path[contains(s:title, 'floor')]"), IsEmpty());
}

TEST_F(Pictures, ColoursAreThoseOfTheColouredStepFile) {
    for (const std::string by : {"sun", "peak outside", "inward", "rank"}) {
        std::string word = by;
        std::replace(word.begin(), word.end(), ' ', '-');
        const Outcome outcome = run({"--views", word}, "colour_by = \"" + by + "\"\n");
        ASSERT_EQ(outcome.status, 0) << outcome.err;
        const SvgFile svg = picture("views-" + word + ".svg");
        const Model coloured = read_step(out_ / "coloured.step");
        std::map<std::string, std::string> of_top;  // body to colour
        for (const Face& face : coloured.faces) {
            const Vec3 a = coloured.mesh.corner(face.first_triangle, 0);
            const Vec3 normal = (coloured.mesh.corner(face.first_triangle, 1) - a)
                                    .cross(coloured.mesh.corner(face.first_triangle, 2) - a);
            if (normal.z() > 0.9 * normal.norm())
                of_top[coloured.bodies[face.body.index()].id] = hex_of(face.colour.value());
        }
        ASSERT_EQ(of_top.size(), 2u);
        for (const auto& [body, colour] : of_top)
            EXPECT_EQ(svg.one(of_plan + "[starts-with(s:title, '" + body + "/roof')]/@fill"),
                      colour);
    }
}

TEST_F(Pictures, NamesAreTextWhateverTheyHold) {
    const std::string name = "<script>alert(1)</script> & \"d'eau\"";
    write_blocks({block(name, twenty_foot_m)}, folder_ / "site.step");
    const std::string site = folder_.write("site.toml", quick_site_toml());
    const Outcome outcome = run_program({"run", site, "--out", out_.string(), "--views", "sun",
                                         "--sun-paths", "*/roof", "--carpet", "*"});
    ASSERT_EQ(outcome.status, 0) << outcome.err;
    std::size_t n = 0;
    for (const auto& entry : std::filesystem::directory_iterator(out_)) {
        if (entry.path().extension() != ".svg") continue;
        ++n;
        const SvgFile svg(content_of(entry.path()));
        EXPECT_THAT(svg.find("//*[local-name()='script']"), IsEmpty());
        EXPECT_THAT(svg.find("//s:text | //s:title"), Contains(HasSubstr(name)));
    }
    EXPECT_EQ(n, 1u + 1u + 6u);  // views, paths, carpets of roof, four walls, and room
}

TEST_F(Pictures, AreTheSameAtAnyNumberOfThreads) {
    const std::vector<std::string> options = {"--views",     "sun",    "--views",  "inward",
                                              "--sun-paths", "high/*", "--carpet", "low"};
    auto with_threads = [&](const std::string& threads) {
        std::vector<std::string> all = options;
        all.insert(all.end(), {"--threads", threads});
        EXPECT_EQ(run(all).status, 0);
        auto bytes = bytes_below(out_);
        std::erase_if(bytes, [](const auto& file) { return !file.first.ends_with(".svg"); });
        return bytes;
    };
    const auto one = with_threads("1");
    EXPECT_GT(one.size(), 5u);
    EXPECT_EQ(one, with_threads("2"));
}

// Noon elevation is 90 - latitude + declination, the latter 20.4 to 20.6 degrees on 21 July (from
// memory; Cooper's formula gives 20.4). Refraction is below 0.01 degrees there.
TEST_F(Pictures, TheSunsPathCulminatesWhereItShould) {
    toml_.replace(toml_.find("sun_step_min = 60"), 17, "sun_step_min = 10");
    const Outcome outcome =
        run({"--only", "sun", "--sun-paths", "high/roof", "--sun-paths", "low/wall-s#1"});
    ASSERT_EQ(outcome.status, 0) << outcome.err;
    const SvgFile svg = picture("sun-paths-high_roof.svg");
    const double x = std::stod(svg.one("//s:circle[@r > 200]/@cx"));
    const double y = std::stod(svg.one("//s:circle[@r > 200]/@cy"));
    const double rim = std::stod(svg.one("//s:circle[@r > 200]/@r"));
    double highest = 0;
    for (const auto& [px, py] : places_of(svg.one("//s:polyline[@points]/@points[string-length() "
                                                  "> 60]"))) {
        const double elevation = 90 * (1 - std::hypot(px - x, py - y) / rim);
        highest = std::max(highest, elevation);
    }
    EXPECT_NEAR(highest, 90 - 27 + 20.5, 0.3);
    // Nothing stands in the way of the upper roof: all that it sees is sky.
    EXPECT_THAT(svg.find("//s:text"), Contains("100.0 %"));
    const SvgFile wall = picture("sun-paths-low_wall-s-facet-1.svg");
    double shares = 0;
    for (const std::string& text : wall.find("//s:text[contains(., ' %')]"))
        shares += std::stod(text);
    EXPECT_NEAR(shares, 100, 1);
    EXPECT_THAT(wall.find("//s:text"), Contains("behind the surface"));
}

// At 78 degrees north the sun of 21 July stays up all day; its lowest elevation is that declination
// less 12 degrees.
TEST_F(Pictures, TheMidnightSunGoesRoundAndHasItsMonthsName) {
    toml_.replace(toml_.find("sun_step_min = 60"), 17, "sun_step_min = 10");
    toml_.replace(toml_.find("latitude_deg = 27"), 17, "latitude_deg = 78");
    const Outcome outcome = run({"--only", "sun", "--sun-paths", "high/roof"});
    ASSERT_EQ(outcome.status, 0) << outcome.err;
    const SvgFile svg = picture("sun-paths-high_roof.svg");
    const double x = std::stod(svg.one("//s:circle[@r > 200]/@cx"));
    const double y = std::stod(svg.one("//s:circle[@r > 200]/@cy"));
    const double rim = std::stod(svg.one("//s:circle[@r > 200]/@r"));
    const auto places = places_of(svg.one("//s:polyline[@points]/@points[string-length() > 60]"));
    ASSERT_GT(places.size(), 140u);
    EXPECT_EQ(places.front(), places.back());
    double lowest = 90;
    for (const auto& [px, py] : places) {
        lowest = std::min(lowest, 90 * (1 - std::hypot(px - x, py - y) / rim));
    }
    EXPECT_NEAR(lowest, 20.5 - 12, 0.4);
    const double name_x = std::stod(svg.one("//s:text[. = 'Jul' and @fill = '#8c2b15']/@x"));
    const double name_y = std::stod(svg.one("//s:text[. = 'Jul' and @fill = '#8c2b15']/@y"));
    EXPECT_LT(name_x, x);
    EXPECT_LT(std::hypot(name_x - x, name_y - y), rim);
}

TEST_F(Pictures, CarpetsShowTheMeanDaysOfMonths) {
    const Outcome outcome =
        run({"--carpet", "low/roof", "--carpet", "high"}, "[room]\ncooling = \"none\"\n");
    ASSERT_EQ(outcome.status, 0) << outcome.err;
    const SvgFile svg = picture("carpet-low_roof.svg");
    const auto fills = svg.find("//s:g[s:title='Sun on the surface']/s:rect/@fill");
    ASSERT_EQ(fills.size(), 24u);  // a design day lies in one month
    EXPECT_EQ(fills[0], hex_of(scale_colour(0)));
    EXPECT_EQ(std::count(fills.begin(), fills.end(), hex_of(scale_colour(1))), 1);
    EXPECT_NE(content_of(out_ / "carpet-low_roof.svg").find("mean day of July"), std::string::npos);
    const auto columns = svg.find("//s:g[s:title='Sun on the surface']/s:rect/@x");
    EXPECT_EQ(std::set<std::string>(columns.begin(), columns.end()).size(), 1u);
    // A room that is not cooled: all fields alike, and no range to divide by.
    const auto cooling = picture("carpet-high.svg").find("//s:g[s:title='Cooling']/s:rect/@fill");
    EXPECT_EQ(std::set<std::string>(cooling.begin(), cooling.end()).size(), 1u);
}

TEST(PictureNames, KeepLettersOfAnyScript) {
    EXPECT_EQ(file_name_part("K\u00FCche \u5C4B/roof:1"), "K\u00FCche_\u5C4B_roof_1");
    EXPECT_EQ(file_name_part("../etc"), ".._etc");
    const std::string longest = file_name_part(std::string(119, 'a') + "\u5C4B\u5C4B");
    EXPECT_EQ(longest, std::string(119, 'a') + "\u5C4B");  // no letter is cut in two
}

TEST_F(Pictures, WhatCannotBeDrawnIsOneLine) {
    const Outcome colour = run({"--views", "colour"});
    EXPECT_EQ(colour.status, 2);
    expect_one_error_line(colour, "known: sun, peak-outside, inward, rank");
    for (const std::vector<std::string>& options :
         {std::vector<std::string>{"--only", "sun", "--views", "inward"},
          std::vector<std::string>{"--fast", "--views", "rank"}}) {
        const Outcome none = run(options);
        EXPECT_EQ(none.status, 2);
        expect_one_error_line(none, "is no result of a run with " + options[0]);
    }
    const Outcome paths = run({"--sun-paths", "nowhere"});
    EXPECT_EQ(paths.status, 3);
    expect_one_error_line(paths,
                          "--sun-paths: expected a pattern of surfaces with a part in the "
                          "open (nearest: \"low/roof\"), saw \"nowhere\"");
    const Outcome facet = run({"--sun-paths", "low/roof#x"});
    EXPECT_EQ(facet.status, 3);
    expect_one_error_line(
        facet, "--sun-paths: expected the number of a facet behind #, saw \"low/roof#x\"");
    const Outcome carpet = run({"--only", "sun", "--carpet", "low"});
    EXPECT_EQ(carpet.status, 3);  // a room has no heat there
    expect_one_error_line(carpet,
                          "--carpet: expected a pattern of surfaces with a part in the open "
                          "(nearest: \"low/roof\"), saw \"low\"");
    EXPECT_FALSE(std::filesystem::exists(out_));
}

}  // namespace
}  // namespace noonshell
