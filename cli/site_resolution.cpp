#include "cli/site_resolution.hpp"

#include <fmt/format.h>

#include <cmath>
#include <numeric>
#include <optional>
#include <utility>

#include "cli/utf8.hpp"
#include "solar/horizon_profile.hpp"
#include "solar/light_clock.hpp"
#include "solar/light_limits.hpp"
#include "solar/time_zone.hpp"

namespace noonshell {

namespace {

constexpr std::string_view needs_weather_file = "or a weather file that holds it";

InputError missing(const InputPlace& table, std::string_view key, std::string_view expected) {
    InputPlace place = table;
    place.entity = key;
    return InputError(std::move(place), std::string(expected), "nothing");
}

/// The value of the site file, else of the weather file, else an error that names the key.
double choose(const std::optional<double>& given, const std::optional<double>& in_weather_file,
              std::string_view key, SiteFile& settings, const std::string& source) {
    if (given) return *given;
    if (!in_weather_file)
        throw missing(settings.site.place, key, fmt::format("a number, {}", needs_weather_file));
    settings.inputs.push_back(
        {std::string(key), *in_weather_file, InputOrigin::other_file, source});
    return *in_weather_file;
}

double utc_offset_h(SiteFile& settings, const std::optional<WeatherPlace>& place,
                    const std::string& source) {
    const auto& zone = settings.site.time_zone;
    if (!zone)
        return choose(std::nullopt, place ? std::optional(place->utc_offset_h) : std::nullopt,
                      "site.time_zone", settings, source);
    try {
        return standard_utc_offset_h(*zone, settings.weather.year);
    } catch (const InputError& error) {
        InputPlace where = settings.site.time_zone_place;
        throw InputError(std::move(where), error.expected(), error.seen());
    }
}

Site make_site(SiteFile& settings, const std::optional<WeatherPlace>& place,
               const std::string& source) {
    const auto of_file = [&place](double WeatherPlace::*field) {
        return place ? std::optional(*place.*field) : std::nullopt;
    };
    Site site;
    site.latitude_deg = choose(settings.site.latitude_deg, of_file(&WeatherPlace::latitude_deg),
                               "site.latitude_deg", settings, source);
    site.longitude_deg = choose(settings.site.longitude_deg, of_file(&WeatherPlace::longitude_deg),
                                "site.longitude_deg", settings, source);
    if (place || settings.site.elevation_m) {
        site.elevation_m = choose(settings.site.elevation_m, of_file(&WeatherPlace::elevation_m),
                                  "site.elevation_m", settings, source);
    } else {
        settings.inputs.push_back(
            {"site.elevation_m", 0.0, InputOrigin::by_default, "own choice: sea level"});
    }
    site.utc_offset_h = utc_offset_h(settings, place, source);
    site.north_deg = settings.site.north_deg;
    site.ground_albedo = settings.site.ground_albedo;
    if (settings.site.horizon) site.horizon = read_horizon_profile(*settings.site.horizon);
    return site;
}

/// Weather that needs the site before it can be read or made.
struct WeatherOf {
    const Site& site;
    int year;
    std::vector<Warning>& warnings;

    Weather operator()(const TypicalYear& typical) const {
        return typical_clear_year(site, typical.months, year, typical.sky);
    }
    Weather operator()(const DesignDay& day) const { return design_day_weather(site, day, year); }
    Weather operator()(const WeatherTableFile& table) const {
        WeatherTableFormat format = table.format;
        format.utc_offset_h = offset_of(table);
        return hourly_weather(site, read_weather_table(table.file, format, table.longest_fill_h),
                              table.longest_fill_h);
    }
    Weather operator()(const WeatherGridFile& grid) const {
        const WeatherGrid read =
            read_weather_grids(grid.files, site, grid.format, grid.longest_fill_h);
        warnings.insert(warnings.end(), read.warnings.begin(), read.warnings.end());
        return hourly_weather(site, read.samples, grid.longest_fill_h);
    }
    Weather operator()(const WeatherFile&) const { return {}; }
    Weather operator()(std::monostate) const { return {}; }

    double offset_of(const WeatherTableFile& table) const {
        if (!table.zone) return site.utc_offset_h;
        try {
            return standard_utc_offset_h(*table.zone, table.format.year);
        } catch (const InputError& error) {
            throw InputError(table.zone_place, error.expected(), error.seen());
        }
    }
};

bool is_from_file(const WeatherSettings& weather) {
    return !std::holds_alternative<TypicalYear>(weather.kind) &&
           !std::holds_alternative<DesignDay>(weather.kind);
}

}  // namespace

PlaceAndWeather resolve_place_and_weather(SiteFile& settings) {
    if (std::holds_alternative<std::monostate>(settings.weather.kind))
        throw missing(settings.weather.place, "weather",
                      "a file, twelve months of normals or a design_day");
    PlaceAndWeather resolved;
    std::optional<WeatherPlace> place;
    std::string source;
    const auto* file = std::get_if<WeatherFile>(&settings.weather.kind);
    if (file) {
        Tmy3File read = read_tmy3(file->file, file->longest_fill_h);
        place = read.place;
        resolved.weather = std::move(read.weather);
        source = printable(file->file.filename().string());
    }
    resolved.site = make_site(settings, place, source);
    if (!file)
        resolved.weather =
            std::visit(WeatherOf{resolved.site, settings.weather.year, resolved.warnings},
                       settings.weather.kind);
    const auto add = [&resolved](const std::vector<Warning>& more) {
        resolved.warnings.insert(resolved.warnings.end(), more.begin(), more.end());
    };
    add(resolved.weather.warnings);
    add(check_weather(resolved.site, resolved.weather, place));
    if (is_from_file(settings.weather)) {
        add(check_light(resolved.site, resolved.weather));
        add(check_light_clock(resolved.site, resolved.weather));
        add(check_light_limits(resolved.site, resolved.weather));
    }
    if (lacks_yearly_mean(settings.weather, resolved.weather)) {
        const std::vector<double>& air_c = resolved.weather.dry_bulb_c;
        const double mean_c =
            std::accumulate(air_c.begin(), air_c.end(), 0.0) / static_cast<double>(air_c.size());
        settings.inputs.push_back({"weather.yearly_mean_c", std::round(100 * mean_c) / 100,
                                   InputOrigin::by_default,
                                   "assumed: the mean of the weather, which is not a year's"});
    }
    return resolved;
}

bool lacks_yearly_mean(const WeatherSettings& settings, const Weather& weather) {
    constexpr std::size_t hours_per_year = 8760;
    return !settings.yearly_mean_c && weather.size() < hours_per_year;
}

}  // namespace noonshell
