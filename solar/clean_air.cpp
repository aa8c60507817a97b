#include "solar/clean_air.hpp"

#include <cmath>

#include "geometry/angles.hpp"
#include "solar/clear_sky.hpp"
#include "solar/hour_sine.hpp"
#include "solar/standard_air.hpp"
#include "solar/sun_path.hpp"

namespace noonshell {

double clean_air_depth(double elevation_deg, double altitude_m) {
    const double m = relative_air_mass(elevation_deg) * standard_pressure_ratio(altitude_m);
    const double inverse = m > 20
                               ? 10.4 + 0.718 * m
                               : 6.6296 + m * (1.7513 + m * (-0.1202 + m * (0.0065 - m * 0.00013)));
    return 0.8662 * m / inverse;
}

double clean_air_beam_w_m2(double elevation_deg, double extraterrestrial_w_m2, double altitude_m) {
    return extraterrestrial_w_m2 * std::exp(-clean_air_depth(elevation_deg, altitude_m));
}

std::vector<double> most_beam_w_m2(const Site& site, const Weather& weather) {
    constexpr double step_s = 300;
    const SunPath path = sun_path(site, weather, step_s);
    std::vector<double> most;
    for (std::size_t hour = 0; hour < path.n_hours(); ++hour) {
        const double extraterrestrial =
            extraterrestrial_normal_w_m2(local_day_of_year(site, weather.hour_start_utc[hour]));
        double level = 0, sines = 0;
        for (auto step = path.hour_begin[hour]; step < path.hour_begin[hour + 1]; ++step) {
            const double sine = std::sin(path.elevation_deg[step] * degree);
            level += sine * clean_air_beam_w_m2(path.elevation_deg[step], extraterrestrial,
                                                site.elevation_m);
            sines += sine;
        }
        most.push_back(sines > 0 ? level / sines : 0);
    }
    return most;
}

}  // namespace noonshell
