// Cutting of convex polygons against closed forms and conservation of area.
#include "geometry/convex_polygon.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <random>

namespace noonshell {
namespace {

ConvexPolygon square(double half, double turn_deg = 0, const Vec2& centre = {0, 0}) {
    ConvexPolygon corners;
    for (int k = 0; k < 4; ++k) {
        const double angle = (45 + 90 * k + turn_deg) * std::numbers::pi / 180;
        corners.push_back(centre +
                          half * std::numbers::sqrt2 * Vec2(std::cos(angle), std::sin(angle)));
    }
    return corners;
}

double total_area(const std::vector<ConvexPolygon>& pieces) {
    double area = 0;
    for (const ConvexPolygon& piece : pieces) area += signed_area(piece);
    return area;
}

bool contains(const ConvexPolygon& polygon, const Vec2& point) {
    for (std::size_t k = 0; k < polygon.size(); ++k) {
        const Vec2 edge = polygon[(k + 1) % polygon.size()] - polygon[k];
        const Vec2 offset = point - polygon[k];
        if (edge.x() * offset.y() - edge.y() * offset.x() < 0) return false;
    }
    return !polygon.empty();
}

TEST(ConvexPolygon, AreaAndCentroidOfATriangle) {
    const ConvexPolygon triangle{{1, 1}, {4, 1}, {1, 3}};
    EXPECT_DOUBLE_EQ(signed_area(triangle), 3.0);
    EXPECT_NEAR((area_centroid(triangle) - Vec2(2.0, 5.0 / 3.0)).norm(), 0, 1e-15);
    EXPECT_DOUBLE_EQ(signed_area({{1, 1}, {1, 3}, {4, 1}}), -3.0);
}

TEST(ConvexPolygon, SquareOnSquareTurned45DegreesIsARegularOctagon) {
    // Closed form: a square of side a and the same turned by 45 degrees about the common centre
    // share a regular octagon with inscribed circle of radius a/2: area 2 (sqrt 2 - 1) a^2.
    const double a = 2.438;
    const ConvexPolygon shared = intersection(square(a / 2), square(a / 2, 45));
    EXPECT_EQ(shared.size(), 8u);
    EXPECT_NEAR(signed_area(shared), 2 * (std::numbers::sqrt2 - 1) * a * a, 1e-12);
}

TEST(ConvexPolygon, TouchingPolygonsShareNothing) {
    const ConvexPolygon a = square(1), beside = square(1, 0, {2, 0});
    EXPECT_TRUE(intersection(a, beside).empty());
    ASSERT_EQ(difference(a, beside).size(), 1u);
    EXPECT_DOUBLE_EQ(signed_area(difference(a, beside)[0]), 4.0);
}

TEST(ConvexPolygon, OnesOwnShapeCoversTheWhole) {
    EXPECT_NEAR(signed_area(intersection(square(1, 30), square(1, 30))), 4.0, 1e-12);
    EXPECT_TRUE(difference(square(1, 30), square(1, 30)).empty());
    EXPECT_TRUE(difference(square(0.5, 10), square(1, 30)).empty());
}

TEST(ConvexPolygon, HoleInTheMiddleLeavesAFrame) {
    const auto frame = difference(square(1), square(0.5, 20));
    EXPECT_NEAR(total_area(frame), 4.0 - 1.0, 1e-12);
    for (const ConvexPolygon& piece : frame) EXPECT_GT(signed_area(piece), 0);
}

TEST(ConvexPolygon, RandomCutsKeepAreaAndAgreeWithPointSampling) {
    std::mt19937 random(20240617);
    std::uniform_real_distribution<double> shift(-1.5, 1.5), turn(0, 90), half(0.2, 1.5);
    for (int round = 0; round < 500; ++round) {
        const ConvexPolygon a = square(half(random), turn(random));
        const ConvexPolygon b = square(half(random), turn(random), {shift(random), shift(random)});
        const CutPolygon parts = cut(a, b);
        EXPECT_NEAR(signed_area(parts.inside) + total_area(parts.outside), signed_area(a), 1e-12);
        EXPECT_NEAR(signed_area(parts.inside), signed_area(intersection(b, a)), 1e-12);
        for (int k = 0; k < 20; ++k) {
            const Vec2 point(shift(random), shift(random));
            int hits = contains(parts.inside, point) ? 1 : 0;
            EXPECT_EQ(hits == 1, contains(a, point) && contains(b, point));
            for (const ConvexPolygon& piece : parts.outside) hits += contains(piece, point) ? 1 : 0;
            EXPECT_EQ(hits, contains(a, point) ? 1 : 0);
        }
    }
}

TEST(ConvexPolygon, TwoTrianglesJoinToTheirSquare) {
    const ConvexPolygon lower{{0, 0}, {1, 0}, {1, 1}}, upper{{0, 0}, {1, 1}, {0, 1}};
    const auto whole = joined(lower, upper);
    ASSERT_TRUE(whole.has_value());
    EXPECT_EQ(whole->size(), 4u);
    EXPECT_DOUBLE_EQ(signed_area(*whole), 1.0);
}

TEST(ConvexPolygon, UnionThatIsNotConvexIsNotJoined) {
    const ConvexPolygon lower{{0, 0}, {1, 0}, {1, 1}}, spike{{0, 0}, {1, 1}, {5, 5.1}};
    EXPECT_FALSE(joined(lower, spike).has_value());
    EXPECT_FALSE(joined(lower, square(1, 0, {9, 9})).has_value());
}

TEST(ConvexPolygon, CellsOfARowJoinToOnePolygonWithoutIdleCorners) {
    std::vector<ConvexPolygon> cells;
    for (int k = 0; k < 5; ++k) {
        const double x = 0.3 * k;
        cells.push_back({{x, 0}, {x + 0.3, 0}, {x + 0.3, 1}, {x, 1}});
    }
    join_pieces(cells);
    ASSERT_EQ(cells.size(), 1u);
    EXPECT_EQ(cells[0].size(), 4u);
    EXPECT_NEAR(signed_area(cells[0]), 1.5, 1e-14);
}

}  // namespace
}  // namespace noonshell
