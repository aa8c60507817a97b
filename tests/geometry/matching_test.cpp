// Two versions of a model: edits whose truth is known by construction.
#include "geometry/matching.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <set>

#include "tests/support/edited_yard.hpp"

namespace noonshell {
namespace {

using namespace test_models;
using ::testing::HasSubstr;

const Vec3 twenty_foot_m(6.058, 2.438, 2.591);
const Vec3 forty_foot_m(12.192, 2.438, 2.591);

/// Rows of ten, 3 m apart across and 7 m along, in the order given by `order`.
Yard grid(int n, const std::string& name) {
    Yard yard;
    for (int k = 0; k < n; ++k) {
        YardBox box;
        box.number = k;
        box.name = name;
        box.foot_m = {7.0 * (k / 10), 3.0 * (k % 10), 0};
        yard.push_back(box);
    }
    return yard;
}

BodyMatches match(const Yard& before, const Yard& after) {
    return match_bodies(model_of(before).model, model_of(after).model);
}

const Change& change_to(const std::vector<Change>& changes, const std::string& new_id) {
    for (const Change& change : changes) {
        if (!change.is_gone() && change.new_id == new_id) return change;
    }
    throw std::runtime_error("no " + new_id);
}

/// Both envelopes and their comparison.
struct Compared {
    Envelope before, after;
    ModelMatches matches;
    FormerNames names;
};

Compared compare(const Yard& before, const Yard& after, double north_deg = 0) {
    Compared compared;
    const BoxModel old_model = model_of(before), new_model = model_of(after);
    EnvelopeOptions options;
    options.north_deg = north_deg;
    options.facet_size_m = 3;
    compared.before = build_envelope(old_model.model, old_model.roles, options);
    compared.after = build_envelope(new_model.model, new_model.roles, options);
    compared.matches =
        match_surfaces(match_bodies(old_model.model, new_model.model), old_model.model,
                       compared.before, new_model.model, compared.after);
    compared.names = former_names(compared.matches, compared.after);
    return compared;
}

TEST(Matching, OneMovedOneResizedOneRenamedOneNewOneGone) {
    Yard before = grid(20, "");
    for (YardBox& box : before) box.name = "unit-" + std::to_string(box.number);
    Yard after = before;
    after[3].foot_m += Vec3(0.3, 0, 0.4);
    after[5].size_m.z() = 2.896;
    after[7].name = "sleep";
    after.erase(after.begin() + 11);
    after.push_back({99, "annex", {60, 60, 0}, twenty_foot_m, 0});
    const BodyMatches matches = match(before, after);
    EXPECT_TRUE(matches.move.none()) << describe(matches.move);
    const ChangeCounts counts = count(matches.bodies);
    EXPECT_EQ(counts.kept, 16u);
    EXPECT_EQ(counts.moved, 1u);  // the higher box stands where it stood
    EXPECT_EQ(counts.resized, 1u);
    EXPECT_EQ(counts.renamed, 1u);
    EXPECT_EQ(counts.fresh, 1u);
    EXPECT_EQ(counts.gone, 1u);
    EXPECT_NEAR(change_to(matches.bodies, "unit-3").moved_m.norm(), 0.5, 1e-9);
    const Change& higher = change_to(matches.bodies, "unit-5");
    EXPECT_NEAR(higher.new_sizes_m.z() - higher.old_sizes_m.z(), 0.305, 1e-9);
    EXPECT_EQ(change_to(matches.bodies, "sleep").old_id, "unit-7");
    EXPECT_TRUE(change_to(matches.bodies, "annex").is_new());
    EXPECT_EQ(matches.bodies.back().old_id, "unit-11");
    EXPECT_TRUE(matches.bodies.back().is_gone());
}

TEST(Matching, AModelAgainstItselfIsAllKept) {
    Dice dice(7);
    for (const Yard& yard : {random_yard(dice, 17), grid(30, "container")}) {
        const Compared compared = compare(yard, yard);
        EXPECT_TRUE(compared.matches.bodies.move.none());
        for (const auto* list : {&compared.matches.bodies.bodies, &compared.matches.owners,
                                 &compared.matches.surfaces}) {
            EXPECT_EQ(count(*list).kept, list->size());
            for (const Change& change : *list) EXPECT_EQ(change.old_index, change.new_index);
        }
    }
}

TEST(Matching, ToleranceOfPlaceAndSizeIsWhatTheConstantsSay) {
    // A second unit keeps the first one's move from being that of the whole model.
    const Yard before{{0, "a", {0, 0, 0}, twenty_foot_m, 0},
                      {1, "b", {20, 0, 0}, twenty_foot_m, 0}};
    for (const double factor : {0.9, 1.1}) {
        Yard after = before;
        after[0].foot_m.x() += factor * same_place_m;
        EXPECT_EQ(match(before, after).bodies[0].moved, factor > 1) << factor;
        after = before;
        after[0].size_m.x() += factor * same_size_m;
        EXPECT_EQ(match(before, after).bodies[0].resized, factor > 1) << factor;
        after = before;
        after[0].turn_deg += factor * same_turn_deg;
        EXPECT_EQ(match(before, after).bodies[0].moved, factor > 1) << factor;
    }
}

TEST(Matching, AHundredEqualContainersOfOneNameShiftedTogether) {
    const Yard before = grid(100, "container");
    for (const Vec3& shift :
         {Vec3(1.3, -0.7, 0.1), Vec3(0, 3, 0), Vec3(7, 0, 0), Vec3(500, 3, 0)}) {
        Yard after = moved(before, {1, false, 0, shift});
        Dice dice(3);
        dice.shuffle(after);  // the reader's numbers change
        const BodyMatches matches = match(before, after);
        EXPECT_NEAR((matches.move.shift_m - shift).norm(), 0, 1e-5);
        EXPECT_THAT(describe(matches.move), HasSubstr("the whole model moved by ("));
        EXPECT_EQ(count(matches.bodies).kept, 100u);
        for (const auto& [o, n] : pairs_of(matches.bodies))
            EXPECT_EQ(before[o].number, after[n].number);
    }
}

TEST(Matching, AShiftedSiteWithoutItsCornersIsStillShifted) {
    const Yard before = grid(40, "container");
    const Vec3 shift(1.3, -0.7, 0);
    Yard after = moved(before, {1, false, 0, shift});
    after.erase(after.end() - 1);
    after.erase(after.begin());
    after.push_back({-1, "container", {-90, 0, 0}, twenty_foot_m, 0});
    const BodyMatches matches = match(before, after);
    EXPECT_NEAR((matches.move.shift_m - shift).norm(), 0, 1e-5);
    EXPECT_EQ(count(matches.bodies).kept, 38u);
}

TEST(Matching, EqualContainersOfOneNameWithOneTakenAwayKeepTheirPlaces) {
    const Yard before = grid(30, "container");
    Yard after = before;
    after.erase(after.begin() + 12);  // every later number of the reader shifts by one
    const BodyMatches matches = match(before, after);
    EXPECT_TRUE(matches.move.none());
    EXPECT_EQ(count(matches.bodies).kept, 29u);
    EXPECT_EQ(matches.bodies.back().old_index, 12u);
}

// CAD programs number bodies anew when one is deleted or drawn between: Body4 becomes Body3.
TEST(Matching, NumbersThatClosedRanksAreNoMoves) {
    for (const std::size_t gone : {0U, 3U, 10U}) {
        const bool in_brackets = gone == 3;
        const auto name = [&](std::size_t k) {
            return in_brackets ? "Body (" + std::to_string(k + 1) + ")"
                               : "Body" + std::to_string(k + 1);
        };
        Yard before = grid(12, "");
        for (std::size_t k = 0; k < before.size(); ++k) before[k].name = name(k);
        Yard after = before;
        after.erase(after.begin() + static_cast<std::ptrdiff_t>(gone));
        for (std::size_t k = 0; k < after.size(); ++k) after[k].name = name(k);
        for (const bool back : {false, true}) {
            const BodyMatches matches = back ? match(after, before) : match(before, after);
            EXPECT_TRUE(matches.move.none()) << gone << ": " << describe(matches.move);
            const ChangeCounts counts = count(matches.bodies);
            EXPECT_EQ(counts.moved, 0u) << gone;
            EXPECT_EQ(counts.kept, gone) << gone;
            EXPECT_EQ(counts.renamed, 11u - gone) << gone;
            EXPECT_EQ(counts.gone, back ? 0u : 1u) << gone;
            EXPECT_EQ(counts.fresh, back ? 1u : 0u) << gone;
        }
    }
}

// One of a row is deleted, the others close ranks in number, and all are moved by one vector: the
// names alone would read it as another vector, with one body left behind.
TEST(Matching, NumbersThatClosedRanksWhileAllMovedAreOneMove) {
    const Vec3 shift(50, 20, 0);
    for (const std::size_t gone : {1U, 2U}) {
        Yard before, after;
        for (int k = 0; k < 4; ++k) {
            before.push_back(
                {k, "bunk-" + std::to_string(k + 1), Vec3(3.0 * k, 0, 0), {2.4, 6, 2.6}, 0});
        }
        for (std::size_t k = 0; k < before.size(); ++k) {
            if (k == gone) continue;
            after.push_back(before[k]);
            after.back().name = "bunk-" + std::to_string(after.size());
            after.back().foot_m += shift;
        }
        const BodyMatches matches = match(before, after);
        EXPECT_NEAR((matches.move.shift_m - shift).norm(), 0, 1e-6) << describe(matches.move);
        EXPECT_EQ(count(matches.bodies).moved, 0u);
        EXPECT_EQ(matches.bodies.back().old_index, gone);
    }
}

// A container on the same castings that grew to the high cube of ISO 668 (2.896 m for 2.591 m) has
// not moved, nor has one that grew at one end; one that grew and went elsewhere has.
TEST(Matching, WhatGrewAtOneSideHasNotMoved) {
    for (const bool turned : {false, true}) {
        Yard before = grid(6, "");
        for (YardBox& box : before) {
            box.name = "unit-" + std::to_string(box.number);
            if (turned) box.turn_deg = 30;
        }
        Yard after = before;
        after[1].size_m.z() = 2.896;
        after[2].size_m.z() = 2.896;
        after[2].foot_m += Vec3(0.1, 0, 0);
        const BodyMatches matches = match(before, after);
        EXPECT_FALSE(change_to(matches.bodies, "unit-1").moved);
        EXPECT_TRUE(change_to(matches.bodies, "unit-1").resized);
        EXPECT_TRUE(change_to(matches.bodies, "unit-2").moved);
    }
}

TEST(Matching, SwappedNamesOfEqualBoxesAreMovesAndOfUnequalOnesNewNames) {
    const Yard before{{0, "a", {0, 0, 0}, twenty_foot_m, 0},
                      {1, "b", {20, 0, 0}, twenty_foot_m, 0},
                      {2, "c", {40, 0, 0}, forty_foot_m, 0},
                      {3, "d", {60, 0, 0}, twenty_foot_m, 0}};
    Yard equal = before;
    std::swap(equal[0].name, equal[1].name);
    const BodyMatches moves = match(before, equal);
    EXPECT_EQ(change_to(moves.bodies, "a").old_id, "a");
    EXPECT_NEAR(change_to(moves.bodies, "a").moved_m.x(), 20, 1e-9);
    EXPECT_NEAR(change_to(moves.bodies, "b").moved_m.x(), -20, 1e-9);
    EXPECT_EQ(count(moves.bodies).renamed, 0u);

    Yard unequal = before;
    std::swap(unequal[1].name, unequal[2].name);
    const BodyMatches names = match(before, unequal);
    EXPECT_EQ(change_to(names.bodies, "b").old_id, "c");
    EXPECT_EQ(change_to(names.bodies, "c").old_id, "b");
    EXPECT_EQ(count(names.bodies).renamed, 2u);
    EXPECT_EQ(count(names.bodies).moved, 0u);
    EXPECT_EQ(count(names.bodies).resized, 0u);
}

TEST(Matching, AnotherUnitInThePlaceOfOneTakenAway) {
    const Yard before{{0, "a", {0, 0, 0}, twenty_foot_m, 0},
                      {1, "b", {20, 0, 0}, twenty_foot_m, 0}};
    Yard after = before;
    after[0] = {9, "hall", {0, 0, 0}, forty_foot_m, 0};
    const ChangeCounts other = count(match(before, after).bodies);
    EXPECT_EQ(other.gone, 1u);
    EXPECT_EQ(other.fresh, 1u);
    // One of the same size cannot be told from the old one under a new name.
    after[0].size_m = twenty_foot_m;
    EXPECT_EQ(change_to(match(before, after).bodies, "hall").old_id, "a");
}

TEST(Matching, MirroredTurnedAndScaledSites) {
    Dice dice(11);
    const Yard before = random_yard(dice, 12);
    for (const CommonMove& truth :
         {CommonMove{1, true, 0, {0, 0, 0}}, CommonMove{1, true, 180, {3, 4, 0}},
          CommonMove{1, false, 90, {0, 0, 0}}, CommonMove{1, false, 17.3, {5, -8, 1}},
          CommonMove{2, false, 0, {0, 0, 0}}, CommonMove{1 / 25.4, false, 0, {0, 0, 0}}}) {
        Yard after = moved(before, truth);
        for (const bool named : {true, false}) {
            if (!named) {
                for (YardBox& box : after) box.name = "other-" + std::to_string(box.number);
            }
            const BodyMatches matches = match(before, after);
            EXPECT_NEAR(matches.move.scale, truth.scale, 1e-9 * truth.scale);
            EXPECT_EQ(matches.move.mirrored, truth.mirrored);
            EXPECT_NEAR(matches.move.turn_deg, truth.turn_deg, 1e-6);
            EXPECT_NEAR((matches.move.shift_m - truth.shift_m).norm(), 0, 1e-5);
            EXPECT_EQ(count(matches.bodies).kept, named ? 12u : 0u);
            EXPECT_EQ(count(matches.bodies).renamed, named ? 0u : 12u);
            EXPECT_EQ(count(matches.bodies).moved + count(matches.bodies).resized, 0u);
        }
    }
    EXPECT_THAT(describe({2, false, 0, {0, 0, 0}}), HasSubstr("2 times as large"));
    EXPECT_THAT(describe({25.4, false, 0, {0, 0, 0}}), HasSubstr("inches"));
    EXPECT_THAT(describe({1, true, 0, {0, 0, 0}}), HasSubstr("mirrored"));
}

TEST(Matching, LessThanTwoThirdsIsNoMoveOfTheWholeModel) {
    Yard before = grid(10, "");
    for (YardBox& box : before) box.name = "unit-" + std::to_string(box.number);
    Yard after = before;
    for (std::size_t k = 0; k < 6; ++k) after[k].foot_m.x() += 2;
    const BodyMatches six = match(before, after);
    EXPECT_TRUE(six.move.none());
    EXPECT_EQ(count(six.bodies).moved, 6u);
    after[6].foot_m.x() += 2;
    const BodyMatches seven = match(before, after);
    EXPECT_NEAR(seven.move.shift_m.x(), 2, 1e-6);
    EXPECT_EQ(count(seven.bodies).moved, 3u);
    for (const Change& change : seven.bodies) {
        if (change.moved) {
            EXPECT_NEAR(change.moved_m.x(), -2, 1e-6);
        }
    }
}

TEST(SurfaceMatching, PatternsFollowARenamedUnit) {
    const Yard before{{0, "bunk-1", {0, 0, 0}, twenty_foot_m, 0},
                      {1, "bunk-2", {20, 0, 0}, twenty_foot_m, 0}};
    Yard after = before;
    after[0].name = "sleep-1";
    after.push_back({2, "bunk-3", {40, 0, 0}, twenty_foot_m, 0});
    const Compared compared = compare(before, after);
    EXPECT_EQ(count(compared.matches.surfaces).renamed, 6u);
    EXPECT_EQ(count(compared.matches.surfaces).fresh, 6u);
    for (std::size_t s = 0; s < compared.after.surfaces.size(); ++s) {
        const std::string& id = compared.after.surfaces[s].id;
        const SurfaceId surface(s);
        EXPECT_EQ(compared.names.surface_matches("bunk-1/*", surface), id.starts_with("sleep-1/"));
        EXPECT_EQ(compared.names.surface_matches("sleep-1/*", surface), id.starts_with("sleep-1/"));
        EXPECT_EQ(compared.names.surface_matches("bunk-3/*", surface), id.starts_with("bunk-3/"));
    }
    EXPECT_TRUE(compared.names.unit_matches("bunk-1", UnitId(0)));
}

TEST(SurfaceMatching, ANameThatWentToAnotherUnitStaysBehind) {
    const Yard before{{0, "a", {0, 0, 0}, twenty_foot_m, 0}, {1, "b", {20, 0, 0}, forty_foot_m, 0}};
    Yard after = before;
    std::swap(after[0].name, after[1].name);
    const Compared compared = compare(before, after);
    for (std::size_t s = 0; s < compared.after.surfaces.size(); ++s) {
        const bool small = compared.after.surfaces[s].centroid_m.x() < 10;
        EXPECT_EQ(compared.names.surface_matches("a/*", SurfaceId(s)), small);
        EXPECT_EQ(compared.names.surface_matches("b/*", SurfaceId(s)), !small);
    }
}

/// Where the surface that is matched to a new one was before.
const Surface& former(const Compared& compared, std::size_t new_surface) {
    return compared.before.surfaces[compared.matches.surfaces.at(new_surface).old_index];
}

// bunk-2 is gone and the numbers closed ranks: what was written for bunk-2 is for nobody now.
TEST(SurfaceMatching, WhatWasWrittenForAUnitThatIsGoneIsForNobody) {
    Yard before = grid(4, "");
    for (std::size_t k = 0; k < before.size(); ++k)
        before[k].name = "bunk-" + std::to_string(k + 1);
    Yard after = before;
    after.erase(after.begin() + 1);
    for (std::size_t k = 0; k < after.size(); ++k) after[k].name = "bunk-" + std::to_string(k + 1);
    const Compared compared = compare(before, after);
    for (std::size_t u = 0; u < 3; ++u) {
        EXPECT_FALSE(compared.names.unit_matches("bunk-2", UnitId(u))) << u;
        EXPECT_EQ(compared.names.unit_matches("bunk-3", UnitId(u)), u == 1) << u;
        EXPECT_EQ(compared.names.unit_matches("bunk-4", UnitId(u)), u == 2) << u;
    }
    for (std::size_t s = 0; s < compared.after.surfaces.size(); ++s)
        EXPECT_FALSE(compared.names.surface_matches("bunk-2/roof", SurfaceId(s))) << s;
}

TEST(SurfaceMatching, WallsOfATurnedSiteAreTheSamePiecesOfSteel) {
    Dice dice(5);
    const Yard before = random_yard(dice, 6);
    for (const CommonMove& move :
         {CommonMove{1, false, 90, {1, 2, 0}}, CommonMove{1, false, -71, {0, 0, 0}},
          CommonMove{1, true, 0, {9, 0, 0}}}) {
        const Compared compared = compare(before, moved(before, move), 30);
        ASSERT_EQ(compared.matches.surfaces.size(), 36u);
        for (std::size_t s = 0; s < 36; ++s) {
            ASSERT_TRUE(compared.matches.surfaces[s].matched());
            EXPECT_FALSE(compared.matches.surfaces[s].moved);
            EXPECT_NEAR(
                (move.point(former(compared, s).centroid_m) - compared.after.surfaces[s].centroid_m)
                    .norm(),
                0, 1e-5);
        }
    }
}

TEST(SurfaceMatching, WallsOfATurnedUnitTurnWithIt) {
    const Yard before{{0, "a", {0, 0, 0}, twenty_foot_m, 0},
                      {1, "b", {20, 0, 0}, twenty_foot_m, 0},
                      {2, "c", {40, 0, 0}, twenty_foot_m, 0}};
    for (const double turn : {-60.0, 20.0, 50.0, 90.0}) {
        Yard after = before;
        after[0].turn_deg = turn;
        const Compared compared = compare(before, after);
        EXPECT_TRUE(compared.matches.bodies.move.none());
        EXPECT_NEAR(compared.matches.owners[0].turned_deg, turn, 1e-9);
        for (std::size_t s = 0; s < 6; ++s) {
            ASSERT_TRUE(compared.matches.surfaces[s].matched());
            const Vec3 expected = turned(former(compared, s).normal, turn);
            EXPECT_NEAR((expected - compared.after.surfaces[s].normal).norm(), 0, 1e-9) << turn;
        }
    }
}

TEST(SurfaceMatching, AHigherUnitHasLargerWallsAndTheSameRoof) {
    const Yard before{{0, "a", {0, 0, 0}, twenty_foot_m, 0},
                      {1, "b", {20, 0, 0}, twenty_foot_m, 0}};
    Yard after = before;
    after[0].size_m.z() = 2.896;
    const Compared compared = compare(before, after);
    EXPECT_EQ(count(compared.matches.surfaces).resized, 4u);
    for (const Change& change : compared.matches.surfaces) {
        if (change.new_id == "a/roof") {
            EXPECT_NEAR(change.moved_m.z(), 0.305, 1e-9);
            EXPECT_FALSE(change.resized);
        }
        if (change.resized) {
            EXPECT_NEAR(change.new_area_m2 / change.old_area_m2, 2.896 / 2.591, 1e-9);
        }
    }
}

TEST(SurfaceMatching, RolesFollowARenamedBody) {
    const Yard before{{0, "bunk", {0, 0, 0}, twenty_foot_m, 0},
                      {1, "b", {20, 0, 0}, twenty_foot_m, 0}};
    Yard after = before;
    after[0].name = "sleep";
    const BodyMatches matches = match(before, after);
    std::vector<RoleChoice> old_roles{{Role::context, false, "contexts pattern bunk"},
                                      {Role::unit, true, "a closed box"}};
    std::vector<RoleChoice> roles{{Role::unit, true, "a closed box"}, {Role::shade, true, "thin"}};
    carry_roles(matches, old_roles, roles);
    EXPECT_EQ(roles[0].role, Role::context);
    EXPECT_THAT(roles[0].why, HasSubstr("former name bunk"));
    EXPECT_EQ(roles[1].role, Role::shade);  // a guess is not carried
    roles[0] = {Role::shade, false, "shades pattern sleep"};
    carry_roles(matches, old_roles, roles);
    EXPECT_EQ(roles[0].role, Role::shade);  // nor does it replace what the user says now
}

TEST(Matching, ModelsWithoutBodies) {
    EXPECT_TRUE(match({}, {}).bodies.empty());
    EXPECT_EQ(count(match(grid(3, "c"), {}).bodies).gone, 3u);
    EXPECT_EQ(count(match({}, grid(3, "c")).bodies).fresh, 3u);
}

}  // namespace
}  // namespace noonshell
