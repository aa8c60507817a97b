// Regions of a plane against closed forms and the inclusion-exclusion rule.
#include "geometry/plane_region.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <random>

namespace noonshell {
namespace {

ConvexPolygon rectangle(double x, double y, double width, double height) {
    return {{x, y}, {x + width, y}, {x + width, y + height}, {x, y + height}};
}

PlaneRegion region(const std::vector<ConvexPolygon>& polygons) {
    return PlaneRegion::union_of(polygons);
}

double area_of(const std::vector<ConvexPolygon>& pieces) {
    double area = 0;
    for (const ConvexPolygon& piece : pieces) area += signed_area(piece);
    return area;
}

ConvexPolygon random_polygon(std::mt19937& random) {
    std::uniform_real_distribution<double> place(-2, 2), size(0.3, 2), start(0, 6.28);
    const double x = place(random), y = place(random), r = size(random), turn = start(random);
    const int n = 3 + static_cast<int>(random() % 6);
    ConvexPolygon polygon;
    for (int k = 0; k < n; ++k) {
        const double angle = turn + 2 * std::numbers::pi * k / n;
        polygon.push_back({x + r * std::cos(angle), y + r * std::sin(angle)});
    }
    return polygon;
}

TEST(PlaneRegion, OverlapCountsOnce) {
    EXPECT_NEAR(region({rectangle(0, 0, 3, 1), rectangle(1, 0, 1, 3)}).area_m2(), 5.0, 1e-9);
    EXPECT_TRUE(region({}).empty());
    // A polygon seen from behind covers the same.
    const ConvexPolygon front = rectangle(0, 0, 3, 1);
    EXPECT_NEAR(region({ConvexPolygon(front.rbegin(), front.rend())}).area_m2(), 3.0, 1e-9);
}

TEST(PlaneRegion, GapsUpToTheSizeGivenAreClosedAndCornersStaySharp) {
    const PlaneRegion apart = region({rectangle(0, 0, 2, 1), rectangle(2.04, 0, 2, 1)});
    EXPECT_NEAR(apart.area_m2(), 4.0, 1e-9);
    EXPECT_NEAR(apart.closed(0.06).area_m2(), 4.04, 1e-6);
    EXPECT_NEAR(apart.closed(0.03).area_m2(), 4.0, 1e-6);
    const auto pieces = apart.closed(0.06).convex_pieces();
    ASSERT_EQ(pieces.size(), 1u);
    EXPECT_EQ(pieces[0].size(), 4u);
}

TEST(PlaneRegion, HolesAreKeptFilledAndListed) {
    const PlaneRegion frame =
        region({rectangle(0, 0, 4, 3)}).without(region({rectangle(1, 1, 1, 1)}));
    EXPECT_NEAR(frame.area_m2(), 11.0, 1e-9);
    EXPECT_NEAR(area_of(frame.convex_pieces()), 11.0, 1e-9);
    ASSERT_EQ(frame.holes().size(), 1u);
    EXPECT_NEAR(frame.holes()[0].area_m2(), 1.0, 1e-9);
    EXPECT_NEAR(frame.filled().area_m2(), 12.0, 1e-9);
    EXPECT_FALSE(frame.contains({1.5, 1.5}));
    EXPECT_TRUE(frame.contains({0.5, 0.5}));
    EXPECT_FALSE(frame.contains({5, 1}));
    EXPECT_TRUE(frame.filled().contains({1.5, 1.5}));
}

TEST(PlaneRegion, GrowsByTheDistanceOnEverySide) {
    EXPECT_NEAR(region({rectangle(0, 0, 4, 3)}).grown(0.5).area_m2(), 5.0 * 4.0, 1e-6);
}

TEST(PlaneRegion, UnionAndIntersectionAddUp) {
    std::mt19937 random(7);
    for (int k = 0; k < 200; ++k) {
        const PlaneRegion a = region({random_polygon(random), random_polygon(random)});
        const PlaneRegion b = region({random_polygon(random)});
        const double together = a.with(b).area_m2();
        EXPECT_NEAR(together, a.area_m2() + b.area_m2() - a.within(b).area_m2(), 1e-5);
        EXPECT_NEAR(together, a.without(b).area_m2() + b.area_m2(), 1e-5);
    }
}

// A ring with an island in its hole, and a square apart.
TEST(PlaneRegion, PartsKeepTheirOwnHoles) {
    const PlaneRegion all = region({rectangle(0, 0, 6, 6)})
                                .without(region({rectangle(1, 1, 4, 4)}))
                                .with(region({rectangle(2, 2, 2, 2), rectangle(9, 0, 1, 1)}));
    EXPECT_NEAR(all.perimeter_m(), 24 + 16 + 8 + 4, 1e-6);
    const auto parts = all.parts();
    ASSERT_EQ(parts.size(), 3u);
    EXPECT_NEAR(parts[0].area_m2(), 36 - 16, 1e-6);
    EXPECT_EQ(parts[0].holes().size(), 1u);
    EXPECT_NEAR(parts[0].perimeter_m(), 24 + 16, 1e-6);
    EXPECT_NEAR(parts[1].area_m2(), 4, 1e-6);
    EXPECT_TRUE(parts[1].holes().empty());
    EXPECT_NEAR(parts[2].perimeter_m(), 4, 1e-6);
}

TEST(PlaneRegion, ConvexPiecesCoverTheRegionOnce) {
    std::mt19937 random(11);
    for (int k = 0; k < 200; ++k) {
        const PlaneRegion all = region({random_polygon(random), random_polygon(random),
                                        random_polygon(random), random_polygon(random)})
                                    .without(region({random_polygon(random)}));
        const auto pieces = all.convex_pieces();
        EXPECT_NEAR(area_of(pieces), all.area_m2(), 1e-5);
        for (std::size_t i = 0; i < pieces.size(); ++i) {
            for (std::size_t c = 0; c < pieces[i].size(); ++c) {
                const Vec2 &p = pieces[i][c], &q = pieces[i][(c + 1) % pieces[i].size()],
                           &r = pieces[i][(c + 2) % pieces[i].size()];
                const Vec2 in = q - p, out = r - q;
                EXPECT_GT(in.x() * out.y() - in.y() * out.x(), -1e-7);
            }
            for (std::size_t j = 0; j < i; ++j) {
                EXPECT_LT(signed_area(intersection(pieces[i], pieces[j])), 1e-6);
            }
        }
    }
}

}  // namespace
}  // namespace noonshell
