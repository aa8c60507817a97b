#include "cli/site_resolution.hpp"

#include <fmt/format.h>

#include <optional>
#include <utility>

#include "cli/utf8.hpp"
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
    return site;
}

struct WeatherOf {
    const Site& site;
    int year;

    Weather operator()(const TypicalYear& typical) const {
        return typical_clear_year(site, typical.months, year);
    }
    Weather operator()(const DesignDay& day) const { return design_day_weather(site, day, year); }
    Weather operator()(const WeatherFile&) const { return {}; }
    Weather operator()(std::monostate) const { return {}; }
};

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
            std::visit(WeatherOf{resolved.site, settings.weather.year}, settings.weather.kind);
    resolved.warnings = resolved.weather.warnings;
    const std::vector<Warning> misfits = check_weather(resolved.site, resolved.weather, place);
    resolved.warnings.insert(resolved.warnings.end(), misfits.begin(), misfits.end());
    return resolved;
}

}  // namespace noonshell
