// Position of the sun after Reda & Andreas.
#pragma once

#include <chrono>

#include "geometry/compass.hpp"
#include "solar/site.hpp"

namespace noonshell {

/// The years for which the sun's position is known well enough.
inline constexpr int first_sun_year = 1950, last_sun_year = 2150;

/// When and where the sun is watched. UT1 is taken as UTC (they differ by less than 0.9 s, that is
/// 0.004 deg of hour angle).
struct SunPositionInput {
    std::chrono::sys_time<std::chrono::milliseconds> instant_utc;
    double latitude_deg = 0;   ///< north positive, -90..90
    double longitude_deg = 0;  ///< east positive, -180..180
    double elevation_m = 0;
    double pressure_hpa = 1013.25;  ///< annual mean, for refraction
    double temperature_c = 15;      ///< annual mean, for refraction
    double delta_t_s = 69.4;        ///< TT - UT1; see estimated_delta_t_s
    double refraction_at_horizon_deg =
        0.5667;  ///< only decides below which elevation none is added
};

struct SunPosition {
    double zenith_deg = 0;     ///< topocentric, with refraction
    double azimuth_deg = 0;    ///< topocentric, clockwise from north, 0..360
    double elevation_deg = 0;  ///< 90 - zenith
    double distance_au = 1;
    double declination_deg = 0;  ///< topocentric
    double hour_angle_deg = 0;   ///< topocentric, west positive, -180..180
};

/// Intermediate quantities under the names of the report, for checks. Angles in degrees.
struct SunPositionDetail {
    double jd, jc, jde, jce, jme;
    double l_sums[6], b_sums[2], r_sums[5];
    double l_deg, b_deg, r_au, theta_deg, beta_deg;
    double x_deg[5], delta_psi_deg, delta_epsilon_deg, epsilon0_arcsec, epsilon_deg;
    double delta_tau_deg, lambda_deg, nu0_deg, nu_deg, alpha_deg, delta_deg;
    double h_deg, xi_deg, delta_alpha_deg, alpha_prime_deg, delta_prime_deg, h_prime_deg;
    double e0_deg, delta_e_deg, e_deg;
    SunPosition position;
};

/// Full algorithm; 0.0003 deg, years -2000 to 6000. Source: [reda2004].
/// Throws InputError for a place off the earth or an impossible state of the air.
SunPosition sun_position(const SunPositionInput& input);
SunPositionDetail sun_position_detail(const SunPositionInput& input);

/// The part of the algorithm that does not depend on the place and varies slowly enough to be
/// interpolated over days: [reda2004] 3.2 to 3.10 without the turning of the earth.
struct GeocentricSun {
    double right_ascension_deg = 0;  ///< alpha, 0..360
    double declination_deg = 0;      ///< delta
    double distance_au = 1;
    double equation_of_equinoxes_deg = 0;  ///< apparent minus mean sidereal time
};

/// `julian_day` in UT1. Costs all the periodic sums.
GeocentricSun geocentric_sun(double julian_day, double delta_t_s);

/// The rest, 3.8 and 3.11 to 3.14. Of `place` the instant and delta T are not used; it is not
/// checked again.
SunPosition topocentric_sun(const GeocentricSun& sun, double julian_day,
                            const SunPositionInput& place);

/// Throws InputError unless latitude, longitude, elevation, pressure and temperature can be true.
void check_sun_place(const SunPositionInput& place);

/// Angle of incidence [deg] on a surface of given tilt and compass azimuth; source [reda2004] eq.
/// 47 restated for azimuths from north. With refraction, since the zenith angle has it.
double incidence_deg(const SunPosition& sun, double tilt_deg, double azimuth_deg);

/// TT - UT1 [s] for a decimal year: polynomial fits of [espenak2006] for 1900 to 2150, outside them
/// their parabola for the far past and future. The fit of 2005 to 2050 runs ahead of what has been
/// measured since (2 s in 2020, that is 2e-5 deg of the sun's place).
double estimated_delta_t_s(double decimal_year);

}  // namespace noonshell
