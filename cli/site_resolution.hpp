// Place and weather of a run: the site file's values, completed from the weather file.
#pragma once

#include <vector>

#include "cli/site_file.hpp"
#include "solar/site.hpp"
#include "solar/weather.hpp"

namespace noonshell {

struct PlaceAndWeather {
    Site site;
    Weather weather;
    std::vector<Warning> warnings;  ///< of the weather, and of its fit to the place
};

/// Opens the weather the site file names. What the file says of its place is added to
/// `settings.inputs`. Throws InputError where latitude, longitude, time zone or weather are given
/// nowhere, or the time zone does not exist.
PlaceAndWeather resolve_place_and_weather(SiteFile& settings);

/// Whether nobody tells the yearly mean of the outdoor air: not the site file, and the weather is
/// less than a year.
bool lacks_yearly_mean(const WeatherSettings& settings, const Weather& weather);

}  // namespace noonshell
