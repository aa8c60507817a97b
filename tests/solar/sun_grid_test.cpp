// Shadows read from a grid of suns: what the reading is exact for, and how near a year of shadows
// comes to one traced at every sun.
#include "solar/sun_grid.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <vector>

#include "geometry/diagnostics.hpp"
#include "solar/exposure.hpp"
#include "tests/support/made_suns.hpp"
#include "tests/support/plate_envelope.hpp"

namespace noonshell {
namespace {

constexpr double degree = std::numbers::pi / 180;

/// A year of ten-minute suns at 27.4 degrees north; the model's axes are those of the compass.
MadeSuns year_with_pole(int day_stride = 1) {
    MadeSuns suns = sun_year(27.4, day_stride);
    suns.path.pole = Vec3(0, std::cos(27.4 * degree), std::sin(27.4 * degree));
    return suns;
}

std::vector<SunRow> rows_of(const SunPath& path) {
    std::vector<SunRow> rows;
    for (std::size_t h = 0; h < path.n_hours(); ++h) {
        if (path.hour_begin[h] == path.hour_begin[h + 1]) continue;
        rows.push_back({.begin = path.hour_begin[h], .end = path.hour_begin[h + 1]});
    }
    return rows;
}

/// Declination and hour angle by their definition: the angle above the plane square to the pole,
/// and the turn about the pole from the meridian on.
double declination_of(const SunPath& path, const Vec3& direction) {
    return std::asin(path.pole.dot(direction));
}
double hour_angle_of(const SunPath& path, const Vec3& direction) {
    const Vec3 west(-1, 0, 0);
    return std::atan2(direction.dot(west), direction.dot(path.pole.cross(west)));
}

TEST(SunGrid, NeedsFarFewerSunsThanTheYearHas) {
    const MadeSuns suns = year_with_pole();
    const SunGrid grid = sun_grid(suns.path, rows_of(suns.path), 1.0, 2.5);
    ASSERT_FALSE(grid.empty());
    EXPECT_LT(grid.node.size(), suns.path.size() / 6);
    for (const Vec3& node : grid.node) EXPECT_NEAR(node.norm(), 1, 1e-12);
}

// Keys 1981: cubic convolution gives back every quadratic; on each line of the grid separately.
TEST(SunGrid, ReadsQuadraticsExactly) {
    const MadeSuns suns = year_with_pole();
    const SunGrid grid = sun_grid(suns.path, rows_of(suns.path), 1.0, 2.5);
    ASSERT_FALSE(grid.empty());
    const auto value = [&](const Vec3& d) {
        const double x = declination_of(suns.path, d), y = hour_angle_of(suns.path, d);
        return 1 + 2 * x - 3 * y + 4 * x * x + 5 * x * y - 2 * y * y;
    };
    const double edge_declination = 22.0 * degree, edge_hour_angle = 95 * degree;
    std::size_t inside = 0;
    for (std::size_t k = 0; k < suns.path.size(); ++k) {
        double weights = 0, read = 0;
        for (std::size_t i = 0; i < SunGrid::stencil; ++i) {
            const auto weight = static_cast<double>(grid.weights_of_step[k][i]);
            weights += weight;
            read += weight * value(grid.node[grid.nodes_of_step[k][i]]);
        }
        EXPECT_NEAR(weights, 1, 1e-6);
        const Vec3& sun = suns.path.direction[k];
        // At the ends of a line there is no fourth neighbour: a straight line stands in.
        if (std::abs(declination_of(suns.path, sun)) > edge_declination ||
            std::abs(hour_angle_of(suns.path, sun)) > edge_hour_angle) {
            continue;
        }
        ++inside;
        EXPECT_NEAR(read, value(sun), 2e-6);  // single precision weights
    }
    EXPECT_GT(inside, suns.path.size() / 2);
}

TEST(SunGrid, IsNotMadeForFewSunsOrWithoutAPole) {
    const MadeSuns sparse = year_with_pole(30);
    EXPECT_TRUE(sun_grid(sparse.path, rows_of(sparse.path), 1.0, 2.5).empty());
    const MadeSuns no_pole = sun_year(27.4);
    EXPECT_TRUE(sun_grid(no_pole.path, rows_of(no_pole.path), 1.0, 2.5).empty());
    const MadeSuns suns = year_with_pole();
    EXPECT_THROW(sun_grid(suns.path, rows_of(suns.path), 0, 2.5), InputError);
    EXPECT_THROW(sun_grid(suns.path, rows_of(suns.path), 1, std::nan("")), InputError);
    EXPECT_TRUE(sun_grid(suns.path, {}, 1.0, 2.5).empty());
}

/// A wall to the south under an overhang, one to the east beside a fin, and a roof under a shade.
struct ShadedYard {
    PlateEnvelope plates;
    std::vector<SurfaceId> surfaces;

