// STEP files read against closed forms: boxes, a wedge and its mirror image, cylinder and sphere.
// The volume of a closed mesh by the divergence theorem is a second method beside the B-rep's, and
// is positive only where triangles run counter-clockwise seen from outside.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <array>
#include <numbers>
#include <set>
#include <string>
#include <vector>

#include "tests/geometry/step_fixture.hpp"

namespace noonshell::step_tests {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;

class StepReader : public StepFile {};

// --- Structure -------------------------------------------------------------------------------

TEST_F(StepReader, NestedPlacementsAndSharedParts) {
    const Model model = read(cad_shapes::write_nested_assembly);
    ASSERT_EQ(model.bodies.size(), 4u);
    std::vector<std::string> ids, paths;
    for (std::size_t i = 0; i < 4; ++i) {
        ids.push_back(model.bodies[i].id);
        paths.push_back(model.bodies[i].path);
        expect_near(model.bodies[i].area_m2, 72);
        expect_near(model.bodies[i].volume_m3, 36);
        expect_near(mesh_checks::of_body(model, i).volume_m3, 36);
    }
    EXPECT_THAT(ids, ElementsAre("low", "high", "low-2", "high-2"));
    EXPECT_THAT(paths, ElementsAre("yard/stack-a/low", "yard/stack-a/high", "yard/stack-b/low",
                                   "yard/stack-b/high"));
    // "stack-a": x 1..7, y 2..4, z 1..7. "stack-b": (x, y) -> (20 - y, x): x 16..18, y 1..7, z
    // 0..6.
    expect_bbox(model, {1, 1, 0, 18, 7, 7});
}

TEST_F(StepReader, FacesAndTrianglesAreConsecutive) {
    const Model model = read(cad_shapes::write_nested_assembly);
    std::uint32_t face = 0, triangle = 0;
    for (std::size_t b = 0; b < model.bodies.size(); ++b) {
        EXPECT_EQ(model.bodies[b].first_face, face);
        for (std::uint32_t f = 0; f < model.bodies[b].n_faces; ++f, ++face) {
            const Face& it = model.faces[face];
            EXPECT_EQ(it.body, BodyId(b));
            EXPECT_TRUE(it.planar);
            EXPECT_EQ(it.first_triangle, triangle);
            double area = 0;
            for (std::uint32_t t = 0; t < it.n_triangles; ++t, ++triangle) {
                EXPECT_EQ(model.mesh.triangle_face[triangle], FaceId(face));
                const Vec3 a = model.mesh.corner(triangle, 0);
                area += (model.mesh.corner(triangle, 1) - a)
                            .cross(model.mesh.corner(triangle, 2) - a)
                            .norm() /
                        2;
            }
            expect_near(area, it.area_m2);
        }
    }
    EXPECT_EQ(face, model.faces.size());
    EXPECT_EQ(triangle, model.mesh.triangles.size());
    EXPECT_EQ(triangle, model.mesh.triangle_face.size());
}

TEST_F(StepReader, FacesKnowTheirEntity) {
    const std::string text = one_block();
    const Model model = read_text(text);
    std::set<std::uint32_t> numbers;
    for (const Face& face : model.faces) {
        numbers.insert(face.step_entity);
        EXPECT_THAT(text, HasSubstr("#" + std::to_string(face.step_entity) + " = ADVANCED_FACE("));
    }
    EXPECT_EQ(numbers.size(), 6u);
}

TEST_F(StepReader, FaceNamesAreKept) {
    const Model model =
        read_text(replaced(one_block(), "ADVANCED_FACE('',", "ADVANCED_FACE('door',"));
    int n_doors = 0;
    for (const Face& face : model.faces) n_doors += face.name == "door";
    EXPECT_EQ(n_doors, 1);
}

TEST_F(StepReader, FaceColoursStandBesideTheBodysColour) {
    const Model model = read(cad_shapes::write_coloured_faces);
    ASSERT_EQ(model.bodies.size(), 1u);
    EXPECT_EQ(model.bodies[0].colour, (Rgb{0, 0, 1}));
    ASSERT_EQ(model.faces.size(), 6u);
    EXPECT_EQ(model.faces[0].colour, (Rgb{1, 0, 0}));
    EXPECT_EQ(model.faces[5].colour, (Rgb{0, 1, 0}));
    for (std::size_t f = 1; f < 5; ++f) EXPECT_FALSE(model.faces[f].colour) << f;
}

TEST_F(StepReader, SeveralSolidsInOnePartGetNumbers) {
    const Model model = read(cad_shapes::write_two_solids_in_one_part);
    ASSERT_EQ(model.bodies.size(), 2u);
    EXPECT_EQ(model.bodies[0].name, "pair-solid-1");
    EXPECT_EQ(model.bodies[1].name, "pair-solid-2");
    EXPECT_EQ(model.bodies[1].path, "pair/pair-solid-2");
    expect_near(model.bodies[1].volume_m3, 1);
}

TEST_F(StepReader, SolidsInOnePartGoByTheirOwnNames) {
    cad_shapes::write_two_solids_in_one_part(folder_ / "pair.step");
    std::string text = mesh_checks::text_of(folder_ / "pair.step");
    text = replaced(text, "MANIFOLD_SOLID_BREP('',", "MANIFOLD_SOLID_BREP('kitchen',");
    text = replaced(text, "MANIFOLD_SOLID_BREP('',", "MANIFOLD_SOLID_BREP('store',");
    const Model model = read_text(text);
    ASSERT_EQ(model.bodies.size(), 2u);
    EXPECT_EQ(model.bodies[0].path, "pair/kitchen");
    EXPECT_EQ(model.bodies[1].path, "pair/store");
}

TEST_F(StepReader, FillerNamesGiveWayToThePartsName) {
    const std::string text = one_block();
    for (const char* filler : {"''", "'NAUO7'", "'12'"}) {
        const Model model =
            read_text(replaced(text, "NEXT_ASSEMBLY_USAGE_OCCURRENCE('1','unit-1'",
                               std::string("NEXT_ASSEMBLY_USAGE_OCCURRENCE('1',") + filler));
        EXPECT_EQ(model.bodies.at(0).path, "site/unit-1") << filler;
    }
    const Model named = read_text(replaced(text, "NEXT_ASSEMBLY_USAGE_OCCURRENCE('1','unit-1'",
                                           "NEXT_ASSEMBLY_USAGE_OCCURRENCE('1','guest room'"));
    EXPECT_EQ(named.bodies.at(0).path, "site/guest room");
}

TEST_F(StepReader, RepeatedNamesNeverCollide) {
    const auto block = [](const char* name, double x) {
        return Block{name, "", {x, 0, 0}, {1, 1, 1}, 0, 0, std::nullopt};
    };
    write_blocks({block("a", 0), block("a-2", 2), block("a", 4), block("a", 6)},
                 folder_ / "same.step");
    const Model model = read_step(folder_ / "same.step");
    std::set<std::string> ids;
    for (const Body& body : model.bodies) ids.insert(body.id);
    EXPECT_EQ(ids, (std::set<std::string>{"a", "a-2", "a-3", "a-4"}));
    EXPECT_EQ(model.bodies.at(2).name, "a");
}

// --- Placement ------------------------------------------------------------------------------

TEST_F(StepReader, MappedItemsArePlacedOnce) {
    std::string text = one_block();
    const auto begin = text.find("#368 ="), end = text.find("#373 =");
    ASSERT_NE(begin, text.npos);
    ASSERT_NE(end, text.npos);
    text.replace(begin, end - begin,
                 "#905=REPRESENTATION_MAP(#11,#32);\n#906=MAPPED_ITEM('',#905,#15);\n");
    text = replaced(text, "SHAPE_REPRESENTATION('',(#11,#15),#19)",
                    "SHAPE_REPRESENTATION('',(#11,#906),#19)");
    expect_bbox(read_text(text), {1, 2, 3, 7, 4, 6});
}

TEST_F(StepReader, MirrorImagesKeepOutwardNormals) {
    const Model model = read(cad_shapes::write_mirrored_wedge);
    ASSERT_EQ(model.bodies.size(), 2u);
    for (std::size_t i = 0; i < 2; ++i) {
        expect_near(model.bodies[i].volume_m3, 12);
        expect_near(model.bodies[i].area_m2, 2 * 6 + (4 + 3 + 5) * 2);
        expect_near(mesh_checks::of_body(model, i).volume_m3, 12);
    }
    expect_bbox(model, {-5, 0, 0, 5, 3, 2});
}

// --- Units ----------------------------------------------------------------------------------

TEST_F(StepReader, FeetComeOutInMetres) {
    // The international foot is 0.3048 m exactly.
    const Model model = read_text(replaced(
        replaced(one_block(), "#364 = ( LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT($,.METRE.) );",
                 "#364 = ( CONVERSION_BASED_UNIT('FOOT',#950) LENGTH_UNIT() NAMED_UNIT(#951) );\n"
                 "#950 = LENGTH_MEASURE_WITH_UNIT(LENGTH_MEASURE(0.3048),#952);\n"
                 "#951 = DIMENSIONAL_EXPONENTS(1.,0.,0.,0.,0.,0.,0.);\n"
                 "#952 = ( LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT($,.METRE.) );"),
        "#20 = ( LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT($,.METRE.) );",
        "#20 = ( CONVERSION_BASED_UNIT('FOOT',#950) LENGTH_UNIT() NAMED_UNIT(#951) );"));
    EXPECT_EQ(model.length_unit, "foot");
    expect_near(model.bodies.at(0).volume_m3, 36 * 0.3048 * 0.3048 * 0.3048);
    expect_near(model.bodies.at(0).area_m2, 72 * 0.3048 * 0.3048);
    EXPECT_NEAR(model.bbox_m[5], 6 * 0.3048, 1e-9);
}

TEST_F(StepReader, PartsInDifferentUnitsAreConvertedEachByItsOwn) {
    // The part's own representation in millimetres, the assembly's in metres.
    const Model model = read_text(
        replaced(one_block(), "#364 = ( LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT($,.METRE.) );",
                 "#364 = ( LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT(.MILLI.,.METRE.) );"));
    EXPECT_EQ(model.length_unit, "metre, millimetre");
    EXPECT_THAT(codes(model), testing::Contains("mixed-units"));
    expect_near(model.bodies.at(0).volume_m3, 36e-9);
}

TEST_F(StepReader, OddSizesAreRemarkedOn) {
    const auto size_codes = [&](double size_m, double at_m) {
        write_blocks({{"a", "", {at_m, 0, 0}, {size_m, size_m, size_m}, 0, 0, std::nullopt}},
                     folder_ / "size.step");
        return codes(read_step(folder_ / "size.step"));
    };
    EXPECT_THAT(size_codes(0.99, 0), ElementsAre("model-size"));
    EXPECT_THAT(size_codes(1.0, 0), ElementsAre());
    EXPECT_THAT(size_codes(4999, 0), ElementsAre());
    EXPECT_THAT(size_codes(5001, 0), ElementsAre("model-size"));
    EXPECT_THAT(size_codes(10, 400000), ElementsAre("far-from-origin"));
}

// --- Names ----------------------------------------------------------------------------------

TEST_F(StepReader, NamesInEveryEncoding) {
    const auto name_of = [&](const std::string& in_file) {
        std::string text = one_block();
        text = replaced(text, "PRODUCT('unit-1','unit-1'", "PRODUCT('unit-1','" + in_file + "'");
        text = replaced(text, "OCCURRENCE('1','unit-1'", "OCCURRENCE('1',''");
        return read_text(text).bodies.at(0).name;
    };
    // ISO 10303-21 on strings (from memory): \S\ sets the high bit (ISO 8859-1), \X\ one byte,
    // \X2\ UTF-16.
    EXPECT_EQ(name_of("K\\S\\|che"), "K\u00fcche");
    EXPECT_EQ(name_of("K\\X\\FCche"), "K\u00fcche");
    EXPECT_EQ(name_of("\\X2\\65E5672C\\X0\\"), "\u65e5\u672c");
    EXPECT_EQ(name_of("\u65e5\u672c"), "\u65e5\u672c");  // UTF-8, edition 3
    EXPECT_EQ(name_of("K\xFC"
                      "che"),
              "K\u00fcche");                          // a lone byte: ISO 8859-1
    EXPECT_EQ(name_of("a\\X2\\000A\\X0\\b"), "a b");  // no line breaks in names
    EXPECT_THAT(name_of("a\\X2\\D800\\X0\\b"),
                testing::AnyOf("ab", "a\uFFFDb"));  // half a surrogate pair
    EXPECT_EQ(name_of("it''s"), "it's");
}

// Bytes of code pages that are all letters or signs of ISO 8859-1 too, in rows that no language in
// it has: shown as what they are not rather than as wrong letters. Code page 1251 puts the Cyrillic
// capitals at 0xC0 and the small letters at 0xE0; in GBK a character is two bytes, of which CA B3
// happens to be sound UTF-8 (both from memory).
TEST_F(StepReader, NamesInOtherCodePagesAreVisiblyReplaced) {
    const auto read = [&](const std::string& in_file) {
        std::string text = one_block();
        text = replaced(text, "PRODUCT('unit-1','unit-1'", "PRODUCT('unit-1','" + in_file + "'");
        return read_text(replaced(text, "OCCURRENCE('1','unit-1'", "OCCURRENCE('1',''"));
    };
    const std::string canteen = "\xD1\xF2\xEE\xEB\xEE\xE2\xE0\xFF";
    std::string eight;
    for (int k = 0; k < 8; ++k) eight += "\uFFFD";
    const Model model = read(canteen + "-1");
    EXPECT_EQ(model.bodies.at(0).name, eight + "-1");
    EXPECT_THAT(codes(model), ElementsAre("name-encoding"));
    EXPECT_EQ(read("\xCA\xB3\xCC\xC3").bodies.at(0).name, "\uFFFD\uFFFD\uFFFD\uFFFD");
    EXPECT_EQ(read("cr\xE9\xE9").bodies.at(0).name, "cr\u00e9\u00e9");
    EXPECT_EQ(read("\xC5\xC4\xD6").bodies.at(0).name, "\u00c5\u00c4\u00d6");
}

TEST_F(StepReader, EscapesOfOtherPagesAndMalformedOnes) {
    const auto name_of = [&](const std::string& in_file) {
        return read_text(replaced(one_block(), "OCCURRENCE('1','unit-1'",
                                  "OCCURRENCE('1','" + in_file + "'"))
            .bodies.at(0)
            .name;
    };
    // \P?\ names a part of ISO 8859: B Latin 2, E Cyrillic, G Greek (values from memory).
    EXPECT_EQ(name_of("\\PE\\\\S\\6\\S\\P"), "\u0416\u0430");
    EXPECT_EQ(name_of("\\PG\\\\S\\k"), "\u03bb");
    EXPECT_EQ(name_of("\\X4\\0001F3E0\\X0\\ 7"), "\U0001F3E0 7");
    EXPECT_EQ(name_of("left\\\\right"), "left\\right");
    // What is malformed stays visible.
    EXPECT_EQ(name_of("a\\X2\\00\\X0\\b"), "a\uFFFDb");
    EXPECT_EQ(name_of("a\\X2\\ZZZZ\\X0\\b"), "a\uFFFDb");
    EXPECT_EQ(name_of("a\\X2\\00FC"), "a\uFFFD");
    EXPECT_EQ(name_of("K\\X2\\00FCche"), "K\uFFFDche");  // c is no digit of an escape
    EXPECT_EQ(name_of("K\\X2\\00FCA"), "K\uFFFDA");
    EXPECT_EQ(name_of("\\X4\\00110000\\X0\\b"), "\uFFFDb");
    EXPECT_EQ(name_of("\\X\\G0"), "\uFFFDG0");
    EXPECT_EQ(name_of("\\PZ\\b"), "\uFFFDb");
    EXPECT_EQ(name_of("a\\S"), "a\\S");
}

TEST_F(StepReader, OccurrenceNamesWithoutAnyAsciiAreKept) {
    const Model model = read_text(
        replaced(one_block(), "OCCURRENCE('1','unit-1'", "OCCURRENCE('1','\\X2\\5BA2623F\\X0\\'"));
    EXPECT_EQ(model.bodies.at(0).name, "\u5ba2\u623f");
}

TEST_F(StepReader, OldEncodingsAreRemarkedOn) {
    const Model model = read_text(replaced(one_block(), "OCCURRENCE('1','unit-1'",
                                           "OCCURRENCE('1','K\xFC"
                                           "che'"));
    EXPECT_THAT(codes(model), ElementsAre("text-encoding"));
    EXPECT_EQ(model.bodies.at(0).name, "K\u00fcche");
}

// Code page 437 and Shift-JIS (values from memory): which one it was, no byte tells.
TEST_F(StepReader, BytesOfACodePageThatIsNotToldStayVisible) {
    const auto named = [&](const std::string& bytes) {
        return read_text(
            replaced(one_block(), "OCCURRENCE('1','unit-1'", "OCCURRENCE('1','" + bytes + "'"));
    };
    const Model dos = named(
        "K\x81"
        "che");
    EXPECT_EQ(dos.bodies.at(0).name, "K\uFFFDche");
    EXPECT_THAT(codes(dos), ElementsAre("name-encoding"));
    EXPECT_THAT(dos.warnings[0].text, testing::StartsWith("1 byte is neither"));
    const Model japanese = named(
        "\x83n\x83"
        "E\x83X \xC3\xA4");
    EXPECT_EQ(japanese.bodies.at(0).name, "\uFFFDn\uFFFDE\uFFFDX \u00e4");
    EXPECT_THAT(codes(japanese), ElementsAre("name-encoding"));
}

// --- Curved and planar faces ------------------------------------------------------------------

TEST_F(StepReader, CurvedBodiesHaveTheAreaOfTheBrep) {
    const Model model = read(cad_shapes::write_round_bodies);
    const double pi = std::numbers::pi;
    ASSERT_EQ(model.bodies.size(), 2u);
    expect_near(model.bodies[0].area_m2, 6 * pi);  // 2 pi r h + 2 pi r^2
    expect_near(model.bodies[0].volume_m3, 2 * pi);
    expect_near(model.bodies[1].area_m2, 4 * pi);
    expect_near(model.bodies[1].volume_m3, 4 * pi / 3);
    // Triangles lie within the chord tolerance of the surface, here inside it.
    const double worst = 0.002;
    for (std::size_t i = 0; i < 2; ++i) {
        const double meshed = mesh_checks::of_body(model, i).volume_m3;
        EXPECT_LT(meshed, model.bodies[i].volume_m3);
        EXPECT_GT(meshed, model.bodies[i].volume_m3 - worst * model.bodies[i].area_m2);
    }
    int n_planar = 0;
    for (const Face& face : model.faces) n_planar += face.planar;
    EXPECT_EQ(n_planar, 2);
}

TEST_F(StepReader, FinerToleranceComesCloser) {
    cad_shapes::write_round_bodies(folder_ / "round.step");
    const double exact = 4 * std::numbers::pi / 3;
    double last = 1;
    for (const double tolerance_m : {0.02, 0.002, 0.0002}) {
        const Model model = read_step(folder_ / "round.step", {tolerance_m, 30});
        const double error = exact - mesh_checks::of_body(model, 1).volume_m3;
        EXPECT_LT(error, last / 3);
        EXPECT_GT(error, 0);
        last = error;
    }
}

TEST_F(StepReader, FlatSplinesArePlanar) {
    const Model model = read(cad_shapes::write_flat_spline);
    ASSERT_EQ(model.faces.size(), 1u);
    EXPECT_TRUE(model.faces[0].planar);
    expect_near(model.faces[0].area_m2, 4);
    EXPECT_FALSE(model.bodies[0].solid);
}

}  // namespace
}  // namespace noonshell::step_tests
