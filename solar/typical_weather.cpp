// Weather without a file: a typical clear year from twelve months of normals, and a design day.
//
// Sun: [ashrae2021] ch. 14 eqs (16)-(20), or [ineichen2002], at the middle of every 10-minute step,
// averaged over the hour. Temperature: T = high - f (high - low), f from table 6 of the same
// chapter in apparent solar time. Months are joined by straight lines between mid-months, which
// stand for the printed normals; means over a month then differ a little from the normals where the
// year bends (about 1/8 of the bend). Left out: clouds, weather that lasts some days, wind by hour,
// the dew point's daily swing.
#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>
#include <functional>
#include <numbers>
#include <sstream>
#include <string>

#include "solar/clear_sky.hpp"
#include "solar/daily_profile.hpp"
#include "solar/hour_sine.hpp"
#include "solar/standard_air.hpp"
#include "solar/sun_path.hpp"
#include "solar/weather.hpp"

namespace noonshell {

namespace {

using std::chrono::days;
using std::chrono::hours;
using std::chrono::local_days;
using std::chrono::local_seconds;
using std::chrono::sys_seconds;
using std::chrono::year_month_day;

constexpr double sun_step_s = 600;

// ---- What can be true

struct Checker {
    std::string entity;  ///< prefix, such as "[weather] month 7: "

    [[noreturn]] void fail(const char* name, const std::string& expected, double seen) const {
        std::ostringstream text;
        text << seen;
        throw InputError({.file = {}, .line = {}, .column = {}, .entity = entity + name}, expected,
                         text.str());
    }

    void range(const char* name, double value, double lowest, double highest) const {
        if (value >= lowest && value <= highest) return;
        std::ostringstream text;
        text << lowest << " to " << highest;
        fail(name, text.str(), value);
    }

    void at_most(const char* name, double value, double limit,
                 const std::string& limit_name) const {
        if (value <= limit) return;
        std::ostringstream text;
        text << "at most " << limit << " (" << limit_name << ")";
        fail(name, text.str(), value);
    }

    /// A dew point can stand above the night's lowest by the scatter of monthly means, not by more.
    void dew_point(double value, double low_c, const std::string& low_name) const {
        constexpr double scatter_k = 5;
        range("dew_point_c", value, -90, 45);
        at_most("dew_point_c", value, low_c + scatter_k, low_name + " + 5 K");
    }

