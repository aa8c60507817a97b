// Records that are missing or stand twice: what needs a missing one is left out and told, the rest
// is read.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <regex>
#include <set>
#include <string>
#include <vector>

#include "geometry/step_leave_out.hpp"
#include "tests/geometry/step_fixture.hpp"

namespace noonshell::step_tests {
namespace {

using testing::Contains;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::StartsWith;

class StepLeaveOut : public StepFile {
  protected:
    /// Two boxes, one of them red: 72 m2 and 52 m2 (2 (a b + b c + c a)).
    std::string two_boxes() {
        write_blocks({{"unit", "", {0, 0, 0}, {6, 2, 3}, 0, 0, Rgb{1, 0, 0}},
                      {"shed", "", {20, 0, 0}, {4, 3, 2}, 0, 0, std::nullopt}},
                     folder_ / "two.step");
        return mesh_checks::text_of(folder_ / "two.step");
    }
};

double area_of(const Model& model) {
    double sum = 0;
    for (const Body& body : model.bodies) sum += body.area_m2;
    return sum;
}

/// Places of all records of a type: from the number to the end of the line.
std::vector<std::pair<std::size_t, std::size_t>> records_of(const std::string& text,
                                                            const std::string& type) {
    std::vector<std::pair<std::size_t, std::size_t>> places;
    const std::regex pattern("#[0-9]+ = " + type + "[( ][^;]*;\n");
    for (auto it = std::sregex_iterator(text.begin(), text.end(), pattern);
         it != std::sregex_iterator(); ++it) {
        places.emplace_back(it->position(), it->length());
    }
    return places;
}

// Of a face whose surface, plane's place or bound is missing, only that face goes. Each edge bounds
// two faces and each corner three, and no face of these boxes is below 6 m2 or above 18 m2.
TEST_F(StepLeaveOut, OneMissingRecordTakesItsFacesOnly) {
    const std::string text = two_boxes();
    ASSERT_NEAR(area_of(read_text(text)), 124, 1e-6);
    struct Case {
        const char* type;
        std::size_t most_faces;
    };
    for (const auto& [type, most] :
         {Case{"PLANE", 1}, Case{"FACE_BOUND", 1}, Case{"EDGE_LOOP", 1}, Case{"VECTOR", 2},
          Case{"LINE", 2}, Case{"VERTEX_POINT", 3}, Case{"CARTESIAN_POINT", 3},
          Case{"DIRECTION", 2}, Case{"AXIS2_PLACEMENT_3D", 1}}) {
        const auto places = records_of(text, type);
        ASSERT_FALSE(places.empty()) << type;
        for (const auto& [begin, length] : places) {
            const std::string record = text.substr(begin, length);
            SCOPED_TRACE(record);
            const std::string rest = text.substr(0, begin) + text.substr(begin + length);
            Model model;
            ASSERT_NO_THROW(model = read_text(rest));
            const double lost_m2 = 124 - area_of(model);
            EXPECT_LE(lost_m2, 18.0 * static_cast<double>(most) + 1e-6);
            if (lost_m2 < 1e-6) continue;
            std::size_t n_told = 0;
            for (const LeftOut& row : model.left_out) {
                EXPECT_THAT(row.entity, StartsWith("#"));
                EXPECT_THAT(row.reason, HasSubstr("is missing in the file"));
                n_told += row.count;
            }
            EXPECT_GE(n_told, 1u);
            EXPECT_LE(n_told, most);
            EXPECT_EQ(model.warnings.front().code, "lost-area");
        }
    }
}

// Styles, colours, names, dates: of these no record is worth a whole file.
TEST_F(StepLeaveOut, NoMissingRecordEndsTheReadingOfTwoBodies) {
    const std::string text = two_boxes();
    std::set<std::string> types;
    const std::regex keyword("#[0-9]+ = \\(? ?([A-Z_0-9]+)");
    for (auto it = std::sregex_iterator(text.begin(), text.end(), keyword);
         it != std::sregex_iterator(); ++it) {
        types.insert((*it)[1]);
    }
    ASSERT_GT(types.size(), 25u);
    for (const std::string& type : types) {
        const auto places = records_of(text, type == "REPRESENTATION_RELATIONSHIP" ||
                                                     type == "GEOMETRIC_REPRESENTATION_CONTEXT" ||
                                                     type == "LENGTH_UNIT" || type == "NAMED_UNIT"
                                                 ? "\\( " + type
                                                 : type);
        for (const auto& [begin, length] : places) {
            SCOPED_TRACE(text.substr(begin, length));
            // The product that holds all others.
            if (type == "PRODUCT_DEFINITION" && begin == places.front().first) continue;
            EXPECT_NO_THROW(read_text(text.substr(0, begin) + text.substr(begin + length)));
        }
    }
}

// Nothing where an entity must stand: the kernel crashes and says little. The file is tried again.
TEST_F(StepLeaveOut, AFaceOnWhichTheKernelCrashesIsLeftOut) {
    const std::string text = two_boxes();
    for (const char* what : {"(= ADVANCED_FACE\\('',)\\(#[0-9]+", "(= FACE_BOUND\\('',)#[0-9]+",
                             "(= LINE\\('',#[0-9]+,)#[0-9]+", "(= VECTOR\\('',)#[0-9]+"}) {
        SCOPED_TRACE(what);
        const bool in_list = std::string(what).find("ADVANCED") != std::string::npos;
        const std::string changed =
            std::regex_replace(text, std::regex(what), in_list ? "$1($$" : "$1$$",
                               std::regex_constants::format_first_only);
        ASSERT_NE(changed, text);
        Model model;
        ASSERT_NO_THROW(model = read_text(changed));
        EXPECT_EQ(model.bodies.size(), 2u);
        EXPECT_LT(area_of(model), 124 - 5);
        EXPECT_GT(area_of(model), 124 - 36 - 1e-6);  // two faces at most
        ASSERT_FALSE(model.left_out.empty());
        EXPECT_THAT(model.left_out[0].entity, StartsWith("#"));
        EXPECT_THAT(codes(model), Contains("lost-area"));
    }
}

// The root's own shape holds nothing but the places of its parts.
TEST_F(StepLeaveOut, PartsStandWhereTheyDidWithoutTheRootsOwnShape) {
    const std::string text = two_boxes();
    const Model whole = read_text(text);
    const auto [begin, length] = records_of(text, "SHAPE_REPRESENTATION").front();
    const Model model = read_text(text.substr(0, begin) + text.substr(begin + length));
    ASSERT_EQ(model.bodies.size(), 2u);
    expect_bbox(model, whole.bbox_m);
    EXPECT_THAT(codes(model), Contains("faulty-entities"));
}

// A colour that cannot be read costs nothing but itself, and is told.
TEST_F(StepLeaveOut, AColourWithoutItsRecordIsTold) {
    const std::string text = two_boxes();
    for (const char* type : {"FILL_AREA_STYLE_COLOUR", "SURFACE_SIDE_STYLE"}) {
        const auto [begin, length] = records_of(text, type).front();
        const Model model = read_text(text.substr(0, begin) + text.substr(begin + length));
        EXPECT_NEAR(area_of(model), 124, 1e-6);
        EXPECT_THAT(codes(model), ElementsAre("faulty-entities"));
    }
}

TEST_F(StepLeaveOut, OfTwoRecordsWithOneNumberTheFirstCounts) {
    std::string text = two_boxes();
    const auto [begin, length] = records_of(text, "PRODUCT").front();
    const std::string record = text.substr(begin, length);
    const auto quote = record.find('\''), number_end = record.find(' ');
    std::string other = record;
    other.replace(quote + 1, record.find('\'', quote + 1) - quote - 1, "other");
    const auto lines_before = [&](std::size_t at) {
        return std::to_string(
            1 + std::count(text.begin(), text.begin() + static_cast<std::ptrdiff_t>(at), '\n'));
    };
    const Model before = read_text(text);
    const std::size_t at = text.rfind("ENDSEC;");
    text.insert(at, other);
    const Model model = read_text(text);
    ASSERT_THAT(codes(model), ElementsAre("number-repeated"));
    EXPECT_EQ(model.warnings[0].where, record.substr(0, number_end));
    EXPECT_THAT(model.warnings[0].text, HasSubstr("stands in line " + lines_before(begin) +
                                                  " and again in line " + lines_before(at)));
    EXPECT_THAT(model.warnings[0].text, HasSubstr("the first of each counts"));
    ASSERT_EQ(model.bodies.size(), before.bodies.size());
    for (std::size_t b = 0; b < model.bodies.size(); ++b) {
        EXPECT_EQ(model.bodies[b].id, before.bodies[b].id);
    }
}

constexpr const char* small_file =
    "DATA;\n"
    "#1=ADVANCED_FACE('a;#2',(#5),#6,.T.);\n"
    "#2=ADVANCED_FACE('',(#7),#6,.T.);\n"
    "#3=CLOSED_SHELL('(#1,',(#1,/*#2*/#2));\n"
    "#4=MANIFOLD_SOLID_BREP('',#3);\n"
    "#5=FACE_BOUND('',#99,.T.);\n"
    "#6=PLANE('',#8);\n"
    "#7=FACE_BOUND('',#10,.T.);\n"
    "#8=AXIS2_PLACEMENT_3D('',#9,$,$);\n"
    "#9=CARTESIAN_POINT('',(0.,0.,0.));\n"
    "#10=EDGE_LOOP('',(#11,#98));\n"
    "#11=ORIENTED_EDGE('',*,*,#97,.T.);\n"
    "#12=ADVANCED_BREP_SHAPE_REPRESENTATION('',(#13,#4,#14),#15);\n"
    "#16=STYLED_ITEM('',(#17),#4);\n"
    "ENDSEC;\n";

TEST(StepOwnersOf, AFaceNeedsItsLoopsButTheKernelClosesALoopWithoutAnEdge) {
    EXPECT_THAT(StepOwners(small_file).faces_with_missing_records(), ElementsAre(1u));
}

TEST(StepOwnersOf, ListsLoseTheirItemsAndWhatIsEmptyGoesToo) {
    const StepOwners owners(small_file);
    const std::string one = owners.text_without({1});
    EXPECT_THAT(one, HasSubstr("#3=CLOSED_SHELL('(#1,',(/*#2*/#2));"));
    EXPECT_THAT(one, HasSubstr("(#13,#4,#14)"));
    const std::string last = owners.text_without({2});
    EXPECT_THAT(last, HasSubstr("#3=CLOSED_SHELL('(#1,',(#1"));
    EXPECT_THAT(last, testing::Not(HasSubstr(",))")));
    const std::string none = owners.text_without({1, 2});
    EXPECT_THAT(none, HasSubstr("(#13,#14)"));
    EXPECT_THAT(none, HasSubstr("#16=STYLED_ITEM('',(#17),#4);"));
    EXPECT_EQ(owners.text_without({}), small_file);
}

TEST(StepOwnersOf, ACrashLeavesOutTheFacesAtItAndThenTheirBody) {
    const StepOwners owners(small_file);
    EXPECT_THAT(owners.to_leave_out(9, {}), ElementsAre(1u, 2u));
    EXPECT_THAT(owners.to_leave_out(10, {}), ElementsAre(2u));
    EXPECT_THAT(owners.to_leave_out(10, {2}), ElementsAre(3u));
    EXPECT_THAT(owners.to_leave_out(10, {2, 3}), ElementsAre(4u));
    EXPECT_THAT(owners.to_leave_out(4, {}), ElementsAre(4u));
    EXPECT_THAT(owners.to_leave_out(16, {}), IsEmpty());
}

}  // namespace
}  // namespace noonshell::step_tests
