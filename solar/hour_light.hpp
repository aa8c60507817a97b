// The light of every hour before any surface is looked at.
#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "geometry/diagnostics.hpp"
#include "solar/site.hpp"
#include "solar/sky.hpp"
#include "solar/sun_path.hpp"
#include "solar/weather.hpp"

namespace noonshell {

/// How the diffuse light is spread over the sky.
enum class SkyModel {
    anisotropic,  ///< [perez1990]
    even          ///< the same from everywhere: for comparison
};

struct HourLight {
    std::uint32_t hour = 0;  ///< of the weather
    bool sun_up = false;     ///< the hour has sun steps
    double direct_normal_w_m2 = 0;
    SkyLight sky;
    double global_w_m2 = 0;  ///< on open level ground: DNI mean cos Z + DHI
};

struct LitHours {
    std::vector<HourLight> hours;   ///< those with any light, ascending
    std::vector<Warning> warnings;  ///< "beam-without-sun"
};

/// The sky of an hour is that of the mean sun of its steps with the sun up; an hour with diffuse
/// light and no sun step has an even sky. Beam of hours without any sun step is dropped; a warning
/// counts it where it is more than 0.1 % of all.
LitHours lit_hours(const Site& site, const Weather& weather, const SunPath& path,
                   SkyModel model = SkyModel::anisotropic);

/// Bins of hours for sums: one more than the largest number in the list, 1 for an empty one.
std::size_t n_bins(std::span<const std::uint8_t> bin_of_hour);

}  // namespace noonshell
