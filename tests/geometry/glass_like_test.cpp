// Bodies of a unit that may be glass: advice to name them panes, and none where they are not.
#include "geometry/glass_like.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

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

}  // namespace
}  // namespace noonshell
