#include "solar/light_clock.hpp"

#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <string>

#include "geometry/angles.hpp"
#include "solar/clean_air.hpp"
#include "solar/clear_sky.hpp"
#include "solar/hour_sine.hpp"
#include "solar/sun_path.hpp"

namespace noonshell {

namespace {

constexpr int step_min = 5;
constexpr std::ptrdiff_t shifts_per_hour = 60 / step_min;
constexpr std::ptrdiff_t furthest = 30;  // steps

/// Sine of the sun's elevation (0 below the horizon) every five minutes, hour after hour.
std::vector<double> sines_by_step(const Site& site, const Weather& weather) {
    const SunPath path = sun_path(site, weather, 60.0 * step_min);
    std::vector<double> sines(path.n_hours() * shifts_per_hour, 0.0);
    for (std::size_t hour = 0; hour < path.n_hours(); ++hour) {
        const std::uint32_t begin = path.hour_begin[hour], end = path.hour_begin[hour + 1];
        if (begin == end) continue;
        // Part of an hour: after sunrise or before sunset.
        const bool up_before = hour > 0 ? path.hour_begin[hour - 1] < begin
                                        : path.elevation_deg[begin] > path.elevation_deg[end - 1];
        std::size_t at = hour * shifts_per_hour;
        if (!up_before) at += shifts_per_hour - (end - begin);
        for (std::uint32_t step = begin; step < end; ++step, ++at)
            sines[at] = std::sin(path.elevation_deg[step] * degree);
    }
    return sines;
}

/// Means over hours that begin some steps later than those of the weather. Where the series ends or
/// jumps by a day (29 February, months of other years) the sun is much the same an hour beside it.
class ShiftedHours {
  public:
    explicit ShiftedHours(const std::vector<double>& by_step) : sums_(by_step.size() + 1, 0.0) {
        for (std::size_t i = 0; i < by_step.size(); ++i) sums_[i + 1] = sums_[i] + by_step[i];
    }
    double mean(std::size_t hour, std::ptrdiff_t shift) const {
        const auto last = static_cast<std::ptrdiff_t>(sums_.size()) - 1 - shifts_per_hour;
        const std::ptrdiff_t begin = std::clamp<std::ptrdiff_t>(
            static_cast<std::ptrdiff_t>(hour) * shifts_per_hour + shift, 0, last);
        const auto at = static_cast<std::size_t>(begin);
        return (sums_[at + shifts_per_hour] - sums_[at]) / shifts_per_hour;
    }

  private:
    std::vector<double> sums_;
};

struct DayRange {
    std::size_t begin = 0, end = 0;  ///< hours
};

class ClockFinder {
  public:
    ClockFinder(const Site& site, const Weather& weather)
        : site_(site),
          weather_(weather),
          interval_h_(static_cast<std::size_t>(std::max(weather.light_interval_h, 1))),
          sine_(sines_by_step(site, weather)),
          sines_(sine_),
          clear_(clear_course()),
          most_(most_level_share()) {}

    std::optional<ClockFit> find() const {
        constexpr std::size_t least_days = 3;
        constexpr double least_share = 0.02;
        const std::vector<DayRange> days = solar_days();
        std::vector<double> shifts;
        for (const DayRange& day : days)
            if (const auto shift = shift_of(day)) shifts.push_back(*shift * step_min);
        if (shifts.size() < least_days ||
            static_cast<double>(shifts.size()) < least_share * static_cast<double>(days.size()))
            return std::nullopt;
        ClockFit fit;
        fit.n_clear = shifts.size();
        fit.shift_min = median(shifts);
        for (double& shift : shifts) shift = std::abs(shift - fit.shift_min);
        fit.spread_min = median(shifts);
        fit.without_sun_wh_m2 = light_without_sun(0);
        fit.left_wh_m2 = light_without_sun(std::lround(fit.shift_min / step_min));
        return fit;
    }

  private:
    static double median(std::vector<double> values) {
        const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
        std::nth_element(values.begin(), middle, values.end());
        return *middle;
    }

    /// [haurwitz1945] global light of a cloudless sky; coefficients from memory of the paper. Only
    /// its course counts here, not its size.
    std::vector<double> clear_course() const {
        std::vector<double> clear(sine_.size());
        for (std::size_t i = 0; i < sine_.size(); ++i)
            clear[i] = sine_[i] > 0 ? 1098 * sine_[i] * std::exp(-0.057 / sine_[i]) : 0;
        return clear;
    }

