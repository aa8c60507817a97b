// Which axis points up, and whether the size of the model is that of a building.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <Eigen/LU>
#include <algorithm>
#include <array>
#include <string>

#include "geometry/size_note.hpp"
#include "tests/geometry/step_fixture.hpp"

namespace noonshell::step_tests {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;

class StepAxes : public StepFile {};

constexpr std::array<UpAxis, 6> all_axes = {UpAxis::z,       UpAxis::y,       UpAxis::x,
                                            UpAxis::minus_z, UpAxis::minus_y, UpAxis::minus_x};

Vec3 axis_of(UpAxis up) {
    const std::string name(name_of(up));
    const Vec3 axis = name.back() == 'x'   ? Vec3::UnitX()
                      : name.back() == 'y' ? Vec3::UnitY()
                                           : Vec3::UnitZ();
    return name.front() == '-' ? Vec3(-axis) : axis;
}

TEST(UpAxis, NamesAreReadBack) {
    for (const UpAxis up : all_axes) EXPECT_EQ(up_axis_from(name_of(up)), up);
    EXPECT_EQ(up_axis_from("Y"), UpAxis::y);
    EXPECT_EQ(up_axis_from("+Z"), UpAxis::z);
    EXPECT_EQ(up_axis_from("-X"), UpAxis::minus_x);
    for (const char* wrong : {"", "-", "w", "yy", "--z", "up", " z"}) {
        EXPECT_FALSE(up_axis_from(wrong)) << wrong;
    }
}

TEST(UpAxis, EveryTurnIsAProperRotationThatLiftsItsAxis) {
    for (const UpAxis up : all_axes) {
        const Eigen::Matrix3d turn = turn_to_z_up(up);
        EXPECT_EQ(turn.determinant(), 1) << name_of(up);
        EXPECT_EQ(turn * turn.transpose(), Eigen::Matrix3d::Identity());
        EXPECT_EQ(turn * axis_of(up), Vec3::UnitZ()) << name_of(up);
        const bool x_is_up = up == UpAxis::x || up == UpAxis::minus_x;
        const Vec3 kept = x_is_up ? Vec3::UnitY() : Vec3::UnitX();
        EXPECT_EQ(turn * kept, kept) << name_of(up);
    }
}

TEST_F(StepAxes, TheModelIsTurnedSoThatZIsUp) {
    one_block();  // x 1..7, y 2..4, z 3..6
    const auto bbox = [&](UpAxis up) {
        const Model model = read_step(folder_ / "one.step", {.up = up});
        EXPECT_EQ(model.up, name_of(up));
        expect_near(model.bodies.at(0).volume_m3, 36);
        // Positive only where the triangles still run counter-clockwise seen from outside.
        expect_near(mesh_checks::of_body(model, 0).volume_m3, 36);
        return model.bbox_m;
    };
    EXPECT_THAT(bbox(UpAxis::z), ElementsAre(1, 2, 3, 7, 4, 6));
    EXPECT_THAT(bbox(UpAxis::y), ElementsAre(1, -6, 2, 7, -3, 4));
    EXPECT_THAT(bbox(UpAxis::x), ElementsAre(-6, 2, 1, -3, 4, 7));
    EXPECT_THAT(bbox(UpAxis::minus_z), ElementsAre(1, -4, -6, 7, -2, -3));
    EXPECT_THAT(bbox(UpAxis::minus_y), ElementsAre(1, 3, -4, 7, 6, -2));
    EXPECT_THAT(bbox(UpAxis::minus_x), ElementsAre(3, 2, -7, 6, 4, -1));
}

TEST(SizeNote, NamesTheUnitThatWouldExplainTheSize) {
    const auto first = [](double size_m, double declared_m) {
        const auto units = likelier_units(size_m, declared_m);
        return units.empty() ? std::string("none") : units.front();
    };
    // A 12 m building, its numbers in one unit and another declared.
    // 12,000 declared as metres: 12 m in millimetres, also 120 m in centimetres, 305 m in inches.
    EXPECT_THAT(likelier_units(12000, 1), ElementsAre("millimetre", "centimetre", "inch"));
    // 40 declared as millimetres: 40 m in metres, also 12.2 m in feet; 1 m in inches is too small.
    EXPECT_THAT(likelier_units(0.04, 0.001), ElementsAre("metre", "foot"));
    // 480 declared as millimetres: 12.2 m in inches, 4.8 m in centimetres, 146 m in feet, 480 m.
    EXPECT_EQ(first(0.48, 0.001), "inch");
    // 240 as millimetres: 73 m in feet, the nearest to the middle, but feet are rare.
    EXPECT_EQ(first(0.24, 0.001), "inch");
    EXPECT_EQ(likelier_units(0.24, 0.001).back(), "foot");
    EXPECT_THAT(likelier_units(1e-9, 1), ElementsAre());
}

TEST_F(StepAxes, AnInvalidLengthUnitIsTold) {
    const auto told = [&](const std::string& text) {
        for (const Warning& warning : read_text(text).warnings) {
            if (warning.code == "length-unit") return warning.text;
        }
        return std::string{};
    };
    write_blocks({{"a", "", {0, 0, 0}, {6, 2, 3}, 0, 0, std::nullopt}}, folder_ / "mm.step",
                 {StepSchema::ap214, LengthUnit::millimetre, "site"});
    const std::string text = mesh_checks::text_of(folder_ / "mm.step");
    EXPECT_EQ(told(text), "");
    std::string gram = text;
    for (auto at = gram.find(".METRE."); at != gram.npos; at = gram.find(".METRE.", at)) {
        gram.replace(at, 7, ".GRAM.");
    }
    EXPECT_THAT(told(gram), HasSubstr("no valid length unit"));
    EXPECT_THAT(told(gram), HasSubstr("millimetre assumed"));
    const Model as_millimetres = read_text(gram);
    EXPECT_NEAR(as_millimetres.bbox_m[3], 6, 1e-9);
}

TEST_F(StepAxes, OddSizesNameTheLikelyCause) {
    const auto note_of = [&](double size_m) {
        write_blocks({{"a", "", {0, 0, 0}, {size_m, size_m, size_m}, 0, 0, std::nullopt}},
                     folder_ / "size.step", {StepSchema::ap214, LengthUnit::millimetre, "site"});
        const Model model = read_step(folder_ / "size.step");
        return model.warnings.empty() ? std::string{} : model.warnings.front().text;
    };
    EXPECT_THAT(note_of(0.02), HasSubstr("lengths in metre declared as millimetre"));
    EXPECT_THAT(note_of(0.02), HasSubstr("would measure 20 m"));
    EXPECT_THAT(note_of(0.02), HasSubstr("or this is a small part, not a building"));
    EXPECT_THAT(note_of(1e-3), HasSubstr("no common length unit"));
    EXPECT_EQ(note_of(12), "");
}

}  // namespace
}  // namespace noonshell::step_tests
