// What the command line of `run` says besides the site file.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "cli/site_file.hpp"

namespace noonshell {

struct RunChoices {
    bool only_sun = false;  ///< no heat, no ranking
    bool preview = false;   ///< coarse and quick: see apply()
    bool unranked = false;  ///< heat, but no treatment is tried alone: a plan does that
    bool hours = false;     ///< write surface_hours.csv
    bool netcdf = false;    ///< write hourly.nc
    bool with_netcdf() const { return netcdf || !netcdf_facets.empty(); }
    bool every_sun = false;          ///< see SiteSunOptions
    std::optional<double> accuracy;  ///< of every surface's sun, as a part of it
    /// Patterns of surface ids whose mask is written; "#3" behind one asks for the third facet's.
    std::vector<std::string> masks;
    std::vector<std::string> facets;  ///< patterns of surface ids whose facets are told by the hour
    std::vector<std::string> netcdf_facets;  ///< the same, in hourly.nc; they imply it
    std::vector<ColourBy> views;             ///< results that plan and sides are painted by
    std::vector<std::string> sun_paths;      ///< as masks, drawn with the sun's paths
    std::vector<std::string> carpets;  ///< patterns of surface and unit ids, drawn by the hour
};

/// Words of results on the command line and in file names: "sun", "peak-outside", "inward", "rank".
std::string_view view_word(ColourBy by);
std::optional<ColourBy> view_of_word(std::string_view word);

/// Whether a run with these choices has this result.
bool has_result(const RunChoices& choices, ColourBy by);

/// Part size of a preview, see light_parts().
inline constexpr double preview_part_size_m = 2.5;

/// Whether an input, by its key, has no bearing on the sun.
bool is_of_heat_alone(std::string_view key);

/// "0.5%", "0.5 %" or "0.5" (percent) as a part of 1; none for what is no number or not above 0 and
/// at most 50 %.
std::optional<double> accuracy_from(const std::string& text);

/// Puts the choices into the settings and their record. A preview takes facets of 1 m and ground
/// cells of 2 m or larger, suns every 30 minutes, 2 points and 64 rays for each facet, light
/// exchanged between parts of 2.5 m, heat steps of 15 minutes; no accuracy is asked for. With the
/// sun alone coloured.step shows the sun.
void apply(const RunChoices& choices, SiteFile& settings);

}  // namespace noonshell