    /// Beam on level ground behind clean dry air, over the extraterrestrial: with the sun low not
    /// even the global light of the clearest high station is more.
    std::vector<double> most_level_share() const {
        std::vector<double> most(sine_.size());
        for (std::size_t i = 0; i < sine_.size(); ++i) {
            const double elevation_deg = std::asin(std::min(sine_[i], 1.0)) / degree;
            most[i] = sine_[i] > 0
                          ? sine_[i] * clean_air_beam_w_m2(elevation_deg, 1, site_.elevation_m)
                          : 0;
        }
        return most;
    }

    /// From one midnight of the mean sun to the next.
    std::vector<DayRange> solar_days() const {
        constexpr std::size_t most_of_a_day = 20;
        const auto ahead = std::chrono::seconds(std::lround(site_.longitude_deg * 240));
        std::vector<DayRange> days;
        std::chrono::sys_days open{};
        for (std::size_t hour = 0; hour < weather_.size(); ++hour) {
            const auto day = std::chrono::floor<std::chrono::days>(
                weather_.hour_start_utc[hour] + std::chrono::minutes(30) + ahead);
            if (days.empty() || day != open) days.push_back({hour, hour});
            open = day;
            days.back().end = hour + 1;
        }
        std::erase_if(days, [](const DayRange& d) { return d.end - d.begin < most_of_a_day; });
        return days;
    }

    /// Global light of the hour as told; made of what was told, at a shifted clock, where it was
    /// worked out.
    double light(std::size_t hour, std::ptrdiff_t shift) const {
        if (weather_.given_light.global) return weather_.global_w_m2[hour];
        return weather_.diffuse_w_m2[hour] +
               weather_.direct_normal_w_m2[hour] * sines_.mean(hour, shift);
    }

    /// Means over several hours know nothing of the single ones: the sum from `hour` on.
    template <class Hourly>
    double over_interval(std::size_t hour, const Hourly& hourly) const {
        double sum = 0;
        for (std::size_t h = hour; h < std::min(hour + interval_h_, weather_.size()); ++h)
            sum += hourly(h);
        return sum;
    }

    /// Squares of what a clear course leaves of the day's light, over those of the light.
    double misfit(const DayRange& day, std::ptrdiff_t shift) const {
        double gg = 0, gm = 0, mm = 0;
        const std::size_t first = (day.begin + interval_h_ - 1) / interval_h_ * interval_h_;
        for (std::size_t hour = first; hour < day.end; hour += interval_h_) {
            const double g = over_interval(hour, [&](std::size_t h) { return light(h, shift); });
            const double m =
                over_interval(hour, [&](std::size_t h) { return clear_.mean(h, shift); });
            gg += g * g;
            gm += g * m;
            mm += m * m;
        }
        return gg > 0 && mm > 0 ? 1 - gm * gm / (gg * mm) : 1;
    }

    /// Best shift [steps] of a day that speaks.
    std::optional<double> shift_of(const DayRange& day) const {
        constexpr double closest = 0.05 * 0.05, dark_w_m2 = 100;
        double brightest = 0;
        for (std::size_t hour = day.begin; hour < day.end; ++hour)
            brightest = std::max(brightest, light(hour, 0));
        if (brightest < dark_w_m2) return std::nullopt;
        std::ptrdiff_t best = -furthest;
        double least = 1;
        for (std::ptrdiff_t shift = -furthest; shift <= furthest; ++shift) {
            const double here = misfit(day, shift);
            if (here >= least) continue;
            least = here;
            best = shift;
        }
        if (least > closest || std::abs(best) == furthest) return std::nullopt;
        const double before = misfit(day, best - 1), after = misfit(day, best + 1);
        const double bend = before - 2 * least + after;
        return static_cast<double>(best) + (bend > 0 ? 0.5 * (before - after) / bend : 0);
    }

