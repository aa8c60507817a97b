// Section and equation numbers are those of [reda2004].
#include "solar/sun_position.hpp"

#include <algorithm>
#include <cmath>
#include <sstream>

#include "geometry/angles.hpp"
#include "geometry/diagnostics.hpp"
#include "solar/sun_position_terms.hpp"

namespace noonshell {

namespace {

double wrap_360(double angle_deg) {
    const double rest = std::fmod(angle_deg, 360.0);
    const double wrapped = rest < 0.0 ? rest + 360.0 : rest;
    return wrapped < 360.0 ? wrapped : 0.0;
}

double wrap_180(double angle_deg) {
    const double wrapped = wrap_360(angle_deg);
    return wrapped > 180.0 ? wrapped - 360.0 : wrapped;
}

double polynomial(std::initializer_list<double> coefficients, double x) {
    double sum = 0.0;
    for (auto c = std::rbegin(coefficients); c != std::rend(coefficients); ++c) sum = sum * x + *c;
    return sum;
}

/// Eqs 9, 10.
double periodic_sum(std::span<const PeriodicTerm> terms, double jme) {
    double sum = 0.0;
    for (const auto& term : terms) {
        sum += term.amplitude * std::cos(term.phase_rad + term.frequency_rad * jme);
    }
    return sum;
}

/// Eq. 11: the sums times rising powers of JME, times 1e-8.
template <std::size_t n>
double series(const std::array<std::span<const PeriodicTerm>, n>& tables, double jme,
              double (&sums)[n]) {
    double value = 0.0;
    double power = 1.0;
    for (std::size_t i = 0; i < n; ++i) {
        sums[i] = periodic_sum(tables[i], jme);
        value += sums[i] * power;
        power *= jme;
    }
    return value * 1e-8;
}

/// 3.1, eqs 5 to 8.
void time_scales(SunPositionDetail& d, double julian_day, double delta_t_s) {
    d.jd = julian_day;
    d.jc = (d.jd - 2451545.0) / 36525.0;
    d.jde = d.jd + delta_t_s / 86400.0;
    d.jce = (d.jde - 2451545.0) / 36525.0;
    d.jme = d.jce / 10.0;
}

/// 3.2, 3.3: heliocentric place of the earth and geocentric place of the sun.
void heliocentric(SunPositionDetail& d) {
    d.l_deg = wrap_360(series(longitude_terms, d.jme, d.l_sums) / degree);
    d.b_deg = series(latitude_terms, d.jme, d.b_sums) / degree;
    d.r_au = series(radius_terms, d.jme, d.r_sums);
    d.theta_deg = wrap_360(d.l_deg + 180.0);
    d.beta_deg = -d.b_deg;
}

/// 3.4, eqs 15 to 23.
void nutation(SunPositionDetail& d) {
    const double t = d.jce;
    d.x_deg[0] = polynomial({297.85036, 445267.111480, -0.0019142, 1.0 / 189474.0}, t);
    d.x_deg[1] = polynomial({357.52772, 35999.050340, -0.0001603, -1.0 / 300000.0}, t);
    d.x_deg[2] = polynomial({134.96298, 477198.867398, 0.0086972, 1.0 / 56250.0}, t);
    d.x_deg[3] = polynomial({93.27191, 483202.017538, -0.0036825, 1.0 / 327270.0}, t);
    d.x_deg[4] = polynomial({125.04452, -1934.136261, 0.0020708, 1.0 / 450000.0}, t);
    double longitude = 0.0;
    double obliquity = 0.0;
    for (const auto& term : nutation_terms) {
        double argument_deg = 0.0;
        for (std::size_t j = 0; j < 5; ++j) argument_deg += d.x_deg[j] * term.y[j];
        longitude += (term.a + term.b * t) * std::sin(argument_deg * degree);
        obliquity += (term.c + term.d * t) * std::cos(argument_deg * degree);
    }
    d.delta_psi_deg = longitude / 36000000.0;
    d.delta_epsilon_deg = obliquity / 36000000.0;
}

/// 3.5 to 3.7, eqs 24 to 27.
void apparent_longitude(SunPositionDetail& d) {
    d.epsilon0_arcsec = polynomial(
        {84381.448, -4680.93, -1.55, 1999.25, -51.38, -249.67, -39.05, 7.12, 27.87, 5.79, 2.45},
        d.jme / 10.0);
    d.epsilon_deg = d.epsilon0_arcsec / 3600.0 + d.delta_epsilon_deg;
    d.delta_tau_deg = -20.4898 / (3600.0 * d.r_au);
    d.lambda_deg = d.theta_deg + d.delta_psi_deg + d.delta_tau_deg;
}

/// 3.9, 3.10, eqs 30, 31.
void equatorial(SunPositionDetail& d) {
    const double lambda = d.lambda_deg * degree;
    const double beta = d.beta_deg * degree;
    const double epsilon = d.epsilon_deg * degree;
    d.alpha_deg = wrap_360(
        std::atan2(std::sin(lambda) * std::cos(epsilon) - std::tan(beta) * std::sin(epsilon),
                   std::cos(lambda)) /
        degree);
    d.delta_deg = std::asin(std::sin(beta) * std::cos(epsilon) +
                            std::cos(beta) * std::sin(epsilon) * std::sin(lambda)) /
                  degree;
}

void geocentric(SunPositionDetail& d, double julian_day, double delta_t_s) {
    time_scales(d, julian_day, delta_t_s);
    heliocentric(d);
    nutation(d);
    apparent_longitude(d);
    equatorial(d);
}

GeocentricSun geocentric_of(const SunPositionDetail& d) {
    return {d.alpha_deg, d.delta_deg, d.r_au, d.delta_psi_deg * std::cos(d.epsilon_deg * degree)};
}

/// 3.8, eq. 28.
double mean_sidereal_deg(double jd) {
    const double jc = (jd - 2451545.0) / 36525.0;
    return wrap_360(280.46061837 + 360.98564736629 * (jd - 2451545.0) +
                    jc * jc * (0.000387933 - jc / 38710000.0));
}

/// What 3.11 to 3.14 compute on the way.
struct Topocentric {
    double h_deg, xi_deg, delta_alpha_deg, delta_prime_deg, h_prime_deg;
    double e0_deg, delta_e_deg;
};

/// 3.12, eqs 33 to 39: parallax, from the observer's place on the ellipsoid.
void parallax(Topocentric& t, const GeocentricSun& sun, const SunPositionInput& place) {
    const double latitude = place.latitude_deg * degree;
    const double u = std::atan(0.99664719 * std::tan(latitude));
    const double height = place.elevation_m / 6378140.0;
    const double x = std::cos(u) + height * std::cos(latitude);
    const double y = 0.99664719 * std::sin(u) + height * std::sin(latitude);

    t.xi_deg = 8.794 / (3600.0 * sun.distance_au);
    const double sin_xi = std::sin(t.xi_deg * degree);
    const double delta = sun.declination_deg * degree;
    const double h = t.h_deg * degree;
    const double toward_meridian = std::cos(delta) - x * sin_xi * std::cos(h);
    const double delta_alpha = std::atan2(-x * sin_xi * std::sin(h), toward_meridian);
    t.delta_alpha_deg = delta_alpha / degree;
    t.delta_prime_deg =
        std::atan2((std::sin(delta) - y * sin_xi) * std::cos(delta_alpha), toward_meridian) /
        degree;
    t.h_prime_deg = t.h_deg - t.delta_alpha_deg;  // 3.13, eq. 40
}

/// Eq. 42, with the report's rule that none is added while the whole disc is below the horizon.
double refraction_deg(double e0_deg, const SunPositionInput& place) {
    constexpr double sun_radius_deg = 0.26667;
    if (e0_deg < -(sun_radius_deg + place.refraction_at_horizon_deg)) return 0.0;
    return (place.pressure_hpa / 1010.0) * (283.0 / (273.0 + place.temperature_c)) * 1.02 /
           (60.0 * std::tan((e0_deg + 10.3 / (e0_deg + 5.11)) * degree));
}

/// 3.14, eqs 41 to 46.
SunPosition horizontal(Topocentric& t, const GeocentricSun& sun, const SunPositionInput& place) {
    const double sin_latitude = std::sin(place.latitude_deg * degree);
    const double cos_latitude = std::cos(place.latitude_deg * degree);
    const double delta = t.delta_prime_deg * degree;
    const double h = t.h_prime_deg * degree;
    const double sin_e0 =
        sin_latitude * std::sin(delta) + cos_latitude * std::cos(delta) * std::cos(h);
    t.e0_deg = std::asin(std::clamp(sin_e0, -1.0, 1.0)) / degree;
    t.delta_e_deg = refraction_deg(t.e0_deg, place);

    SunPosition position;
    position.elevation_deg = t.e0_deg + t.delta_e_deg;
    position.zenith_deg = 90.0 - position.elevation_deg;
    const double from_south_deg =
        std::atan2(std::sin(h), std::cos(h) * sin_latitude - std::tan(delta) * cos_latitude) /
        degree;
    position.azimuth_deg = wrap_360(from_south_deg + 180.0);
    position.distance_au = sun.distance_au;
    position.declination_deg = t.delta_prime_deg;
    position.hour_angle_deg = wrap_180(t.h_prime_deg);
    return position;
}

SunPosition topocentric(Topocentric& t, const GeocentricSun& sun, double julian_day,
                        const SunPositionInput& place) {
    const double sidereal_deg = mean_sidereal_deg(julian_day) + sun.equation_of_equinoxes_deg;
    t.h_deg = wrap_360(sidereal_deg + place.longitude_deg - sun.right_ascension_deg);  // eq. 32
    parallax(t, sun, place);
    return horizontal(t, sun, place);
}

/// Eq. 4, without the calendar: days of 86400 s since the Unix epoch.
double julian_day_of(std::chrono::sys_time<std::chrono::milliseconds> instant) {
    return 2440587.5 + static_cast<double>(instant.time_since_epoch().count()) / 86400000.0;
}

void check_range(const char* name, double value, double least, double most) {
    if (value >= least && value <= most) return;
    std::ostringstream expected, seen;
    expected << "a number from " << least << " to " << most;
    seen << value;
    throw InputError({.file = {}, .line = {}, .column = {}, .entity = name}, expected.str(),
                     seen.str());
}

}  // namespace

void check_sun_place(const SunPositionInput& place) {
    check_range("latitude_deg", place.latitude_deg, -90.0, 90.0);
    check_range("longitude_deg", place.longitude_deg, -180.0, 180.0);
    check_range("elevation_m", place.elevation_m, -500.0, 9000.0);
    check_range("pressure_hpa", place.pressure_hpa, 0.0, 1200.0);
    check_range("temperature_c", place.temperature_c, -100.0, 100.0);
}

GeocentricSun geocentric_sun(double julian_day, double delta_t_s) {
    SunPositionDetail d{};
    geocentric(d, julian_day, delta_t_s);
    return geocentric_of(d);
}

SunPosition topocentric_sun(const GeocentricSun& sun, double julian_day,
                            const SunPositionInput& place) {
    Topocentric t{};
    return topocentric(t, sun, julian_day, place);
}

SunPositionDetail sun_position_detail(const SunPositionInput& input) {
    check_sun_place(input);
    SunPositionDetail d{};
    geocentric(d, julian_day_of(input.instant_utc), input.delta_t_s);
    const GeocentricSun sun = geocentric_of(d);
    d.nu0_deg = mean_sidereal_deg(d.jd);
    d.nu_deg = d.nu0_deg + sun.equation_of_equinoxes_deg;

    Topocentric t{};
    d.position = topocentric(t, sun, d.jd, input);
    d.h_deg = t.h_deg;
    d.xi_deg = t.xi_deg;
    d.delta_alpha_deg = t.delta_alpha_deg;
    d.alpha_prime_deg = d.alpha_deg + t.delta_alpha_deg;
    d.delta_prime_deg = t.delta_prime_deg;
    d.h_prime_deg = t.h_prime_deg;
    d.e0_deg = t.e0_deg;
    d.delta_e_deg = t.delta_e_deg;
    d.e_deg = d.position.elevation_deg;
    return d;
}

SunPosition sun_position(const SunPositionInput& input) {
    return sun_position_detail(input).position;
}

double incidence_deg(const SunPosition& sun, double tilt_deg, double azimuth_deg) {
    const double zenith = sun.zenith_deg * degree;
    const double tilt = tilt_deg * degree;
    const double cosine =
        std::cos(zenith) * std::cos(tilt) +
        std::sin(tilt) * std::sin(zenith) * std::cos((sun.azimuth_deg - azimuth_deg) * degree);
    return std::acos(std::clamp(cosine, -1.0, 1.0)) / degree;
}

double estimated_delta_t_s(double decimal_year) {
    const double year = decimal_year;
    const double century = (year - 1820.0) / 100.0;
    const double parabola = -20.0 + 32.0 * century * century;
    if (year < 1900.0) return parabola;
    if (year < 1920.0) {
        return polynomial({-2.79, 1.494119, -0.0598939, 0.0061966, -0.000197}, year - 1900.0);
    }
    if (year < 1941.0) {
        return polynomial({21.20, 0.84493, -0.076100, 0.0020936}, year - 1920.0);
    }
    if (year < 1961.0) {
        return polynomial({29.07, 0.407, -1.0 / 233.0, 1.0 / 2547.0}, year - 1950.0);
    }
    if (year < 1986.0) {
        return polynomial({45.45, 1.067, -1.0 / 260.0, -1.0 / 718.0}, year - 1975.0);
    }
    if (year < 2005.0) {
        return polynomial({63.86, 0.3345, -0.060374, 0.0017275, 0.000651814, 0.00002373599},
                          year - 2000.0);
    }
    if (year < 2050.0) return polynomial({62.92, 0.32217, 0.005589}, year - 2000.0);
    if (year < 2150.0) return parabola - 0.5628 * (2150.0 - year);
    return parabola;
}

}  // namespace noonshell
