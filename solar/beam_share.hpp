// How the beam of an hour, or of several, of which the mean alone is known, runs through its suns.
#pragma once

#include <chrono>
#include <cstdint>
#include <span>
#include <vector>

#include "solar/site.hpp"

namespace noonshell {

/// Intervals and the suns in them. Suns of interval i: [sun_begin[i], sun_begin[i + 1]).
struct BeamIntervals {
    std::span<const std::chrono::sys_seconds> begin_utc;  ///< #intervals
    std::span<const double> beam_w_m2;         ///< means while the sun is up wherever it stands
                                               ///< 10 degrees high all through; NaN: missing; none
    bool on_level_ground = false;              ///< of the beam: else normal to it
    std::span<const std::uint32_t> sun_begin;  ///< #intervals + 1
    std::span<const double> elevation_deg;     ///< > 0, #suns, evenly in time
};

/// The share of each sun in its interval's direct normal light, 1 over an interval's suns, #suns:
/// that of a cloudless sky, exp(-T d), d the depth of clean air and T the Linke turbidity,
/// [kasten1996]. T is that of the clearest interval that begins within six hours either way, from 2
/// (the clearest air) to 8: dust lies in the air for days, clouds come and go. It is 3, of the
/// countryside, where there is no beam to tell. What clouds do within an interval is not known.
std::vector<double> beam_shares(const Site& site, const BeamIntervals& intervals);

}  // namespace noonshell
