#include "solar/light_completion.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "solar/clear_sky.hpp"
#include "solar/hour_sine.hpp"
#include "solar/sky.hpp"

namespace noonshell {

namespace {

/// Direct normal beam of a direct light on level ground, within the limits of the header.
double beam_of(double direct_level, double sine, double extraterrestrial) {
    constexpr double lowest_deg = 3;
    static const double lowest_sine = std::sin(lowest_deg * std::numbers::pi / 180);
    if (sine < lowest_sine) return 0;
    return std::clamp(direct_level / sine, 0.0, extraterrestrial);
}

/// One hour's light.
struct Light {
    double global, direct_normal, diffuse;
};

/// [erbs1982] eq. (1); `whole_sine` and the extraterrestrial beam give the hour's clearness index.
Light split_global(double global, double sine, double whole_sine, double extraterrestrial) {
    const double above_the_air = extraterrestrial * whole_sine;
    if (!(above_the_air > 0)) return {global, 0, global};
    const double fraction = erbs_diffuse_fraction(global / above_the_air);
    const double direct = beam_of(global * (1 - fraction), sine, extraterrestrial);
    return {global, direct, global - direct * sine};
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
    const bool has_global = !weather.global_w_m2.empty();
    const bool has_direct = !weather.direct_normal_w_m2.empty();
    const bool has_diffuse = !weather.diffuse_w_m2.empty();
    const bool has_level = !direct_level_w_m2.empty();
    const HourSines sines = hour_sines(site, weather);
    weather.global_w_m2.resize(weather.size());
    weather.direct_normal_w_m2.resize(weather.size());
    weather.diffuse_w_m2.resize(weather.size());
    for (std::size_t h = 0; h < weather.size(); ++h) {
        const double sine = sines.while_up[h];
        const double extraterrestrial =
            extraterrestrial_normal_w_m2(local_day_of_year(site, weather.hour_start_utc[h]));
        double& global = weather.global_w_m2[h];
        double& direct = weather.direct_normal_w_m2[h];
        double& diffuse = weather.diffuse_w_m2[h];
        if (!has_direct && has_level) {
            direct = beam_of(direct_level_w_m2[h], sine, extraterrestrial);
        } else if (!has_direct && has_diffuse) {
            direct = beam_of(global - diffuse, sine, extraterrestrial);
        } else if (!has_direct) {
            const Light light = split_global(global, sine, sines.whole_hour[h], extraterrestrial);
            direct = light.direct_normal;
            diffuse = light.diffuse;
            continue;
        }
        if (!has_diffuse) diffuse = std::max(global - direct * sine, 0.0);
        if (!has_global) global = direct * sine + diffuse;
    }
}

}  // namespace noonshell
