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

    /// The step's share of its hour's direct normal light, by beam_shares; adds up to 1 over the
    /// steps of an hour; #steps, or none: even.
    std::vector<double> beam_share;

    /// Unit, toward the pole of the heavens that the sun turns about, model axes; zero: unknown.
    Vec3 pole{0, 0, 0};

    std::size_t n_hours() const { return hour_begin.empty() ? 0 : hour_begin.size() - 1; }
    std::size_t size() const { return direction.size(); }
    bool is_hidden(std::size_t step) const { return !hidden.empty() && hidden[step] != 0; }

    /// beam_share of a step in an hour of `n_steps`.
    double beam_share_of(std::size_t step, std::size_t n_steps) const {
        return beam_share.empty() ? 1.0 / static_cast<double>(n_steps) : beam_share[step];
    }

    /// The cosine between a face's normal and the sun, 0 behind it, as the beam of an hour meets
    /// it: mean weighted by beam_share; 0 at night.
    double beam_cosine(std::size_t hour, const Vec3& normal) const;
};

/// Sun by [reda2004]; its geocentric part is computed once a day and joined by cubics, which stays
/// within 1e-6 deg of the full algorithm. Delta T is estimated from the date; refraction takes the
/// pressure of the standard atmosphere ([ashrae2021] ch. 1 eq. (3)) at the site's elevation and the
/// mean dry bulb of the weather (15 degC where it has none). Suns below the site's horizon profile
/// are steps like all others, marked `hidden`. `step_s` must divide 3600. Throws InputError
/// otherwise, and for a site off the earth.
SunPath sun_path(const Site& site, const Weather& weather, double step_s = 600);

}  // namespace noonshell