    void sky(ClearSkyModel model, double tau_b, double tau_d, double linke_turbidity) const {
        if (model == ClearSkyModel::turbidity) {
            range("linke_turbidity", linke_turbidity, 1, 12);
            return;
        }
        range("tau_b", tau_b, 0.05, 2);
        range("tau_d", tau_d, 0.5, 4);
    }
};

void check_site_and_year(const Site& site, int year) {
    const Checker check{"[site] "};
    check.range("latitude_deg", site.latitude_deg, -90, 90);
    check.range("longitude_deg", site.longitude_deg, -180, 180);
    check.range("elevation_m", site.elevation_m, -450, 9000);
    check.range("utc_offset_h", site.utc_offset_h, -12, 14);
    Checker{"[weather] "}.range("year", year, 1950, 2150);
}

void check_month(const MonthNormals& month, int number, ClearSkyModel sky) {
    const Checker check{"[weather] month " + std::to_string(number) + ": "};
    check.range("mean_high_c", month.mean_high_c, -90, 65);
    check.range("mean_low_c", month.mean_low_c, -90, 65);
    check.at_most("mean_low_c", month.mean_low_c, month.mean_high_c, "mean_high_c");
    check.dew_point(month.dew_point_c, month.mean_low_c, "mean_low_c");
    check.range("wind_m_s", month.wind_m_s, 0, 60);
    check.sky(sky, month.tau_b, month.tau_d, month.linke_turbidity);
}

void check_design_day(const DesignDay& day, int year) {
    const Checker check{"[weather] design day: "};
    check.range("month", day.month, 1, 12);
    const std::chrono::year_month_day_last last{
        std::chrono::year{year},
        std::chrono::month_day_last{std::chrono::month{static_cast<unsigned>(day.month)}}};
    check.range("day", day.day, 1, static_cast<unsigned>(last.day()));
    check.range("peak_dry_bulb_c", day.peak_dry_bulb_c, -90, 65);
    check.range("daily_range_k", day.daily_range_k, 0, 40);
    check.dew_point(day.dew_point_c, day.peak_dry_bulb_c - day.daily_range_k,
                    "peak_dry_bulb_c - daily_range_k");
    check.range("wind_m_s", day.wind_m_s, 0, 60);
    check.sky(day.sky, day.tau_b, day.tau_d, day.linke_turbidity);
}

// ---- Months joined

/// Normals at any time of a year of 365 days, `time_d` days after its beginning; periodic.
MonthNormals normals_at(const std::array<MonthNormals, 12>& months, double time_d) {
    constexpr std::array<double, 12> middle_d{15.5,  45.0,  74.5,  105.0, 135.5, 166.0,
                                              196.5, 227.5, 258.0, 288.5, 319.0, 349.5};
    std::size_t after = 0;
    while (after < 12 && middle_d[after] <= time_d) ++after;
    const std::size_t before = (after + 11) % 12;
    const double begin = middle_d[before] - (after == 0 ? 365 : 0);
    const double end = middle_d[after % 12] + (after == 12 ? 365 : 0);
    const double share = (time_d - begin) / (end - begin);
    const auto blend = [&](double MonthNormals::*field) {
        return (1 - share) * months[before].*field + share * months[after % 12].*field;
    };
    return {.mean_high_c = blend(&MonthNormals::mean_high_c),
            .mean_low_c = blend(&MonthNormals::mean_low_c),
            .dew_point_c = blend(&MonthNormals::dew_point_c),
            .wind_m_s = blend(&MonthNormals::wind_m_s),
            .tau_b = blend(&MonthNormals::tau_b),
            .tau_d = blend(&MonthNormals::tau_d),
            .linke_turbidity = blend(&MonthNormals::linke_turbidity)};
}

// ---- Hours made

/// Normals at a number of hours after the beginning of the period.
struct Climate {
    std::function<MonthNormals(double)> at;
    ClearSkyModel sky;
};

void add_air(const Site& site, const Climate& climate, Weather& weather) {
    const double pressure_pa = standard_pressure_pa(site.elevation_m);
    for (std::size_t hour = 0; hour < weather.size(); ++hour) {
        const sys_seconds end = weather.hour_start_utc[hour] + hours(1);
        const auto since_midnight = end - std::chrono::floor<days>(end);
        const double utc_h = static_cast<double>(since_midnight.count()) / 3600;
        const double day = local_day_of_year(site, weather.hour_start_utc[hour]);
        const double fraction =
            daily_range_fraction(apparent_solar_time_h(utc_h, site.longitude_deg, day));
        const MonthNormals now = climate.at(static_cast<double>(hour + 1));
        const double dry_bulb_c = now.mean_high_c - fraction * (now.mean_high_c - now.mean_low_c);
        weather.dry_bulb_c.push_back(dry_bulb_c);
        weather.dew_point_c.push_back(std::min(now.dew_point_c, dry_bulb_c));
        weather.wind_speed_m_s.push_back(now.wind_m_s);
        weather.pressure_pa.push_back(pressure_pa);
    }
}

/// Means over the hour; the steps with the sun down count with nothing.
void add_sun(const Site& site, const Climate& climate, Weather& weather) {
    const SunPath path = sun_path(site, weather, sun_step_s);
    constexpr double share = sun_step_s / 3600;
    constexpr double degree = std::numbers::pi / 180;
    for (std::size_t hour = 0; hour < weather.size(); ++hour) {
        const double extraterrestrial =
            extraterrestrial_normal_w_m2(local_day_of_year(site, weather.hour_start_utc[hour]));
        const MonthNormals now = climate.at(static_cast<double>(hour) + 0.5);
        double direct = 0, diffuse = 0, global = 0;
        for (auto step = path.hour_begin[hour]; step < path.hour_begin[hour + 1]; ++step) {
            const double elevation_deg = path.elevation_deg[step];
            const ClearSky sky =
                climate.sky == ClearSkyModel::turbidity
                    ? turbidity_clear_sky(elevation_deg, extraterrestrial, now.linke_turbidity,
                                          site.elevation_m)
                    : clear_sky(elevation_deg, extraterrestrial, now.tau_b, now.tau_d);
            direct += share * sky.direct_normal_w_m2;
            diffuse += share * sky.diffuse_w_m2;
            global += share * (sky.direct_normal_w_m2 * std::sin(elevation_deg * degree) +
                               sky.diffuse_w_m2);
        }
        weather.direct_normal_w_m2.push_back(direct);
        weather.diffuse_w_m2.push_back(diffuse);
        weather.global_w_m2.push_back(global);
    }
}

void add_day(const Site& site, local_days day, Weather& weather) {
    const auto offset = std::chrono::seconds(std::lround(site.utc_offset_h * 3600));
    for (int hour = 0; hour < 24; ++hour)
        weather.hour_start_utc.emplace_back(day.time_since_epoch() + hours(hour) - offset);
}

Weather make_weather(const Site& site, const Climate& climate, Weather weather) {
    weather.periodic = true;
    add_air(site, climate, weather);
    add_sun(site, climate, weather);
    return weather;
}

}  // namespace

Weather typical_clear_year(const Site& site, const std::array<MonthNormals, 12>& months, int year,
                           ClearSkyModel sky) {
    check_site_and_year(site, year);
    for (std::size_t i = 0; i < months.size(); ++i)
        check_month(months[i], static_cast<int>(i) + 1, sky);
    Weather weather;
    weather.source = "typical clear year from monthly normals";
    const local_days first{std::chrono::year{year} / std::chrono::January / 1};
    const local_days end{std::chrono::year{year + 1} / std::chrono::January / 1};
    for (local_days day = first; day < end; day += days(1)) {
        const year_month_day date{day};
        if (date.month() == std::chrono::February && date.day() == std::chrono::day{29}) continue;
        add_day(site, day, weather);
    }
    NOONSHELL_CHECK_EQ(weather.size(), 8760u);
    const Climate climate{[&](double time_h) { return normals_at(months, time_h / 24); }, sky};
    return make_weather(site, climate, std::move(weather));
}

Weather design_day_weather(const Site& site, const DesignDay& day, int year) {
    check_site_and_year(site, year);
    check_design_day(day, year);
    const local_days date{std::chrono::year{year} /
                          std::chrono::month{static_cast<unsigned>(day.month)} /
                          std::chrono::day{static_cast<unsigned>(day.day)}};
    std::ostringstream source;
    source << "clear design day, " << year << '-' << (day.month < 10 ? "0" : "") << day.month << '-'
           << (day.day < 10 ? "0" : "") << day.day;
    Weather weather;
    weather.source = source.str();
    add_day(site, date, weather);
    const MonthNormals normals{.mean_high_c = day.peak_dry_bulb_c,
                               .mean_low_c = day.peak_dry_bulb_c - day.daily_range_k,
                               .dew_point_c = day.dew_point_c,
                               .wind_m_s = day.wind_m_s,
                               .tau_b = day.tau_b,
                               .tau_d = day.tau_d,
                               .linke_turbidity = day.linke_turbidity};
    const Climate climate{[&](double) { return normals; }, day.sky};
    return make_weather(site, climate, std::move(weather));
}

}  // namespace noonshell
