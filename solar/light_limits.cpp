#include "solar/light_limits.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <string>

#include "geometry/angles.hpp"
#include "solar/clean_air.hpp"
#include "solar/clear_sky.hpp"
#include "solar/hour_sine.hpp"

namespace noonshell {

namespace {

constexpr double low_sun_deg = 20;
constexpr double rare = 0.01;  // share of the hours

/// An hour with the sun well above the horizon.
struct HighHour {
    std::size_t hour = 0;
    double sine = 0, elevation_deg = 0, extraterrestrial_w_m2 = 0;

    double outside_w_m2() const { return sine * extraterrestrial_w_m2; }
    /// [long2002] table 1.
    double rare_limit(double factor, double offset_w_m2) const {
        return factor * extraterrestrial_w_m2 * std::pow(sine, 1.2) + offset_w_m2;
    }
};

class LightLimits {
  public:
    LightLimits(const Site& site, const Weather& weather) : site_(site), weather_(weather) {
        const HourSines sines = hour_sines(site, weather);
        for (std::size_t h = 0; h < weather.size(); ++h) {
            HighHour hour{h, sines.while_up[h], 0, 0};
            if (hour.sine <= 0) continue;
            hour.elevation_deg = std::asin(hour.sine) / degree;
            hour.extraterrestrial_w_m2 =
                extraterrestrial_normal_w_m2(local_day_of_year(site, weather.hour_start_utc[h]));
            const ClearSky clear = turbidity_clear_sky(
                hour.elevation_deg, hour.extraterrestrial_w_m2, 1, site.elevation_m);
            global_wh_m2_ += weather.global_w_m2[h];
            outside_wh_m2_ += sines.whole_hour[h] * hour.extraterrestrial_w_m2;
            clearest_wh_m2_ += sines.whole_hour[h] / hour.sine *
                               (clear.direct_normal_w_m2 * hour.sine + clear.diffuse_w_m2);
            if (hour.elevation_deg > low_sun_deg) hours_.push_back(hour);
        }
    }

    std::vector<Warning> find() {
        too_much_in_all();
        const bool told = weather_.given_light.global || weather_.given_light.direct_normal;
        if (told && !hours_.empty()) {
            too_much_by_hour();
            too_little();
        }
        if (weather_.given_light.direct_normal) level_beam();
        if (found_.empty()) return {};
        std::string text;
        for (const std::string& finding : found_) text += (text.empty() ? "" : "; ") + finding;
        std::array<char, 96> clearness{};
        std::snprintf(clearness.data(), clearness.size(),
                      " (the period's global light is %.2f of that outside the air)",
                      global_wh_m2_ / outside_wh_m2_);
        return {{"weather-light-implausible", text + clearness.data(), "weather"}};
    }

  private:
    template <class... Values>
    void tell(const char* format, Values... values) {
        std::array<char, 320> text{};
        std::snprintf(text.data(), text.size(), format, values...);
        found_.emplace_back(text.data());
    }

    void too_much_in_all() {
        if (global_wh_m2_ <= clearest_wh_m2_) return;
        tell(
            "%.0f kWh/m2 of global light, where a cloudless sky of clean dry air gives %.0f: its "
            "unit or a factor may be wrong",
            global_wh_m2_ / 1000, clearest_wh_m2_ / 1000);
    }

    /// Tells where more than a rare share of the high hours is beyond a limit.
    template <class Excess>
    void tell_beyond(const char* what, const Excess& excess) {
        std::size_t n = 0;
        double worst = 0;
        for (const HighHour& hour : hours_) {
            const double beyond = excess(hour);
            if (!(beyond > 0)) continue;
            ++n;
            worst = std::max(worst, beyond);
        }
        if (static_cast<double>(n) <= rare * static_cast<double>(hours_.size())) return;
        tell(
            "%zu of %zu hours with the sun above 20 degrees have %s (by up to %.0f W/m2): unit, "
            "factor or column may be wrong",
            n, hours_.size(), what, worst);
    }