    /// Light above what a low sun gives at that clock, and above twilight.
    double light_without_sun(std::ptrdiff_t shift) const {
        constexpr double twilight_w_m2 = 2, low_sine = 0.26;  // 15 degrees
        const auto outside = [&](std::size_t hour) {
            return most_.mean(hour, shift) * extraterrestrial_normal_w_m2(local_day_of_year(
                                                 site_, weather_.hour_start_utc[hour]));
        };
        const auto seen = [&](std::size_t hour) {
            const bool beam_at_night =
                weather_.given_light.direct_normal && sines_.mean(hour, shift) == 0;
            return std::max(light(hour, shift),
                            beam_at_night ? weather_.direct_normal_w_m2[hour] : 0.0);
        };
        double sum = 0;
        for (std::size_t hour = 0; hour < weather_.size(); hour += interval_h_) {
            const double sine =
                over_interval(hour, [&](std::size_t h) { return sines_.mean(h, shift); });
            if (sine > low_sine * static_cast<double>(interval_h_)) continue;
            const double most =
                over_interval(hour, outside) + twilight_w_m2 * static_cast<double>(interval_h_);
            sum += std::max(0.0, over_interval(hour, seen) - most);
        }
        return sum;
    }

    const Site& site_;
    const Weather& weather_;
    std::size_t interval_h_;
    std::vector<double> sine_;  ///< by step
    ShiftedHours sines_, clear_, most_;
};

/// What sets it right: another place of the stamp where that is as far, else the clock.
std::string remedy(const Weather& weather, double shift_min) {
    constexpr std::array<const char*, 3> words{"start", "middle", "end"};
    constexpr double same_min = 10;
    if (!weather.stamps) return "the time zone, the longitude or the file's clock may be wrong";
    const StampReading& read = *weather.stamps;
    const double half_min = read.interval_s / 120.0;
    const int parts = static_cast<int>(std::lround(shift_min / half_min));
    const int moved = static_cast<int>(read.at) - parts;
    const bool fits = parts != 0 && std::abs(shift_min - parts * half_min) <= same_min;
    if (fits && moved >= 0 && moved <= 2)
        return "set " + read.key + " = \"" + words[static_cast<std::size_t>(moved)] +
               "\" where its stamps stand there, else mend the time zone";
    return "the stamps' time zone, " + read.key + " or the longitude may be wrong";
}

}  // namespace

std::optional<ClockFit> fit_light_clock(const Site& site, const Weather& weather) {
    NOONSHELL_CHECK_EQ(weather.global_w_m2.size(), weather.size());
    NOONSHELL_CHECK_EQ(weather.direct_normal_w_m2.size(), weather.size());
    NOONSHELL_CHECK_EQ(weather.diffuse_w_m2.size(), weather.size());
    return ClockFinder(site, weather).find();
}

std::vector<Warning> check_light_clock(const Site& site, const Weather& weather) {
    constexpr double least_min = 12, beyond_haze_min = 20, least_agreement_min = 10;
    constexpr double told_wh_m2 = 10, least_share = 1e-5;
    const auto fit = fit_light_clock(site, weather);
    if (!fit || std::abs(fit->shift_min) < least_min || fit->spread_min > least_agreement_min)
        return {};
    double global = 0;
    for (const double value : weather.global_w_m2) global += value;
    const bool seen_at_the_horizon = fit->without_sun_wh_m2 >= least_share * global &&
                                     fit->left_wh_m2 <= 0.5 * fit->without_sun_wh_m2;
    const bool no_haze =
        std::abs(fit->shift_min) >= beyond_haze_min && fit->left_wh_m2 <= fit->without_sun_wh_m2;
    if (!seen_at_the_horizon && !no_haze) return {};
    std::array<char, 480> text{};
    std::snprintf(
        text.data(), text.size(),
        "the light of %zu clear days fits the sun best %.0f minutes %s than its hours are "
        "read",
        fit->n_clear, std::abs(fit->shift_min), fit->shift_min > 0 ? "later" : "earlier");
    std::string told = text.data();
    if (fit->without_sun_wh_m2 >= told_wh_m2) {
        std::snprintf(text.data(), text.size(),
                      ", and %.2f kWh/m2 of it fall where the sun is down or too low for it (%.2f "
                      "then)",
                      fit->without_sun_wh_m2 / 1000, fit->left_wh_m2 / 1000);
        told += text.data();
    }
    told += ": east and west get each other's light; " + remedy(weather, fit->shift_min);
    return {{"weather-clock-shifted", told,
             weather.stamps ? weather.stamps->key : std::string("site.time_zone")}};
}

}  // namespace noonshell
