// Hours, days and months of a surface: they add up, and the extremes are where the sun puts them.
#include "solar/surface_hours.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numeric>

#include "solar/site_sun.hpp"
#include "tests/support/made_suns.hpp"
#include "tests/support/plate_envelope.hpp"

namespace noonshell {
namespace {

constexpr double hour_s = 3600;

/// A box beside a higher one, some weeks of a made year at 27 degrees north.
struct Yard {
    PlateEnvelope plates;
    MadeSuns suns = sun_year(27, 10);
    Site site;
    SiteSun sun;

    explicit Yard(bool keep_facet_hours = false) {
        site.latitude_deg = 27;
        plates.add_box("low", {0, 0, 0}, {6, 2.4, 2.6}, 10, 0.5);
        plates.add_box("high", {1, -4, 0}, {6, 2.4, 5.2}, -5, 0.5);
        const std::vector<double> reflectance(plates.envelope.surfaces.size(), 0.4);
        SiteSunOptions options;
        options.keep_facet_hours = keep_facet_hours;
        options.rays_per_facet = 64;
        sun = find_sun(plates.envelope, site, suns.weather, suns.path, reflectance, options);
    }
};

double relative_gap(double a, double b) {
    return std::abs(a - b) / std::max(1.0, std::max(std::abs(a), std::abs(b)));
}

TEST(SurfaceHours, MonthsOfASurfaceAddUpToItsYear) {
    const Yard yard;
    const auto month = month_of_hour(yard.site, yard.suns.weather);
    const SurfaceBins bins = surface_bins(yard.sun.exposure, month, 12);
    ASSERT_EQ(bins.n_bins, 12u);
    for (std::size_t s = 0; s < bins.n_surfaces; ++s) {
        const SurfaceId id(s);
        double direct = 0, total = 0;
        for (std::size_t m = 0; m < 12; ++m) {
            direct += bins.direct_wh_m2[bins.at(m, id)];
            total += bins.total_wh_m2(bins.at(m, id));
        }
        EXPECT_LT(relative_gap(direct, yard.sun.surfaces.direct_wh_m2[s]), 1e-12);
        EXPECT_LT(relative_gap(total, yard.sun.surfaces.total_wh_m2(id)), 1e-12);
    }
}

TEST(SurfaceHours, HoursOfAMonthAddUpToIt) {
    const Yard yard;
    const auto month = month_of_hour(yard.site, yard.suns.weather);
    const SurfaceBins bins = surface_bins(yard.sun.exposure, month, 12);
    const SurfaceId roof(std::size_t{0});
    double sum = 0;
    for (std::size_t h = 0; h < month.size(); ++h) {
        if (month[h] == 0) sum += yard.sun.exposure.sky_w_m2[yard.sun.exposure.at(h, roof)];
    }
    EXPECT_GT(sum, 0);
    EXPECT_LT(relative_gap(sum, bins.sky_wh_m2[bins.at(0, roof)]), 1e-12);
}

TEST(SurfaceHours, FacetsAddUpToTheirSurfaceMonthByMonth) {
    const Yard yard;
    const auto month = month_of_hour(yard.site, yard.suns.weather);
    const SurfaceBins bins = surface_bins(yard.sun.exposure, month, 12);
    const FacetSun& facets = yard.sun.facets;
    for (std::size_t s = 0; s < bins.n_surfaces; ++s) {
        const SurfaceId id(s);
        for (const std::size_t m : {0u, 1u}) {
            const auto of_month = [&](const std::vector<double>& by_bin) {
                const auto first = by_bin.begin() + static_cast<long>(m * facets.n_facets);
                return yard.plates.mean(
                    id, std::vector<double>(first, first + static_cast<long>(facets.n_facets)));
            };
            const std::size_t i = bins.at(m, id);
            // Single precision of the traced cosines.
            EXPECT_NEAR(of_month(facets.direct_wh_m2), bins.direct_wh_m2[i],
                        1e-5 * bins.direct_wh_m2[i] + 1e-3)
                << s << " " << m;
        }
    }
}

TEST(SurfaceHours, TheSunlitShareSplitsTheDirectSun) {
    const Yard yard;
    const SunlitShare sunlit(yard.sun.scenery, yard.suns.path, yard.sun.exchange.parts,
                             yard.sun.sunlight);
    std::size_t partly = 0;
    for (std::size_t h = 0; h < yard.suns.weather.size(); ++h) {
        for (std::size_t s = 0; s < yard.sun.exposure.n_surfaces; ++s) {
            const SurfaceId id(s);
            const SunlitShare::Value value = sunlit.at(h, id);
            ASSERT_GE(value.share, 0);
            ASSERT_LE(value.share, 1);
            partly += value.share > 0.01 && value.share < 0.99 ? 1u : 0u;
            const double direct =
                yard.suns.weather.direct_normal_w_m2[h] * value.unshaded_cosine * value.share;
            ASSERT_NEAR(direct, yard.sun.exposure.direct_w_m2[yard.sun.exposure.at(h, id)], 1e-3);
        }
    }
    EXPECT_GT(partly, 100u);
}

/// One level slab on the ground under suns of three hours; the sky is dark.
struct ThreeHours {
    PlateEnvelope plates;
    MadeSuns suns;
    Site site;

