// Records that are well formed and make no sense: axes that point nowhere, contexts without units,
// empty lists, outlines that cross themselves.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <string>

#include "tests/geometry/step_fixture.hpp"
#include "tests/support/crossed_faces.hpp"

namespace noonshell::step_tests {
namespace {

using testing::Contains;
using testing::HasSubstr;
using testing::Not;

class StepOddRecords : public StepFile {
  protected:
    /// Two blocks of 36 m3, the second one placed.
    std::string two_blocks() {
        write_blocks({{"one", "", {0, 0, 0}, {6, 2, 3}, 0, 0, std::nullopt},
                      {"two", "", {9, 0, 0}, {6, 2, 3}, 0, 0, std::nullopt}},
                     folder_ / "two.step", {StepSchema::ap214, LengthUnit::metre, "site"});
        return mesh_checks::text_of(folder_ / "two.step");
    }
    /// The first record of a type, without its number.
    static std::string first_record(const std::string& text, const std::string& type) {
        const auto at = text.find("= " + type + "(");
        EXPECT_NE(at, text.npos) << type;
        return text.substr(at, text.find(';', at) - at);
    }
    /// "#12" of "AXIS2_PLACEMENT_3D('',#11,#12,#13)".
    static std::string reference(const std::string& record, int n) {
        std::size_t at = 0;
        for (int k = 0; k <= n; ++k) at = record.find('#', at + 1);
        return record.substr(at, record.find_first_of(",)", at) - at);
    }
    /// Gives a placement a direction of its own, by which nothing else goes.
    static std::string with_axis(const std::string& text, const std::string& placement, int axis,
                                 const std::string& list) {
        const std::string own = replaced(placement, reference(placement, axis), "#90001");
        const std::string end = "ENDSEC;\nEND-ISO";
        return replaced(replaced(text, placement, own), end,
                        "#90001 = DIRECTION('a;(b\'\''," + list + ");\n" + end);
    }
};

// ISO 10303-42 has no direction of length 0. The first placement of a file is that of its root: the
// standard gives it the model's own axes where none are told, which are those that it had.
TEST_F(StepOddRecords, APlacementWhoseAxisPointsNowhereTakesTheDefault) {
    const std::string text = two_blocks();
    const std::string placement = first_record(text, "AXIS2_PLACEMENT_3D");
    const auto at = text.find(placement);
    const auto hash = text.rfind('#', at);
    const std::string number = text.substr(hash, text.find(' ', hash) - hash);
    for (const int axis : {1, 2}) {
        for (const char* list : {"(0.,0.,0.)", "(0.,1.)", "( 0.E+00 , -0. , 0. )", "(1.)"}) {
            SCOPED_TRACE(list);
            const Model model = read_text(with_axis(text, placement, axis, list));
            ASSERT_EQ(model.bodies.size(), 2u);
            for (const Body& body : model.bodies) expect_near(body.volume_m3, 36);
            expect_bbox(model, {0, 0, 0, 15, 2, 3});
            ASSERT_THAT(codes(model), testing::ElementsAre("placement-lost"));
            EXPECT_EQ(model.warnings[0].where, number);
        }
    }
    EXPECT_EQ(read_text(text).bodies.size(), 2u);
}

TEST_F(StepOddRecords, AFaceWhoseAxisPointsNowhereIsLeftOutAlone) {
    const std::string text = two_blocks();
    const std::string of_plane = reference(first_record(text, "PLANE"), 0);
    const auto begin = text.find("\n" + of_plane + " = AXIS2_PLACEMENT_3D");
    ASSERT_NE(begin, text.npos);
    const std::string whole = text.substr(begin, text.find(';', begin) - begin);
    const std::string placement = whole.substr(whole.find("= "));
    const Model model = read_text(with_axis(text, placement, 1, "(0.,0.,0.)"));
    ASSERT_EQ(model.bodies.size(), 2u);
    EXPECT_EQ(model.faces.size(), 11u);
    ASSERT_EQ(model.left_out.size(), 1u);
    EXPECT_THAT(model.left_out[0].reason, HasSubstr("points nowhere"));
    EXPECT_GT(model.lost_area_share, 0.01);
    EXPECT_THAT(codes(model), Contains("lost-area"));
}

/// ISO 10303-41 has contexts with an uncertainty and no units; the kernel knows none.
TEST_F(StepOddRecords, AContextWithoutUnitsIsReadInMetres) {
    std::string text = two_blocks();
    for (auto at = text.find("GLOBAL_UNIT_ASSIGNED_CONTEXT"); at != text.npos;
         at = text.find("GLOBAL_UNIT_ASSIGNED_CONTEXT")) {
        text.erase(at, text.find("))", at) + 2 - at);
    }
    const Model model = read_text(text);
    ASSERT_EQ(model.bodies.size(), 2u);
    for (const Body& body : model.bodies) expect_near(body.volume_m3, 36);
    ASSERT_EQ(model.warnings.size(), 1u);
    EXPECT_EQ(model.warnings[0].code, "length-unit");
    EXPECT_THAT(model.warnings[0].text, HasSubstr("the file declares none; metre assumed"));
}

/// The kernel crashes on them before it knows of any face.
TEST_F(StepOddRecords, AnEmptyListTakesItsFaceOnly) {
    const std::string text = two_blocks();
    for (const char* type : {"EDGE_LOOP", "DIRECTION"}) {
        SCOPED_TRACE(type);
        std::string record = first_record(text, type);
        if (std::string(type) == "DIRECTION") {  // that of a line, not of a placement
            const std::string direction = reference(first_record(text, "VECTOR"), 0);
            const auto begin = text.find("\n" + direction + " = DIRECTION");
            ASSERT_NE(begin, text.npos);
            record = text.substr(begin, text.find(';', begin) - begin);
        }
        const std::string up_to_list = record.substr(0, record.find('(', record.find(',')));
        const Model model = read_text(replaced(text, record, up_to_list + "())"));
        ASSERT_EQ(model.bodies.size(), 2u);
        EXPECT_LT(model.faces.size(), 12u);
        EXPECT_GE(model.faces.size(), 10u);
        EXPECT_FALSE(model.left_out.empty());
        for (const LeftOut& left : model.left_out) EXPECT_THAT(left.entity, HasSubstr("#"));
    }
}

/// Crossing lines from corner to corner of 6 m by 4 m leave two triangles of 6 m2.
TEST_F(StepOddRecords, AnOutlineThatCrossesItselfIsCutIntoPieces) {
    for (const bool alone : {true, false}) {
        test_support::write_bow_tie(folder_ / "bow.step", alone);
        const Model model = read_step(folder_ / "bow.step");
        ASSERT_EQ(model.bodies.size(), 1u);
        const std::uint32_t crossed = model.faces[alone ? 0 : 1].step_entity;
        std::size_t n_pieces = 0;
        for (const Face& face : model.faces) {
            if (face.step_entity != crossed) continue;
            expect_near(face.area_m2, 6);
            ++n_pieces;
        }
        EXPECT_EQ(n_pieces, 2u);
        expect_near(model.bodies[0].area_m2, alone ? 12 : 12 + 24 + 2 * (18 + 12));
        ASSERT_EQ(model.bodies[0].repaired.size(), 1u);
        EXPECT_EQ(model.bodies[0].repaired[0], "face #" + std::to_string(crossed) +
                                                   ", whose outline crosses itself, cut into "
                                                   "pieces");
        EXPECT_THAT(codes(model), Not(Contains("area-lost")));
    }
}

}  // namespace
}  // namespace noonshell::step_tests
