// Shares between surfaces and between their parts against closed forms, and light that cannot get
// out.
#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <vector>

#include "solar/bounce.hpp"
#include "solar/exchange.hpp"
#include "tests/support/plate_envelope.hpp"
#include "tests/support/view_factors.hpp"

namespace noonshell {
namespace {

constexpr double target = 1e-3;  // on a share

struct Range {
    double low, high;
    double length() const { return high - low; }
};
using Rectangle = std::array<Range, 2>;

/// Sum over the corners of two rectangles, as the closed forms for offset rectangles are printed
/// (Howell's catalogue of configuration factors; forms from memory, tied to the
/// printed values of the simple cases below). `kernel` takes the four coordinates.
template <class Kernel>
double corner_sum(const Rectangle& from, const Rectangle& to, const Kernel& kernel) {
    double sum = 0;
    for (int i = 0; i < 16; ++i) {
        const auto pick = [i](const Range& range, int bit) {
            return (i >> bit & 1) != 0 ? range.high : range.low;
        };
        const double sign =
            ((i & 1) + (i >> 1 & 1) + (i >> 2 & 1) + (i >> 3 & 1)) % 2 == 0 ? 1 : -1;
        sum += sign * kernel(pick(from[0], 0), pick(from[1], 1), pick(to[0], 2), pick(to[1], 3));
    }
    return sum / (2 * std::numbers::pi * from[0].length() * from[1].length());
}

/// From one rectangle to another in a parallel plane at distance c; ranges along x and y.
double parallel_share(const Rectangle& from, const Rectangle& to, double c) {
    return corner_sum(from, to, [c](double x, double y, double x2, double y2) {
        const double u = x - x2, v = y - y2;
        const double p = std::hypot(u, c), q = std::hypot(v, c);
        return v * p * std::atan(v / p) + u * q * std::atan(u / q) -
               c * c / 2 * std::log(u * u + v * v + c * c);
    });
}

/// From a rectangle in z = 0 with ranges along the common edge and away from it, to one upright on
/// that edge with ranges along the edge and up.
double perpendicular_share(const Rectangle& from, const Rectangle& to) {
    return corner_sum(from, to, [](double y, double x, double y2, double z) {
        const double v = y - y2, r2 = x * x + z * z;
        const double arc = r2 > 0 ? v * std::sqrt(r2) * std::atan(v / std::sqrt(r2)) : 0.0;
        const double all = r2 + v * v;
        return arc - (all > 0 ? (r2 - v * v) / 4 * std::log(all) : 0.0);
    });
}

TEST(ShareForms, FormsForOffsetRectanglesAgreeWithThePrintedOnes) {
    const Rectangle unit{Range{0, 1}, Range{0, 1}};
    EXPECT_NEAR(parallel_share(unit, unit, 1), 0.19982, 5e-6);
    EXPECT_NEAR(perpendicular_share(unit, unit), 0.20004, 5e-6);
    const Rectangle large{Range{0, 4}, Range{0, 2}};
    EXPECT_NEAR(parallel_share(large, large, 1), view_factors::opposed(4, 2, 1), 1e-9);
    EXPECT_NEAR(perpendicular_share(large, {Range{0, 4}, Range{0, 3}}),
                view_factors::perpendicular(4, 2, 3), 1e-9);
    // HOF21 ch. 4 example 8: floor 6 m by 10 m to a window 3 m by 1.8 m in the middle of its short
    // side, printed 0.036.
    EXPECT_NEAR(perpendicular_share({Range{0, 6}, Range{0, 10}}, {Range{1.5, 4.5}, Range{0, 1.8}}),
                0.036, 5e-4);
}

double share_in(const ExchangeNet& net, std::size_t from, std::size_t to) {
    for (auto e = net.row_begin[from]; e < net.row_begin[from + 1]; ++e) {
        if (net.column[e] == to) return net.share[e];
    }
    return 0;
}

/// Extent of a part along two model axes, from its facets.
Rectangle extent(const PlateEnvelope& plates, const ExchangeMatrix& matrix, std::size_t part,
                 int first_axis, int second_axis) {
    Rectangle box{Range{1e9, -1e9}, Range{1e9, -1e9}};
    const FacetArrays& facets = plates.envelope.facets;
    for (std::size_t f = 0; f < facets.size(); ++f) {
        if (matrix.parts.of_facet[f].index() != part) continue;
        for (auto t = facets.triangle_begin[f]; t < facets.triangle_begin[f + 1]; ++t) {
            for (const Vec3& corner : facets.triangles_m[t]) {
                box[0] = {std::min(box[0].low, corner[first_axis]),
                          std::max(box[0].high, corner[first_axis])};
                box[1] = {std::min(box[1].low, corner[second_axis]),
                          std::max(box[1].high, corner[second_axis])};
            }
        }
    }
    return box;
}

ExchangeMatrix traced(const PlateEnvelope& plates, std::uint32_t rays, double part_size_m) {
    return trace_exchange(plates.envelope, RayScene(plates.envelope.blockers),
                          {.rays_per_facet = rays, .part_size_m = part_size_m});
}

TEST(ShareForms, OpposedRectanglesAndTheirParts) {
    for (const double distance : {0.8, 2.5}) {
        PlateEnvelope plates;
        plates.envelope.ground_z_m = -50;
        plates.add_plate("lower", Vec3(0, 0, 0), Vec3(6, 0, 0), Vec3(0, 3, 0), 9, 9);
        plates.add_plate("upper", Vec3(0, 0, distance), Vec3(0, 3, 0), Vec3(6, 0, 0), 9, 9);
        const auto matrix = traced(plates, 16384, 2.0);
        EXPECT_NEAR(share_in(matrix.surfaces, 0, 1), view_factors::opposed(6, 3, distance), target);
        EXPECT_NEAR(share_in(matrix.surfaces, 1, 0), view_factors::opposed(6, 3, distance), target);
        const auto& begin = matrix.parts.surface_begin;
        ASSERT_EQ(begin[1] - begin[0], 6u);
        for (auto p = begin[0]; p < begin[1]; ++p) {
            for (auto q = begin[1]; q < begin[2]; ++q) {
                const double expected = parallel_share(extent(plates, matrix, p, 0, 1),
                                                       extent(plates, matrix, q, 0, 1), distance);
                EXPECT_NEAR(share_in(matrix.part_net, p, q), expected, target) << p << " to " << q;
            }
        }
    }
}

TEST(ShareForms, PerpendicularRectanglesAndTheirParts) {
    PlateEnvelope plates;
    plates.envelope.ground_z_m = -1;
    plates.add_plate("floor", Vec3(0, 0, 0), Vec3(6, 0, 0), Vec3(0, 6, 0), 9, 9);
    plates.add_plate("wall", Vec3(0, 0, 0), Vec3(0, 0, 3), Vec3(6, 0, 0), 9, 9);
    const auto matrix = traced(plates, 16384, 2.0);
    EXPECT_NEAR(share_in(matrix.surfaces, 0, 1), view_factors::perpendicular(6, 6, 3), target);
    const auto& begin = matrix.parts.surface_begin;
    ASSERT_EQ(begin[1] - begin[0], 9u);
    ASSERT_EQ(begin[2] - begin[1], 6u);
    for (auto p = begin[0]; p < begin[1]; ++p) {
        for (auto q = begin[1]; q < begin[2]; ++q) {
            const double expected = perpendicular_share(extent(plates, matrix, p, 0, 1),
                                                        extent(plates, matrix, q, 0, 2));
            EXPECT_NEAR(share_in(matrix.part_net, p, q), expected, target) << p << " to " << q;
            EXPECT_NEAR(share_in(matrix.part_net, q, p),
                        expected * matrix.parts.area_m2[p] / matrix.parts.area_m2[q], target);
        }
    }
}

// In a closed room of high reflectance r with area A, light P that falls on one wall alone is
// thrown about until all is taken up: every node then sends r P / (A (1 - r)), but for terms of
// order 1 - r, and what is taken up is P (conservation of energy).
TEST(ShareForms, AClosedWhiteRoomEndsEvenlyBright) {
    constexpr double reflectance = 0.999;
    PlateEnvelope room;
    room.envelope.ground_z_m = -1;
    const Vec3 x(6, 0, 0), y(0, 2.4, 0), z(0, 0, 2.6), o(0, 0, 0);
    room.add_plate("floor", o, x, y, 6, 3);
    room.add_plate("ceiling", z, y, x, 3, 6);
    room.add_plate("west", o, y, z, 3, 3);
    room.add_plate("east", x, z, y, 3, 3);
    room.add_plate("south", o, z, x, 3, 6);
    room.add_plate("north", y, x, z, 6, 3);
    const auto matrix = traced(room, 1024, 2.0);
    const std::size_t n = matrix.parts.size();
    ASSERT_GT(n, 20u);
    constexpr std::size_t lanes = BounceSolver::lanes;
    std::vector<double> arriving(n * lanes, 0.0), leaving(n * lanes), bounced(n * lanes);
    double area = 0, power = 0;
    const auto& begin = matrix.parts.surface_begin;
    for (std::size_t p = 0; p < n; ++p) {
        area += matrix.parts.area_m2[p];
        if (p < begin[2] || p >= begin[3]) continue;  // the west wall alone
        arriving[p * lanes] = 100;
        power += 100 * matrix.parts.area_m2[p];
    }
    const BounceSolver solver(matrix.part_net, std::vector<double>(n, reflectance),
                              {.tolerance = 1e-9, .most_sweeps = 100'000});
    solver.solve(arriving, leaving);
    solver.gather(leaving, 0, static_cast<std::uint32_t>(n), bounced);
    const double expected = reflectance * power / (area * (1 - reflectance));
    for (std::size_t p = 0; p < n; ++p) {
        EXPECT_NEAR(leaving[p * lanes] / expected, 1, 0.02) << "part " << p;
    }
    // The same for facets, that see parts by their own rays.
    for (std::size_t f = 0; f < matrix.n_facets; ++f) {
        double light = 0;
        for (auto e = matrix.row_begin[f]; e < matrix.row_begin[f + 1]; ++e) {
            light += matrix.share[e] * leaving[matrix.column[e].index() * lanes];
        }
        EXPECT_NEAR(light / expected, 1, 0.02) << "facet " << f;
    }
    const LightBalance balance = solver.balance(arriving, leaving, bounced)[0];
    EXPECT_NEAR(balance.arriving_w, power, 1e-9 * power);
    EXPECT_NEAR(balance.absorbed_w, power, 1e-6 * power);
    EXPECT_NEAR(balance.escaped_w, 0, 1e-6 * power);
}

}  // namespace
}  // namespace noonshell