    std::vector<SunTimes> times() {
        plates.add_plate("slab", {0, 0, 0}, {1, 0, 0}, {0, 1, 0}, 2, 2);
        const SiteSun sun = find_sun(plates.envelope, site, suns.weather, suns.path,
                                     std::vector<double>{0.0}, SiteSunOptions{});
        return sun_times(sun.scenery, site, suns.weather, suns.path, sun.exchange.parts,
                         sun.sunlight, sun.exposure);
    }
};

TEST(SunTimes, WorstHourAndDayAreThoseWithTheMostLight) {
    ThreeHours made;
    for (int hour = 0; hour < 72; ++hour) {
        const bool noon = hour % 24 == 12;
        const int day = hour / 24;
        // The second day has the most in all, the third the brightest hour.
        const double beam = noon ? (day == 2 ? 900 : 500) : (day == 1 && hour % 24 == 13 ? 600 : 0);
        made.suns.add_hour(beam > 0 ? std::vector<Vec3>{toward_sun(180, 90)} : std::vector<Vec3>{},
                           beam, 0);
    }
    made.suns.path.step_s = 3600;
    const SunTimes times = made.times()[0];
    EXPECT_EQ(times.worst_hour, 60u);
    EXPECT_NEAR(times.worst_hour_w_m2, 900, 1e-3);
    EXPECT_EQ(times.worst_day_begin, 24u);
    EXPECT_NEAR(times.worst_day_wh_m2, 1100, 1e-3);
}

TEST(SunTimes, DaysAreThoseOfTheSite) {
    // 23:00 and 00:00 UTC are 1:00 and 2:00 of one local day at +2.
    ThreeHours made;
    made.site.utc_offset_h = 2;
    for (int hour = 0; hour < 48; ++hour) {
        const bool sun = hour == 23 || hour == 24 || hour == 3;
        made.suns.add_hour(sun ? std::vector<Vec3>{toward_sun(180, 90)} : std::vector<Vec3>{},
                           sun ? 700 : 0, 0);
    }
    made.suns.path.step_s = 3600;
    const SunTimes times = made.times()[0];
    EXPECT_EQ(times.worst_day_begin, 22u);
    EXPECT_NEAR(times.worst_day_wh_m2, 1400, 1e-3);
    EXPECT_NEAR(*times.earliest_sun_s, 1 * hour_s, 1e-9);
    EXPECT_NEAR(*times.latest_sun_s, 6 * hour_s, 1e-9);  // 3:00 UTC and the hour after it
}

TEST(SunTimes, SunriseAndSunsetAreToldToTheStep) {
    // Sun up in the last two of six steps of 5:00, and in the first step of 7:00.
    ThreeHours made;
    for (int hour = 0; hour < 24; ++hour) {
        std::vector<Vec3> suns;
        if (hour == 5) suns = {toward_sun(90, 1), toward_sun(90, 3)};
        if (hour == 6)
            suns = {toward_sun(100, 5),  toward_sun(110, 8), toward_sun(120, 9),
                    toward_sun(150, 10), toward_sun(160, 8), toward_sun(200, 4)};
        if (hour == 7) suns = {toward_sun(210, 1)};
        made.suns.add_hour(suns, suns.empty() ? 0 : 400, 0);
    }
    const SunTimes times = made.times()[0];
    EXPECT_NEAR(*times.earliest_sun_s, 5 * hour_s + 2400, 1e-9);
    EXPECT_NEAR(*times.latest_sun_s, 7 * hour_s + 600, 1e-9);
}

TEST(SunTimes, AWallThatTheSunNeverReachesHasNone) {
    const Yard yard;
    const auto times = sun_times(yard.sun.scenery, yard.site, yard.suns.weather, yard.suns.path,
                                 yard.sun.exchange.parts, yard.sun.sunlight, yard.sun.exposure);
    for (std::size_t s = 0; s < times.size(); ++s) {
        const bool sunny = yard.sun.surfaces.direct_wh_m2[s] > 0;
        EXPECT_EQ(times[s].earliest_sun_s.has_value(), sunny) << s;
        EXPECT_EQ(times[s].latest_sun_s.has_value(), sunny) << s;
    }
    EXPECT_FALSE(times[5].earliest_sun_s.has_value());  // the floor
    EXPECT_LT(*times[0].earliest_sun_s, 7 * hour_s);    // the roof
}

}  // namespace
}  // namespace noonshell
