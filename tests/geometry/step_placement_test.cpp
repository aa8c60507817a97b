// Occurrences that a transformation operator mirrors or scales, against closed forms: text edits of
// a block 6 x 2 x 3 (volume 36, area 72), whose part has its corner at its own origin, and of a
// wedge without symmetry.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <string>

#include "tests/geometry/step_fixture.hpp"

namespace noonshell::step_tests {
namespace {

using testing::ElementsAre;

class StepPlacement : public StepFile {
  protected:
    /// An operator with its third axis along z, its first and second as given, at (1, 2, 3).
    static std::string operator_text(const std::string& number, const std::string& x,
                                     const std::string& y, const std::string& scale) {
        return "#900=DIRECTION('',(" + x + "));\n#901=DIRECTION('',(" + y +
               "));\n#902=DIRECTION('',(0.,0.,1.));\n#903=CARTESIAN_POINT('',(1.,2.,3.));\n" +
               number + "=CARTESIAN_TRANSFORMATION_OPERATOR_3D('','','',#900,#901,#903," + scale +
               ",#902);\n";
    }
    /// The block placed by such an operator in its assembly.
    Model placed(const std::string& x, const std::string& y, const std::string& scale) {
        return read_text(replaced(one_block(), "#370 = ITEM_DEFINED_TRANSFORMATION('','',#11,#15);",
                                  operator_text("#370", x, y, scale)));
    }
    /// The block placed by a mapped item instead of an assembly.
    std::string mapped_text(const std::string& items, const std::string& records) {
        std::string text = one_block();
        const auto begin = text.find("#368 ="), end = text.find("#373 =");
        text.replace(begin, end - begin, "#905=REPRESENTATION_MAP(#11,#32);\n" + records);
        return replaced(text, "SHAPE_REPRESENTATION('',(#11,#15),#19)",
                        "SHAPE_REPRESENTATION('',(#11," + items + "),#19)");
    }
    static void expect_body(const Model& model, std::size_t i, double volume, double area) {
        expect_near(model.bodies.at(i).volume_m3, volume);
        expect_near(model.bodies.at(i).area_m2, area);
        // Positive only where the triangles run counter-clockwise seen from outside.
        expect_near(mesh_checks::of_body(model, i).volume_m3, volume);
        expect_near(mesh_checks::of_body(model, i).area_m2, area);
    }
};

TEST_F(StepPlacement, MirroredOccurrences) {
    const Model in_x = placed("-1.,0.,0.", "0.,1.,0.", "1.");
    expect_bbox(in_x, {-5, 2, 3, 1, 4, 6});
    expect_body(in_x, 0, 36, 72);
    EXPECT_THAT(codes(in_x), ElementsAre());
    const Model in_y = placed("1.,0.,0.", "0.,-1.,0.", "1.");
    expect_bbox(in_y, {1, 0, 3, 7, 2, 6});
    expect_body(in_y, 0, 36, 72);
}

TEST_F(StepPlacement, ScaledOccurrences) {
    const Model larger = placed("1.,0.,0.", "0.,1.,0.", "2.");
    expect_bbox(larger, {1, 2, 3, 13, 6, 9});
    expect_body(larger, 0, 36 * 8, 72 * 4);
    // Turned by a quarter about z, mirrored and halved at once: (x, y) -> (1 + y/2, 2 + x/2).
    const Model smaller = placed("0.,1.,0.", "1.,0.,0.", "0.5");
    expect_bbox(smaller, {1, 2, 3, 2, 5, 4.5});
    expect_body(smaller, 0, 36 / 8.0, 72 / 4.0);
}

TEST_F(StepPlacement, OperatorsThatOnlyMoveAndTurnAreLeftToTheKernel) {
    const Model model = placed("0.,1.,0.", "-1.,0.,0.", "1.");
    expect_bbox(model, {-1, 2, 3, 1, 8, 6});
    expect_body(model, 0, 36, 72);
    EXPECT_THAT(codes(model), ElementsAre());
}

TEST_F(StepPlacement, UselessScalesAreRemarkedOn) {
    EXPECT_THAT(codes(placed("1.,0.,0.", "0.,1.,0.", "0.")), ElementsAre("placement-not-kept"));
}

TEST_F(StepPlacement, LengthsOfTheOperatorAreInTheUnitOfTheFile) {
    // Everything in millimetres: a block of 6 x 2 x 3 mm, moved by (1, 2, 3) mm.
    std::string text = replaced(one_block(), "#370 = ITEM_DEFINED_TRANSFORMATION('','',#11,#15);",
                                operator_text("#370", "-1.,0.,0.", "0.,1.,0.", "1."));
    for (const char* number : {"#20", "#364"}) {
        text = replaced(text, number + std::string(" = ( LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT($,"),
                        number + std::string(" = ( LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT(.MILLI.,"));
    }
    const Model model = read_text(text);
    const std::array<double, 6> expected = {-5e-3, 2e-3, 3e-3, 1e-3, 4e-3, 6e-3};
    for (std::size_t k = 0; k < 6; ++k) EXPECT_NEAR(model.bbox_m[k], expected[k], 1e-12);
}

TEST_F(StepPlacement, MirroredAndScaledMappedItems) {
    const Model model =
        read_text(mapped_text("#906", operator_text("#904", "-1.,0.,0.", "0.,1.,0.", "2.") +
                                          "#906=MAPPED_ITEM('',#905,#904);\n"));
    expect_bbox(model, {-11, 2, 3, 1, 6, 9});
    expect_body(model, 0, 36 * 8, 72 * 4);
    EXPECT_THAT(codes(model), ElementsAre());
}

TEST_F(StepPlacement, APartAndItsMirrorImageAsMappedItems) {
    // Mirrored in y, the kernel's rigid placement is the same for both.
    const Model model = read_text(mapped_text(
        "#906,#907", operator_text("#904", "1.,0.,0.", "0.,-1.,0.", "1.") +
                         "#906=MAPPED_ITEM('',#905,#15);\n#907=MAPPED_ITEM('',#905,#904);\n"));
    ASSERT_EQ(model.bodies.size(), 2u);
    expect_bbox(model, {1, 0, 3, 7, 4, 6});
    for (std::size_t i = 0; i < 2; ++i) expect_body(model, i, 36, 72);
    EXPECT_THAT(codes(model), ElementsAre());
}

// ISO 10303-43: a mapped item is a representation item with a name of its own.
TEST_F(StepPlacement, MappedItemsGiveTheirNames) {
    const std::string there =
        "#908=CARTESIAN_POINT('',(20.,0.,0.));\n"
        "#909=AXIS2_PLACEMENT_3D('',#908,$,$);\n";
    const auto names_of = [&](const std::string& first, const std::string& second) {
        const Model model = read_text(mapped_text(
            "#906,#907", there + "#906=MAPPED_ITEM('" + first + "',#905,#15);\n#907=MAPPED_ITEM('" +
                             second + "',#905,#909);\n"));
        std::vector<std::string> names;
        for (const Body& body : model.bodies) names.push_back(body.name);
        return names;
    };
    EXPECT_THAT(names_of("kitchen", "store"), testing::ElementsAre("kitchen", "store"));
    // Without one, the product whose shape is mapped.
    EXPECT_THAT(names_of("kitchen", ""), testing::ElementsAre("kitchen", "unit-1"));
}

TEST_F(StepPlacement, TwoOccurrencesAtOneRigidPlaceAreToldApart) {
    // A second occurrence of the same part, scaled; the kernel puts both at (1, 2, 3).
    std::string text = one_block();
    text = replaced(text, "#373 =",
                    operator_text("#980", "1.,0.,0.", "0.,1.,0.", "3.") +
                        "#981 = CONTEXT_DEPENDENT_SHAPE_REPRESENTATION(#982,#984);\n"
                        "#982 = ( REPRESENTATION_RELATIONSHIP('','',#32,#10) "
                        "REPRESENTATION_RELATIONSHIP_WITH_TRANSFORMATION(#980) "
                        "SHAPE_REPRESENTATION_RELATIONSHIP() );\n"
                        "#984 = PRODUCT_DEFINITION_SHAPE('Placement','',#985);\n"
                        "#985 = NEXT_ASSEMBLY_USAGE_OCCURRENCE('2','unit-2','',#5,#27,$);\n"
                        "#373 =");
    const Model model = read_text(text);
    ASSERT_EQ(model.bodies.size(), 2u);
    expect_body(model, 0, 36, 72);
    expect_body(model, 1, 36 * 27, 72 * 9);
    expect_bbox(model, {1, 2, 3, 19, 8, 12});
}

}  // namespace
}  // namespace noonshell::step_tests
