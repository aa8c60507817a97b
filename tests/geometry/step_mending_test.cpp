// What is mended while a STEP file is read, and what is listed as lost: a box 4 x 2 x 3 (area 52,
// volume 24) in every unsound form.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <string>
#include <vector>

#include "tests/geometry/step_fixture.hpp"

namespace noonshell::step_tests {
namespace {

using cad_shapes::BoxForm;
using testing::ElementsAre;
using testing::HasSubstr;

class StepMending : public StepFile {};

TEST_F(StepMending, SoundBoxNeedsNoRepair) {
    const Model model = read_box(BoxForm::sound);
    expect_sound_box(model);
    EXPECT_TRUE(model.bodies.at(0).repaired.empty());
}

TEST_F(StepMending, SolidInsideOutIsTurned) {
    const Model model = read_box(BoxForm::inside_out);
    expect_sound_box(model);
    EXPECT_THAT(model.bodies.at(0).repaired, ElementsAre(HasSubstr("inside out")));
}

TEST_F(StepMending, FaceTurnedTheWrongWayIsTurnedBack) {
    const Model model = read_box(BoxForm::one_face_turned);
    expect_sound_box(model);
    EXPECT_THAT(model.bodies.at(0).repaired,
                ElementsAre(testing::ContainsRegex("neighbours turned round: 1 \\(#[0-9]+\\)")));
}

TEST_F(StepMending, ClosedShellCountsAsSolid) {
    const Model model = read_box(BoxForm::closed_shell);
    expect_sound_box(model);
    EXPECT_THAT(model.bodies.at(0).repaired, ElementsAre(HasSubstr("taken as a solid")));
}

TEST_F(StepMending, LooseFacesThatCloseAreSewn) {
    const Model model = read_box(BoxForm::six_loose_faces);
    expect_sound_box(model);
    EXPECT_THAT(model.bodies.at(0).repaired,
                ElementsAre(HasSubstr("gaps between 6 faces"), HasSubstr("taken as a solid")));
    for (const Face& face : model.faces) EXPECT_NE(face.step_entity, 0u);
}

TEST_F(StepMending, WhatDoesNotCloseIsAShell) {
    for (const BoxForm form :
         {BoxForm::open_shell, BoxForm::five_loose_faces, BoxForm::gaping_solid}) {
        const Model model = read_box(form);
        ASSERT_EQ(model.bodies.size(), 1u);
        EXPECT_EQ(model.bodies[0].name, "box");
        EXPECT_FALSE(model.bodies[0].solid);
        EXPECT_EQ(model.bodies[0].volume_m3, 0);
        EXPECT_EQ(model.bodies[0].n_faces, 5u);
        expect_near(model.bodies[0].area_m2, 52 - 8);
        EXPECT_EQ(model.left_out.size(), 0u);
        const bool was_solid = form == BoxForm::gaping_solid;
        EXPECT_EQ(codes(model), was_solid ? std::vector<std::string>{"solid-not-closed"}
                                          : std::vector<std::string>{});
    }
}

TEST_F(StepMending, HollowSolidsKeepTheirHollow) {
    const Model model = read(cad_shapes::write_hollow_box);
    ASSERT_EQ(model.bodies.size(), 1u);
    EXPECT_EQ(model.bodies[0].n_faces, 12u);
    expect_near(model.bodies[0].volume_m3, 54 - 20);
    expect_near(model.bodies[0].area_m2, 2 * (18 + 18 + 9) + 2 * (10 + 10 + 4));
    expect_near(mesh_checks::of_body(model, 0).volume_m3, 34);
    EXPECT_TRUE(model.bodies[0].repaired.empty());
}

TEST_F(StepMending, FacesWithoutBoundsAreListed) {
    // One face loses its outline; the body goes on as a shell.
    const std::string text = one_block();
    const Face lost = read_text(text).faces.at(0);
    const std::string entity = "#" + std::to_string(lost.step_entity);
    const auto at = text.find(entity + " = ADVANCED_FACE('',(#");
    ASSERT_NE(at, text.npos);
    const auto bound = text.find("(#", at) + 1;
    const Model model = read_text(text.substr(0, bound) + text.substr(text.find(')', bound)));
    ASSERT_EQ(model.bodies.size(), 1u);
    EXPECT_EQ(model.bodies[0].n_faces, 5u);
    EXPECT_FALSE(model.bodies[0].solid);
    expect_near(model.bodies[0].area_m2, 72 - lost.area_m2);
    ASSERT_EQ(model.left_out.size(), 1u);
    EXPECT_EQ(model.left_out[0].entity, entity);
    EXPECT_THAT(model.left_out[0].reason, HasSubstr("no bounds"));
}

TEST_F(StepMending, SolidsThatNoAssemblyPlacesAreListed) {
    write_blocks({{"kept", "", {0, 0, 0}, {2, 2, 2}, 0, 0, std::nullopt},
                  {"lost", "", {5, 0, 0}, {2, 2, 2}, 0, 0, std::nullopt}},
                 folder_ / "two.step");
    std::string text = mesh_checks::text_of(folder_ / "two.step");
    const auto last = text.rfind("ADVANCED_BREP_SHAPE_REPRESENTATION");
    text.replace(last, 8, "ADVANCES");
    const Model model = read_text(text);
    ASSERT_EQ(model.bodies.size(), 1u);
    bool listed = false;
    for (const LeftOut& left : model.left_out) {
        listed = listed || left.reason.find("solid") != std::string::npos;
    }
    EXPECT_TRUE(listed);
}

}  // namespace
}  // namespace noonshell::step_tests
