// The sun at the middle of every sun step with the sun up.
#pragma once

#include <cstdint>
#include <vector>

#include "geometry/vec3.hpp"
#include "solar/site.hpp"
#include "solar/weather.hpp"

namespace noonshell {

/// Steps in time order; struct of arrays. Steps of hour h: [hour_begin[h], hour_begin[h + 1]).
struct SunPath {
    double step_s = 600;
    std::vector<std::uint32_t> hour_begin;  ///< #hours + 1
    std::vector<Vec3> direction;            ///< unit, toward the sun, model axes; #steps
    std::vector<double> elevation_deg;      ///< apparent, > 0; #steps
    std::vector<double> azimuth_deg;        ///< compass; #steps
    std::vector<std::uint8_t> hidden;       ///< 1: the sun's centre stands behind the site's
                                            ///< horizon profile; #steps, or none: nothing hides

    /// Unit, toward the pole of the heavens that the sun turns about, model axes; zero: unknown.
    Vec3 pole{0, 0, 0};

    std::size_t n_hours() const { return hour_begin.empty() ? 0 : hour_begin.size() - 1; }
    std::size_t size() const { return direction.size(); }
    bool is_hidden(std::size_t step) const { return !hidden.empty() && hidden[step] != 0; }
};

/// Sun by [reda2004]; its geocentric part is computed once a day and joined by cubics, which stays
/// within 1e-6 deg of the full algorithm. Delta T is estimated from the date; refraction takes the
/// pressure of the standard atmosphere ([ashrae2021] ch. 1 eq. (3)) at the site's elevation and the
/// mean dry bulb of the weather (15 degC where it has none). Suns below the site's horizon profile
/// are steps like all others, marked `hidden`. `step_s` must divide 3600. Throws InputError
/// otherwise, and for a site off the earth.
SunPath sun_path(const Site& site, const Weather& weather, double step_s = 600);

}  // namespace noonshell
