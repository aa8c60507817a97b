// Periodic terms of the sun position algorithm: the tables of [reda2004], appendix A4.
#pragma once

#include <array>
#include <span>

namespace noonshell {

/// One row of table A4.2: amplitude * cos(phase + frequency * JME).
struct PeriodicTerm {
    double amplitude;  ///< 1e-8 rad (longitude, latitude) or 1e-8 AU (radius)
    double phase_rad;
    double frequency_rad;  ///< per Julian ephemeris millennium
};

/// Rows of the earth's heliocentric longitude, latitude and radius, by power of JME.
extern const std::array<std::span<const PeriodicTerm>, 6> longitude_terms;
extern const std::array<std::span<const PeriodicTerm>, 2> latitude_terms;
extern const std::array<std::span<const PeriodicTerm>, 5> radius_terms;

/// One row of table A4.3: multiples of X0..X4 and coefficients of 0.0001 arcsec.
struct NutationTerm {
    std::array<int, 5> y;
    double a, b;  ///< longitude: (a + b JCE) sin(sum y x)
    double c, d;  ///< obliquity: (c + d JCE) cos(sum y x)
};

extern const std::array<NutationTerm, 63> nutation_terms;

}  // namespace noonshell
