// Roles by pattern and by guess. Boxes are those of ISO 668 (20 ft: 6.058 x 2.438 x 2.591 m); their
// volumes, areas and thicknesses follow by hand.
#include "geometry/roles.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "geometry/block_writer.hpp"
#include "geometry/body_measure.hpp"
#include "geometry/step_reader.hpp"
#include "tests/geometry/cad_shapes.hpp"
#include "tests/geometry/mesh_checks.hpp"

namespace noonshell {
namespace {

using mesh_checks::ScratchFolder;
using testing::HasSubstr;

const Vec3 container(6.058, 2.438, 2.591);

Block block(const char* name, const Vec3& corner_m, const Vec3& size_m, double turn_deg = 0,
            double tilt_deg = 0) {
    return {name, "yard", corner_m, size_m, turn_deg, tilt_deg, std::nullopt};
}

class Roles : public testing::Test {
  protected:
    Model model_of(const std::vector<Block>& blocks) {
        write_blocks(blocks, folder_ / "roles.step");
        return read_step(folder_ / "roles.step");
    }
    std::vector<RoleChoice> choose(const Model& model, const RolePatterns& patterns = {}) {
        warnings_.clear();
        return choose_roles(model, patterns, {}, warnings_);
    }
    RoleChoice guess(const Block& of) { return choose(model_of({of})).at(0); }