    void too_much_by_hour() {
        tell_beyond("more global light than the sun outside the air", [this](const HighHour& hour) {
            const double most = std::min(hour.outside_w_m2(), hour.rare_limit(1.2, 50));
            return weather_.global_w_m2[hour.hour] - most;
        });
        if (weather_.given_light.diffuse)
            tell_beyond("more diffuse light than skies have", [this](const HighHour& hour) {
                return weather_.diffuse_w_m2[hour.hour] - hour.rare_limit(0.75, 30);
            });
        if (weather_.given_light.direct_normal)
            tell_beyond(
                "more direct light than clean dry air lets through", [this](const HighHour& hour) {
                    return weather_.direct_normal_w_m2[hour.hour] -
                           clean_air_beam_w_m2(hour.elevation_deg, hour.extraterrestrial_w_m2,
                                               site_.elevation_m);
                });
    }

    /// The value that a share of the list is below.
    static double quantile(std::vector<double> values, double share) {
        const auto at = static_cast<std::ptrdiff_t>(share * static_cast<double>(values.size() - 1));
        std::nth_element(values.begin(), values.begin() + at, values.end());
        return values[static_cast<std::size_t>(at)];
    }

    void too_little() {
        constexpr std::size_t half_a_year = 4000, enough = 200;
        constexpr double dullest = 0.4;
        if (weather_.size() < half_a_year || hours_.size() < enough) return;
        std::vector<double> clearness;
        for (const HighHour& hour : hours_)
            clearness.push_back(weather_.global_w_m2[hour.hour] / hour.outside_w_m2());
        const double clearest = quantile(clearness, 0.95);
        if (clearest >= dullest) return;
        tell(
            "even the clearest twentieth of the hours has no more than %.0f %% of the light "
            "outside the air: its unit may be wrong (kJ/m2 for Wh/m2, say)",
            100 * clearest);
    }

    /// Linke turbidities of the clearest hours with the sun between two heights.
    std::optional<double> haze(double lowest_deg, double highest_deg) const {
        constexpr double dim_w_m2 = 20;
        constexpr std::size_t enough = 40;
        std::vector<double> turbidity;
        for (const HighHour& hour : hours_) {
            const double beam = weather_.direct_normal_w_m2[hour.hour];
            if (beam < dim_w_m2 || hour.elevation_deg < lowest_deg ||
                hour.elevation_deg >= highest_deg)
                continue;
            turbidity.push_back(std::log(hour.extraterrestrial_w_m2 / beam) /
                                clean_air_depth(hour.elevation_deg, site_.elevation_m));
        }
        if (turbidity.size() < enough) return std::nullopt;
        return quantile(turbidity, 0.05);
    }

    void level_beam() {
        constexpr double middle_deg = 30, high_deg = 45, zenith_deg = 90.1, thicker = 1.8;
        const auto low = haze(low_sun_deg, middle_deg), high = haze(high_deg, zenith_deg);
        if (!low || !high || *low - *high <= thicker) return;
        tell(
            "the direct light of clear hours falls with the sun's height as light on level ground "
            "does (Linke turbidity %.1f with the sun high, %.1f with it low): direct_normal may be "
            "direct_horizontal",
            *high, *low);
    }

    const Site& site_;
    const Weather& weather_;
    std::vector<HighHour> hours_;
    double global_wh_m2_ = 0, clearest_wh_m2_ = 0, outside_wh_m2_ = 0;
    std::vector<std::string> found_;
};

}  // namespace

std::vector<Warning> check_light_limits(const Site& site, const Weather& weather) {
    NOONSHELL_CHECK_EQ(weather.global_w_m2.size(), weather.size());
    NOONSHELL_CHECK_EQ(weather.direct_normal_w_m2.size(), weather.size());
    NOONSHELL_CHECK_EQ(weather.diffuse_w_m2.size(), weather.size());
    return LightLimits(site, weather).find();
}

}  // namespace noonshell
