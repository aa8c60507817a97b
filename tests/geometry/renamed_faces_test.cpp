// Which face of an edited model is which of the earlier one. The edits are made by hand, so that
// the truth is known: faces keep their order within a box.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <string>
#include <vector>

#include "geometry/face_tags.hpp"
#include "geometry/renamed_faces.hpp"
#include "tests/support/box_model.hpp"

namespace noonshell {
namespace {

using test_models::Box;
using test_models::box_model;
using test_models::centred_box;
using testing::ElementsAre;
using testing::IsEmpty;

const Vec3 size_m(6.058, 2.438, 2.591);  // ISO 668 twenty-foot outside sizes

Model model_of(const std::vector<Box>& boxes, const std::vector<std::string>& face_names) {
    Model model = box_model(boxes).model;
    for (std::size_t f = 0; f < face_names.size(); ++f) model.faces[f].name = face_names[f];
    return model;
}

std::vector<NameList> known(const Model& before, const Model& after) {
    return known_face_names(match_bodies(before, after), before, after);
}

const std::vector<std::string> old_names{"south", "east", "north", "west", "under", "top"};
const std::vector<std::string> new_names{"s", "e", "n", "w", "u", "t"};

TEST(RenamedFaces, AreKnownByBothNames) {
    const std::vector<Box> boxes{centred_box("bunk", {0, 0, 0}, size_m)};
    const auto names = known(model_of(boxes, old_names), model_of(boxes, new_names));
    for (std::size_t f = 0; f < names.size(); ++f)
        EXPECT_THAT(names[f], ElementsAre(new_names[f], old_names[f]));
}

// Two bodies stand still, so that the third one's way is its own.
TEST(RenamedFaces, FollowABodyThatWasMovedTurnedAndRenamed) {
    const auto yard = [](const Box& last) {
        return std::vector<Box>{last, centred_box("a", {0, 20, 0}, size_m),
                                centred_box("b", {0, 40, 0}, size_m, 30)};
    };
    const Model before = model_of(yard(centred_box("bunk", {0, 0, 0}, size_m)), old_names);
    for (const Box& edited : {centred_box("bunk", {30, 2, 0.5}, size_m, 25),
                              centred_box("cell", {0.4, 0, 0}, size_m, 8),
                              centred_box("bunk", {0, 0, 0}, size_m + Vec3(0.3, 0, 0.3))}) {
        const auto names = known(before, model_of(yard(edited), new_names));
        for (std::size_t f = 0; f < 6; ++f)
            EXPECT_THAT(names[f], ElementsAre(new_names[f], old_names[f])) << edited.name;
    }
}

TEST(RenamedFaces, PlaceCountsBeforeANameThatWentOver) {
    const std::vector<Box> boxes{centred_box("bunk", {0, 0, 0}, size_m)};
    const auto names =
        known(model_of(boxes, {"glass", "", "wall"}), model_of(boxes, {"wall", "", "glass"}));
    EXPECT_THAT(names[0], ElementsAre("glass"));
    EXPECT_THAT(names[1], IsEmpty());
    EXPECT_THAT(names[2], ElementsAre("wall"));
}

TEST(RenamedFaces, OfAnotherDirectionOrSizeAreNotTheSame) {
    const Model before = model_of({centred_box("bunk", {0, 0, 0}, size_m)}, {"glass"});
    Model after = before;
    after.faces[0].name = "pane";
    // The south face is drawn with half of its height: less area than any edit of a wall leaves.
    after.mesh.triangles.erase(after.mesh.triangles.begin() + 1);
    after.mesh.triangle_face.erase(after.mesh.triangle_face.begin() + 1);
    after.faces[0].n_triangles = 1;
    for (std::size_t f = 1; f < after.faces.size(); ++f) --after.faces[f].first_triangle;
    EXPECT_THAT(known(before, after)[0], ElementsAre("pane"));
}

TEST(RenamedFaces, AreTaggedByTheirFormerNames) {
    const std::vector<Box> boxes{centred_box("bunk", {0, 0, 0}, size_m)};
    const Model before = model_of(boxes, {"glass", "mural"}), after = model_of(boxes, {"a", "b"});
    const std::vector<RoleChoice> roles{{Role::unit, false, "set by hand"}};
    ApartFaces apart;
    apart.surfaces = {{"painted", {"mural*"}, {}}};
    apart.panes = {"glass"};
    std::vector<Warning> warnings;
    const TaggedFaces then = tag_faces(before, roles, apart, warnings);
    EXPECT_THAT(warnings, IsEmpty());
    apart.face_names = known(before, after);
    const TaggedFaces now = tag_faces(after, roles, apart, warnings);
    EXPECT_THAT(warnings, IsEmpty());
    EXPECT_EQ(now.of_face, then.of_face);
    ASSERT_EQ(now.tags.size(), 2u);
    EXPECT_TRUE(now.tags[1].pane);
    EXPECT_EQ(now.tags[1].name, "a");
}

}  // namespace
}  // namespace noonshell
