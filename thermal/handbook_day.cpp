#include "thermal/handbook_day.hpp"

#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>
#include <numeric>

#include "geometry/diagnostics.hpp"
#include "solar/common_year.hpp"
#include "solar/daily_profile.hpp"
#include "thermal/thinned_days.hpp"
#include "thermal/unlimited_loads.hpp"

namespace noonshell {

namespace {

constexpr double design_exceedance = 0.004, hot_day_exceedance = 0.05;
constexpr std::size_t months_of_year = 12, least_days = 365;

/// The value that this share of all lies above.
double exceeded_by(std::vector<double> values, double share) {
    const auto above = static_cast<std::ptrdiff_t>(share * static_cast<double>(values.size()));
    const auto at = values.begin() + above;
    std::nth_element(values.begin(), at, values.end(), std::greater<>());
    return *at;
}

/// Hours of the year's hottest month, by mean dry bulb.
std::vector<std::size_t> hottest_month(const Weather& year, std::span<const std::uint8_t> month) {
    std::array<double, months_of_year> sum{};
    std::array<std::vector<std::size_t>, months_of_year> hours;
    for (std::size_t h = 0; h < year.size(); ++h) {
        sum[month[h]] += year.dry_bulb_c[h];
        hours[month[h]].push_back(h);
    }
    std::size_t hottest = 0;
    const auto mean = [&](std::size_t m) { return sum[m] / static_cast<double>(hours[m].size()); };
    for (std::size_t m = 1; m < months_of_year; ++m) {
        if (hours[hottest].empty() || (!hours[m].empty() && mean(m) > mean(hottest))) hottest = m;
    }
    return hours[hottest];
}

/// Whole days of the period, counted from its first hour, that begin in these hours.
std::vector<std::size_t> days_in(const std::vector<std::size_t>& hours, std::size_t n_hours) {
    std::vector<std::size_t> days;
    for (const std::size_t h : hours) {
        if (h % hours_per_day == 0 && h + hours_per_day <= n_hours) days.push_back(h);
    }
    return days;
}

double mean_range_k(const Weather& year, const std::vector<std::size_t>& days, double hot_c) {
    double sum = 0;
    int n = 0;
    for (const std::size_t first : days) {
        const auto begin = year.dry_bulb_c.begin() + static_cast<std::ptrdiff_t>(first);
        const auto [low, high] =
            std::minmax_element(begin, begin + static_cast<std::ptrdiff_t>(hours_per_day));
        if (*high < hot_c) continue;
        sum += *high - *low;
        ++n;
    }
    return n > 0 ? sum / n : 0;
}

std::size_t brightest_day(const Weather& year, const std::vector<std::size_t>& days) {
    const auto light = [&year](std::size_t first) {
        const auto begin = year.global_w_m2.begin() + static_cast<std::ptrdiff_t>(first);
        return std::accumulate(begin, begin + static_cast<std::ptrdiff_t>(hours_per_day), 0.0);
    };
    return *std::max_element(days.begin(), days.end(),
                             [&](std::size_t a, std::size_t b) { return light(a) < light(b); });
}

template <class Value>
std::vector<Value> slice(const std::vector<Value>& all, std::size_t first) {
    if (all.empty()) return {};
    const auto begin = all.begin() + static_cast<std::ptrdiff_t>(first);
    return {begin, begin + static_cast<std::ptrdiff_t>(hours_per_day)};
}

Weather day_of(const Site& site, const Weather& year, const HandbookDay& day) {
    using namespace std::chrono;
    Weather weather;
    weather.source = "handbook's design day";
    weather.periodic = true;
    weather.hour_start_utc = slice(year.hour_start_utc, day.first_hour);
    weather.pressure_pa = slice(year.pressure_pa, day.first_hour);
    weather.global_w_m2 = slice(year.global_w_m2, day.first_hour);
    weather.direct_normal_w_m2 = slice(year.direct_normal_w_m2, day.first_hour);
    weather.diffuse_w_m2 = slice(year.diffuse_w_m2, day.first_hour);
    for (const sys_seconds start : weather.hour_start_utc) {
        const auto date = floor<days>(start);
        const year_month_day calendar{date};
        const double of_year =
            static_cast<double>((date - sys_days(calendar.year() / January / 1)).count() + 1);
        const double utc_h = duration<double, hours::period>(start + hours(1) - date).count();
        const double fraction =
            daily_range_fraction(apparent_solar_time_h(utc_h, site.longitude_deg, of_year));
        weather.dry_bulb_c.push_back(day.peak_dry_bulb_c - day.daily_range_k * fraction);
        weather.dew_point_c.push_back(std::min(day.dew_point_c, weather.dry_bulb_c.back()));
        weather.wind_speed_m_s.push_back(day.wind_m_s);
    }
    return weather;
}

}  // namespace

std::optional<HandbookDay> handbook_day(const Site& site, const Weather& year,
                                        std::span<const std::uint8_t> month) {
    NOONSHELL_CHECK_EQ(month.size(), year.size());
    if (year.size() < least_days * hours_per_day || year.dew_point_c.empty()) return std::nullopt;
    HandbookDay day;
    day.peak_dry_bulb_c = exceeded_by(year.dry_bulb_c, design_exceedance);
    double dew_c = 0, wind_m_s = 0, n = 0;
    for (std::size_t h = 0; h < year.size(); ++h) {
        if (year.dry_bulb_c[h] < day.peak_dry_bulb_c) continue;
        dew_c += year.dew_point_c[h];
        wind_m_s += year.wind_speed_m_s[h];
        n += 1;
    }
    day.dew_point_c = dew_c / n;
    day.wind_m_s = wind_m_s / n;
    const std::vector<std::size_t> hours = hottest_month(year, month);
    const std::vector<std::size_t> days = days_in(hours, year.size());
    if (days.empty()) return std::nullopt;
    std::vector<double> of_month;
    for (const std::size_t h : hours) of_month.push_back(year.dry_bulb_c[h]);
    day.daily_range_k =
        mean_range_k(year, days, exceeded_by(std::move(of_month), hot_day_exceedance));
    day.first_hour = brightest_day(year, days);
    day.weather = day_of(site, year, day);
    return day;
}

std::vector<DesignLoad> design_loads(const HeatInputs& year, const Building& building,
                                     const Site& site, const HandbookDay& day,
                                     const SurroundingsOptions& outdoors,
                                     const HeatOptions& options) {
    SurroundingsOptions with_year = outdoors;
    with_year.yearly_mean_c = year.surroundings.deep_ground_c;  // one day does not warm it
    const Surroundings around = make_surroundings(site, day.weather, with_year);
    std::vector<std::size_t> hours(hours_per_day);
    std::iota(hours.begin(), hours.end(), day.first_hour);
    const Exposure light = light_of_hours(year.exposure, hours);
    std::optional<PaneLight> panes;
    if (year.panes != nullptr) panes = year.panes->of_hours(hours);
    const HeatInputs inputs{year.envelope, year.exchange, light, around, panes ? &*panes : nullptr};
    // The day stands for any day of the week: a size is for the busiest.
    Building busiest = without_limits(building);
    for (RoomSettings& room : busiest.rooms) {
        room.gains_w_m2 = busiest_hours(room.gains_w_m2);
        room.moisture_kg_hm2 = busiest_hours(room.moisture_kg_hm2);
        room.ventilation.fresh_air_per_h = busiest_hours(room.ventilation.fresh_air_per_h);
        if (room.cooling_set_points_c)
            room.cooling_set_points_c = lowest_hours(*room.cooling_set_points_c);
        // With the lowest of the cooling's, so that neither passes the other.
        if (room.heating_set_points_c)
            room.heating_set_points_c = lowest_hours(*room.heating_set_points_c);
    }
    HeatOptions own = options;
    own.keep_hours = own.account = own.in_halves = false;
    own.progress = {};
    const Response run = simulate(inputs, busiest, own);
    std::vector<DesignLoad> loads;
    for (std::size_t u = 0; u < run.n_units; ++u)
        loads.push_back({.total_w = run.peak_load_w[u].value,
                         .latent_w = run.latent_at_peak_w[u],
                         .needed_capacity_w = run.needed_capacity_w[u].value});
    return loads;
}

std::vector<double> plants_to_buy_w(double needed_w) {
    constexpr std::array<double, 8> sizes_w = {2000, 2600, 3500, 5300, 7000, 8800, 10500, 14000};
    constexpr double largest_w = sizes_w.back();
    if (!(needed_w > 0)) return {};
    const double whole = std::ceil(needed_w / largest_w) - 1;
    std::vector<double> plants(static_cast<std::size_t>(whole), largest_w);
    plants.push_back(
        *std::lower_bound(sizes_w.begin(), sizes_w.end() - 1, needed_w - whole * largest_w));
    return plants;
}

double plant_to_buy_w(double needed_w) {
    const std::vector<double> plants = plants_to_buy_w(needed_w);
    return std::accumulate(plants.begin(), plants.end(), 0.0);
}

}  // namespace noonshell
