// Blocks written as STEP and read back, against closed forms: the unit cube has area 6 and volume
// 1; a freight container of 20 ft measures 6.058 x 2.438 x 2.591 m outside (ISO 668).
#include "geometry/block_writer.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <numbers>
#include <regex>

#include "geometry/step_reader.hpp"
#include "tests/geometry/mesh_checks.hpp"

namespace noonshell {
namespace {

using mesh_checks::ScratchFolder;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::Not;

constexpr double relative = 1e-9;

struct Form {
    StepSchema schema;
    LengthUnit unit;
    std::string protocol, unit_name;
};

class EveryForm : public testing::TestWithParam<Form> {
  protected:
    ScratchFolder folder_;
    BlockWriteOptions options_{GetParam().schema, GetParam().unit, "site"};
};

TEST_P(EveryForm, KeepsSizesNamesPlacesAndColours) {
    const Vec3 container(6.058, 2.438, 2.591);
    const std::vector<Block> blocks{
        {"cube", "", {10, 0, 0}, {1, 1, 1}, 0, 0, Rgb{1, 0, 0}},
        {"unit-1", "stack", {0, 0, 0}, container, 0, 0, Rgb{0.25F, 0.5F, 0.75F}},
        {"unit-2", "stack", {0, 0, 2.6}, container, 90, 0, std::nullopt}};
    const auto file = folder_ / "blocks.step";
    write_blocks(blocks, file, options_);
    const Model model = read_step(file);

    EXPECT_THAT(model.schema, testing::StartsWith(GetParam().protocol + " ("));
    EXPECT_EQ(model.length_unit, GetParam().unit_name);
    EXPECT_EQ(model.left_out.size(), 0u);
    EXPECT_EQ(model.warnings.size(), 0u);
    ASSERT_EQ(model.bodies.size(), 3u);
    EXPECT_EQ(model.bodies[0].path, "site/cube");
    EXPECT_EQ(model.bodies[1].path, "site/stack/unit-1");
    EXPECT_EQ(model.bodies[2].path, "site/stack/unit-2");
    for (std::size_t i = 0; i < 3; ++i) {
        const Vec3& s = blocks[i].size_m;
        const double volume = s.prod();
        const double area = 2 * (s.x() * s.y() + s.y() * s.z() + s.z() * s.x());
        EXPECT_NEAR(model.bodies[i].volume_m3, volume, relative * volume);
        EXPECT_NEAR(model.bodies[i].area_m2, area, relative * area);
        EXPECT_EQ(model.bodies[i].id, blocks[i].name);
        EXPECT_TRUE(model.bodies[i].solid);
        EXPECT_EQ(model.bodies[i].n_faces, 6u);
        EXPECT_TRUE(model.bodies[i].repaired.empty());
        const auto sums = mesh_checks::of_body(model, i);
        EXPECT_NEAR(sums.volume_m3, volume, relative * volume);
        EXPECT_NEAR(sums.area_m2, area, relative * area);
    }
    // unit-2 is turned by 90 degrees about its corner: it reaches from x = -2.438 to 0.
    EXPECT_NEAR(model.bbox_m[0], -2.438, 1e-9);
    EXPECT_NEAR(model.bbox_m[3], 11.0, 1e-9);
    EXPECT_NEAR(model.bbox_m[4], 6.058, 1e-9);
    EXPECT_NEAR(model.bbox_m[5], 2.6 + 2.591, 1e-9);

    ASSERT_TRUE(model.bodies[1].colour);
    EXPECT_NEAR((*model.bodies[1].colour)[0], 0.25F, 1e-5F);
    EXPECT_NEAR((*model.bodies[1].colour)[1], 0.5F, 1e-5F);
    EXPECT_NEAR((*model.bodies[1].colour)[2], 0.75F, 1e-5F);
    EXPECT_FALSE(model.bodies[2].colour);
}

TEST_P(EveryForm, SameBlocksGiveSameBytes) {
    const std::vector<Block> blocks{{"a", "s", {0, 0, 0}, {1, 2, 3}, 10, 5, Rgb{1, 0, 0}},
                                    {"b", "", {4, 0, 0}, {1, 2, 3}, 0, 0, std::nullopt}};
    write_blocks(blocks, folder_ / "first.step", options_);
    // Other files in between: the kernel's running numbers and settings must not show.
    write_blocks({{"c", "", {0, 0, 0}, {1, 1, 1}, 0, 0, std::nullopt}}, folder_ / "other.step",
                 {StepSchema::ap203, LengthUnit::inch, "other"});
    read_step(folder_ / "other.step");
    write_blocks(blocks, folder_ / "second.step", options_);
    EXPECT_EQ(mesh_checks::text_of(folder_ / "first.step"),
              mesh_checks::text_of(folder_ / "second.step"));
}

std::string form_name(const testing::TestParamInfo<Form>& info) {
    return info.param.protocol + info.param.unit_name;
}

INSTANTIATE_TEST_SUITE_P(
    SchemasAndUnits, EveryForm,
    testing::Values(Form{StepSchema::ap203, LengthUnit::millimetre, "AP203", "millimetre"},
                    Form{StepSchema::ap203, LengthUnit::metre, "AP203", "metre"},
                    Form{StepSchema::ap203, LengthUnit::inch, "AP203", "inch"},
                    Form{StepSchema::ap214, LengthUnit::millimetre, "AP214", "millimetre"},
                    Form{StepSchema::ap214, LengthUnit::metre, "AP214", "metre"},
                    Form{StepSchema::ap214, LengthUnit::inch, "AP214", "inch"},
                    Form{StepSchema::ap242, LengthUnit::millimetre, "AP242", "millimetre"},
                    Form{StepSchema::ap242, LengthUnit::metre, "AP242", "metre"},
                    Form{StepSchema::ap242, LengthUnit::inch, "AP242", "inch"}),
    form_name);

TEST(BlockWriter, TiltLiftsTheFarSide) {
    const ScratchFolder folder;
    const double tilt = 30 * std::numbers::pi / 180;
    write_blocks({{"roof", "", {1, 2, 3}, {4, 2, 0.1}, 0, 30, std::nullopt}}, folder / "a.step");
    const Model model = read_step(folder / "a.step");
    // Far upper edge of the plate: turned about the line y = 2, z = 3 along x.
    EXPECT_NEAR(model.bbox_m[5], 3 + 2 * std::sin(tilt) + 0.1 * std::cos(tilt), 1e-9);
    EXPECT_NEAR(model.bbox_m[2], 3, 1e-9);
    EXPECT_NEAR(model.bbox_m[1], 2 - 0.1 * std::sin(tilt), 1e-9);
    EXPECT_NEAR(model.bbox_m[4], 2 + 2 * std::cos(tilt), 1e-9);
    EXPECT_NEAR(model.bodies[0].volume_m3, 0.8, relative);
}

TEST(BlockWriter, TiltComesBeforeTurnAboutTheSameCorner) {
    const ScratchFolder folder;
    write_blocks({{"roof", "", {0, 0, 0}, {4, 2, 1}, 90, 90, std::nullopt}}, folder / "a.step");
    const Model model = read_step(folder / "a.step");
    // Tilted: x 0..4, y -1..0, z 0..2. Then turned by 90 degrees: x 0..1, y 0..4.
    const std::array<double, 6> expected = {0, 0, 0, 1, 4, 2};
    for (std::size_t k = 0; k < 6; ++k) EXPECT_NEAR(model.bbox_m[k], expected[k], 1e-9) << k;
}

TEST(BlockWriter, NamesBeyondAsciiSurviveAsEscapes) {
    const ScratchFolder folder;
    const std::vector<std::string> names{
        "K\u00fcche",
        "\u03c0-\u65e5\u672c",
        "\U0001F3E0 home",
        "it's",
        "back\\slash",
        "\\X2\\00E4\\X0\\",
        std::string(300, 'x') + "\u00e4\u00f6\u00fc" + std::string(80, '\\')};
    std::vector<Block> blocks;
    for (std::size_t i = 0; i < names.size(); ++i) {
        blocks.push_back({names[i],
                          "H\u00f6fe",
                          {3.0 * static_cast<double>(i), 0, 0},
                          {1, 1, 1},
                          0,
                          0,
                          std::nullopt});
    }
    write_blocks(blocks, folder / "a.step");
    const std::string text = mesh_checks::text_of(folder / "a.step");
    EXPECT_THAT(text, HasSubstr("'K\\X2\\00FC\\X0\\che'"));  // ISO 10303-21, strings (from memory)
    EXPECT_THAT(text, HasSubstr("'\\X4\\0001F3E0\\X0\\ home'"));
    for (const char c : text) ASSERT_LT(static_cast<unsigned char>(c), 0x80u);
    const Model model = read_step(folder / "a.step");
    ASSERT_EQ(model.bodies.size(), names.size());
    for (std::size_t i = 0; i < names.size(); ++i) {
        EXPECT_EQ(model.bodies[i].name, names[i]);
        EXPECT_EQ(model.bodies[i].path, "site/H\u00f6fe/" + names[i]);
    }
}

TEST(BlockWriter, TellsNothingAboutTheMachine) {
    const ScratchFolder folder;
    write_blocks({{"a", "", {0, 0, 0}, {1, 1, 1}, 0, 0, std::nullopt}}, folder / "a.step",
                 {StepSchema::ap203, LengthUnit::metre, "site"});
    const std::string text = mesh_checks::text_of(folder / "a.step");
    EXPECT_THAT(text, HasSubstr("'2000-01-01T00:00:00'"));
    EXPECT_THAT(text, HasSubstr("CALENDAR_DATE(2000,1,1)"));
    EXPECT_THAT(text, HasSubstr("LOCAL_TIME(0,0,0.,"));
    EXPECT_THAT(text, HasSubstr("COORDINATED_UNIVERSAL_TIME_OFFSET(0,$,.EXACT.)"));
    EXPECT_THAT(text, HasSubstr("PERSON('0','unknown',$,$,$,$)"));
    EXPECT_THAT(text, HasSubstr("ORGANIZATION('0','unknown','')"));
    EXPECT_THAT(text, Not(HasSubstr(folder.path().string())));
}

TEST(BlockWriter, RefusesWhatIsNoBlock) {
    const ScratchFolder folder;
    const auto file = folder / "a.step";
    const double nan = std::numeric_limits<double>::quiet_NaN();
    EXPECT_THROW(write_blocks({{"a", "", {0, 0, 0}, {1, 0, 1}, 0, 0, std::nullopt}}, file),
                 InputError);
    EXPECT_THROW(write_blocks({{"a", "", {0, 0, 0}, {1, -1, 1}, 0, 0, std::nullopt}}, file),
                 InputError);
    EXPECT_THROW(write_blocks({{"a", "", {0, nan, 0}, {1, 1, 1}, 0, 0, std::nullopt}}, file),
                 InputError);
    EXPECT_THROW(write_blocks({{"a", "", {0, 0, 0}, {1, 1, 1}, nan, 0, std::nullopt}}, file),
                 InputError);
    EXPECT_FALSE(std::filesystem::exists(file));
}

TEST(BlockWriter, SaysWhenTheFileCannotBeWritten) {
    const ScratchFolder folder;
    try {
        write_blocks({{"a", "", {0, 0, 0}, {1, 1, 1}, 0, 0, std::nullopt}},
                     folder / "missing/a.step");
        FAIL() << "a file in a folder that is not there was written";
    } catch (const std::runtime_error& error) {
        EXPECT_THAT(error.what(), HasSubstr("missing/a.step"));
    }
}

}  // namespace
}  // namespace noonshell