    ScratchFolder folder_;
    std::vector<Warning> warnings_;
};

TEST(MatchesPattern, StarAndQuestionMark) {
    EXPECT_TRUE(matches_pattern("unit-*", "unit-1"));
    EXPECT_TRUE(matches_pattern("unit-*", "Unit-"));
    EXPECT_TRUE(matches_pattern("UNIT-?", "unit-7"));
    EXPECT_FALSE(matches_pattern("unit-?", "unit-12"));
    EXPECT_FALSE(matches_pattern("unit-?", "unit-"));
    EXPECT_FALSE(matches_pattern("unit", "unit-1"));
    EXPECT_FALSE(matches_pattern("unit-1", "unit"));
    EXPECT_TRUE(matches_pattern("*", ""));
    EXPECT_TRUE(matches_pattern("*", "anything"));
    EXPECT_FALSE(matches_pattern("", "a"));
    EXPECT_TRUE(matches_pattern("", ""));
    EXPECT_TRUE(matches_pattern("*a*b*c", "xxaxbbabxc"));
    EXPECT_FALSE(matches_pattern("*a*b*c", "xxaxbbabx"));
    EXPECT_TRUE(matches_pattern("*ab", "aab"));
    EXPECT_TRUE(matches_pattern("a?c", "a\u00fcc"));
    EXPECT_FALSE(matches_pattern("a??c", "a\u00fcc"));
    EXPECT_TRUE(matches_pattern("*\u00fc", "K\u00fc\u00fc"));
}

TEST(MatchesPattern, ManyStarsDoNotTakeForever) {
    std::string pattern;
    for (int i = 0; i < 40; ++i) pattern += "*a";
    EXPECT_FALSE(matches_pattern(pattern + "b", std::string(20000, 'a')));
}

TEST_F(Roles, ContainersAreUnits) {
    const RoleChoice choice = guess(block("box", {0, 0, 0}, container, 33));
    EXPECT_EQ(choice.role, Role::unit);
    EXPECT_TRUE(choice.guessed);
    EXPECT_THAT(choice.why, HasSubstr("38.3 m3"));  // 6.058 * 2.438 * 2.591 = 38.27
}

TEST_F(Roles, PlatesAreShadesHoweverTheyLie) {
    for (const double turn : {0.0, 30.0, 45.0}) {
        for (const double tilt : {0.0, 12.0, 90.0}) {
            const RoleChoice choice = guess(block("roof", {0, 0, 3}, {6, 4, 0.25}, turn, tilt));
            EXPECT_EQ(choice.role, Role::shade) << turn << " " << tilt << ": " << choice.why;
            EXPECT_THAT(choice.why, HasSubstr("0.25 m thick"));
        }
    }
}

TEST_F(Roles, LimitsOfTheGuess) {
    EXPECT_EQ(guess(block("slab", {0, 0, 0}, {6, 4, 0.29})).role, Role::shade);
    EXPECT_EQ(guess(block("half height", {0, 0, 0}, {6, 4, 1.21})).role, Role::unit);
    EXPECT_EQ(guess(block("narrow", {0, 0, 0}, {6, 0.81, 2})).role, Role::unit);
    EXPECT_EQ(guess(block("room", {0, 0, 0}, {2.01, 2, 1.25})).role, Role::unit);
    EXPECT_EQ(guess(block("tank", {0, 0, 0}, {1.99, 2, 1.25})).role, Role::context);
    EXPECT_EQ(guess(block("bracket", {0, 0, 0}, {0.5, 0.5, 0.1})).role, Role::ignore);
}

TEST_F(Roles, SlabsAndWallsAreNoRoomsHoweverLarge) {
    const auto why_context = [&](const Block& body) {
        const RoleChoice choice = guess(body);
        EXPECT_EQ(choice.role, Role::context) << body.name;
        return choice.why;
    };
    EXPECT_THAT(why_context(block("foundation", {0, 0, 0}, {8, 8, 0.4})),
                HasSubstr("closed body of 25.6 m3, only 0.4 m high: no room"));
    EXPECT_THAT(why_context(block("plinth", {0, 0, 0}, {100, 100, 1.19})), HasSubstr("high"));
    for (const double turn : {0.0, 30.0, 45.0}) {
        EXPECT_THAT(why_context(block("garden wall", {0, 0, 0}, {12, 0.31, 3}, turn)),
                    HasSubstr("only 0.31 m across"));
    }
    EXPECT_THAT(why_context(block("pillar", {0, 0, 0}, {0.79, 0.79, 9})), HasSubstr("across"));
}

TEST_F(Roles, SmallCubesAreNoPlates) {
    // Twice volume over area is 0.23 m for a cube of 0.7 m, yet nothing about it is thin.
    const RoleChoice choice = guess(block("chest", {0, 0, 0}, {0.7, 0.7, 0.7}));
    EXPECT_EQ(choice.role, Role::context);
    EXPECT_THAT(choice.why, HasSubstr("too small for a room"));
}

TEST_F(Roles, HollowSolidsEncloseTheirHollow) {
    cad_shapes::write_hollow_box(folder_ / "hollow.step");
    const Model model = read_step(folder_ / "hollow.step");
    const BodyMeasure measure = measure_body(model, BodyId(0));
    EXPECT_NEAR(measure.enclosed_volume_m3, 54, 1e-9);
    EXPECT_NEAR(measure.outer_area_m2, 90, 1e-9);
    EXPECT_NEAR(measure.least_extent_m, 3, 1e-9);
    EXPECT_EQ(choose(model).at(0).role, Role::unit);
}

TEST_F(Roles, OpenShellsAreShades) {
    cad_shapes::write_box(folder_ / "open.step", cad_shapes::BoxForm::open_shell);
    const RoleChoice choice = choose(read_step(folder_ / "open.step")).at(0);
    EXPECT_EQ(choice.role, Role::shade);
    EXPECT_THAT(choice.why, HasSubstr("open shell of 44 m2"));
}

TEST_F(Roles, SheetsAreShades) {
    cad_shapes::write_flat_spline(folder_ / "sheet.step");
    const RoleChoice choice = choose(read_step(folder_ / "sheet.step")).at(0);
    EXPECT_EQ(choice.role, Role::shade);
    EXPECT_EQ(choice.why, "single sheet of 4 m2");
}

TEST_F(Roles, WideSlabBelowEverythingIsTheGround) {
    const auto choices = choose(model_of(
        {block("unit", {0, 0, 0}, container), block("plot", {-40, -40, -1}, {80, 80, 1})}));
    EXPECT_EQ(choices[0].role, Role::unit);
    EXPECT_EQ(choices[1].role, Role::context);
    EXPECT_THAT(choices[1].why, HasSubstr("taken for the ground"));
}

TEST_F(Roles, WideRoofAboveEverythingIsNotTheGround) {
    const auto choices = choose(model_of(
        {block("unit", {0, 0, 0}, container), block("roof", {-10, -10, 5}, {30, 30, 0.2})}));
    EXPECT_EQ(choices[1].role, Role::shade);
}

TEST_F(Roles, PatternsComeFirst) {
    RolePatterns patterns;
    patterns.units = {"*/UNIT-?"};  // by path
    patterns.shades = {"big*"};
    patterns.contexts = {"neighbour"};
    patterns.panes = {"pane-2"};  // by id
    patterns.ignores = {"rail"};
    const auto choices = choose(
        model_of({block("unit-1", {0, 0, 0}, {1, 1, 1}), block("big box", {10, 0, 0}, container),
                  block("neighbour", {20, 0, 0}, container), block("pane", {30, 0, 0}, {2, 0.1, 2}),
                  block("pane", {40, 0, 0}, {2, 0.1, 2}), block("rail", {50, 0, 0}, {4, 0.1, 1})}),
        patterns);
    const std::vector<Role> expected{Role::unit,  Role::shade, Role::context,
                                     Role::shade, Role::pane,  Role::ignore};
    for (std::size_t i = 0; i < expected.size(); ++i) {
        EXPECT_EQ(choices[i].role, expected[i]) << i << ": " << choices[i].why;
        EXPECT_EQ(choices[i].guessed, i == 3);
    }
    EXPECT_THAT(choices[0].why, HasSubstr("\"*/UNIT-?\""));
    EXPECT_TRUE(warnings_.empty());
}

TEST_F(Roles, PatternThatMatchesNothingIsRemarkedOn) {
    RolePatterns patterns;
    patterns.shades = {"canopy*"};
    choose(model_of({block("unit-1", {0, 0, 0}, container)}), patterns);
    ASSERT_EQ(warnings_.size(), 1u);
    EXPECT_EQ(warnings_[0].code, "pattern-matches-nothing");
    EXPECT_THAT(warnings_[0].text, HasSubstr("shade pattern \"canopy*\""));
}

TEST_F(Roles, FurtherUnitsAreRemarkedOnWhereUnitsAreNamed) {
    RolePatterns patterns;
    patterns.units = {"unit-*"};
    const auto choices = choose(model_of({block("unit-1", {0, 0, 0}, container),
                                          block("neighbour", {20, 0, 0}, container)}),
                                patterns);
    EXPECT_EQ(choices[1].role, Role::unit);
    ASSERT_EQ(warnings_.size(), 1u);
    EXPECT_EQ(warnings_[0].code, "unit-guessed");
    EXPECT_EQ(warnings_[0].where, "neighbour");
}

TEST_F(Roles, TwoRolesForOneBodyAreAnError) {
    RolePatterns patterns;
    patterns.units = {"unit-*"};
    patterns.ignores = {"*-1"};
    const Model model = model_of({block("unit-1", {0, 0, 0}, container)});
    try {
        choose(model, patterns);
        FAIL() << "both roles were accepted";
    } catch (const InputError& error) {
        EXPECT_EQ(error.place().entity, "body unit-1");
        EXPECT_THAT(error.seen(), HasSubstr("\"unit-*\" (unit)"));
        EXPECT_THAT(error.seen(), HasSubstr("\"*-1\" (ignore)"));
    }
}

TEST_F(Roles, TwoPatternsOfOneRoleAreNone) {
    RolePatterns patterns;
    patterns.units = {"unit-*", "*-1"};
    EXPECT_EQ(choose(model_of({block("unit-1", {0, 0, 0}, container)}), patterns).at(0).role,
              Role::unit);
    EXPECT_TRUE(warnings_.empty());
}

TEST_F(Roles, NoBodiesNoChoices) {
    EXPECT_TRUE(choose(Model{}).empty());
}

}  // namespace
}  // namespace noonshell
