// What stands in a file twice, what is lost of it, and what it holds that nobody uses.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <regex>
#include <string>

#include "geometry/model_losses.hpp"
#include "tests/geometry/step_fixture.hpp"

namespace noonshell::step_tests {
namespace {

using cad_shapes::DoubleForm;
using testing::Contains;
using testing::ElementsAre;
using testing::HasSubstr;

class StepLosses : public StepFile {};

TEST_F(StepLosses, FacesThatStandThereTwiceAreTakenOnce) {
    for (const DoubleForm form :
         {DoubleForm::same_face_listed_twice, DoubleForm::copy_in_the_shell,
          DoubleForm::copy_among_loose_faces, DoubleForm::near_copy_in_the_shell,
          DoubleForm::near_copy_among_loose_faces, DoubleForm::copy_first_in_the_shell,
          DoubleForm::half_in_the_shell, DoubleForm::half_among_loose_faces}) {
        const Model model =
            read([&](const auto& file) { cad_shapes::write_double_faces(file, form); });
        expect_sound_box(model);
        EXPECT_EQ(model.faces.size(), 6u);
        EXPECT_EQ(model.lost_area_share, 0);
        // The kernel itself drops a face that a shell lists twice.
        if (form == DoubleForm::same_face_listed_twice) continue;
        EXPECT_THAT(model.bodies.at(0).repaired, Contains(HasSubstr("stood there twice")));
        ASSERT_EQ(model.left_out.size(), 1u);
        EXPECT_TRUE(model.left_out[0].is_double);
        EXPECT_THAT(model.left_out[0].entity, testing::StartsWith("#"));
        const bool half =
            form == DoubleForm::half_in_the_shell || form == DoubleForm::half_among_loose_faces;
        expect_near(model.left_out[0].area_m2, half ? 4 : 8);
    }
}

TEST_F(StepLosses, BodiesThatStandThereTwiceAreTakenOnce) {
    const Model model = read(cad_shapes::write_box_twice);
    ASSERT_EQ(model.bodies.size(), 2u);
    EXPECT_EQ(model.bodies[0].id, "first");
    EXPECT_EQ(model.bodies[1].id, "beside");
    expect_bbox(model, {0, 0, 0, 14, 2, 3});
    ASSERT_EQ(model.left_out.size(), 1u);
    const LeftOut& left = model.left_out[0];
    EXPECT_EQ(left.body, "second");
    EXPECT_THAT(left.reason, HasSubstr("first"));
    EXPECT_TRUE(left.is_double);
    expect_near(left.area_m2, 52);
    EXPECT_EQ(model.lost_area_share, 0);
    EXPECT_TRUE(model.warnings.empty());
    // What is left is as consecutive as ever.
    for (std::size_t b = 0, face = 0, triangle = 0; b < 2; ++b) {
        EXPECT_EQ(model.bodies[b].first_face, face);
        for (std::size_t f = 0; f < model.bodies[b].n_faces; ++f, ++face) {
            EXPECT_EQ(model.faces[face].body, BodyId(b));
            EXPECT_EQ(model.faces[face].first_triangle, triangle);
            for (std::size_t t = 0; t < model.faces[face].n_triangles; ++t, ++triangle) {
                EXPECT_EQ(model.mesh.triangle_face[triangle], FaceId(face));
            }
        }
        expect_near(mesh_checks::of_body(model, b).volume_m3, 24);
    }
}

TEST_F(StepLosses, TouchingBodiesAreNoDoubles) {
    write_blocks({{"low", "", {0, 0, 0}, {6, 2, 3}, 0, 0, std::nullopt},
                  {"high", "", {0, 0, 3}, {6, 2, 3}, 0, 0, std::nullopt}},
                 folder_ / "stack.step");
    EXPECT_EQ(read_step(folder_ / "stack.step").bodies.size(), 2u);
}

TEST_F(StepLosses, OutlinesThatCrossThemselvesAreCutApart) {
    const Model model = read(cad_shapes::write_crossing_outline);
    ASSERT_EQ(model.bodies.size(), 2u);
    expect_near(model.bodies[1].area_m2, 2);  // two triangles of base 2 and height 1
    expect_near(mesh_checks::of_body(model, 1).area_m2, 2);
    EXPECT_THAT(model.bodies[1].repaired, Contains(HasSubstr("crosses itself")));
    EXPECT_THAT(model.bodies[1].repaired, Contains(HasSubstr("#")));
}

TEST_F(StepLosses, FacesThatTheKernelCannotMakeAreMeasuredByTheirCorners) {
    // The face of 2 x 3 at x = 0 loses its plane: 6 of 72 m2.
    const Model model =
        read_text(replaced(one_block(), "#50 = PLANE('',#51)", "#50 = PLATE('',#51)"));
    ASSERT_EQ(model.left_out.size(), 1u);
    EXPECT_EQ(model.left_out[0].entity, "#35");
    EXPECT_THAT(model.left_out[0].reason, HasSubstr("from its corners"));
    expect_near(model.left_out[0].area_m2, 6);
    expect_near(model.lost_area_share, 6 / 72.0);
    ASSERT_FALSE(model.warnings.empty());
    EXPECT_EQ(model.warnings.front().code, "lost-area");
    EXPECT_THAT(model.warnings.front().text, HasSubstr("8.3 %"));
    // Below the stated limit nothing is said.
    const Model patient = read_step(folder_ / "text.step", {.lost_area_limit = 0.1});
    EXPECT_THAT(codes(patient), testing::Not(Contains("lost-area")));
    expect_near(patient.lost_area_share, 6 / 72.0);
}

TEST_F(StepLosses, EntriesOfAShellThatAreNoPlainFacesAreTold) {
    // The face of 2 x 3 at x = 0, #35, stands in the shell behind another entity: 6 of 72 m2.
    std::string text = one_block();
    const std::string shell = "CLOSED_SHELL('',(#35,";
    ASSERT_NE(text.find(shell), text.npos);
    const auto with = [&](const std::string& record) {
        std::string changed = replaced(text, shell, "CLOSED_SHELL('',(#9001,");
        return changed.insert(changed.rfind("ENDSEC;"), "#9001=" + record + ";\n");
    };
    const auto bounds_at = text.find('(', text.find('(', text.find("#35 = ADVANCED_FACE")) + 1);
    const std::string bounds = text.substr(bounds_at, text.find(')', bounds_at) + 1 - bounds_at);
    for (const std::string& record :
         {std::string("ORIENTED_FACE('end',*,#35,.T.)"), "SUBFACE('end'," + bounds + ",#35)",
          "FACE('end'," + bounds + ")"}) {
        const Model model = read_text(with(record));
        ASSERT_EQ(model.left_out.size(), 1u) << record;
        EXPECT_EQ(model.left_out[0].entity, "#9001");
        EXPECT_EQ(model.left_out[0].name, "end");
        EXPECT_EQ(model.left_out[0].body, "unit-1");
        EXPECT_THAT(model.left_out[0].reason, HasSubstr(record.substr(0, record.find('('))));
        expect_near(model.left_out[0].area_m2, 6);
        expect_near(model.lost_area_share, 6 / 72.0);
        EXPECT_EQ(model.warnings.at(0).code, "lost-area");
    }
    const Model unknown = read_text(with("SIDE_OF_A_THING('end',#35)"));
    ASSERT_EQ(unknown.left_out.size(), 1u);
    EXPECT_EQ(unknown.left_out[0].entity, "#9001");
    EXPECT_EQ(unknown.left_out[0].name, "end");
    EXPECT_THAT(unknown.left_out[0].reason, HasSubstr("SIDE_OF_A_THING"));
    EXPECT_THAT(unknown.left_out[0].reason, HasSubstr("area unknown"));
    EXPECT_FALSE(unknown.left_out[0].area_known);
    EXPECT_EQ(unknown.warnings.at(0).code, "lost-area");
}

TEST_F(StepLosses, LostAreaIsInSquareMetresWhateverTheUnit) {
    write_blocks({{"unit-1", "", {1, 2, 3}, {6, 2, 3}, 0, 0, std::nullopt}}, folder_ / "inch.step",
                 {StepSchema::ap214, LengthUnit::inch, "site"});
    std::string text = mesh_checks::text_of(folder_ / "inch.step");
    const auto at = text.find("= PLANE('',");
    ASSERT_NE(at, text.npos);
    const Model model = read_text(text.replace(at, 7, "= PLATE"));
    ASSERT_EQ(model.left_out.size(), 1u);
    EXPECT_NEAR(model.left_out[0].area_m2, 6, 1e-6);
}

TEST_F(StepLosses, WhatNobodyUsesIsSaidPlainly) {
    const std::string text = one_block();
    const auto end = text.rfind("ENDSEC;");
    const auto with = [&](const std::string& records) {
        return read_text(text.substr(0, end) + records + text.substr(end));
    };
    const Model notes = with(
        "#900=DRAUGHTING_CALLOUT('note',());\n#901=DIMENSIONAL_SIZE(#902,'length');\n"
        "#902=SHAPE_ASPECT('','',#26,.F.);\n");
    EXPECT_THAT(codes(notes), ElementsAre("annotations"));
    EXPECT_THAT(notes.warnings[0].text,
                HasSubstr("1 drawn note and 1 dimension, tolerance or datum are not used"));
    const std::string reference =
        "#900=DOCUMENT_FILE('part.step','',$,#901,'',$);\n#901=DOCUMENT_TYPE('geometry');\n";
    const Model others = with(reference);
    EXPECT_THAT(codes(others), ElementsAre("other-files"));
    EXPECT_THAT(others.warnings[0].text, HasSubstr("not beside it: part.step"));
    mesh_checks::write_text(folder_ / "part.step", text);
    EXPECT_THAT(with(reference).warnings.at(0).text, HasSubstr("files beside it: part.step"));
}

// A part whose geometry stands in another file alone.
TEST_F(StepLosses, AFileThatOnlyNamesAnotherIsRefusedByItsName) {
    const std::string text =
        "ISO-10303-21;\nHEADER;\nFILE_DESCRIPTION((''),'2;1');\n"
        "FILE_NAME('x','2020-01-01T00:00:00',(''),(''),'','','');\n"
        "FILE_SCHEMA(('AUTOMOTIVE_DESIGN'));\nENDSEC;\nDATA;\n"
        "#1=APPLICATION_CONTEXT('design');\n#2=PRODUCT_CONTEXT('',#1,'mechanical');\n"
        "#3=PRODUCT('hut','hut','',(#2));\n#4=PRODUCT_DEFINITION_FORMATION('','',#3);\n"
        "#5=PRODUCT_DEFINITION_CONTEXT('part definition',#1,'design');\n"
        "#6=PRODUCT_DEFINITION('design','',#4,#5);\n#7=PRODUCT_DEFINITION_SHAPE('','',#6);\n"
        "#8=(LENGTH_UNIT()NAMED_UNIT(*)SI_UNIT(.MILLI.,.METRE.));\n"
        "#12=(GEOMETRIC_REPRESENTATION_CONTEXT(3)GLOBAL_UNIT_ASSIGNED_CONTEXT((#8))"
        "REPRESENTATION_CONTEXT('',''));\n"
        "#13=SHAPE_DEFINITION_REPRESENTATION(#7,#14);\n#20=CARTESIAN_POINT('',(0.,0.,0.));\n"
        "#21=DIRECTION('',(0.,0.,1.));\n#22=DIRECTION('',(1.,0.,0.));\n"
        "#23=AXIS2_PLACEMENT_3D('',#20,#21,#22);\n#14=SHAPE_REPRESENTATION('',(#23),#12);\n"
        "#30=DOCUMENT_TYPE('geometry');\n#31=DOCUMENT_FILE('hut.stp','hut.stp','',#30,'','');\n"
        "#32=APPLIED_DOCUMENT_REFERENCE(#31,'',(#6));\nENDSEC;\nEND-ISO-10303-21;\n";
    expect_text_refused(text, "at least one solid or shell",
                        "the file refers to hut.stp, not beside it: save the assembly as one file");
}

// The solid stands in the file, but no part's representation holds it.
TEST_F(StepLosses, ASolidThatNoPartHoldsIsNotBlamedOnTheKernel) {
    write_blocks({{"near", "", {0, 0, 0}, {6, 2, 3}, 0, 0, std::nullopt},
                  {"far", "", {9, 0, 0}, {5, 2, 3}, 0, 0, std::nullopt}},
                 folder_ / "two.step", {});
    const std::regex holding(
        "ADVANCED_BREP_SHAPE_REPRESENTATION\\('',\\((#[0-9]+),#[0-9]+\\),(#[0-9]+)\\)");
    const Model model = read_text(std::regex_replace(mesh_checks::text_of(folder_ / "two.step"),
                                                     holding, "SHAPE_REPRESENTATION('',($1),$2)",
                                                     std::regex_constants::format_first_only));
    EXPECT_EQ(model.bodies.size(), 1u);
    ASSERT_EQ(model.left_out.size(), 1u);
    EXPECT_THAT(model.left_out[0].reason, HasSubstr("no part of the file holds this solid"));
}

// Where nothing of what was lost could be measured, no share of it is told.
TEST_F(StepLosses, WhatHasNoKnownAreaHasNoShare) {
    Model model;
    model.left_out.push_back(
        {.entity = "#7", .name = {}, .reason = "no face", .area_known = false});
    note_lost_area(model, 0.01);
    ASSERT_EQ(model.warnings.size(), 1U);
    EXPECT_EQ(model.warnings[0].code, "lost-area");
    EXPECT_THAT(model.warnings[0].text, HasSubstr("1 entity of unknown area was left out"));
    EXPECT_THAT(model.warnings[0].text, testing::Not(HasSubstr("%")));
}

TEST_F(StepLosses, AFaceThatAShellListsTwiceIsTold) {
    std::string text = one_block();
    const auto shell = text.find("CLOSED_SHELL('',(");
    ASSERT_NE(shell, text.npos);
    const auto first = text.find('#', shell);
    const std::string face = text.substr(first, text.find_first_of(",)", first) - first);
    const Model model = read_text(text.insert(first, face + ","));
    ASSERT_EQ(model.bodies.size(), 1u);
    EXPECT_NEAR(model.bodies[0].volume_m3, 36, 1e-9);
    ASSERT_EQ(model.left_out.size(), 1u);
    EXPECT_EQ(model.left_out[0].entity, face);
    EXPECT_TRUE(model.left_out[0].is_double);
    EXPECT_THAT(model.left_out[0].reason, HasSubstr("lists this face once more"));
    EXPECT_EQ(model.lost_area_share, 0);
}

TEST_F(StepLosses, StylesOfOccurrencesWinOverThoseOfParts) {
    const Model model = read(cad_shapes::write_styled_occurrence);
    ASSERT_EQ(model.bodies.size(), 4u);
    EXPECT_EQ(model.bodies[0].path, "yard/left/low");
    EXPECT_EQ(model.bodies[0].colour, (Rgb{0, 1, 0}));
    EXPECT_EQ(model.bodies[1].colour, (Rgb{0, 0, 1}));
    EXPECT_EQ(model.bodies[2].colour, (Rgb{0, 1, 0}));
    EXPECT_EQ(model.bodies[3].path, "yard/right/high");
    EXPECT_EQ(model.bodies[3].colour, (Rgb{1, 0, 0}));
}

}  // namespace
}  // namespace noonshell::step_tests
