// Clear-sky beam and diffuse irradiance, air mass, and the extraterrestrial beam.
#pragma once

namespace noonshell {

/// Relative optical air mass at apparent elevation `elevation_deg` >= 0. Source: [kasten1989].
double relative_air_mass(double elevation_deg);

/// Extraterrestrial normal irradiance [W/m2] on day 1..366; [ashrae2021] ch. 14 eq (4), 1367 W/m2.
double extraterrestrial_normal_w_m2(double day_of_year);

struct ClearSky {
    double direct_normal_w_m2 = 0;
    double diffuse_w_m2 = 0;  ///< horizontal
};

/// [ashrae2021] ch. 14 eqs (16)-(20); zero below the horizon.
ClearSky clear_sky(double elevation_deg, double extraterrestrial_w_m2, double tau_b, double tau_d);

}  // namespace noonshell
