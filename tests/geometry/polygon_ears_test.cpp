// Polygons cut into triangles, against closed forms: the shoelace area, n + 2 h - 2 triangles for n
// corners and h holes, and each edge of the outline used once in its own direction.
#include <gtest/gtest.h>

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <random>

#include "geometry/polygon_ears.hpp"

namespace noonshell {
namespace {

using Eigen::Vector2d;
using Ring = std::vector<Vector2d>;

Ring rectangle(double x0, double y0, double x1, double y1) {
    return {{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}};
}

Ring reversed(Ring ring) {
    return {ring.rbegin(), ring.rend()};
}

double shoelace_m2(const Ring& ring) {
    double sum = 0;
    for (std::size_t i = 0; i < ring.size(); ++i) {
        const Vector2d &a = ring[i], &b = ring[(i + 1) % ring.size()];
        sum += (a.x() * b.y() - b.x() * a.y()) / 2;
    }
    return sum;
}

void expect_cut_exactly(const PolygonRings& rings) {
    const auto triangles = cut_into_triangles(rings);
    ASSERT_TRUE(triangles);
    Ring corners;
    // How often an edge is run along, less how often it is run back along. A side within is used
    // once each way; one of the outline, once as the outline runs.
    std::map<std::pair<std::uint32_t, std::uint32_t>, int> balance;
    const auto count = [&](std::uint32_t a, std::uint32_t b, int by) {
        balance[std::minmax(a, b)] += a < b ? by : -by;
    };
    double area = 0;
    for (const Ring& ring : rings) {
        const auto first = static_cast<std::uint32_t>(corners.size());
        const auto n = static_cast<std::uint32_t>(ring.size());
        for (std::uint32_t i = 0; i < n; ++i) count(first + i, first + (i + 1) % n, 1);
        corners.insert(corners.end(), ring.begin(), ring.end());
        area += shoelace_m2(ring);
    }
    EXPECT_EQ(triangles->size(), corners.size() + 2 * rings.size() - 4);
    double covered = 0;
    for (const auto& t : *triangles) {
        const double one = shoelace_m2({corners[t[0]], corners[t[1]], corners[t[2]]});
        EXPECT_GT(one, 0);
        covered += one;
        for (std::size_t k = 0; k < 3; ++k) count(t[k], t[(k + 1) % 3], -1);
    }
    EXPECT_NEAR(covered, area, 1e-9 * area);
    for (const auto& [edge, n] : balance) EXPECT_EQ(n, 0) << edge.first << " " << edge.second;
}

TEST(PolygonEars, PlainShapes) {
    expect_cut_exactly({{{0, 0}, {1, 0}, {0, 1}}});
    expect_cut_exactly({rectangle(0, 0, 6, 2)});
    expect_cut_exactly({{{0, 0}, {4, 0}, {1, 1}, {0, 4}}});                  // an arrow head
    expect_cut_exactly({{{0, 0}, {3, 0}, {3, 1}, {1, 1}, {1, 3}, {0, 3}}});  // an L
}

TEST(PolygonEars, CornersInOneLineAreAllUsed) {
    expect_cut_exactly({{{0, 0}, {1, 0}, {2, 0}, {3, 0}, {3, 2}, {1.5, 2}, {0, 2}, {0, 1}}});
    expect_cut_exactly({{{0, 0}, {1, 0}, {2, 0}, {0, 2}}});
}

TEST(PolygonEars, CorrugatedStrip) {
    // Crests and troughs that lie in one line, turned so that no side is along an axis.
    for (const double angle : {0.0, 0.4, 1.1, 2.9}) {
        Ring ring;
        for (int i = 0; i < 120; ++i) ring.emplace_back(0.07 * i, i % 4 < 2 ? 0.0 : -0.036);
        for (int i = 119; i >= 0; --i) ring.emplace_back(0.07 * i, i % 4 < 2 ? 0.0016 : -0.0344);
        for (Vector2d& p : ring) p = Eigen::Rotation2Dd(angle) * p;
        expect_cut_exactly({ring});
    }
}

TEST(PolygonEars, Holes) {
    const Ring outline = rectangle(0, 0, 12, 3);
    expect_cut_exactly({outline, reversed(rectangle(1, 1, 2, 2))});
    expect_cut_exactly({reversed(rectangle(1, 1, 2, 2)), outline});  // in any order
    PolygonRings windows{outline};
    for (int i = 0; i < 5; ++i) {
        windows.push_back(reversed(rectangle(1 + 2 * i, 1, 2 + 2 * i, 2)));
    }
    expect_cut_exactly(windows);
    // Four holes whose nearest corner is the same one.
    PolygonRings around{{{-9, -9}, {9, -9}, {9, 0}, {4, 0}, {9, 0.5}, {9, 9}, {-9, 9}}};
    for (const double y : {-2.0, -0.8, 0.5, 2.0}) {
        around.push_back(reversed(rectangle(2, y, 3, y + 0.4)));
    }
    expect_cut_exactly(around);
}

TEST(PolygonEars, RandomStarsWithAHole) {
    std::mt19937 random(7);
    std::uniform_real_distribution<double> radius(0.4, 3.0);
    for (int round = 0; round < 200; ++round) {
        Ring outline, hole;
        const int n = 4 + round % 60;
        for (int i = 0; i < n; ++i) {
            const double angle = 2 * std::numbers::pi * i / n;
            const Vector2d way(std::cos(angle), std::sin(angle));
            const double r = radius(random);
            outline.push_back(r * way);
            // Each side of the hole keeps within the sector of the outline's: both are stars.
            hole.push_back(0.5 * r * way);
        }
        expect_cut_exactly({outline});
        expect_cut_exactly({outline, reversed(hole)});
    }
}

TEST(PolygonEars, WhatIsNoPolygonIsRefused) {
    const auto refused = [](const PolygonRings& rings) { return !cut_into_triangles(rings); };
    EXPECT_TRUE(refused({{{0, 0}, {2, 2}, {2, 0}, {0, 2}}}));  // an hourglass
    Ring pentagram;  // which winds round its middle twice, and turns left at every corner
    for (int i = 0; i < 5; ++i) {
        const double angle = 4 * std::numbers::pi * i / 5;
        pentagram.emplace_back(std::cos(angle), std::sin(angle));
    }
    EXPECT_TRUE(refused({pentagram}));
    EXPECT_TRUE(refused({rectangle(0, 0, 2, 2), reversed(rectangle(3, 0, 4, 1))}));    // outside
    EXPECT_TRUE(refused({rectangle(0, 0, 2, 2), reversed(rectangle(1, 1, 3, 2))}));    // crossing
    EXPECT_TRUE(refused({rectangle(0, 0, 2, 2), reversed(rectangle(1, 1, 2, 1.5))}));  // touching
    EXPECT_TRUE(refused({rectangle(0, 0, 2, 2), rectangle(3, 0, 4, 1)}));  // two outlines
    EXPECT_TRUE(refused({reversed(rectangle(0, 0, 2, 2))}));
    EXPECT_TRUE(refused({{{0, 0}, {1, 0}, {2, 0}}}));                            // a line
    EXPECT_TRUE(refused({{{0, 0}, {2, 0}, {2, 2}, {2, -1}, {3, -1}, {0, 5}}}));  // folds back
}

}  // namespace
}  // namespace noonshell
