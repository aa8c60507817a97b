// The sun in tables: by month, by facet, by hour, and masks of what stands around.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "cli/run_analysis.hpp"

namespace noonshell {

/// A file in pieces, see OutputFolder::add(); it reads the result it was made from.
struct SunFile {
    std::string name;
    std::function<std::string()> next;
};

/// CSV as surfaces.csv is; light is incident, before any of it is absorbed:
/// - surface_months.csv: each month of the period, kWh/m2; months add up to surfaces.csv.
/// - facets.csv: each facet of the building, kWh/m2 over the period with standard errors from the
///   sampling, and the sum of the four parts by month, January first. Their area means are those of
///   surfaces.csv but for hours in which the horizon part of the sky outweighs the rest (see
///   FacetSun).
/// - surface_hours.csv, where asked for: each hour with daylight, W/m2; hours add up to months.
///   "sunlit_share" is the lit part of the surface's area weighed by the cosine of incidence, empty
///   where the sun is behind the surface.
/// - facet_months.csv, facet_times.csv and facet_hours.csv, where asked for: see facet_files().
/// - mask-SURFACE.csv, where asked for: what the middle of a surface or (mask-SURFACE-facet-N.csv)
///   facet N of facets.csv sees, by compass azimuth and elevation of the cell's middle, only cells
///   in front of it; "share" is the cell's part in the cosine-weighted hemisphere; "kind" is sky,
///   ground, hills, surface or context.
std::vector<SunFile> sun_files(const RunResult& result);

/// An id as a part of a file's name, of 120 bytes or so: what is no letter (of any script), digit,
/// '.', '-' or '_' in it is '_'.
std::string file_name_part(const std::string& id);

/// The name of a surface's mask file.
std::string mask_file_name(const std::string& surface_id);

}  // namespace noonshell
