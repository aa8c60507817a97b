// Weather in NetCDF files: points and grids whose variables go by the names of the CF conventions.
#pragma once

#include <array>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "geometry/diagnostics.hpp"
#include "solar/weather_samples.hpp"
#include "solar/weather_table.hpp"

namespace noonshell {

/// Energies (J m-2) hold what fell within their interval, or since the forecast began.
enum class Accumulation { interval, since_start };

struct WeatherGridFormat {
    /// Names of variables by WeatherQuantity; where empty, the variable of the standard_name.
    std::array<std::string, n_weather_quantities> variables;
    std::string wind_east, wind_north;         ///< of the components
    std::optional<Accumulation> accumulation;  ///< found from the time bounds unless set
    std::optional<StampAt> stamp;  ///< where in its interval the time of a flux stands; by the time
                                   ///< bounds unless set; where there are none at the end, or in
                                   ///< the middle where they stand_at_half_hours()
};

struct WeatherGrid {
    WeatherSamples samples;
    double latitude_deg = 0, longitude_deg = 0;  ///< of the cell of the dry bulb
    double distance_km = 0;                      ///< from the site
    WeatherSeries wind_east, wind_north;         ///< components [m/s]
    std::vector<Warning> warnings;
};

/// Reads the cell nearest to the site. Standard names ([cf2023]): air_temperature,
/// dew_point_temperature, relative_humidity, wind_speed and wind_from_direction or eastward_wind
/// and northward_wind, surface_air_pressure, and of the fluxes at the surface
/// surface_downwelling_shortwave_flux_in_air, surface_direct_downwelling_shortwave_flux_in_air,
/// surface_direct_along_beam_shortwave_flux_in_air,
/// surface_diffuse_downwelling_shortwave_flux_in_air, surface_downwelling_longwave_flux_in_air,
/// also with integral_wrt_time_of_ before them; cloud_area_fraction. All must share one time axis
/// in steps of an hour, of minutes that divide it, or of 2 or 3 hours; dimensions other than time
/// and place must have length 1, or be heights.
/// - Air is taken at 2 m and wind at 10 m: of several variables of one standard name, or of several
///   heights of one, the nearest. Wind of another height is taken to 10 m by wind_to_10_m(), air as
///   it stands, with a warning "weather-height". Without a height variables are taken to have it.
/// - States are instants at their time unless cell_methods says "time: mean".
/// - Fluxes in W m-2 are means over the interval; with cell_methods "time: point" neighbouring
///   instants are averaged (not of sunlight more than an hour apart: an InputError).
/// - Fluxes in J m-2 are divided by the interval, after taking differences where they run since a
///   start: where the time bounds say so (the lower one stays), or `accumulation`. Without bounds
///   they are taken by interval; sunlight at night then is an InputError that says what to set. A
///   fall of the sum is a new start; the first of a run that is longer than one interval is
///   missing.
/// - Intervals end at the upper time bound; else `stamp` says.
/// The file is read in a child process, for HDF5 crashes on some damaged files or spoils memory:
/// that is an InputError then.
/// A cell farther than 50 km is a warning "weather-cell-far". Throws InputError for a cell without
/// any value (it names the nearest with some), a name that is
/// not there or there twice, units or a calendar that are not known, and whatever SampleClock and
/// plausible() say.
WeatherGrid read_weather_grid(const std::filesystem::path& file, const Site& site,
                              const WeatherGridFormat& format = {}, int longest_fill_h = 6);

/// The same from several files, each of which holds a part of the quantities, of the time or of
/// both; each is read as above and join_weather_grids() puts them together.
WeatherGrid read_weather_grids(const std::vector<std::filesystem::path>& files, const Site& site,
                               const WeatherGridFormat& format = {}, int longest_fill_h = 6);

}  // namespace noonshell
