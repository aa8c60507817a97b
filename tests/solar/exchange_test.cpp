#include "solar/exchange.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "tests/support/plate_envelope.hpp"
#include "tests/support/view_factors.hpp"

namespace noonshell {
namespace {

constexpr double target = 0.003;  // on a share

ExchangeMatrix traced(const PlateEnvelope& plates, const ExchangeOptions& options = {}) {
    return trace_exchange(plates.envelope, RayScene(plates.envelope.blockers), options);
}

double surface_share(const ExchangeMatrix& matrix, SurfaceId from, SurfaceId to) {
    const std::size_t s = from.index();
    for (auto e = matrix.surfaces.row_begin[s]; e < matrix.surfaces.row_begin[s + 1]; ++e) {
        if (matrix.surfaces.column[e] == to.value) return matrix.surfaces.share[e];
    }
    return 0;
}

double surface_row_sum(const ExchangeMatrix& matrix, std::size_t s) {
    double sum = matrix.surfaces.sky_share[s] + matrix.surfaces.ground_share[s] +
                 matrix.surfaces.context_share[s];
    for (auto e = matrix.surfaces.row_begin[s]; e < matrix.surfaces.row_begin[s + 1]; ++e) {
        sum += matrix.surfaces.share[e];
    }
    return sum;
}

double facet_row_sum(const ExchangeMatrix& matrix, std::size_t f) {
    double sum = matrix.sky_share[f] + matrix.ground_share[f] + matrix.context_share[f];
    for (auto e = matrix.row_begin[f]; e < matrix.row_begin[f + 1]; ++e) sum += matrix.share[e];
    return sum;
}

/// Rows close and A_i F_ij = A_j F_ji.
void expect_closed_and_reciprocal(const ExchangeMatrix& matrix) {
    for (std::size_t f = 0; f < matrix.n_facets; ++f) {
        ASSERT_NEAR(facet_row_sum(matrix, f), 1, 1e-12) << "facet " << f;
    }
    for (std::size_t i = 0; i < matrix.surfaces.size(); ++i) {
        ASSERT_NEAR(surface_row_sum(matrix, i), 1, 1e-12) << "surface " << i;
        for (std::size_t j = 0; j < matrix.surfaces.size(); ++j) {
            const double there =
                matrix.surfaces.area_m2[i] * surface_share(matrix, SurfaceId(i), SurfaceId(j));
            const double back =
                matrix.surfaces.area_m2[j] * surface_share(matrix, SurfaceId(j), SurfaceId(i));
            ASSERT_NEAR(there, back, 1e-10 * (1 + there)) << i << " and " << j;
        }
    }
}

// Isotropic sky and ground on a tilted plane: (1 +- cos tilt) / 2; horizon term sin tilt
// [perez1990].
TEST(Exchange, FreeFacetsAreExactAtAnyTilt) {
    for (const double tilt_deg :
         {0.0, 0.001, 10.0, 30.0, 45.0, 60.0, 90.0, 120.0, 179.999, 180.0}) {
        for (const double azimuth_deg : {0.0, 33.0}) {
            const double tilt = tilt_deg * std::numbers::pi / 180;
            const double azimuth = azimuth_deg * std::numbers::pi / 180;
            const Vec3 u(std::cos(azimuth), std::sin(azimuth), 0);
            const Vec3 v = std::cos(tilt) * Vec3(-u.y(), u.x(), 0) + std::sin(tilt) * Vec3(0, 0, 1);
            PlateEnvelope plate;
            plate.add_plate("plate", Vec3(0, 0, 5), u, v, 2, 2);
            const auto matrix = traced(plate);
            for (std::size_t f = 0; f < 4; ++f) {
                EXPECT_NEAR(matrix.sky_share[f], 0.5 * (1 + std::cos(tilt)), 1e-12) << tilt_deg;
                EXPECT_NEAR(matrix.ground_share[f], 0.5 * (1 - std::cos(tilt)), 1e-12) << tilt_deg;
                EXPECT_NEAR(matrix.horizon_share[f], std::sin(tilt), 1e-12) << tilt_deg;
                EXPECT_NEAR(facet_row_sum(matrix, f), 1, 1e-12);
            }
            EXPECT_NEAR(matrix.surfaces.sky_share[0], 0.5 * (1 + std::cos(tilt)), 1e-12);
            EXPECT_NEAR(matrix.surfaces.horizon_share[0], std::sin(tilt), 1e-12);
            EXPECT_EQ(matrix.reciprocity_error, 0);
        }
    }
}

// The closed forms themselves against printed and derived values: unit cube; ASHRAE Handbook
// Fundamentals 2021 ch. 4, example 8.
TEST(Exchange, ClosedFormsOfTheTests) {
    EXPECT_NEAR(view_factors::opposed(1, 1, 1), 0.19982, 5e-6);
    EXPECT_NEAR(view_factors::perpendicular(1, 1, 1), 0.20004, 5e-6);
    EXPECT_NEAR(view_factors::perpendicular(4.5, 10, 1.8), 0.06106, 5e-6);
    EXPECT_NEAR(view_factors::perpendicular(1.5, 10, 1.8), 0.04101, 5e-6);
}

TEST(Exchange, OpposedRectangles) {
    struct Case {
        double a, b, c;
    };
    for (const auto& [a, b, c] : {Case{1, 1, 1}, {4, 2, 1}, {12.192, 2.438, 0.8}, {1, 1, 3}}) {
        PlateEnvelope plates;
        plates.envelope.ground_z_m = -50;
        const auto lower =
            plates.add_plate("lower", Vec3(0, 0, 0), Vec3(a, 0, 0), Vec3(0, b, 0), 6, 6);
        const auto upper =
            plates.add_plate("upper", Vec3(0, 0, c), Vec3(0, b, 0), Vec3(a, 0, 0), 6, 6);
        const auto matrix = traced(plates);
        const double expected = view_factors::opposed(a, b, c);
        EXPECT_NEAR(surface_share(matrix, lower, upper), expected, target)
            << a << " " << b << " " << c;
        EXPECT_NEAR(surface_share(matrix, upper, lower), expected, target);
        EXPECT_NEAR(matrix.surfaces.sky_share[lower.index()], 1 - expected, target);
        EXPECT_NEAR(matrix.surfaces.ground_share[upper.index()], 1 - expected, target);
        EXPECT_LT(matrix.reciprocity_error, target);
        expect_closed_and_reciprocal(matrix);
    }
}

TEST(Exchange, PerpendicularRectanglesWithACommonEdge) {
    struct Case {
        double edge, depth, height;
    };
    for (const auto& [edge, depth, height] :
         {Case{1, 1, 1}, {6, 2, 2.5}, {2, 6, 1}, {12.192, 1.2, 2.896}}) {
        PlateEnvelope plates;
        plates.envelope.ground_z_m = -1;
        const auto floor =
            plates.add_plate("floor", Vec3(0, 0, 0), Vec3(edge, 0, 0), Vec3(0, depth, 0), 6, 6);
        const auto wall =
            plates.add_plate("wall", Vec3(0, 0, 0), Vec3(0, 0, height), Vec3(edge, 0, 0), 6, 6);
        const auto matrix = traced(plates);
        const double expected = view_factors::perpendicular(edge, depth, height);
        EXPECT_NEAR(surface_share(matrix, floor, wall), expected, target);
        EXPECT_NEAR(surface_share(matrix, wall, floor), expected * depth / height, target);
        expect_closed_and_reciprocal(matrix);
    }
}

// ASHRAE Handbook Fundamentals 2021 ch. 4 example 8: a window 3 m by 1.8 m at floor level, centred
// on the 6 m wall of a 6 m by 10 m floor; printed floor-to-window factor 0.036.
TEST(Exchange, FloorToWindowOfTheHandbookExample) {
    PlateEnvelope plates;
    const auto floor =
        plates.add_plate("floor", Vec3(0, 0, 0), Vec3(6, 0, 0), Vec3(0, 10, 0), 12, 20);
    const auto window =
        plates.add_plate("window", Vec3(1.5, 0, 0), Vec3(0, 0, 1.8), Vec3(3, 0, 0), 6, 6);
    const auto matrix = traced(plates);
    const double exact = (45 * view_factors::perpendicular(4.5, 10, 1.8) -
                          15 * view_factors::perpendicular(1.5, 10, 1.8)) /
                         60;
    EXPECT_NEAR(exact, 0.036, 0.0005);
    EXPECT_NEAR(surface_share(matrix, floor, window), exact, 0.0005);
    EXPECT_NEAR(surface_share(matrix, floor, window), 0.036, 0.001);
}

PlateEnvelope room(const Vec3& size, int cells) {
    PlateEnvelope room;
    const Vec3 x(size.x(), 0, 0), y(0, size.y(), 0), z(0, 0, size.z()), o(0, 0, 0);
    room.add_plate("floor", o, x, y, cells, cells);
    room.add_plate("ceiling", z, y, x, cells, cells);
    room.add_plate("west", o, y, z, cells, cells);
    room.add_plate("east", x, z, y, cells, cells);
    room.add_plate("south", o, z, x, cells, cells);
    room.add_plate("north", y, x, z, cells, cells);
    return room;
}

TEST(Exchange, NothingLeavesAClosedRoom) {
    PlateEnvelope cube = room(Vec3(1, 1, 1), 4);
    cube.envelope.ground_z_m = -1;
    const auto matrix = traced(cube);
    for (std::size_t s = 0; s < 6; ++s) {
        EXPECT_EQ(matrix.surfaces.sky_share[s], 0);
        EXPECT_EQ(matrix.surfaces.ground_share[s], 0);
        for (std::size_t t = 0; t < 6; ++t) {
            const double expected = s == t ? 0 : (s / 2 == t / 2 ? 0.19982 : 0.20004);
            EXPECT_NEAR(surface_share(matrix, SurfaceId(s), SurfaceId(t)), expected, target);
        }
    }
    expect_closed_and_reciprocal(matrix);
    expect_closed_and_reciprocal(traced(room(Vec3(12, 2.4, 2.6), 5)));
}

/// Visible part of the band below 6.5 degrees from a wall of an endless street, by quadrature:
/// toward azimuth a off the normal the other wall hides what is below the top by w tan(e) / cos(a).
double street_horizon(double height, double width) {
    double visible = 0, all = 0;
    constexpr int n = 400;
    for (int i = 0; i < n; ++i) {
        const double e = (i + 0.5) / n * 6.5 * std::numbers::pi / 180;
        for (int j = 0; j < n; ++j) {
            const double a = (j + 0.5) / n * std::numbers::pi / 2;
            const double weight = std::cos(e) * std::cos(e) * std::cos(a);
            all += weight;
            visible += weight * std::min(1.0, width * std::tan(e) / std::cos(a) / height);
        }
    }
    return visible / all;
}

// Crossed strings (Hottel): in an endless street of width w between walls of height h a wall sees
// the other by sqrt(1 + (w/h)^2) - w/h, and sky and ground by half the rest each.
TEST(Exchange, LongStreetByCrossedStrings) {
    constexpr double height = 3, width = 2, length = 2000;
    PlateEnvelope street;
    const auto west =
        street.add_plate("west", Vec3(0, -0.5, 0), Vec3(0, 1, 0), Vec3(0, 0, height), 2, 16);
    street.add_blocker(Vec3(width, -length / 2, 0), Vec3(0, length, 0), Vec3(0, 0, height));
    const auto matrix = traced(street);
    const double ratio = width / height;
    const double other = std::sqrt(1 + ratio * ratio) - ratio;
    const std::size_t s = west.index();
    EXPECT_NEAR(matrix.surfaces.context_share[s], other, target);
    EXPECT_NEAR(matrix.surfaces.sky_share[s], 0.5 * (1 - other), target);
    EXPECT_NEAR(matrix.surfaces.ground_share[s], 0.5 * (1 - other), target);
    EXPECT_NEAR(matrix.surfaces.horizon_share[s], street_horizon(height, width), 0.005);
    expect_closed_and_reciprocal(matrix);
}

TEST(Exchange, WhatLiesBelowTheGroundPlaneIsNotSeen) {
    PlateEnvelope plates;
    plates.envelope.ground_z_m = 0;
    plates.add_plate("wall", Vec3(0, 0, 0.5), Vec3(2, 0, 0), Vec3(0, 0, 2), 4, 4);
    plates.add_blocker(Vec3(-50, -50, -0.5), Vec3(100, 0, 0), Vec3(0, 100, 0));  // cellar roof
    plates.add_blocker(Vec3(-50, -50, 0), Vec3(100, 0, 0), Vec3(0, 100, 0));     // slab, flush
    const auto buried =
        plates.add_plate("cellar", Vec3(0, 0, -3), Vec3(2, 0, 0), Vec3(0, 0, 2), 2, 2);
    const auto matrix = traced(plates);
    EXPECT_NEAR(matrix.surfaces.ground_share[0], 0.5, 1e-12);
    EXPECT_NEAR(matrix.surfaces.sky_share[0], 0.5, 1e-12);
    EXPECT_EQ(matrix.surfaces.ground_share[buried.index()], 1);
    expect_closed_and_reciprocal(matrix);
}

TEST(Exchange, HalfTheHorizonBehindATallScreen) {
    PlateEnvelope plates;
    plates.add_plate("wall", Vec3(-0.005, 0, 1), Vec3(0.01, 0, 0), Vec3(0, 0, 0.01), 1, 1);
    plates.add_blocker(Vec3(0, -1, -50), Vec3(5000, 0, 0), Vec3(0, 0, 200));  // hides all of x > 0
    ExchangeOptions options;
    options.rays_per_facet = 16384;
    EXPECT_NEAR(traced(plates, options).horizon_share[0], 0.5, 0.01);
}

TEST(Exchange, CoveredFacetsHaveEmptyRows) {
    PlateEnvelope plates;
    plates.add_plate("roof", Vec3(0, 0, 3), Vec3(4, 0, 0), Vec3(0, 2, 0), 4, 2);
    plates.add_plate("wall", Vec3(0, 0, 3), Vec3(4, 0, 0), Vec3(0, 0, 2), 4, 2);
    for (const std::size_t f : {0u, 1u, 2u}) plates.envelope.facets.covered[f] = 1;
    const auto matrix = traced(plates);
    for (const std::size_t f : {0u, 1u, 2u}) EXPECT_EQ(facet_row_sum(matrix, f), 0);
    EXPECT_NEAR(matrix.surfaces.area_m2[0], 5, 1e-12);
    for (std::size_t s = 0; s < 2; ++s) EXPECT_NEAR(surface_row_sum(matrix, s), 1, 1e-12);
    for (std::size_t f = 3; f < 8; ++f) plates.envelope.facets.covered[f] = 1;
    const auto dark = traced(plates);
    EXPECT_EQ(surface_row_sum(dark, 0), 0);
    EXPECT_NEAR(surface_row_sum(dark, 1), 1, 1e-12);
}

PlateEnvelope yard() {
    PlateEnvelope plates;
    plates.add_box("a", Vec3(0, 0, 0), Vec3(6, 2.4, 2.6), 0, 0.6);
    plates.add_box("b", Vec3(1, 5, 0), Vec3(6, 2.4, 2.6), 30, 0.6);
    plates.add_box("c", Vec3(0, 1, 3.2), Vec3(8, 5, 0.05), 0, 0.6);
    return plates;
}

TEST(Exchange, AYardOfBoxesClosesAndRepeatsAtAnyThreadCount) {
    const PlateEnvelope plates = yard();
    ExchangeOptions options;
    options.threads = 1;
    const auto one = traced(plates, options);
    options.threads = 2;
    const auto two = traced(plates, options);
    expect_closed_and_reciprocal(one);
    EXPECT_LT(one.reciprocity_error, target);
    EXPECT_EQ(one.sky_share, two.sky_share);
    EXPECT_EQ(one.horizon_share, two.horizon_share);
    EXPECT_EQ(one.column, two.column);
    EXPECT_EQ(one.share, two.share);
    EXPECT_EQ(one.surfaces.share, two.surfaces.share);
    EXPECT_EQ(one.surfaces.sky_share, two.surfaces.sky_share);
}

TEST(Exchange, MoreRaysMoveSurfaceSharesByLessThanTheTarget) {
    const PlateEnvelope plates = yard();
    ExchangeOptions fine;
    fine.rays_per_facet = 16384;
    const auto few = traced(plates), many = traced(plates, fine);
    for (std::size_t s = 0; s < few.surfaces.size(); ++s) {
        EXPECT_NEAR(few.surfaces.sky_share[s], many.surfaces.sky_share[s], target) << s;
        EXPECT_NEAR(few.surfaces.ground_share[s], many.surfaces.ground_share[s], target) << s;
    }
}

TEST(Exchange, OptionsOutOfRangeAreRefused) {
    const PlateEnvelope plates = yard();
    for (const std::uint32_t rays : {0u, 8u, 500u, 1u << 20}) {
        EXPECT_THROW(traced(plates, {.rays_per_facet = rays}), InputError) << rays;
    }
    EXPECT_THROW(traced(plates, {.horizon_band_deg = -1}), InputError);
    EXPECT_THROW(traced(plates, {.horizon_band_deg = std::nan("")}), InputError);
}

}  // namespace
}  // namespace noonshell
