// How the beam of an hour runs through its suns: hourly means of a beam that is known by the minute
// give back what faces get of it. The beam is the handbook's clear sky ([ashrae2021] ch. 14 eqs
// (16)-(20)), another model than the one that the shares are made from.
#include <gtest/gtest.h>

#include <chrono>
#include <cmath>
#include <numeric>

#include "solar/clean_air.hpp"
#include "solar/clear_sky.hpp"
#include "solar/hour_light.hpp"
#include "solar/hour_sine.hpp"
#include "solar/hour_split.hpp"
#include "solar/sun_path.hpp"

namespace noonshell {
namespace {

using namespace std::chrono;

Site desert() {
    Site site;
    site.latitude_deg = 25;
    site.longitude_deg = 45;
    site.utc_offset_h = 3;
    site.elevation_m = 600;
    return site;
}

Weather hours_of_a_year() {
    Weather weather;
    for (int h = 0; h < 8760; ++h)
        weather.hour_start_utc.push_back(sys_days{2023y / January / 1} + hours(h));
    weather.direct_normal_w_m2.resize(8760);
    weather.diffuse_w_m2.resize(8760);
    weather.global_w_m2.resize(8760);
    return weather;
}

/// What a face gets over a year from a beam of optical depth `tau_b`: by the minute, and from the
/// means of the hours, or of three hours, at suns every ten minutes, Wh/m2.
struct YearOfBeam {
    double by_minute = 0, by_shares = 0, evenly = 0, by_three_hours = 0;
};

/// The weather's beam by hours again, of which but the means of every three are known.
Weather in_three_hours(const Site& site, const Weather& weather) {
    WeatherSamples samples;
    samples.interval_s = 3 * 3600;
    for (std::size_t h = 0; h < weather.size(); h += 3) {
        samples.begin_utc.push_back(weather.hour_start_utc[h]);
        samples[WeatherQuantity::direct_normal].values.push_back(
            (weather.direct_normal_w_m2[h] + weather.direct_normal_w_m2[h + 1] +
             weather.direct_normal_w_m2[h + 2]) /
            3);
    }
    Weather hourly = weather;
    hourly.direct_normal_w_m2 =
        split_to_hours(site, samples, true)[WeatherQuantity::direct_normal].values;
    return hourly;
}

YearOfBeam year_of_beam(const Vec3& normal, double tau_b, double tau_d) {
    const Site site = desert();
    Weather weather = hours_of_a_year();
    const SunPath minutes = sun_path(site, weather, 60);
    YearOfBeam year;
    for (std::size_t h = 0; h < weather.size(); ++h) {
        const double outside =
            extraterrestrial_normal_w_m2(local_day_of_year(site, weather.hour_start_utc[h]));
        for (auto step = minutes.hour_begin[h]; step < minutes.hour_begin[h + 1]; ++step) {
            const double beam =
                clear_sky(minutes.elevation_deg[step], outside, tau_b, tau_d).direct_normal_w_m2 /
                60;
            weather.direct_normal_w_m2[h] += beam;
            year.by_minute += beam * std::max(0.0, normal.dot(minutes.direction[step]));
        }
    }
    const SunPath path = sun_path(site, weather, 600);
    SunPath even = path;
    even.beam_share.clear();
    const Weather of_three = in_three_hours(site, weather);
    const SunPath path_of_three = sun_path(site, of_three, 600);
    for (std::size_t h = 0; h < weather.size(); ++h) {
        year.by_shares += weather.direct_normal_w_m2[h] * path.beam_cosine(h, normal);
        year.by_three_hours +=
            of_three.direct_normal_w_m2[h] * path_of_three.beam_cosine(h, normal);
        year.evenly += weather.direct_normal_w_m2[h] * even.beam_cosine(h, normal);
    }
    return year;
}

double error_percent(double value, double reference) {
    return 100 * (value / reference - 1);
}

/// A face and how near its year's beam has to come. The north wall of the desert sees the sun only
/// while it is low.
struct Face {
    Vec3 normal;
    double most_percent;
};

class BeamOfTheHour : public testing::TestWithParam<Face> {};

TEST_P(BeamOfTheHour, GivesFacesWhatTheMinutesGive) {
    // tau_b and tau_d of a clear winter and of a dusty summer in the desert.
    for (const auto& [tau_b, tau_d] : {std::pair{0.32, 2.4}, std::pair{0.55, 1.8}}) {
        const YearOfBeam year = year_of_beam(GetParam().normal, tau_b, tau_d);
        const double of_shares = error_percent(year.by_shares, year.by_minute);
        const double evenly = error_percent(year.evenly, year.by_minute);
        EXPECT_LT(std::abs(of_shares), GetParam().most_percent) << evenly << " if spread evenly";
        EXPECT_LT(std::abs(of_shares), std::abs(evenly) / 4);
        EXPECT_LT(std::abs(error_percent(year.by_three_hours, year.by_minute)),
                  5 * GetParam().most_percent);
    }
}

INSTANTIATE_TEST_SUITE_P(Faces, BeamOfTheHour,
                         testing::Values(Face{{0, 0, 1}, 0.1}, Face{{0, -0.6, 0.8}, 0.1},
                                         Face{{0, -1, 0}, 0.1}, Face{{1, 0, 0}, 0.1},
                                         Face{{-1, 0, 0}, 0.1}, Face{{0, 1, 0}, 0.6}));

TEST(BeamShare, AddsUpToTheHour) {
    const SunPath path = sun_path(desert(), hours_of_a_year());
    ASSERT_EQ(path.beam_share.size(), path.size());
    for (std::size_t h = 0; h < path.n_hours(); ++h) {
        const std::uint32_t begin = path.hour_begin[h], end = path.hour_begin[h + 1];
        if (begin == end) continue;
        EXPECT_NEAR(
            std::accumulate(path.beam_share.begin() + begin, path.beam_share.begin() + end, 0.0), 1,
            1e-12);
        // Higher suns have more of it.
        EXPECT_EQ(path.beam_share[begin] < path.beam_share[end - 1],
                  path.elevation_deg[begin] < path.elevation_deg[end - 1]);
    }
}

TEST(BeamShare, GlobalLightIsThatOfTheShares) {
    const Site site = desert();
    Weather weather = hours_of_a_year();
    weather.direct_normal_w_m2.assign(weather.size(), 800);
    weather.diffuse_w_m2.assign(weather.size(), 100);
    const SunPath path = sun_path(site, weather, 300);
    const HourSines sines = hour_sines(site, weather);
    for (const HourLight& light : lit_hours(site, weather, path, SkyModel::even).hours) {
        if (!light.sun_up) continue;
        EXPECT_NEAR(light.global_w_m2, 100 + 800 * sines.of_beam[light.hour], 1e-9);
        EXPECT_GE(sines.of_beam[light.hour], sines.while_up[light.hour] - 1e-12);
    }
}

}  // namespace
}  // namespace noonshell