    ShadedYard() {
        surfaces.push_back(
            plates.add_plate("south", Vec3(0, 0, 0), Vec3(6, 0, 0), Vec3(0, 0, 2.6), 12, 6));
        plates.add_blocker(Vec3(-0.5, -1.2, 2.7), Vec3(7, 0, 0), Vec3(0, 1.2, 0));
        surfaces.push_back(
            plates.add_plate("east", Vec3(8, 0, 0), Vec3(0, 4, 0), Vec3(0, 0, 2.6), 8, 6));
        plates.add_blocker(Vec3(8, 4.1, 0), Vec3(2, 0, 0), Vec3(0, 0, 2.6));
        surfaces.push_back(
            plates.add_plate("roof", Vec3(20, 0, 2.6), Vec3(6, 0, 0), Vec3(0, 2.4, 0), 12, 5));
        plates.add_blocker(Vec3(19, -1, 3.4), Vec3(8, 0, 0), Vec3(0, 4, 0));
    }

    Sunlight trace(const MadeSuns& suns, bool every_sun) const {
        ExposureOptions options;
        options.surface_tolerance = 0;  // the same points either way
        options.every_sun = every_sun;
        for (std::size_t h = 0; h < suns.weather.size(); ++h) {
            options.bin_of_hour.push_back(static_cast<std::uint8_t>(h * 12 / suns.weather.size()));
        }
        return trace_sunlight(plates.envelope, RayScene(plates.envelope.blockers), suns.path,
                              suns.weather, options);
    }
};

/// Against the second method: the same points, a ray or a proof for every sun of the year.
TEST(SunGrid, AYearOfShadowsIsThatOfEverySun) {
    const ShadedYard yard;
    const MadeSuns suns = year_with_pole();
    const Sunlight fast = yard.trace(suns, false), every = yard.trace(suns, true);
    EXPECT_LT(fast.answers, every.answers / 5);
    for (const SurfaceId surface : yard.surfaces) {
        const double whole = yard.plates.mean(surface, every.direct_wh_m2);
        EXPECT_LT(whole, 0.97 * yard.plates.mean(surface, every.unshaded_direct_wh_m2));
        EXPECT_NEAR(yard.plates.mean(surface, fast.direct_wh_m2), whole, 1e-3 * whole);
        EXPECT_DOUBLE_EQ(yard.plates.mean(surface, fast.unshaded_direct_wh_m2),
                         yard.plates.mean(surface, every.unshaded_direct_wh_m2));
        EXPECT_NEAR(yard.plates.mean(surface, fast.sun_time_h),
                    yard.plates.mean(surface, every.sun_time_h),
                    2e-3 * yard.plates.mean(surface, every.sun_time_h));
    }
}

/// Hours of a bin sum to the bin, and none of them is darker than night or brighter than a sun with
/// nothing in the way.
TEST(SunGrid, HoursSumToTheirBinsAndStayInBounds) {
    const ShadedYard yard;
    const MadeSuns suns = year_with_pole();
    const Sunlight fast = yard.trace(suns, false), every = yard.trace(suns, true);
    ASSERT_EQ(fast.n_parts, every.n_parts);
    const LightParts parts = light_parts(yard.plates.envelope, 2.0);
    std::vector<double> by_hours(parts.size() * fast.n_bins, 0.0), by_bins(by_hours);
    double apart = 0, whole = 0;
    for (std::size_t row = 0; row < fast.sun_hours.size(); ++row) {
        const std::uint32_t hour = fast.sun_hours[row];
        const std::size_t bin = hour * 12 / suns.weather.size();
        for (std::size_t p = 0; p < parts.size(); ++p) {
            const auto lit = static_cast<double>(fast.part_lit_cosine[row * fast.n_parts + p]);
            const auto true_lit =
                static_cast<double>(every.part_lit_cosine[row * fast.n_parts + p]);
            EXPECT_GE(lit, 0);
            EXPECT_LE(lit, 1.02);
            by_hours[p * fast.n_bins + bin] += suns.weather.direct_normal_w_m2[hour] * lit;
            apart += std::abs(lit - true_lit);
            whole += true_lit;
        }
    }
    for (std::size_t f = 0; f < fast.n_facets; ++f) {
        const std::size_t p = parts.of_facet[f].index();
        for (std::size_t bin = 0; bin < fast.n_bins; ++bin) {
            by_bins[p * fast.n_bins + bin] += yard.plates.envelope.facets.area_m2[f] /
                                              parts.area_m2[p] *
                                              fast.direct_by_bin_wh_m2[bin * fast.n_facets + f];
        }
    }
    for (std::size_t i = 0; i < by_bins.size(); ++i) {
        EXPECT_NEAR(by_hours[i], by_bins[i], 1e-4 * by_bins[i] + 10);  // of some 1e4 Wh/m2
    }
    EXPECT_LT(apart, 0.02 * whole);  // of an hour, on parts of 2 m
}

}  // namespace
}  // namespace noonshell
