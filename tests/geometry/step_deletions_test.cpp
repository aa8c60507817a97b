// One record of a sound file is missing: whatever is lost with it is told.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "geometry/model_losses.hpp"
#include "tests/geometry/step_fixture.hpp"

namespace noonshell::step_tests {
namespace {

using testing::Contains;
using testing::HasSubstr;
using testing::Not;
using testing::StartsWith;

struct RecordPlace {
    std::size_t begin = 0, end = 0;
    std::string number, keyword;
};

/// Every record of the data section; of one that joins several entities the first keyword.
std::vector<RecordPlace> records_in(const std::string& text) {
    std::vector<RecordPlace> places;
    std::size_t at = text.find("DATA;");
    while ((at = text.find("\n#", at)) != text.npos) {
        const std::size_t begin = at + 1;
        const std::size_t equals = text.find(" = ", begin);
        const std::size_t keyword = text.find_first_of("ABCDEFGHIJKLMNOPQRSTUVWXYZ", equals);
        at = text.find(";\n", begin);
        places.push_back({begin, at + 1, text.substr(begin, equals - begin),
                          text.substr(keyword, text.find_first_of("( ", keyword) - keyword)});
    }
    return places;
}

std::string without(const std::string& text, const RecordPlace& record) {
    return text.substr(0, record.begin) + text.substr(record.end);
}

class StepDeletions : public StepFile {
  protected:
    /// Two units in a house and a shed beside it. The area of a box is 2 (a b + b c + c a).
    std::string house() {
        write_blocks({{"low", "house", {0, 0, 0}, {6, 2, 3}, 0, 0, Rgb{1, 0, 0}},
                      {"high", "house", {0, 0, 3}, {5, 2, 3}, 0, 0, std::nullopt},
                      {"shed", "", {20, 0, 0}, {4, 3, 2}, 0, 0, std::nullopt}},
                     folder_ / "house.step");
        return mesh_checks::text_of(folder_ / "house.step");
    }
    const std::map<std::string, double> area_m2_{{"low", 72}, {"high", 62}, {"shed", 52}};

