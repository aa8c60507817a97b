// Cells that grow with their distance from lines.
#include "geometry/graded_cells.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <random>

#include "geometry/plane_region.hpp"

namespace noonshell {
namespace {

double area_m2(const std::vector<CellLevel>& levels) {
    double sum = 0;
    for (const CellLevel& level : levels) {
        for (const ConvexPolygon& strip : level.strips) sum += signed_area(strip);
    }
    return sum;
}

double distance_m(const PlaneSegment& line, const Vec2& p) {
    const Vec2 along = line.b - line.a;
    const double t = along.squaredNorm() > 0 ? (p - line.a).dot(along) / along.squaredNorm() : 0;
    return (line.a + std::clamp(t, 0.0, 1.0) * along - p).norm();
}

TEST(GradedCells, AreEqualCellsWithoutLines) {
    const auto levels = graded_cells({-1, 2}, {9, 8}, 2, 0.25, {});
    ASSERT_EQ(levels.size(), 4u);  // 2, 1, 0.5, 0.25
    EXPECT_EQ(levels[0].n_cells, 15u);
    EXPECT_NEAR(levels[0].cell_m, 2, 1e-12);
    EXPECT_NEAR(area_m2(levels), 60, 1e-9);
    for (std::size_t k = 1; k < 4; ++k) EXPECT_EQ(levels[k].n_cells, 0u);
}

// Every point of random places lies in one cell, no longer than wanted for its distance: the cell
// that holds it was not split, so that no line is nearer to the cell than its length, or it is one
// of the finest.
TEST(GradedCells, CoverEachPlaceOnceAndAreFineNearLines) {
    std::mt19937 random(11);
    std::uniform_real_distribution<double> x(0, 13), y(0, 7);
    const std::vector<PlaneSegment> lines{
        {{2, 2}, {8, 2}}, {{8, 2}, {8.3, 5}}, {{12.1, 6.4}, {12.1, 6.4}}};
    const auto levels = graded_cells({0, 0}, {13, 7}, 1.5, 0.2, lines);
    EXPECT_NEAR(area_m2(levels), 91, 1e-9);
    std::vector<PlaneRegion> zones;
    for (const CellLevel& level : levels) zones.push_back(PlaneRegion::union_of(level.strips));
    for (int i = 0; i < 2000; ++i) {
        const Vec2 p(x(random), y(random));
        std::size_t in = 0, level = 0;
        for (std::size_t k = 0; k < zones.size(); ++k) {
            if (!zones[k].contains(p)) continue;
            ++in;
            level = k;
        }
        ASSERT_EQ(in, 1u) << p.transpose();
        double least = 1e9;
        for (const PlaneSegment& line : lines) least = std::min(least, distance_m(line, p));
        const double cell_m = levels[level].cell_m;
        if (level + 1 < levels.size()) {
            EXPECT_GE(least, cell_m * (1 - 1e-6)) << p.transpose();
        }
        // Not finer than needed: the cell's parent had a line within its own length.
        if (level > 0) {
            EXPECT_LE(least, 2 * cell_m * (1 + std::sqrt(2.0)) + 1e-6);
        }
    }
}

}  // namespace
}  // namespace noonshell
