// Does this weather belong to this site? Checks that find the usual slips: a latitude without its
// minus sign, a time zone or longitude of another place, a file of another town.
#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <numbers>
#include <string>

#include "solar/great_circle.hpp"
#include "solar/hour_sine.hpp"
#include "solar/hour_sun.hpp"
#include "solar/weather.hpp"

namespace noonshell {

namespace {

std::string fixed(double value, int decimals) {
    std::array<char, 64> text{};
    std::snprintf(text.data(), text.size(), "%.*f", decimals, value);
    return text.data();
}

std::chrono::local_seconds local_time(const Site& site, std::chrono::sys_seconds instant) {
    const auto offset = std::chrono::seconds(std::lround(site.utc_offset_h * 3600));
    return std::chrono::local_seconds{instant.time_since_epoch() + offset};
}

std::chrono::year_month_day local_date(const Site& site, std::chrono::sys_seconds instant) {
    return std::chrono::year_month_day{
        std::chrono::floor<std::chrono::days>(local_time(site, instant))};
}

/// "21 Jul 14:00": the end of the hour by the site's clock.
std::string hour_text(const Site& site, std::chrono::sys_seconds hour_start) {
    const auto date = local_date(site, hour_start);
    const auto start = local_time(site, hour_start);
    const auto of_day = start - std::chrono::floor<std::chrono::days>(start);
    const long minutes = static_cast<long>(of_day.count() / 60) + 60;
    std::array<char, 64> text{};
    constexpr std::array months = {"Jan", "Feb", "Mar", "Apr", "May", "Jun",
                                   "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"};
    std::snprintf(text.data(), text.size(), "%u %s %02ld:%02ld", static_cast<unsigned>(date.day()),
                  months.at(static_cast<unsigned>(date.month()) - 1), minutes / 60, minutes % 60);
    return text.data();
}

// ---- Hemisphere

struct HalfYear {
    double dry_bulb_c = 0, global_w_m2 = 0;
    std::size_t n = 0;
};

/// Means over [0] October to March and [1] April to September.
std::array<HalfYear, 2> half_years(const Site& site, const Weather& weather) {
    std::array<HalfYear, 2> halves;
    for (std::size_t hour = 0; hour < weather.size(); ++hour) {
        const auto month =
            static_cast<unsigned>(local_date(site, weather.hour_start_utc[hour]).month());
        HalfYear& half = halves[month >= 4 && month <= 9 ? 1 : 0];
        half.dry_bulb_c += weather.dry_bulb_c[hour];
        half.global_w_m2 += weather.global_w_m2[hour];
        ++half.n;
    }
    for (HalfYear& half : halves) {
        if (half.n == 0) continue;
        half.dry_bulb_c /= static_cast<double>(half.n);
        half.global_w_m2 /= static_cast<double>(half.n);
    }
    return halves;
}

/// Within 15 degrees of the equator the halves differ too little, and rain may turn them round.
/// Farther out, rainy seasons can take up to a fifth of the summer's light (south Asia), so light
/// speaks only when it is clearly the wrong way; a made year has the site's own sun, so there only
/// the air can tell.
void check_hemisphere(const Site& site, const Weather& weather, std::vector<Warning>& warnings) {
    constexpr double least_latitude_deg = 15, least_difference_k = 1, least_ratio = 1.25;
    constexpr std::size_t half_a_year = 4000;
    if (std::abs(site.latitude_deg) <= least_latitude_deg) return;
    const auto halves = half_years(site, weather);
    if (halves[0].n < half_a_year || halves[1].n < half_a_year) return;
    const bool north = site.latitude_deg > 0;
    const HalfYear& summer = halves[north ? 1 : 0];
    const HalfYear& winter = halves[north ? 0 : 1];
    const bool air_wrong = winter.dry_bulb_c > summer.dry_bulb_c + least_difference_k;
    const bool light_wrong = winter.global_w_m2 > summer.global_w_m2 * least_ratio;
    if (!air_wrong && !light_wrong) return;
    const auto describe = [](const HalfYear& half) {
        return fixed(half.dry_bulb_c, 1) + " C and " + fixed(half.global_w_m2, 0) + " W/m2";
    };
    warnings.push_back({"weather-wrong-hemisphere",
                        "April to September averages " + describe(halves[1]) +
                            ", October to March " + describe(halves[0]) + ": not a " +
                            (north ? "northern" : "southern") +
                            " year, but the site's latitude is " + fixed(site.latitude_deg, 2),
                        weather.source});
}

// ---- Night

/// Twilight reaches some W/m2 and clocks some minutes; a whole hour's light with the sun this far
/// down is a wrong time zone or longitude, once it happens more often than measuring slips do.
void check_night(const Site& site, const Weather& weather, std::vector<Warning>& warnings) {
    constexpr double least_light_w_m2 = 5, down_deg = -2, slips = 0.01;
    std::size_t n_lit = 0, n_night = 0, worst = 0;
    double worst_deg = 0;
    for (std::size_t hour = 0; hour < weather.size(); ++hour) {
        const double light = std::max(weather.global_w_m2[hour], weather.direct_normal_w_m2[hour]);
        if (light <= least_light_w_m2) continue;
        ++n_lit;
        const double highest_deg = highest_elevation_deg(site, weather.hour_start_utc[hour]);
        if (highest_deg >= down_deg) continue;
        ++n_night;
        if (highest_deg < worst_deg) {
            worst_deg = highest_deg;
            worst = hour;
        }
    }
    if (static_cast<double>(n_night) <= slips * static_cast<double>(n_lit)) return;
    warnings.push_back({"weather-sun-at-night",
                        std::to_string(n_night) + " of " + std::to_string(n_lit) +
                            " hours with sunlight have the sun below the horizon (by up to " +
                            fixed(-worst_deg, 1) + " degrees; global " +
                            fixed(weather.global_w_m2[worst], 0) + ", direct " +
                            fixed(weather.direct_normal_w_m2[worst], 0) +
                            " W/m2): time zone or longitude may be wrong",
                        "hour ending " + hour_text(site, weather.hour_start_utc[worst])});
}

// ---- Place and clock

/// "22:01" of hours that may lie outside a day.
std::string hour_and_minute(double hours) {
    const long minutes_per_day = 24 * 60;
    const long minutes =
        (std::lround(60 * hours) % minutes_per_day + minutes_per_day) % minutes_per_day;
    std::array<char, 64> text{};
    std::snprintf(text.data(), text.size(), "%02ld:%02ld", minutes / 60, minutes % 60);
    return text.data();
}

std::string place_text(double latitude_deg, double longitude_deg, double utc_offset_h) {
    std::string offset = fixed(utc_offset_h, 2);
    offset.erase(offset.find_last_not_of('0') + 1);
    if (offset.back() == '.') offset.pop_back();
    return fixed(std::abs(latitude_deg), 3) + (latitude_deg < 0 ? " S " : " N ") +
           fixed(std::abs(longitude_deg), 3) + (longitude_deg < 0 ? " W" : " E") + ", UTC" +
           (utc_offset_h < 0 ? "" : "+") + offset;
}

/// Clocks of the widest countries lie up to 3 h from the sun (western China); more is a slip of the
/// sign or of the place, which a made year cannot show: its sun is the site's own.
void check_clock(const Site& site, std::vector<Warning>& warnings) {
    constexpr double far_h = 3, degrees_per_hour = 15;
    const double sun_h = site.longitude_deg / degrees_per_hour;
    const double gap_h = std::remainder(site.utc_offset_h - sun_h, 24);
    if (std::abs(gap_h) <= far_h) return;
    warnings.push_back({"time-zone-far",
                        "the sun stands highest near " + hour_and_minute(12 + gap_h) +
                            " by the clock of " +
                            place_text(site.latitude_deg, site.longitude_deg, site.utc_offset_h) +
                            ": time zone or longitude may be wrong (a sign, for example)",
                        "site.time_zone"});
}

void check_place(const Site& site, const WeatherPlace& place, std::vector<Warning>& warnings) {
    constexpr double far_deg = 0.5, far_h = 1;
    const double latitude_gap = std::abs(site.latitude_deg - place.latitude_deg);
    const double longitude_gap =
        std::abs(std::remainder(site.longitude_deg - place.longitude_deg, 360));
    const double clock_gap = std::abs(site.utc_offset_h - place.utc_offset_h);
    if (latitude_gap <= far_deg && longitude_gap <= far_deg && clock_gap <= far_h) return;
    warnings.push_back(
        {"weather-place-differs",
         "the site is at " + place_text(site.latitude_deg, site.longitude_deg, site.utc_offset_h) +
             ", the weather of " + place.name + " from " +
             place_text(place.latitude_deg, place.longitude_deg, place.utc_offset_h) + ": " +
             fixed(great_circle_km(site.latitude_deg, site.longitude_deg, place.latitude_deg,
                                   place.longitude_deg),
                   0) +
             " km and " + fixed(clock_gap, 1) + " h apart",
         "station " + place.station});
}

// ---- Light

struct LightGap {
    double sum_of_sizes = 0, sum_of_global = 0;
    std::size_t n_hours = 0, n_apart = 0;
    std::size_t worst = 0;  ///< hour
    double worst_gap = 0;   ///< global less the sum of its parts [W/m2], mean of the interval
};

constexpr double largest_light_gap = 0.02;  // of global

/// How far apart the light may lie, of global: how the beam runs within means of several hours is
/// not known, and its mean times the mean sine errs the more the longer they are.
double light_gap_limit(const Weather& weather) {
    return largest_light_gap * std::max(weather.light_interval_h, 1);
}

/// Over the intervals with light whose sun stands high enough, in all their hours, for one sine to
/// speak for the hour.
LightGap light_gap(const Site& site, const Weather& weather) {
    constexpr double lowest_deg = 5;
    const double lowest_sine = std::sin(lowest_deg * std::numbers::pi / 180);
    const std::vector<double> sine = hour_sines(site, weather).of_beam;
    const auto n = static_cast<std::size_t>(std::max(weather.light_interval_h, 1));
    LightGap found;
    for (std::size_t hour = 0; hour + n <= weather.size(); hour += n) {
        double global = 0, parts = 0, lowest = 1;
        for (std::size_t h = hour; h < hour + n; ++h) {
            const auto share = 1 / static_cast<double>(n);
            global += share * weather.global_w_m2[h];
            parts += share * (weather.direct_normal_w_m2[h] * sine[h] + weather.diffuse_w_m2[h]);
            lowest = std::min(lowest, sine[h]);
        }
        if (lowest < lowest_sine || std::max(global, parts) <= 0) continue;
        const double gap = global - parts;
        const auto hours = static_cast<double>(n);
        found.sum_of_sizes += hours * std::abs(gap);
        found.sum_of_global += hours * global;
        found.n_hours += n;
        if (std::abs(gap) > light_gap_limit(weather) * global) found.n_apart += n;
        if (std::abs(gap) > std::abs(found.worst_gap)) {
            found.worst_gap = gap;
            found.worst = hour + n - 1;
        }
    }
    return found;
}

}  // namespace

std::vector<Warning> check_light(const Site& site, const Weather& weather) {
    NOONSHELL_CHECK_EQ(weather.global_w_m2.size(), weather.size());
    NOONSHELL_CHECK_EQ(weather.direct_normal_w_m2.size(), weather.size());
    NOONSHELL_CHECK_EQ(weather.diffuse_w_m2.size(), weather.size());
    const LightGap gap = light_gap(site, weather);
    const double limit = light_gap_limit(weather);
    if (gap.sum_of_sizes <= limit * gap.sum_of_global) return {};
    const auto n = static_cast<double>(gap.n_hours);
    // Of next to no global light the percentage would say nothing.
    const bool told = gap.sum_of_sizes <= 2 * gap.sum_of_global;
    const std::string share =
        told ? " (" + fixed(100 * gap.sum_of_sizes / gap.sum_of_global, 1) + " %)" : "";
    return {{"weather-light-differs",
             "global light and the sum of direct and diffuse lie " +
                 fixed(gap.sum_of_sizes / n, 1) + " W/m2" + share + " apart in the mean of " +
                 std::to_string(gap.n_hours) + " hours with sun, by more than " +
                 fixed(100 * limit, 0) + " % in " + std::to_string(gap.n_apart) +
                 " of them; at worst global is " + fixed(std::abs(gap.worst_gap), 0) + " W/m2 " +
                 (gap.worst_gap > 0 ? "more" : "less") +
                 ": a wrong clock, place or column, or instruments that differ; direct and diffuse "
                 "are used",
             "hour ending " + hour_text(site, weather.hour_start_utc[gap.worst])}};
}

std::vector<Warning> check_weather(const Site& site, const Weather& weather,
                                   const std::optional<WeatherPlace>& place) {
    NOONSHELL_CHECK_EQ(weather.dry_bulb_c.size(), weather.size());
    NOONSHELL_CHECK_EQ(weather.global_w_m2.size(), weather.size());
    NOONSHELL_CHECK_EQ(weather.direct_normal_w_m2.size(), weather.size());
    std::vector<Warning> warnings;
    check_clock(site, warnings);
    if (place) check_place(site, *place, warnings);
    check_hemisphere(site, weather, warnings);
    check_night(site, weather, warnings);
    return warnings;
}

}  // namespace noonshell