    std::optional<Model> read_if_possible(const std::string& text) {
        try {
            return read_text(text);
        } catch (const InputError&) {
            return std::nullopt;
        }
    }
    void expect_losses_told(const Model& model);
};

double area_of(const Model& model) {
    double sum = 0;
    for (const Body& body : model.bodies) sum += body.area_m2;
    return sum;
}

void StepDeletions::expect_losses_told(const Model& model) {
    std::map<std::string, double> lost = area_m2_;
    for (const Body& body : model.bodies) {
        ASSERT_TRUE(lost.contains(body.id)) << "a new name: " << body.id;
        lost[body.id] -= body.area_m2;
    }
    // A face that stays may itself change a little where an edge of it is missing.
    constexpr double tolerance = 0.02;
    double lost_m2 = 0, told_m2 = 0;
    for (const auto& [body, area] : lost) {
        lost_m2 += area;
        if (area < 0.01 * area_m2_.at(body)) continue;
        double told_of_body_m2 = 0;
        for (const LeftOut& row : model.left_out) {
            if (row.body != body || row.is_double) continue;
            told_of_body_m2 += row.area_m2;
            EXPECT_THAT(row.entity, StartsWith("#"));
            EXPECT_TRUE(row.area_known) << row.reason;
        }
        EXPECT_NEAR(told_of_body_m2, area, tolerance * area) << body;
    }
    for (const LeftOut& row : model.left_out) told_m2 += row.is_double ? 0 : row.area_m2;
    if (lost_m2 < 0.01 * area_of(model)) return;
    EXPECT_NEAR(told_m2, lost_m2, tolerance * lost_m2);
    ASSERT_FALSE(model.warnings.empty());
    EXPECT_EQ(model.warnings.front().code, "lost-area");
}

TEST_F(StepDeletions, WhatIsLostWithARecordOfAnyTypeIsTold) {
    const std::string text = house();
    ASSERT_EQ(read_text(text).left_out.size(), 0u);
    std::map<std::string, std::vector<RecordPlace>> by_type;
    for (const RecordPlace& record : records_in(text)) by_type[record.keyword].push_back(record);
    ASSERT_GT(by_type.size(), 30u);
    for (const auto& [type, records] : by_type) {
        for (const RecordPlace& record :
             {records.front(), records[records.size() / 2], records.back()}) {
            SCOPED_TRACE(record.number + " " + type);
            const auto model = read_if_possible(without(text, record));
            // Without its length unit the rest is larger.
            if (model && area_of(*model) < 1000) expect_losses_told(*model);
        }
    }
}

TEST_F(StepDeletions, ALostBodyIsOneRowWithItsEntityAndProduct) {
    const std::string text = house();
    for (const char* type : {"CLOSED_SHELL", "ADVANCED_BREP_SHAPE_REPRESENTATION",
                             "MANIFOLD_SOLID_BREP", "CONTEXT_DEPENDENT_SHAPE_REPRESENTATION"}) {
        SCOPED_TRACE(type);
        RecordPlace last;
        for (const RecordPlace& record : records_in(text)) {
            if (record.keyword == type) last = record;
        }
        const Model model = read_text(without(text, last));
        ASSERT_EQ(model.bodies.size(), 2u);
        ASSERT_EQ(model.left_out.size(), 1u);
        EXPECT_EQ(model.left_out[0].body, "shed");
        EXPECT_THAT(model.left_out[0].entity, StartsWith("#"));
        expect_near(model.left_out[0].area_m2, 52);
        expect_near(model.lost_area_share, 52.0 / (72 + 62 + 52));
        EXPECT_THAT(model.warnings.at(0).text, HasSubstr("28 %"));
    }
}

TEST_F(StepDeletions, ABodyWithoutALineOfAnEdgeKeepsItsName) {
    const std::string text = one_block();
    int n_read = 0;
    for (const RecordPlace& record : records_in(text)) {
        if (record.keyword != "LINE") continue;
        const auto model = read_if_possible(without(text, record));
        if (!model) continue;
        ++n_read;
        double largest_m2 = 0;
        std::string id;
        for (const Body& body : model->bodies) {
            if (body.area_m2 > largest_m2) id = body.id;
            largest_m2 = std::max(largest_m2, body.area_m2);
        }
        EXPECT_EQ(id, "unit-1") << record.number;
        EXPECT_THAT(model->left_out,
                    testing::Each(testing::Field(&LeftOut::reason, Not(HasSubstr("no bounds")))));
    }
    EXPECT_GT(n_read, 12);
}

TEST_F(StepDeletions, AFaceOfAPartWithManyPlacesIsLostAtEachOfThem) {
    cad_shapes::write_nested_assembly(folder_ / "yard.step");
    const std::string text = mesh_checks::text_of(folder_ / "yard.step");
    ASSERT_EQ(read_text(text).bodies.size(), 4u);
    for (const RecordPlace& record : records_in(text)) {
        if (record.keyword != "PLANE") continue;
        const Model model = read_text(without(text, record));
        ASSERT_EQ(model.left_out.size(), 1u);
        EXPECT_GT(model.left_out[0].area_m2, 1);
        expect_near(model.left_out[0].area_m2, 4 * 72 - area_of(model));
        break;
    }
}

TEST_F(StepDeletions, WhatCannotBeMeasuredIsTheFirstWarningToo) {
    // A solid of another kind than a boundary of faces.
    std::string text = house();
    text.insert(text.rfind("ENDSEC;"),
                "#9001 = BLOCK('annex',#11,1.,1.,1.);\n"
                "#9002 = CSG_SOLID('annex',#9001);\n");
    const Model model = read_text(text);
    ASSERT_EQ(model.left_out.size(), 1u);
    EXPECT_EQ(model.left_out[0].entity, "#9002");
    EXPECT_EQ(model.left_out[0].name, "annex");
    EXPECT_FALSE(model.left_out[0].area_known);
    EXPECT_THAT(model.left_out[0].reason, HasSubstr("area unknown"));
    ASSERT_FALSE(model.warnings.empty());
    EXPECT_EQ(model.warnings[0].code, "lost-area");
    EXPECT_THAT(model.warnings[0].text, HasSubstr("1 entity of unknown area was left out"));
}

TEST_F(StepDeletions, APartThatIsMeantToBeEmptyIsNoLoss) {
    std::string text = one_block();
    text.insert(text.rfind("ENDSEC;"),
                "#9001 = SHAPE_DEFINITION_REPRESENTATION(#9002,#9006);\n"
                "#9002 = PRODUCT_DEFINITION_SHAPE('','',#9003);\n"
                "#9003 = PRODUCT_DEFINITION('design','',#9004,#9);\n"
                "#9004 = PRODUCT_DEFINITION_FORMATION('','',#9005);\n"
                "#9005 = PRODUCT('marker','marker','',(#8));\n"
                "#9006 = SHAPE_REPRESENTATION('',(#11),#9007);\n"
                "#9007 = ( GEOMETRIC_REPRESENTATION_CONTEXT(3) REPRESENTATION_CONTEXT('','') );\n");
    const Model model = read_text(text);
    EXPECT_EQ(model.bodies.size(), 1u);
    EXPECT_THAT(codes(model), Not(Contains("lost-area")));
    for (const LeftOut& row : model.left_out) {
        EXPECT_EQ(row.reason, "this part holds no geometry");
        EXPECT_TRUE(row.area_known);
    }
}

TEST_F(StepDeletions, FaultsAreNamed) {
    const std::string text = one_block();
    const Model missing = read_text(replaced(text, "#50 = PLANE('',#51)", "#9050 = PLANE('',#51)"));
    std::string faults;
    for (const auto& warning : missing.warnings) {
        if (warning.code == "faulty-entities") faults = warning.text;
    }
    EXPECT_THAT(faults, HasSubstr("#35 ADVANCED_FACE refers to #50, which is missing"));
    const Model odd = read_text(replaced(text, "#50 = PLANE('',#51)", "#50 = PLATE('',#51)"));
    for (const auto& warning : odd.warnings) {
        if (warning.code == "faulty-entities") faults = warning.text;
    }
    EXPECT_THAT(faults, HasSubstr("refers to #50, of the unknown type PLATE"));
    EXPECT_THAT(odd.left_out.at(0).reason, HasSubstr("#50 is of the unknown type PLATE"));
    EXPECT_EQ(odd.left_out.at(0).body, "unit-1");
}

TEST(LeftOutRows, OfOneBodyAndReasonAreFolded) {
    Model model;
    for (int i = 1; i <= 5; ++i) {
        model.left_out.push_back({.entity = "#" + std::to_string(i),
                                  .name = {},
                                  .reason = "too small",
                                  .area_m2 = 2,
                                  .body = "panel"});
    }
    model.left_out.push_back({.entity = "#6", .name = {}, .reason = "too small", .body = "door"});
    model.left_out.push_back({.entity = "#7", .name = {}, .reason = "odd", .body = "panel"});
    fold_left_out(model);
    ASSERT_EQ(model.left_out.size(), 3u);
    EXPECT_EQ(model.left_out[0].entity, "#1, #2, #3 and 2 more");
    EXPECT_EQ(model.left_out[0].count, 5u);
    EXPECT_EQ(model.left_out[0].area_m2, 10);
    EXPECT_EQ(model.left_out[1].body, "door");
    EXPECT_EQ(model.left_out[2].reason, "odd");
}

}  // namespace
}  // namespace noonshell::step_tests
