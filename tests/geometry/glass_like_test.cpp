// Bodies of a unit that may be glass: advice to name them panes, and none where they are not.
#include "geometry/glass_like.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <string>
#include <vector>

#include "geometry/step_reader.hpp"
#include "tests/support/box_model.hpp"
#include "tests/support/detailed_container.hpp"
#include "tests/support/lined_rooms.hpp"
#include "tests/support/scratch_folder.hpp"

namespace noonshell {
namespace {

using testing::IsEmpty;

class GlassLike : public testing::Test {
  protected:
    std::vector<std::string> told(const Model& model, const RolePatterns& patterns = {}) {
        std::vector<Warning> warnings;
        choose_roles(model, patterns, {}, warnings);
        std::vector<std::string> texts;
        for (const Warning& warning : warnings) {
            if (warning.code == "pane-unnamed") texts.push_back(warning.text);
        }
        return texts;
    }
    /// A plate before, in or beside the doorway of a house that is one hollow solid.
    Model house_with(const Vec3& corner_m, const Vec3& size_m) {
        test_support::write_terrace_house(folder_ / "m.step", {.terrace_m = 0, .one_solid = true});
        test_models::BoxModel both;
        both.model = read_step(folder_ / "m.step");
        test_models::add_box(both, {"part-7", corner_m, size_m});
        return both.model;
    }

