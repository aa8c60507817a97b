// Tessellated bodies (ISO 10303-42, AP242), written by hand into files of the block writer. The
// tetrahedron with corners at the origin and at 1 on each axis has a volume of 1/6 and an area of
// 3/2 + sqrt(3)/2.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <string>

#include "geometry/roles.hpp"
#include "tests/geometry/step_fixture.hpp"

namespace noonshell::step_tests {
namespace {

using testing::HasSubstr;

const double tetra_area = 1.5 + std::sqrt(3.0) / 2;

const std::string points =
    "#900=COORDINATES_LIST('',4,((0.,0.,0.),(1.,0.,0.),(0.,1.,0.),(0.,0.,1.)));\n";

/// Four kinds of one face each: plain, through an index list, a strip and a fan.
const std::string tetra =
    points +
    "#901=TRIANGULATED_FACE('door',#900,4,((0.,0.,-1.)),$,(),((1,3,2)));\n"
    "#902=TRIANGULATED_FACE('',#900,3,((0.,-1.,0.)),$,(4,1,2),((2,3,1)));\n"
    "#903=COMPLEX_TRIANGULATED_FACE('',#900,4,((-1.,0.,0.)),$,(),((1,4,3)),());\n"
    "#904=COMPLEX_TRIANGULATED_FACE('',#900,4,((0.6,0.6,0.6)),$,(),(),((2,3,4)));\n"
    "#905=TESSELLATED_SOLID('tetra',(#901,#902,#903,#904),$);\n"
    "#906=TESSELLATED_SHAPE_REPRESENTATION('',(#905),#363);\n";

class StepTessellation : public StepFile {
  protected:
    /// The block's file with `records` instead of its B-rep; #906 stands for the part.
    std::string instead_of_brep(const std::string& records) {
        std::string text = one_block();
        const auto brep = text.find("#32 = "), after = text.find("#363 = ");
        text.replace(brep, after - brep, records);
        text = replaced(text, "SHAPE_DEFINITION_REPRESENTATION(#26,#32)",
                        "SHAPE_DEFINITION_REPRESENTATION(#26,#906)");
        return replaced(text, "#32,#10", "#906,#10");
    }
};

TEST_F(StepTessellation, SolidsAreUsedAsTheyAre) {
    const Model model = read_text(instead_of_brep(tetra));
    ASSERT_EQ(model.bodies.size(), 1u);
    const Body& body = model.bodies[0];
    EXPECT_EQ(body.path, "site/unit-1");
    EXPECT_EQ(body.step_entity, 905u);
    EXPECT_TRUE(body.solid);
    expect_near(body.area_m2, tetra_area);
    expect_near(body.volume_m3, 1 / 6.0);
    expect_near(mesh_checks::of_body(model, 0).volume_m3, 1 / 6.0);
    ASSERT_EQ(model.faces.size(), 4u);
    EXPECT_EQ(model.faces[0].name, "door");
    EXPECT_EQ(model.faces[3].step_entity, 904u);
    for (const Face& face : model.faces) EXPECT_TRUE(face.planar);
    expect_bbox(model, {1, 2, 3, 2, 3, 4});  // its part is placed at (1, 2, 3)
    EXPECT_TRUE(model.warnings.empty());
    EXPECT_TRUE(model.left_out.empty());
    ASSERT_EQ(model.assemblies.size(), 1u);
    EXPECT_EQ(body.assembly, 0);
}

TEST_F(StepTessellation, StylesColourSolidsAndFaces) {
    // Screen values: 0.5 is 0.2140 in linear light (IEC 61966-2-1). The curve's red does not count.
    const std::string styles =
        "#920=STYLED_ITEM('',(#921),#905);\n"
        "#921=PRESENTATION_STYLE_ASSIGNMENT((#940,#922));\n"
        "#922=SURFACE_STYLE_USAGE(.BOTH.,#923);\n"
        "#923=SURFACE_SIDE_STYLE('',(#924));\n"
        "#924=SURFACE_STYLE_FILL_AREA(#925);\n"
        "#925=FILL_AREA_STYLE('',(#926));\n"
        "#926=FILL_AREA_STYLE_COLOUR('',#927);\n"
        "#927=COLOUR_RGB('',1.,0.5,0.);\n"
        "#930=OVER_RIDING_STYLED_ITEM('',(#931),#902,#920);\n"
        "#931=PRESENTATION_STYLE_ASSIGNMENT((#932));\n"
        "#932=SURFACE_STYLE_USAGE(.BOTH.,#933);\n"
        "#933=SURFACE_SIDE_STYLE('',(#934));\n"
        "#934=SURFACE_STYLE_RENDERING_WITH_PROPERTIES(.NORMAL_SHADING.,#935,(#936));\n"
        "#936=SURFACE_STYLE_TRANSPARENT(0.5);\n"
        "#935=DRAUGHTING_PRE_DEFINED_COLOUR('blue');\n"
        "#940=CURVE_STYLE('',#941,POSITIVE_LENGTH_MEASURE(0.1),#942);\n"
        "#941=DRAUGHTING_PRE_DEFINED_CURVE_FONT('continuous');\n"
        "#942=COLOUR_RGB('',1.,0.,0.);\n";
    const Model model = read_text(instead_of_brep(tetra + styles));
    ASSERT_EQ(model.bodies.size(), 1u);
    ASSERT_TRUE(model.bodies[0].colour.has_value());
    EXPECT_NEAR((*model.bodies[0].colour)[0], 1, 1e-6);
    EXPECT_NEAR((*model.bodies[0].colour)[1], 0.5, 1e-6);
    EXPECT_NEAR((*model.bodies[0].colour)[2], 0, 1e-6);
    ASSERT_TRUE(model.faces[1].colour.has_value());
    EXPECT_EQ(*model.faces[1].colour, (Rgb{0, 0, 1}));
    EXPECT_FALSE(model.faces[0].colour.has_value());
    // So they count wherever colours do.
    RolePatterns patterns;
    patterns.pane_colours = {Rgb{1, 0.5F, 0}};
    std::vector<Warning> warnings;
    EXPECT_EQ(choose_roles(model, patterns, {}, warnings)[0].role, Role::pane);
    // Colours of a solid's shells, where the solid has none.
    const std::string shell =
        replaced(replaced(tetra, "#905=TESSELLATED_SOLID('tetra',(#901,#902,#903,#904),$)",
                          "#907=TESSELLATED_SHELL('',(#901,#902,#903,#904),$);\n"
                          "#905=TESSELLATED_SOLID('tetra',(#907),$)"),
                 "#906", replaced(styles, "(#921),#905)", "(#921),#907)") + "#906");
    const Model by_shell = read_text(instead_of_brep(shell));
    ASSERT_EQ(by_shell.bodies.size(), 1u);
    EXPECT_EQ(by_shell.bodies[0].colour, model.bodies[0].colour);
}

TEST_F(StepTessellation, LengthsAreConverted) {
    const Model model = read_text(replaced(
        instead_of_brep(tetra), "#364 = ( LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT($,.METRE.) );",
        "#364 = ( CONVERSION_BASED_UNIT('FOOT',#950) LENGTH_UNIT() NAMED_UNIT(#951) );\n"
        "#950 = LENGTH_MEASURE_WITH_UNIT(LENGTH_MEASURE(0.3048),#952);\n"
        "#951 = DIMENSIONAL_EXPONENTS(1.,0.,0.,0.,0.,0.,0.);\n"
        "#952 = ( LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT($,.METRE.) );"));
    ASSERT_EQ(model.bodies.size(), 1u);
    expect_near(model.bodies[0].volume_m3, std::pow(0.3048, 3) / 6);
    // The place is the assembly's, in metres.
    expect_bbox(model, {1, 2, 3, 1.3048, 2.3048, 3.3048});
}

TEST_F(StepTessellation, StripsAndFansTurnAsTheyShould) {
    // The square (0,0) (1,0) (0,1) (1,1) as a strip, and as a fan about its first corner.
    const auto square = [&](const std::string& lists) {
        return read_text(instead_of_brep(
            "#900=COORDINATES_LIST('',4,((0.,0.,0.),(1.,0.,0.),(0.,1.,0.),(1.,1.,0.)));\n"
            "#901=COMPLEX_TRIANGULATED_FACE('',#900,4,((0.,0.,1.)),$,()," +
            lists +
            ");\n#905=TESSELLATED_SHELL('sheet',(#901),$);\n"
            "#906=TESSELLATED_SHAPE_REPRESENTATION('',(#905),#363);\n"));
    };
    for (const char* lists : {"((1,2,3,4)),()", "(),((1,2,4,3))"}) {
        const Model model = square(lists);
        ASSERT_EQ(model.bodies.size(), 1u) << lists;
        EXPECT_FALSE(model.bodies[0].solid);
        expect_near(model.bodies[0].area_m2, 1);
        ASSERT_EQ(model.mesh.triangles.size(), 2u);
        for (std::size_t t = 0; t < 2; ++t) {
            const Vec3 a = model.mesh.corner(t, 0);
            const Vec3 normal = (model.mesh.corner(t, 1) - a).cross(model.mesh.corner(t, 2) - a);
            expect_near(normal.z(), 1);
        }
    }
}

TEST_F(StepTessellation, TheBrepOfTheSameThingIsUsed) {
    // A tessellated box over the block 6 x 2 x 3, in the same part, once with a link to its solid.
    const std::string box =
        "#900=COORDINATES_LIST('',8,((0.,0.,0.),(6.,0.,0.),(6.,2.,0.),(0.,2.,0.),"
        "(0.,0.,3.),(6.,0.,3.),(6.,2.,3.),(0.,2.,3.)));\n"
        "#901=TRIANGULATED_FACE('',#900,8,(),$,(),((1,3,2),(1,4,3),(5,6,7),(5,7,8),(1,2,6),(1,6,5),"
        "(3,4,8),(3,8,7),(2,3,7),(2,7,6),(4,1,5),(4,5,8)));\n";
    for (const char* link : {"#33", "$"}) {
        std::string text = one_block();
        text.insert(text.rfind("ENDSEC;"),
                    box + "#905=TESSELLATED_SOLID('',(#901)," + link +
                        ");\n#906=TESSELLATED_SHAPE_REPRESENTATION('',(#905),#363);\n"
                        "#907=SHAPE_REPRESENTATION_RELATIONSHIP('','',#32,#906);\n");
        const Model model = read_text(text);
        ASSERT_EQ(model.bodies.size(), 1u) << link;
        EXPECT_EQ(model.bodies[0].step_entity, 33u);
        expect_near(model.bodies[0].volume_m3, 36);
        EXPECT_TRUE(model.left_out.empty());
        EXPECT_TRUE(model.warnings.empty());
    }
}

TEST_F(StepTessellation, FaultyTrianglesAreLeftOutWithTheirEntity) {
    const Model model = read_text(instead_of_brep(replaced(tetra, "((1,3,2))", "((1,3,9))")));
    ASSERT_EQ(model.bodies.size(), 1u);
    EXPECT_FALSE(model.bodies[0].solid);
    ASSERT_EQ(model.left_out.size(), 1u);
    EXPECT_EQ(model.left_out[0].entity, "#901");
    EXPECT_THAT(model.left_out[0].reason, HasSubstr("tessellated geometry, not read"));
    const std::string broken = instead_of_brep(replaced(tetra, "4,((0.,0.,0.)", "4,((0.,0.)"));
    expect_text_refused(broken, "at least one solid or shell", "tessellated geometry");
}

TEST_F(StepTessellation, LongListsDoNotReachTheKernel) {
    // The kernel alone takes half a minute to parse this list.
    std::string list = "(0.,0.,0.),(1.,0.,0.),(0.,1.,0.),(0.,0.,1.)";
    for (int i = 0; i < 100000; ++i) list += ",(0.,0.,0.)";
    const std::string text =
        replaced(instead_of_brep(tetra), "(0.,0.,0.),(1.,0.,0.),(0.,1.,0.),(0.,0.,1.)", list);
    mesh_checks::write_text(folder_ / "long.step", text);
    const Model model = read_step(folder_ / "long.step", {.time_limit_s = 10});
    expect_near(model.bodies.at(0).volume_m3, 1 / 6.0);
}

}  // namespace
}  // namespace noonshell::step_tests
