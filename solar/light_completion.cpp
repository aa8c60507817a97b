#include "solar/light_completion.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <numbers>

#include "solar/clean_air.hpp"
#include "solar/clear_sky.hpp"
#include "solar/hour_sine.hpp"
#include "solar/sky.hpp"

namespace noonshell {

namespace {

/// The sun of one hour.
struct HourSun {
    double sine;       ///< as the beam meets the ground
    double above_air;  ///< extraterrestrial light on level ground, mean of the hour
    double most_beam;  ///< through clean dry air
};

/// Computed beam, and what it could not hold of the light it was computed from.
class BeamMaker {
  public:
    /// Direct normal beam of a direct light on level ground, within the limits of the header.
    double beam_of(double direct_level, const HourSun& sun) {
        constexpr double lowest_deg = 3;
        static const double lowest_sine = std::sin(lowest_deg * std::numbers::pi / 180);
        if (!(direct_level > 0)) return 0;
        const double most = sun.sine < lowest_sine ? 0 : sun.most_beam;
        const double beam = sun.sine < lowest_sine ? 0 : std::min(direct_level / sun.sine, most);
        level_wh_m2_ += direct_level;
        cut_wh_m2_ += direct_level - beam * sun.sine;
        if (sun.sine >= lowest_sine && direct_level > most * sun.sine) ++n_cut_;
        return beam;
    }

    /// Instruments of good stations differ by some percent of the direct light; what low suns and
    /// the unevenness of hours cost is less than one.
    std::vector<Warning> warnings(bool kept_as_diffuse) const {
        constexpr double told_share = 0.01;
        if (!(cut_wh_m2_ > told_share * level_wh_m2_)) return {};
        std::array<char, 320> text{};
        std::snprintf(text.data(), text.size(),
                      "%.1f of %.1f kWh/m2 of direct light on level ground are more than the sun "
                      "can give at the time even through clean dry air (%zu hours) or come with "
                      "the sun below 3 degrees; they are %s: a wrong clock, unit or column",
                      cut_wh_m2_ / 1000, level_wh_m2_ / 1000, n_cut_,
                      kept_as_diffuse ? "taken as diffuse" : "left out");
        return {{"weather-beam-cut", text.data(), "weather"}};
    }

  private:
    double level_wh_m2_ = 0, cut_wh_m2_ = 0;
    std::size_t n_cut_ = 0;
};

/// One hour's light.
struct Light {
    double global, direct_normal, diffuse;
};

/// [erbs1982] eq. (1); the extraterrestrial light gives the hour's clearness index.
Light split_global(double global, const HourSun& sun, BeamMaker& maker) {
    if (!(sun.above_air > 0)) return {global, 0, global};
    const double fraction = erbs_diffuse_fraction(global / sun.above_air);
    const double direct = maker.beam_of(global * (1 - fraction), sun);
    return {global, direct, global - direct * sun.sine};
}

std::vector<Warning> fill_light(const Site& site, const std::vector<double>& direct_level_w_m2,
                                const HourSines& sines, Weather& weather) {
    const bool has_global = !weather.global_w_m2.empty();
    const bool has_direct = !weather.direct_normal_w_m2.empty();
    const bool has_diffuse = !weather.diffuse_w_m2.empty();
    const bool has_level = !direct_level_w_m2.empty();
    weather.given_light = {has_global, has_direct, has_diffuse};
    const std::vector<double> most_beam = most_beam_w_m2(site, weather);
    weather.global_w_m2.resize(weather.size());
    weather.direct_normal_w_m2.resize(weather.size());
    weather.diffuse_w_m2.resize(weather.size());
    BeamMaker maker;
    for (std::size_t h = 0; h < weather.size(); ++h) {
        const double extraterrestrial =
            extraterrestrial_normal_w_m2(local_day_of_year(site, weather.hour_start_utc[h]));
        const HourSun sun{sines.of_beam[h], extraterrestrial * sines.whole_hour[h], most_beam[h]};
        double& global = weather.global_w_m2[h];
        double& direct = weather.direct_normal_w_m2[h];
        double& diffuse = weather.diffuse_w_m2[h];
        if (!has_direct && has_level) {
            direct = maker.beam_of(direct_level_w_m2[h], sun);
        } else if (!has_direct && has_diffuse) {
            direct = maker.beam_of(global - diffuse, sun);
        } else if (!has_direct) {
            const Light light = split_global(global, sun, maker);
            direct = light.direct_normal;
            diffuse = light.diffuse;
            continue;
        }
        if (!has_diffuse) diffuse = std::max(global - direct * sun.sine, 0.0);
        if (!has_global) global = direct * sun.sine + diffuse;
    }
    return maker.warnings(!has_diffuse);
}

}  // namespace

const char* known_light(const Weather& weather, const std::vector<double>& direct_level_w_m2) {
    const bool global = !weather.global_w_m2.empty(), diffuse = !weather.diffuse_w_m2.empty();
    const bool direct = !weather.direct_normal_w_m2.empty();
    if (direct && diffuse)
        return global ? "all three parts given" : "global from direct and diffuse";
    if (global && direct) return "diffuse from global and direct";
    if (global && !direct_level_w_m2.empty())
        return "direct normal and diffuse from global and direct on level ground";
    if (global && diffuse) return "direct from global and diffuse";
    if (!direct_level_w_m2.empty() && diffuse) return "global from direct and diffuse";
    return "direct and diffuse split from global (Erbs)";
}

bool enough_light(const Weather& weather, const std::vector<double>& direct_level_w_m2) {
    if (!weather.global_w_m2.empty()) return true;
    return !weather.diffuse_w_m2.empty() &&
           (!weather.direct_normal_w_m2.empty() || !direct_level_w_m2.empty());
}

void complete_light(const Site& site, const std::vector<double>& direct_level_w_m2,
                    Weather& weather) {
    NOONSHELL_CHECK_EQ(enough_light(weather, direct_level_w_m2), true);
    HourSines sines = hour_sines(site, weather);
    if (weather.direct_normal_w_m2.empty()) {
        // How a beam runs through its hours shows only once there is one.
        Weather first = weather;
        fill_light(site, direct_level_w_m2, sines, first);
        sines = hour_sines(site, first);
    }
    for (Warning& warning : fill_light(site, direct_level_w_m2, sines, weather))
        weather.warnings.push_back(std::move(warning));
}

}  // namespace noonshell
