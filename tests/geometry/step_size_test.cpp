// Lengths that are not what the file says: models a thousand times too large are cut in bounded
// time, and units that cannot be right are told.
#include <cmath>
#include <numbers>
#include <regex>

#include "tests/geometry/step_fixture.hpp"

namespace noonshell {
namespace {

using step_tests::codes;
using testing::Contains;
using testing::HasSubstr;
using testing::Not;

class StepSize : public step_tests::StepFile {
  protected:
    static std::string all_replaced(const std::string& text, const char* what,
                                    const std::string& by) {
        const std::string out = std::regex_replace(text, std::regex(what), by);
        EXPECT_NE(out, text);
        return out;
    }
    /// One block whose length unit is so many metres, by another name.
    std::string with_factor(const std::string& factor) {
        const std::string text = all_replaced(
            one_block(), R"(\( *LENGTH_UNIT *\( *\) *NAMED_UNIT *\(\*\) *SI_UNIT *\([^)]*\) *\))",
            "( CONVERSION_BASED_UNIT('FOOT',#9001) LENGTH_UNIT() NAMED_UNIT(#9003) )");
        const auto end = text.rfind("ENDSEC;");
        return text.substr(0, end) + "#9001=LENGTH_MEASURE_WITH_UNIT(LENGTH_MEASURE(" + factor +
               "),#9002);\n#9002=( LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT($,.METRE.) );\n"
               "#9003=DIMENSIONAL_EXPONENTS(1.,0.,0.,0.,0.,0.,0.);\n" +
               text.substr(end);
    }
};

// A body that is cut to a share of its size has as many triangles at any size.
TEST_F(StepSize, ALargeBodyTakesNoMoreTrianglesThanASmallOneOfItsShape) {
    const Model small = read(cad_shapes::write_round_bodies);
    const std::string text = mesh_checks::text_of(folder_ / "model.step");
    const Model large = read_text(
        all_replaced(text, "SI_UNIT\\(\\.MILLI\\.,\\.METRE\\.\\)", "SI_UNIT($$,.METRE.)"));
    ASSERT_EQ(large.bodies.size(), 2u);
    EXPECT_NEAR(large.bodies[1].volume_m3, 4e9 * std::numbers::pi / 3, 1e3);
    EXPECT_LT(large.mesh.triangles.size(), 3 * small.mesh.triangles.size());
    // A sphere cut to a chord of 0.05 % of its box's diagonal, 3.46 radii.
    const double meshed = mesh_checks::of_body(large, 1).volume_m3;
    EXPECT_GT(meshed, large.bodies[1].volume_m3 * (1 - 3 * 5e-4 * 3.47));
    EXPECT_LT(meshed, large.bodies[1].volume_m3);
}

TEST_F(StepSize, AFactorThatIsNoLengthIsRefusedByItsNumber) {
    const std::string expected = "a conversion factor above 0 for the length unit foot";
    expect_text_refused(with_factor("-0.3048"), expected, "-0.3048");
    expect_text_refused(with_factor("0."), expected, "0");
    // As it stands in the file: the kernel makes 0 and inf of them.
    expect_text_refused(with_factor("NaN"), expected, "NaN");
    expect_text_refused(with_factor("1.E999"), expected, "1.E999");
    const Model sound = read_text(with_factor("0.3048"));
    EXPECT_EQ(sound.length_unit, "foot");
    EXPECT_NEAR(sound.bodies.at(0).volume_m3, 36 * std::pow(0.3048, 3), 1e-6);
}

TEST_F(StepSize, ContextsWithoutAUnitAreTold) {
    write_blocks({{"one", "", {0, 0, 0}, {6, 2, 3}, 0, 0, std::nullopt},
                  {"two", "", {9, 0, 0}, {6, 2, 3}, 0, 0, std::nullopt}},
                 folder_ / "two.step", {StepSchema::ap214, LengthUnit::millimetre, "site"});
    const std::string text = mesh_checks::text_of(folder_ / "two.step");
    EXPECT_THAT(codes(read_text(text)), Not(Contains("length-unit")));
    const auto last = text.rfind("GLOBAL_UNIT_ASSIGNED_CONTEXT");
    const auto open = text.find('(', text.find('(', last) + 1);
    const auto close = text.find(')', open);
    const Model model = read_text(text.substr(0, open + 1) + text.substr(close));
    ASSERT_THAT(codes(model), Contains("length-unit"));
    for (const Warning& warning : model.warnings) {
        if (warning.code != "length-unit") continue;
        EXPECT_THAT(warning.text, HasSubstr("1 of the file's geometric contexts declares no"));
        EXPECT_THAT(warning.text, HasSubstr("read in metres, the rest in millimetre"));
    }
}

// ISO 668, a container of 20 ft: 6.058 x 2.438 x 2.591 m; an inch is 25.4 mm.
TEST_F(StepSize, AContainerInInchesIsKnownByItsProportions) {
    const auto warnings_at = [&](double scale, double beside_m) {
        std::vector<Block> blocks{
            {"box", "", {0, 0, 0}, scale * Vec3(6.058, 2.438, 2.591), 0, 0, std::nullopt}};
        if (beside_m > 0)
            blocks.push_back({"slab", "", {240, 0, 0}, {beside_m, 9, 9}, 0, 0, std::nullopt});
        write_blocks(blocks, folder_ / "box.step", {});
        return read_step(folder_ / "box.step").warnings;
    };
    EXPECT_TRUE(warnings_at(1, 0).empty());
    EXPECT_TRUE(warnings_at(20, 0).empty());
    const auto whole = warnings_at(25.4, 0);
    ASSERT_EQ(whole.size(), 1u);
    EXPECT_EQ(whole[0].code, "model-size");
    EXPECT_THAT(whole[0].text, HasSubstr("the whole model measures 154 x 61.9 x 65.8 m, 25.4 times "
                                         "the size of a freight container"));
    const auto one_body = warnings_at(25.4, 30);
    ASSERT_EQ(one_body.size(), 1u);
    EXPECT_THAT(one_body[0].text, HasSubstr("body box measures 154"));
}

// A container of 20 ft in millimetres reads as kilometres where no unit is declared.
TEST_F(StepSize, WhereNoUnitIsDeclaredTheLikelyOneIsNamed) {
    write_blocks({{"unit-1", "", {0, 0, 0}, {6058, 2438, 2591}, 0, 0, std::nullopt}},
                 folder_ / "mm.step", {StepSchema::ap214, LengthUnit::metre, "site"});
    const std::string text =
        all_replaced(mesh_checks::text_of(folder_ / "mm.step"),
                     R"(GLOBAL_UNIT_ASSIGNED_CONTEXT\s*\(\s*\([^)]*\)\s*\))", "");
    const Model model = read_text(text);
    EXPECT_THAT(
        step_tests::warning_text(model, "model-size"),
        HasSubstr("likely cause: lengths in millimetre, taken for metres as the file declares "
                  "no unit (read as millimetre the model would measure 6.06 m)"));
}

TEST_F(StepSize, ABodyFarFromTheRestIsNamed) {
    std::vector<Block> blocks;
    for (int k = 0; k < 5; ++k)
        blocks.push_back({"unit-" + std::to_string(k), "", {10.0 * k, 0, 0}, {6, 2, 3}, 0, 0, {}});
    blocks.push_back({"stray", "", {0, 20000, 0}, {6, 2, 3}, 0, 0, {}});
    write_blocks(blocks, folder_ / "far.step", {StepSchema::ap214, LengthUnit::metre, "site"});
    const Model model = read_step(folder_ / "far.step");
    EXPECT_THAT(step_tests::warning_text(model, "model-size"),
                HasSubstr("body stray lies 20000 m from the rest: is it placed where it belongs?"));
}

// Kernel and standard want a capital E; a small one in a name stays.
TEST_F(StepSize, ExponentsWithASmallLetterAreRead) {
    std::string text = all_replaced(one_block(), "\\(6\\.,", "(0.6e+01,");
    text = all_replaced(text, "'unit-1'", "'unit-1.e5'");
    const Model model = read_text(text);
    ASSERT_EQ(model.bodies.size(), 1u);
    EXPECT_EQ(model.bodies[0].name, "unit-1.e5");
    EXPECT_NEAR(model.bodies[0].volume_m3, 36, 1e-9);
}

}  // namespace
}  // namespace noonshell
