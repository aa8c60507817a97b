// Random edits whose truth is known, pairing against enumeration, and the time it takes.
#include <gtest/gtest.h>

#include <algorithm>
#include <ctime>
#include <limits>
#include <numeric>

#include "geometry/matching.hpp"
#include "geometry/pairing.hpp"
#include "tests/support/edited_yard.hpp"

namespace noonshell {
namespace {

using namespace test_models;

/// What was done to the box of one number.
struct Truth {
    bool moved = false, resized = false, renamed = false, gone = false;
    Vec3 moved_m{0, 0, 0};
    double turned_deg = 0;
};

struct Edit {
    Yard after;
    std::vector<Truth> truth;  ///< by number
};

/// A sixth of the boxes each is carried off or enlarged, renamed, taken away; two are new; the
/// order is shuffled.
Edit random_edit(Dice& dice, const Yard& before, const CommonMove& move) {
    Edit edit{moved(before, move), std::vector<Truth>(before.size())};
    std::vector<std::size_t> order(before.size());
    std::iota(order.begin(), order.end(), 0);
    dice.shuffle(order);
    const std::size_t each = before.size() / 6;
    for (std::size_t k = 0; k < 3 * each; ++k) {
        YardBox& box = edit.after[order[k]];
        Truth& truth = edit.truth[order[k]];
        if (k < each && k % 2 == 0) {
            truth.moved = true;
            truth.moved_m = {dice.between(0.01, 9), dice.between(-9, 9), dice.between(0, 3)};
            truth.turned_deg = dice.between(-80, 80);
            box.foot_m += truth.moved_m;
            box.turn_deg += truth.turned_deg;
        } else if (k < each) {
            truth.resized = true;  // upward from where it stands, so that its middle alone moves
            const double higher = dice.between(0.01, 2);
            truth.moved_m.z() = higher / 2;
            box.size_m.z() += higher;
        } else if (k < 2 * each) {
            truth.renamed = true;
            box.name = "other-" + std::to_string(order[k]);
        } else {
            truth.gone = true;
        }
    }
    std::erase_if(edit.after, [&](const YardBox& box) {
        return edit.truth[static_cast<std::size_t>(box.number)].gone;
    });
    for (int k = 0; k < 2; ++k)
        edit.after.push_back({-1, "annex-" + std::to_string(k), {400.0 + 20 * k, 0, 0}});
    dice.shuffle(edit.after);
    return edit;
}

void expect_truth(const Edit& edit, const Yard& before, const std::vector<Change>& changes) {
    ASSERT_EQ(changes.size(), before.size() + 2);
    for (const Change& change : changes) {
        if (change.is_new()) {
            EXPECT_EQ(edit.after[change.new_index].number, -1) << change.new_id;
            continue;
        }
        const Truth& truth = edit.truth[change.old_index];
        EXPECT_EQ(change.is_gone(), truth.gone) << change.old_id;
        if (change.is_gone()) continue;
        EXPECT_EQ(edit.after[change.new_index].number, static_cast<int>(change.old_index));
        EXPECT_EQ(change.moved, truth.moved) << change.old_id;
        EXPECT_EQ(change.resized, truth.resized) << change.old_id;
        EXPECT_EQ(change.renamed, truth.renamed) << change.old_id;
        EXPECT_NEAR((change.moved_m - truth.moved_m).norm(), 0, 1e-4) << change.old_id;
        EXPECT_NEAR(change.turned_deg, truth.turned_deg, 1e-4) << change.old_id;
    }
}

CommonMove random_move(Dice& dice, std::uint32_t seed) {
    if (seed % 3 == 0) return {};
    CommonMove move;
    move.shift_m = {dice.between(-50, 50), dice.between(-50, 50), 0};
    if (seed % 3 == 1) return move;
    move.turn_deg = dice.below(2) == 0 ? 90.0 : dice.between(-179, 179);
    move.mirrored = dice.below(2) == 0;
    return move;
}

TEST(MatchingProperty, RandomEditsAreRecoveredBothWays) {
    for (std::uint32_t seed = 1; seed <= 300; ++seed) {
        SCOPED_TRACE(seed);
        Dice dice(seed);
        const Yard before = random_yard(dice, 8 + static_cast<int>(dice.below(13)));
        const CommonMove move = random_move(dice, seed);
        const Edit edit = random_edit(dice, before, move);
        const Model old_model = model_of(before).model, new_model = model_of(edit.after).model;
        const BodyMatches there = match_bodies(old_model, new_model);
        expect_truth(edit, before, there.bodies);
        const BodyMatches back = match_bodies(new_model, old_model);
        const auto pairs = pairs_of(there.bodies);
        EXPECT_EQ(pairs_of(back.bodies).size(), pairs.size());
        for (const auto& [n, o] : pairs_of(back.bodies)) {
            const auto found = pairs.find(o);
            ASSERT_NE(found, pairs.end());
            EXPECT_EQ(found->second, n);
        }
        if (HasFailure()) break;
    }
}

TEST(MatchingProperty, EqualBoxesOfOneNameAreRecoveredWhereTheyMoveLessThanHalfTheirSpacing) {
    for (std::uint32_t seed = 1; seed <= 100; ++seed) {
        SCOPED_TRACE(seed);
        Dice dice(seed);
        Yard before;
        for (int k = 0; k < 15; ++k) {
            YardBox box;
            box.number = k;
            box.name = "container";
            box.foot_m = {8.0 * (k % 4), 4.0 * (k / 4), 0};
            before.push_back(box);
        }
        Yard after = before;
        for (std::size_t k = 0; k < 5; ++k)
            after[dice.below(15)].foot_m.x() += dice.between(0, 1.9);
        dice.shuffle(after);
        const auto pairs =
            pairs_of(match_bodies(model_of(before).model, model_of(after).model).bodies);
        ASSERT_EQ(pairs.size(), 15u);
        for (const auto& [o, n] : pairs) EXPECT_EQ(before[o].number, after[n].number);
    }
}

std::vector<ShapePoint> random_points(Dice& dice, std::size_t n, double side_m) {
    std::vector<ShapePoint> points;
    for (std::size_t k = 0; k < n; ++k) {
        points.push_back(
            shape_point({dice.between(0, side_m), dice.between(0, side_m), dice.between(0, side_m)},
                        {dice.between(0, 1), dice.between(0, 1), dice.between(0, 1)}));
    }
    return points;
}

double distance(const ShapePoint& a, const ShapePoint& b) {
    double square = 0;
    for (std::size_t k = 0; k < a.size(); ++k) square += (a[k] - b[k]) * (a[k] - b[k]);
    return std::sqrt(square);
}

std::vector<std::uint32_t> all_of(const std::vector<ShapePoint>& points) {
    std::vector<std::uint32_t> indices(points.size());
    std::iota(indices.begin(), indices.end(), 0u);
    return indices;
}

/// The pairs by the definition: over and over the nearest pair of those left, by looking at all.
std::vector<IndexPair> naive_pairs(const std::vector<ShapePoint>& olds,
                                   const std::vector<ShapePoint>& news, double farthest_m) {
    std::vector<IndexPair> pairs;
    std::vector<bool> old_used(olds.size(), false), new_used(news.size(), false);
    while (true) {
        double best = farthest_m;
        IndexPair pair{Change::none, Change::none};
        for (std::uint32_t o = 0; o < olds.size(); ++o) {
            for (std::uint32_t n = 0; n < news.size(); ++n) {
                if (old_used[o] || new_used[n] || distance(olds[o], news[n]) >= best) continue;
                best = distance(olds[o], news[n]);
                pair = {o, n};
            }
        }
        if (pair.first == Change::none) return pairs;
        old_used[pair.first] = new_used[pair.second] = true;
        pairs.push_back(pair);
    }
}

TEST(Pairing, IsTheNearestPairFirstByBruteForceAndTheSameBothWays) {
    for (std::uint32_t seed = 1; seed <= 200; ++seed) {
        Dice dice(seed);
        const double side = dice.between(0.001, 50);
        const auto olds = random_points(dice, dice.below(40), side);
        const auto news = random_points(dice, dice.below(40), side);
        const double farthest = dice.below(2) == 0 ? std::numeric_limits<double>::infinity() : 2.0;
        auto pairs = pair_nearest(olds, all_of(olds), news, all_of(news), {{}, {}, farthest});
        auto back = pair_nearest(news, all_of(news), olds, all_of(olds), {{}, {}, farthest});
        auto expected = naive_pairs(olds, news, farthest);
        for (IndexPair& pair : back) std::swap(pair.first, pair.second);
        for (auto* list : {&pairs, &back, &expected}) std::sort(list->begin(), list->end());
        EXPECT_EQ(pairs, expected) << seed;
        EXPECT_EQ(back, expected) << seed;
    }
}

TEST(Pairing, TiesAreBrokenAlikeBothWays) {
    // Points on a grid, where most distances are equal to the last bit.
    for (std::uint32_t seed = 1; seed <= 100; ++seed) {
        Dice dice(seed);
        std::vector<ShapePoint> olds, news;
        for (int k = 0; k < 30; ++k) {
            for (auto* list : {&olds, &news}) {
                list->push_back(shape_point(
                    {static_cast<double>(dice.below(5)), static_cast<double>(dice.below(5)), 0},
                    Vec3::Zero()));
            }
        }
        auto pairs = pair_nearest(olds, all_of(olds), news, all_of(news), {});
        auto back = pair_nearest(news, all_of(news), olds, all_of(olds), {});
        for (IndexPair& pair : back) std::swap(pair.first, pair.second);
        std::sort(pairs.begin(), pairs.end());
        std::sort(back.begin(), back.end());
        EXPECT_EQ(pairs.size(), 30u);
        EXPECT_EQ(pairs, back) << seed;
    }
}

/// Least sum of distances over all ways to pair up equally many points.
double least_cost(const std::vector<ShapePoint>& olds, const std::vector<ShapePoint>& news) {
    std::vector<std::uint32_t> order = all_of(news);
    double least = std::numeric_limits<double>::infinity();
    do {
        double cost = 0;
        for (std::size_t k = 0; k < olds.size(); ++k) cost += distance(olds[k], news[order[k]]);
        least = std::min(least, cost);
    } while (std::next_permutation(order.begin(), order.end()));
    return least;
}

double cost_of(const std::vector<IndexPair>& pairs, const std::vector<ShapePoint>& olds,
               const std::vector<ShapePoint>& news) {
    double cost = 0;
    for (const auto& [o, n] : pairs) cost += distance(olds[o], news[n]);
    return cost;
}

TEST(Pairing, CostsNoMoreThanTheBestAssignmentWhereMovesAreSmallerThanSpacings) {
    // Where every point moves by less than half of the least spacing, the sum of distances is
    // least for the truth, and the nearest pairs are the truth. Enumerated for up to 7 points.
    for (std::uint32_t seed = 1; seed <= 60; ++seed) {
        Dice dice(seed);
        const auto olds = random_points(dice, 2 + dice.below(6), 30);
        double spacing = std::numeric_limits<double>::infinity();
        for (std::size_t i = 0; i < olds.size(); ++i) {
            for (std::size_t j = 0; j < i; ++j)
                spacing = std::min(spacing, distance(olds[i], olds[j]));
        }
        auto news = olds;
        for (ShapePoint& p : news) p[dice.below(6)] += dice.between(-0.49, 0.49) * spacing;
        const auto pairs = pair_nearest(olds, all_of(olds), news, all_of(news), {});
        ASSERT_EQ(pairs.size(), olds.size());
        for (const auto& [o, n] : pairs) EXPECT_EQ(o, n);
        EXPECT_NEAR(cost_of(pairs, olds, news), least_cost(olds, news), 1e-9) << seed;
    }
}

TEST(Pairing, StaysNearTheBestAssignmentElsewhere) {
    // Nearest-first is not the least sum. Of unrelated points it may cost up to 2^n - 1 times as
    // much in the worst case; on random points it must stay far below that.
    double worst = 1, sum = 0;
    for (std::uint32_t seed = 1; seed <= 100; ++seed) {
        Dice dice(seed);
        const auto olds = random_points(dice, 7, 30), news = random_points(dice, 7, 30);
        const auto pairs = pair_nearest(olds, all_of(olds), news, all_of(news), {});
        const double ratio = cost_of(pairs, olds, news) / least_cost(olds, news);
        EXPECT_GE(ratio, 1 - 1e-12);
        worst = std::max(worst, ratio);
        sum += ratio;
    }
    RecordProperty("worst", std::to_string(worst));
    EXPECT_LT(worst, 2.0);
    EXPECT_LT(sum / 100, 1.25);
}

TEST(MatchingProperty, ManyPartsOfOneNameAreMatchedInTime) {
    // As many as a site of detailed units has.
    Yard before;
    for (int k = 0; k < 6000; ++k) {
        YardBox box;
        box.number = k;
        box.name = "post";
        box.foot_m = {3.0 * (k % 100), 4.0 * (k / 100), 0};
        box.size_m = {0.16, 0.15, 2.4};
        before.push_back(box);
    }
    Yard after = moved(before, {1, false, 0, {0.4, 7.1, 0}});
    for (std::size_t k = 0; k < 6000; k += 7) after[k].foot_m.x() += 0.5;
    after.erase(after.begin() + 100);
    Dice dice(2);
    dice.shuffle(after);
    const std::clock_t start = std::clock();  // of the processor: others may use the machine
    const BodyMatches matches = match_bodies(model_of(before).model, model_of(after).model);
    const double taken_s = static_cast<double>(std::clock() - start) / CLOCKS_PER_SEC;
    RecordProperty("seconds", std::to_string(taken_s));
    EXPECT_NEAR((matches.move.shift_m - Vec3(0.4, 7.1, 0)).norm(), 0, 1e-5);
    const auto pairs = pairs_of(matches.bodies);
    EXPECT_EQ(pairs.size(), 5999u);
    for (const auto& [o, n] : pairs) EXPECT_EQ(before[o].number, after[n].number);
#if defined(NDEBUG) && !defined(NOONSHELL_SANITIZED)
    EXPECT_LT(taken_s, 10.0);
#endif
}

TEST(MatchingProperty, FourHundredUnitsTakeLessThanASecond) {
    for (const bool named : {true, false}) {
        Yard before;
        for (int k = 0; k < 400; ++k) {
            YardBox box;
            box.number = k;
            box.name = named ? "unit-" + std::to_string(k) : "container";
            box.foot_m = {7.0 * (k % 20), 3.0 * (k / 20), 0};
            before.push_back(box);
        }
        Dice dice(1);
        const CommonMove move{1, false, 90, {11, 5, 0}};
        Edit edit{moved(before, move), {}};
        for (int k = 0; k < 40; ++k) edit.after[dice.below(400)].foot_m.z() += 2.6;
        dice.shuffle(edit.after);
        const BoxModel old_model = model_of(before), new_model = model_of(edit.after);
        EnvelopeOptions options;
        options.facet_size_m = 7;
        const Envelope old_envelope = build_envelope(old_model.model, old_model.roles, options);
        const Envelope new_envelope = build_envelope(new_model.model, new_model.roles, options);
        const std::clock_t start = std::clock();  // of the processor: others may use the machine
        const ModelMatches matches =
            match_surfaces(match_bodies(old_model.model, new_model.model), old_model.model,
                           old_envelope, new_model.model, new_envelope);
        const double taken_s = static_cast<double>(std::clock() - start) / CLOCKS_PER_SEC;
        RecordProperty(named ? "named_s" : "unnamed_s", std::to_string(taken_s));
        EXPECT_EQ(matches.surfaces.size(), 2400u);
        EXPECT_EQ(pairs_of(matches.bodies.bodies).size(), 400u);
#if defined(NDEBUG) && !defined(NOONSHELL_SANITIZED)
        EXPECT_LT(taken_s, 1.0);
#endif
    }
}

}  // namespace
}  // namespace noonshell
