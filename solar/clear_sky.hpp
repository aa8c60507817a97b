// Clear-sky beam and diffuse irradiance, air mass, and the extraterrestrial beam.
#pragma once

namespace noonshell {

/// Relative optical air mass at apparent elevation `elevation_deg`; below the horizon the value at
/// the horizon (37.9). Pressure is left out: multiply by p / p0 where the absolute one is wanted.
/// Source: [kasten1989] eq. (3).
double relative_air_mass(double elevation_deg);

/// Extraterrestrial normal irradiance [W/m2] on day 1..366; [ashrae2021] ch. 14 eq. (4), solar
/// constant 1367 W/m2.
double extraterrestrial_normal_w_m2(double day_of_year);

struct ClearSky {
    double direct_normal_w_m2 = 0;
    double diffuse_w_m2 = 0;  ///< horizontal
};

/// Clear sky of a month's optical depths for beam (`tau_b`) and diffuse (`tau_d`), [ashrae2021]
/// ch. 14 eqs (16)-(20); zero at and below the horizon. The fits were made for air masses up to
/// about 6 (elevation 9 deg); lower suns are extrapolated, as the handbook does itself.
ClearSky clear_sky(double elevation_deg, double extraterrestrial_w_m2, double tau_b, double tau_d);

/// Clear sky of a Linke turbidity (1 is clean dry air, 3 the countryside, 4 to 6 a dusty desert) at
/// an altitude above the sea, [ineichen2002]: global by its clear-sky model, beam by its beam model
/// and its upper limit for low suns, the rest diffuse; zero at and below the horizon. Coefficients
/// from memory of the paper. Its factor exp(0.01 AM^1.8), which nearly doubles the global light of
/// a sun 5 deg high, is left out.
ClearSky turbidity_clear_sky(double elevation_deg, double extraterrestrial_w_m2,
                             double linke_turbidity, double altitude_m);

}  // namespace noonshell
