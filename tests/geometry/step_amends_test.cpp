// Gaps of a file that can be filled: placements without a location, product definitions that are
// named but missing. What is read is compared with the sound file.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <map>
#include <string>
#include <vector>

#include "geometry/step_amends.hpp"
#include "tests/geometry/step_fixture.hpp"

namespace noonshell::step_tests {
namespace {

using testing::Contains;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::SizeIs;

class StepAmends : public StepFile {
  protected:
    /// Two units in a house and a shed beside it, none at the origin.
    std::string house() {
        write_blocks({{"low", "house", {3, 1, 2}, {6, 2, 3}, 0, 0, std::nullopt},
                      {"high", "house", {3, 1, 5}, {5, 2, 3}, 0, 0, std::nullopt},
                      {"shed", "", {20, 4, 1}, {4, 3, 2}, 0, 0, std::nullopt}},
                     folder_ / "house.step");
        return mesh_checks::text_of(folder_ / "house.step");
    }
};

/// Places of the records of one type: begin, and one past the mark that ends it.
std::vector<std::pair<std::size_t, std::size_t>> records_of(const std::string& text,
                                                            const std::string& type) {
    std::vector<std::pair<std::size_t, std::size_t>> places;
    for (auto at = text.find(" = " + type + "("); at != text.npos;
         at = text.find(" = " + type + "(", at + 1)) {
        const std::size_t begin = text.rfind('\n', at) + 1;
        places.emplace_back(begin, text.find(";\n", at) + 2);
    }
    return places;
}

std::map<std::string, Vec3> low_corners(const Model& model) {
    std::map<std::string, Vec3> corners;
    for (const Body& body : model.bodies) {
        Vec3 low = Vec3::Constant(1e9);
        const Face& first = model.faces[body.first_face];
        const Face& last = model.faces[body.first_face + body.n_faces - 1];
        for (auto t = first.first_triangle; t < last.first_triangle + last.n_triangles; ++t) {
            for (int k = 0; k < 3; ++k) low = low.cwiseMin(model.mesh.corner(t, k));
        }
        corners[body.id] = low;
    }
    return corners;
}

double area_of(const Model& model) {
    double sum = 0;
    for (const Body& body : model.bodies) sum += body.area_m2;
    return sum;
}

std::string text_of_warning(const Model& model, const std::string& code, const std::string& body) {
    for (const Warning& warning : model.warnings) {
        if (warning.code == code && warning.where.find(body) != std::string::npos)
            return warning.text;
    }
    return {};
}

TEST_F(StepAmends, APlacementWithoutALocationIsReadAndTold) {
    const std::string text = house();
    const Model sound = read_text(text);
    const auto corners = low_corners(sound);
    int n_parts = 0, n_faces = 0, n_moved = 0;
    for (const auto& [begin, end] : records_of(text, "AXIS2_PLACEMENT_3D")) {
        const std::string record = text.substr(begin, end - begin);
        SCOPED_TRACE(record);
        const std::size_t comma = record.find(',');
        std::string blank = record;
        blank.replace(comma + 1, record.find(',', comma + 1) - comma - 1, "$");
        const std::string entity = record.substr(0, record.find(' '));
        const Model model = read_text(text.substr(0, begin) + blank + text.substr(end));
        ASSERT_EQ(model.bodies.size(), 3u);
        if (!model.left_out.empty()) {  // the surface of one face
            ++n_faces;
            EXPECT_THAT(model.left_out[0].reason, HasSubstr(entity + " has no location"));
            expect_near(area_of(model) + model.left_out[0].area_m2, area_of(sound));
            continue;
        }
        ++n_parts;
        expect_near(area_of(model), area_of(sound));
        for (const auto& [body, low] : low_corners(model)) {
            if ((low - corners.at(body)).norm() < 1e-6) continue;
            ++n_moved;
            EXPECT_THAT(text_of_warning(model, "placement-lost", body),
                        HasSubstr(entity + " has no location; the origin was taken"));
        }
    }
    EXPECT_EQ(n_faces, 18);
    EXPECT_EQ(n_parts, 5);  // the root's own, and one for each of four occurrences
    EXPECT_GE(n_moved, 3);  // each body by its own placement
}

TEST_F(StepAmends, APlacementAtAPointOfAPlaneIsReadAndTold) {
    const std::string text = house();
    const Model sound = read_text(text);
    int n_parts = 0;
    for (const auto& [begin, end] : records_of(text, "AXIS2_PLACEMENT_3D")) {
        const std::string record = text.substr(begin, end - begin);
        SCOPED_TRACE(record);
        const std::size_t comma = record.find(',');
        const std::string location =
            record.substr(comma + 1, record.find(',', comma + 1) - comma - 1);
        const auto point = text.find("\n" + location + " = CARTESIAN_POINT");
        ASSERT_NE(point, text.npos);
        const auto last = text.rfind(',', text.find(';', point));  // before the third coordinate
        std::string flat = text;
        flat.erase(last, flat.find(')', last) - last);
        const Model model = read_text(flat);
        ASSERT_EQ(model.bodies.size(), 3u);
        if (!model.left_out.empty()) continue;  // the surface of one face
        expect_near(area_of(model), area_of(sound));
        n_parts += testing::Matches(testing::Contains("placement-lost"))(codes(model)) ? 1 : 0;
    }
    EXPECT_GE(n_parts, 3);  // each body by its own placement
}

TEST_F(StepAmends, ATransformationWithoutAPlaceIsTold) {
    const std::string text = house();
    for (const auto& [begin, end] : records_of(text, "ITEM_DEFINED_TRANSFORMATION")) {
        std::string record = text.substr(begin, end - begin);
        const std::size_t comma = record.rfind(',');
        record.replace(comma + 1, record.rfind(')') - comma - 1, "$");
        const Model model = read_text(text.substr(0, begin) + record + text.substr(end));
        EXPECT_EQ(model.bodies.size(), 3u);
        EXPECT_THAT(codes(model), Contains("placement-lost")) << record;
    }
}

TEST_F(StepAmends, AMissingDefinitionLosesNothing) {
    const std::string text = house();
    const Model sound = read_text(text);
    const auto definitions = records_of(text, "PRODUCT_DEFINITION");
    ASSERT_EQ(definitions.size(), 5u);  // root, house, three parts
    for (const auto& [begin, end] : definitions) {
        SCOPED_TRACE(text.substr(begin, end - begin));
        const Model model = read_text(text.substr(0, begin) + text.substr(end));
        ASSERT_EQ(model.bodies.size(), 3u);
        for (std::size_t b = 0; b < 3; ++b) EXPECT_EQ(model.bodies[b].path, sound.bodies[b].path);
        EXPECT_EQ(low_corners(model), low_corners(sound));
        EXPECT_THAT(model.left_out, IsEmpty());
        ASSERT_THAT(model.warnings, SizeIs(1));
        EXPECT_EQ(model.warnings[0].code, "structure-lost");
        EXPECT_EQ(model.warnings[0].where, text.substr(begin, text.find(' ', begin) - begin));
    }
}

// All of them, with their formations: the tree is there, its parts have no names of their own.
TEST_F(StepAmends, WithoutAnyDefinitionTheTreeStands) {
    std::string text = house();
    const Model sound = read_text(text);
    for (const char* type : {"PRODUCT_DEFINITION", "PRODUCT_DEFINITION_FORMATION"}) {
        auto records = records_of(text, type);
        std::ranges::reverse(records);
        for (const auto& [begin, end] : records) text.erase(begin, end - begin);
    }
    const Model model = read_text(text);
    ASSERT_EQ(model.bodies.size(), 3u);
    expect_near(area_of(model), area_of(sound));
    EXPECT_EQ(low_corners(model), low_corners(sound));
    EXPECT_EQ(std::ranges::count(codes(model), "structure-lost"), 5);
}

TEST_F(StepAmends, ASoundFileIsLeftAsItIs) {
    const std::string text = house();
    EXPECT_FALSE(with_named_locations(text));
    EXPECT_FALSE(with_lost_definitions(text));
}

}  // namespace
}  // namespace noonshell::step_tests
