// Position of the sun after Reda & Andreas.
#pragma once

#include <chrono>

#include "geometry/vec3.hpp"
#include "solar/site.hpp"

namespace noonshell {

struct SunPositionInput {
    std::chrono::sys_time<std::chrono::milliseconds> instant_utc;
    double latitude_deg = 0;
    double longitude_deg = 0;
    double elevation_m = 0;
    double pressure_hpa = 1013.25;    ///< annual mean, for refraction
    double temperature_c = 15;        ///< annual mean, for refraction
    double delta_t_s = 69.4;          ///< TT - UT1; see estimated_delta_t_s
    double refraction_at_horizon_deg = 0.5667;
};

struct SunPosition {
    double zenith_deg = 0;     ///< topocentric, with refraction
    double azimuth_deg = 0;    ///< topocentric, clockwise from north
    double elevation_deg = 0;  ///< 90 - zenith
    double distance_au = 1;
    double declination_deg = 0;      ///< topocentric
    double hour_angle_deg = 0;       ///< topocentric
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
SunPosition sun_position(const SunPositionInput& input);
SunPositionDetail sun_position_detail(const SunPositionInput& input);

/// Angle of incidence [deg] on a surface of given tilt and compass azimuth; source [reda2004] eq. 47
/// restated for azimuths from north.
double incidence_deg(const SunPosition& sun, double tilt_deg, double azimuth_deg);

/// TT - UT1 [s] for a decimal year 1950..2150, from published polynomial fits.
double estimated_delta_t_s(double decimal_year);

/// Unit vector toward the sun in model axes.
Vec3 direction_in_model_axes(double azimuth_deg, double elevation_deg, double north_deg);

/// Compass azimuth [deg, 0..360) of a direction in model axes; 0 for a vertical one.
double compass_azimuth_deg(const Vec3& direction, double north_deg);

}  // namespace noonshell