    test_support::ScratchFolder folder_;
};

TEST_F(GlassLike, APlateInAHoleOfAWallIsTold) {
    test_support::write_lined_box(folder_ / "m.step", 0, 80, true);
    const Model model = read_step(folder_ / "m.step");
    const auto texts = told(model, {.units = {"box"},
                                    .shades = {},
                                    .panes = {},
                                    .contexts = {},
                                    .ignores = {},
                                    .named_units = {},
                                    .pane_colours = {}});
    ASSERT_EQ(texts.size(), 1u);
    EXPECT_EQ(texts[0],
              "window fills a hole in the walls of box and counts as opaque: if it is glass, name "
              "it in panes or pane_colours");
    RolePatterns patterns;
    patterns.panes = {"window"};
    EXPECT_THAT(told(model, patterns), IsEmpty());
}

TEST_F(GlassLike, DoorsAndSheetsOfASideAreNot) {
    test_support::write_terrace_house(folder_ / "m.step",
                                      {.terrace_m = 0, .leaf = true, .one_solid = true});
    EXPECT_THAT(told(read_step(folder_ / "m.step")), IsEmpty());
    test_support::write_lined_plates(folder_ / "m.step", 50);
    EXPECT_THAT(told(read_step(folder_ / "m.step")), IsEmpty());
    test_support::write_detailed_container(folder_ / "m.step", {});
    EXPECT_THAT(told(read_step(folder_ / "m.step")), IsEmpty());
    // 20 mm thick, 0.9 m by 1 m, in the upper part of the doorway: a window above a panel, open
    // below; it is framed on three sides only.
    EXPECT_THAT(told(house_with({5, 0.1, 1.3}, {0.9, 0.02, 1.0})), IsEmpty());
}

/// A sheet without thickness of 1.2 m by 1 m that faces south.
void add_sheet(test_models::BoxModel& made, const std::string& name, const Vec3& corner_m) {
    test_models::start_body(made, name, Role::shade);
    made.model.bodies.back().solid = false;
    const Vec3 along(1.2, 0, 0), up(0, 0, 1);
    test_models::add_face(made.model,
                          {{corner_m, corner_m + along, corner_m + along + up, corner_m + up}});
    test_models::finish_body(made);
}

TEST_F(GlassLike, PlatesAndSheetsFlatOnAWallAreTold) {
    const test_models::Box cabin{"cabin", {0, 0, 0}, {6, 2.4, 2.6}};
    for (const double off_m : {0.0, 0.01, 0.05}) {
        test_models::BoxModel made = test_models::box_model({cabin});
        add_sheet(made, "sheet", {2, -off_m, 1});
        test_models::add_box(made, {"plate", {1, 2.4 + off_m, 1}, {1, 0.02, 1}});
        const auto texts = told(made.model);
        ASSERT_EQ(texts.size(), 1u) << off_m;
        EXPECT_EQ(texts[0],
                  "sheet and 1 more lie flat on the walls of cabin and count as opaque: if it is "
                  "glass, name it in panes or pane_colours");
    }
}

TEST_F(GlassLike, FinsCanopiesAndWhatStandsOffAreNot) {
    test_models::BoxModel made =
        test_models::box_model({{"cabin", {0, 0, 0}, {6, 2.4, 2.6}},
                                {"fin", {1, -0.6, 0.5}, {0.03, 0.6, 2}},
                                {"canopy", {0, -1, 2.4}, {6, 1, 0.05}},
                                {"screen", {1, -0.3, 0.5}, {2, 0.02, 1.5}},
                                {"cladding", {0, -0.05, 0.4}, {6, 0.03, 2.2}}});
    EXPECT_THAT(told(made.model), IsEmpty());
}

TEST_F(GlassLike, ASheetInAHoleIsToldWhereverItStandsInTheWall) {
    for (const double in_wall_m : {0.0, 0.03, 0.06}) {
        // Four panels about a hole of 1.2 m by 1 m in the south wall, which is 60 mm thick.
        const double w = 2.4, h = 2.6, t = 0.06;
        test_models::BoxModel made = test_models::box_model({});
        test_models::start_body(made, "wall", Role::unit);
        const auto outer = [&](double y, bool south) {
            const auto p = [&](double x, double z) { return Vec3(x, y, z); };
            std::vector<test_models::Polygon3> ring{{p(0, 0), p(6, 0), p(6, 1), p(0, 1)},
                                                    {p(0, 1), p(2, 1), p(2, 2), p(0, 2)},
                                                    {p(3.2, 1), p(6, 1), p(6, 2), p(3.2, 2)},
                                                    {p(0, 2), p(6, 2), p(6, h), p(0, h)}};
            if (!south) {
                for (auto& polygon : ring) std::reverse(polygon.begin(), polygon.end());
            }
            test_models::add_face(made.model, ring);
        };
        outer(0, true);
        outer(t, false);
        const auto quad = [&](Vec3 a, Vec3 b, Vec3 c, Vec3 d) {
            test_models::add_face(made.model, {{a, b, c, d}});
        };
        // Reveals: they face into the hole.
        quad({2, 0, 1}, {3.2, 0, 1}, {3.2, t, 1}, {2, t, 1});
        quad({2, 0, 2}, {2, t, 2}, {3.2, t, 2}, {3.2, 0, 2});
        quad({2, 0, 1}, {2, t, 1}, {2, t, 2}, {2, 0, 2});
        quad({3.2, 0, 1}, {3.2, 0, 2}, {3.2, t, 2}, {3.2, t, 1});
        quad({0, 0, 0}, {0, t, 0}, {6, t, 0}, {6, 0, 0});
        quad({0, 0, h}, {6, 0, h}, {6, t, h}, {0, t, h});
        quad({0, 0, 0}, {0, 0, h}, {0, t, h}, {0, t, 0});
        quad({6, 0, 0}, {6, t, 0}, {6, t, h}, {6, 0, h});
        test_models::finish_body(made);
        for (const test_models::Box& box :
             std::vector<test_models::Box>{{"floor", {0, t, 0}, {6, w - t, t}},
                                           {"roof", {0, t, h - t}, {6, w - t, t}},
                                           {"north", {0, w - t, t}, {6, t, h - 2 * t}},
                                           {"west", {0, t, t}, {t, w - 2 * t, h - 2 * t}},
                                           {"east", {6 - t, t, t}, {t, w - 2 * t, h - 2 * t}}}) {
            test_models::add_box(made, box);
        }
        made.model.assemblies.push_back({"cabin", "cabin", "cabin", -1});
        for (Body& body : made.model.bodies) body.assembly = 0;
        add_sheet(made, "glass", {2, in_wall_m, 1});
        made.model.bodies.back().assembly = -1;
        const auto texts = told(made.model);
        ASSERT_EQ(texts.size(), 1u) << in_wall_m;
        EXPECT_THAT(texts[0], testing::StartsWith("glass fills a hole in the walls of cabin"))
            << in_wall_m;
    }
}

}  // namespace
}  // namespace noonshell
