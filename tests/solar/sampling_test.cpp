#include "solar/sampling.hpp"

#include <gtest/gtest.h>

#include <array>
#include <bit>
#include <cmath>
#include <numbers>
#include <set>
#include <utility>

#include "solar/ray_scene.hpp"
#include "tests/support/plate_envelope.hpp"

namespace noonshell {
namespace {

// First points of the sequence as the reference program of [joe2008] prints them for 4 dimensions
// (value from memory).
TEST(Sampling, FirstPointsOfTheSequence) {
    // That program runs through the points in Gray code order; index i here is its i ^ (i >> 1).
    const double expected[8][4] = {{0, 0, 0, 0},
                                   {0.5, 0.5, 0.5, 0.5},
                                   {0.75, 0.25, 0.25, 0.25},
                                   {0.25, 0.75, 0.75, 0.75},
                                   {0.375, 0.375, 0.625, 0.875},
                                   {0.875, 0.875, 0.125, 0.375},
                                   {0.625, 0.125, 0.875, 0.625},
                                   {0.125, 0.625, 0.375, 0.125}};
    for (std::uint32_t i = 0; i < 8; ++i) {
        const auto point = sobol_point(sobol_bits(i ^ (i >> 1)));
        for (std::size_t d = 0; d < 4; ++d) EXPECT_EQ(point[d], expected[i][d]) << i << ", " << d;
    }
}

TEST(Sampling, EveryDimensionAndThePairsUsedFillTheirStrata) {
    const auto shift = digit_shift(12345);
    constexpr std::uint32_t n = 256;
    for (std::size_t d = 0; d < 4; ++d) {
        std::set<int> strata;
        for (std::uint32_t i = 0; i < n; ++i) {
            strata.insert(static_cast<int>(sobol_point(sobol_bits(i) ^ shift)[d] * n));
        }
        EXPECT_EQ(strata.size(), n) << "dimension " << d;
    }
    // Dimensions 0 and 1 are a (0, 2)-sequence: each box 2^-k by 2^(k - 8) holds one point.
    for (int k = 0; k <= 8; ++k) {
        std::set<std::pair<int, int>> boxes;
        for (std::uint32_t i = 0; i < n; ++i) {
            const auto p = sobol_point(sobol_bits(i) ^ shift);
            boxes.insert({static_cast<int>(p[0] * (1 << k)), static_cast<int>(p[1] * (256 >> k))});
        }
        EXPECT_EQ(boxes.size(), n) << "split " << k;
    }
}

TEST(Sampling, ShiftsDifferAndRepeat) {
    EXPECT_EQ(digit_shift(7), digit_shift(7));
    std::set<SobolBits> shifts;
    for (std::uint64_t seed = 0; seed < 1000; ++seed) shifts.insert(digit_shift(seed));
    EXPECT_EQ(shifts.size(), 1000u);
}

TEST(Sampling, FourPointsFallInTheFourQuartersOfARectangle) {
    PlateEnvelope plate;
    plate.add_plate("plate", Vec3(1, 2, 3), Vec3(4, 0, 0), Vec3(0, 2, 0), 2, 2);
    for (std::size_t f = 0; f < 4; ++f) {
        const Vec3 centre = plate.envelope.facets.centroid_m[f];
        std::set<std::pair<bool, bool>> quarters;
        for (const Vec3& p : facet_points(plate.envelope.facets, f, 4)) {
            EXPECT_LT(std::abs(p.x() - centre.x()), 1.0);
            EXPECT_LT(std::abs(p.y() - centre.y()), 0.5);
            EXPECT_NEAR(p.z(), 3 + ray_offset_m, 1e-12);
            quarters.insert({p.x() > centre.x(), p.y() > centre.y()});
        }
        EXPECT_EQ(quarters.size(), 4u) << "facet " << f;
    }
}

TEST(Sampling, NeighbouringFacetsShareOneEvenSequence) {
    // Sixteen equal facets with four points each: laid over each other, one point in each of the 64
    // boxes of any of the seven ways to cut a facet into 64 equal boxes.
    PlateEnvelope plate;
    plate.add_plate("plate", Vec3(0, 0, 0), Vec3(16, 0, 0), Vec3(0, 1, 0), 16, 1);
    for (int k = 0; k <= 6; ++k) {
        std::set<std::pair<int, int>> boxes;
        for (std::size_t f = 0; f < 16; ++f) {
            for (const Vec3& p : facet_points(plate.envelope.facets, f, 4)) {
                const double u = p.x() - static_cast<double>(f), v = p.y();
                boxes.insert({static_cast<int>(u * (1 << k)), static_cast<int>(v * (64 >> k))});
            }
        }
        EXPECT_EQ(boxes.size(), 64u) << "cut " << k;
    }
}

/// Mean of the points of a facet against its centroid, closed form for polygons.
void expect_mean(const FacetArrays& facets, const Vec3& centroid, double tolerance) {
    const FacetSampler sampler(facets, 0);
    Vec3 sum(0, 0, 0);
    constexpr std::uint32_t n = 4096;
    for (std::uint32_t i = 0; i < n; ++i) {
        const auto p = sobol_point(sobol_bits(i) ^ digit_shift(1));
        sum += sampler.point(p[0], p[1]) / n;
    }
    EXPECT_LT((sum - centroid).norm(), tolerance);
}

FacetArrays facet_of(const std::vector<std::array<Vec3, 3>>& triangles) {
    FacetArrays facets;
    facets.triangles_m = triangles;
    facets.triangle_begin = {0, static_cast<std::uint32_t>(triangles.size())};
    facets.area_m2 = {1};
    facets.normal = {Vec3(0, 0, 1)};
    facets.surface = {SurfaceId(std::size_t{0})};
    return facets;
}

TEST(Sampling, PointsAreSpreadByArea) {
    // One triangle, a trapezium of two unequal triangles, a parallelogram cut either way.
    expect_mean(facet_of({{Vec3(0, 0, 0), Vec3(3, 0, 0), Vec3(0, 3, 0)}}), Vec3(1, 1, 0), 2e-3);
    // Trapezium with parallel sides 4 and 2, height 2: centroid height h/3 (a + 2b)/(a + b) = 8/9.
    expect_mean(facet_of({{Vec3(0, 0, 0), Vec3(4, 0, 0), Vec3(3, 2, 0)},
                          {Vec3(0, 0, 0), Vec3(3, 2, 0), Vec3(1, 2, 0)}}),
                Vec3(2, 8.0 / 9, 0), 2e-3);
    const Vec3 a(5, 5, 1), u(2, 1, 0), v(-1, 3, 0.5);
    const Vec3 middle = a + 0.5 * (u + v);
    expect_mean(facet_of({{a, a + u, a + u + v}, {a, a + u + v, a + v}}), middle, 1e-3);
    expect_mean(facet_of({{a + v, a, a + u}, {a + u, a + u + v, a + v}}), middle, 1e-3);
}

TEST(Sampling, TangentsMakeARightHandedFrame) {
    for (const Vec3& n : {Vec3(0, 0, 1), Vec3(0, 0, -1), Vec3(1, 0, 0), Vec3(0, -1, 0),
                          Vec3(1, 2, -3).normalized(), Vec3(1e-9, 0, -1).normalized()}) {
        const Tangents t = tangents_of(n);
        EXPECT_NEAR(t.u.norm(), 1, 1e-12);
        EXPECT_NEAR(t.v.norm(), 1, 1e-12);
        EXPECT_LT((t.u.cross(t.v) - n).norm(), 1e-12);
    }
}

TEST(Sampling, DirectionsHaveTheCosineDensity) {
    // Mean cosine 2/3 and mean square cosine 1/2 (integrals of cos^2 and cos^3 over pi).
    const Vec3 normal = Vec3(1, -2, 2) / 3;
    const Tangents tangents = tangents_of(normal);
    double mean = 0, square = 0;
    Vec3 sideways(0, 0, 0);
    constexpr std::uint32_t n = 8192;
    for (std::uint32_t i = 0; i < n; ++i) {
        const auto p = sobol_point(sobol_bits(i) ^ digit_shift(3));
        const Vec3 d = cosine_direction(normal, tangents, p[0], p[1]);
        EXPECT_NEAR(d.norm(), 1, 1e-12);
        const double cosine = d.dot(normal);
        EXPECT_GT(cosine, 0);
        mean += cosine / n;
        square += cosine * cosine / n;
        sideways += (d - cosine * normal) / n;
    }
    EXPECT_NEAR(mean, 2.0 / 3, 1e-4);
    EXPECT_NEAR(square, 0.5, 1e-4);
    EXPECT_LT(sideways.norm(), 2e-3);
}

// Each of the n / 2 cells holds two points, whatever the shift of a facet's digits.
TEST(Sampling, PointsOfACellStayTogetherUnderAnyShift) {
    for (const std::uint32_t n : {2u, 4u, 8u, 64u, 256u}) {
        const auto pairs = points_by_cell(n);
        ASSERT_EQ(pairs.size(), n / 2);
        const int bits = std::bit_width(n) - 2, across = (bits + 1) / 2, up = bits - across;
        for (const std::size_t facet : {0u, 7u, 1000u}) {
            const SobolBits shift = facet_shift(facet, n, 3);
            std::set<std::pair<int, int>> cells;
            for (const auto& pair : pairs) {
                std::array<std::pair<int, int>, 2> cell;
                for (std::size_t k = 0; k < 2; ++k) {
                    const auto p = sobol_point(sobol_bits(pair[k]) ^ shift);
                    cell[k] = {static_cast<int>(std::ldexp(p[0], across)),
                               static_cast<int>(std::ldexp(p[1], up))};
                }
                EXPECT_EQ(cell[0], cell[1]);
                cells.insert(cell[0]);
            }
            EXPECT_EQ(cells.size(), n / 2);
        }
    }
}

}  // namespace
}  // namespace noonshell
