#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <utility>

#include "cli/settings_reader.hpp"
#include "cli/site_tables.hpp"

namespace noonshell {

namespace {

constexpr std::array<std::string_view, 18> weather_keys = {
    "file",     "month", "design_day", "mean_high_c",     "mean_low_c", "dew_point_c",
    "wind_m_s", "tau_b", "tau_d",      "linke_turbidity", "year",       "longest_fill_h",
    "format",   "time",  "columns",    "netcdf",          "clear_sky",  "yearly_mean_c"};
constexpr std::array<std::string_view, 3> weather_kinds = {"file", "month", "design_day"};
constexpr std::array<std::string_view, 7> month_keys = {
    "mean_high_c", "mean_low_c", "dew_point_c", "wind_m_s", "tau_b", "tau_d", "linke_turbidity"};
constexpr std::array<std::string_view, 9> design_day_keys = {
    "month",    "day",   "peak_dry_bulb_c", "daily_range_k",  "dew_point_c",
    "wind_m_s", "tau_b", "tau_d",           "linke_turbidity"};
constexpr std::array<std::string_view, 2> clear_skies = {"optical depths", "turbidity"};

// Wider than any record on Earth; [ashrae2021] ch. 14 tables keep tau_b and tau_d well inside.
const NumberRange air_c = NumberRange::between(-90, 65);
const NumberRange dew_c = NumberRange::between(-90, 40);
const NumberRange wind = NumberRange::between(0, 60);
const NumberRange tau_beam = NumberRange::between(0.05, 2);
const NumberRange tau_diffuse = NumberRange::between(0.5, 4);
const NumberRange turbidity = NumberRange::between(1, 12);

constexpr std::string_view desert_summer = "assumed for a hot desert summer, [ashrae2021] ch. 14";

using MonthField = double MonthNormals::*;
struct MonthColumn {
    std::string_view key;
    MonthField field;
    const NumberRange& range;
};
const std::array<MonthColumn, 7> month_columns = {
    {{"mean_high_c", &MonthNormals::mean_high_c, air_c},
     {"mean_low_c", &MonthNormals::mean_low_c, air_c},
     {"dew_point_c", &MonthNormals::dew_point_c, dew_c},
     {"wind_m_s", &MonthNormals::wind_m_s, wind},
     {"tau_b", &MonthNormals::tau_b, tau_beam},
     {"tau_d", &MonthNormals::tau_d, tau_diffuse},
     {"linke_turbidity", &MonthNormals::linke_turbidity, turbidity}}};

/// Whether a clear sky of this model is made from the key; all other keys belong to both.
bool is_used(std::string_view key, ClearSkyModel sky) {
    if (key == "linke_turbidity") return sky == ClearSkyModel::turbidity;
    if (key == "tau_b" || key == "tau_d") return sky == ClearSkyModel::optical_depths;
    return true;
}

void refuse_unused(const TomlTable& table, ClearSkyModel sky) {
    for (const std::string_view key : {"tau_b", "tau_d", "linke_turbidity"}) {
        if (is_used(key, sky) || !table.has(key)) continue;
        const bool depths = sky == ClearSkyModel::optical_depths;
        throw table.error(
            key, fmt::format("no {} beside clear_sky = \"{}\"", key, clear_skies[depths ? 0 : 1]),
            "it set");
    }
}

void require_low_below_high(const TomlTable& table, const MonthNormals& month, std::size_t number) {
    if (month.mean_low_c <= month.mean_high_c) return;
    throw table.error("mean_low_c",
                      fmt::format("mean_low_c of month {} no higher than its mean_high_c {}",
                                  number, month.mean_high_c),
                      fmt::format("{}", month.mean_low_c));
}

/// Twelve [[weather.month]] tables, January first.
TypicalYear read_month_tables(const TomlTable& weather, ClearSkyModel sky,
                              std::vector<InputRecord>& inputs) {
    const std::vector<TomlTable> tables = weather.tables("month", month_keys);
    if (tables.size() != 12)
        throw weather.error("month", "12 tables [[weather.month]], January first",
                            std::to_string(tables.size()));
    TypicalYear year{{}, sky};
    for (std::size_t m = 0; m < tables.size(); ++m) {
        refuse_unused(tables[m], sky);
        SettingsReader reader(tables[m], fmt::format("weather.month[{}]", m + 1), inputs);
        for (const MonthColumn& column : month_columns)
            if (is_used(column.key, sky))
                year.months[m].*column.field = reader.needed_number(column.key, column.range);
        require_low_below_high(tables[m], year.months[m], m + 1);
    }
    return year;
}

/// Six arrays of twelve numbers, January first.
TypicalYear read_month_arrays(const TomlTable& weather, ClearSkyModel sky,
                              std::vector<InputRecord>& inputs) {
    SettingsReader reader(weather, "weather", inputs);
    TypicalYear year{{}, sky};
    refuse_unused(weather, sky);
    for (const MonthColumn& column : month_columns) {
        if (!is_used(column.key, sky)) continue;
        const auto values = weather.numbers(column.key, 12, column.range);
        if (!values) throw weather.missing(column.key, "an array of 12 numbers, January first");
        reader.record(column.key, *values);
        for (std::size_t m = 0; m < 12; ++m) year.months[m].*column.field = (*values)[m];
    }
    for (std::size_t m = 0; m < 12; ++m) require_low_below_high(weather, year.months[m], m + 1);
    return year;
}

DesignDay read_design_day(const TomlTable& weather, ClearSkyModel sky,
                          std::vector<InputRecord>& inputs) {
    constexpr std::array<int, 12> days = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    SettingsReader reader(weather.table("design_day", design_day_keys), "weather.design_day",
                          inputs);
    DesignDay day;
    day.sky = sky;
    refuse_unused(*reader.table(), sky);
    day.month = static_cast<int>(reader.whole("month", 1, 12, day.month, "own choice"));
    const int last = days[static_cast<std::size_t>(day.month - 1)];
    day.day = static_cast<int>(
        reader.whole("day", 1, last, day.day, "[ashrae2021] ch. 14: the 21st of the month"));
    day.peak_dry_bulb_c = reader.needed_number("peak_dry_bulb_c", air_c);
    day.daily_range_k = reader.number("daily_range_k", NumberRange::between(0, 40),
                                      day.daily_range_k, "assumed for a dry inland site");
    day.dew_point_c =
        reader.number("dew_point_c", dew_c, day.dew_point_c, "assumed for a dry inland site");
    day.wind_m_s = reader.number("wind_m_s", wind, day.wind_m_s, "assumed, light wind");
    if (sky == ClearSkyModel::turbidity) {
        day.linke_turbidity = reader.number("linke_turbidity", turbidity, day.linke_turbidity,
                                            "assumed for a hot desert summer");
    } else {
        day.tau_b = reader.number("tau_b", tau_beam, day.tau_b, desert_summer);
        day.tau_d = reader.number("tau_d", tau_diffuse, day.tau_d, desert_summer);
    }
    if (day.dew_point_c > day.peak_dry_bulb_c)
        throw reader.table()->error("dew_point_c", "a dew point no higher than peak_dry_bulb_c",
                                    fmt::format("{}", day.dew_point_c));
    return day;
}

bool has_any(const TomlTable& table, std::span<const std::string_view> keys) {
    return std::any_of(keys.begin(), keys.end(),
                       [&table](std::string_view key) { return table.has(key); });
}

/// Keys that belong to another kind of weather than the one chosen.
void refuse_others(const TomlTable& weather, std::string_view kind,
                   std::span<const std::string_view> keys) {
    for (const std::string_view key : keys) {
        if (weather.has(key))
            throw weather.error(key, fmt::format("no {} beside weather.{}", key, kind), "it set");
    }
}

/// Weather from normals or of a design day.
void read_made_weather(const TomlTable& table, SettingsReader& reader,
                       std::vector<InputRecord>& inputs, WeatherSettings& settings) {
    const bool depths =
        reader.choice("clear_sky", clear_skies, clear_skies[0], "own choice") == clear_skies[0];
    const ClearSkyModel sky = depths ? ClearSkyModel::optical_depths : ClearSkyModel::turbidity;
    if (table.has("month")) {
        refuse_others(table, "month", month_keys);
        settings.kind = read_month_tables(table, sky, inputs);
    } else if (table.has("design_day")) {
        refuse_others(table, "design_day", month_keys);
        settings.kind = read_design_day(table, sky, inputs);
    } else if (has_any(table, month_keys)) {
        settings.kind = read_month_arrays(table, sky, inputs);
    }
    settings.year = static_cast<int>(
        reader.whole("year", 1950, 2100, settings.year, "own choice: any year without a leap day"));
}

}  // namespace

WeatherSettings read_weather_table(const TomlTable& root, const std::filesystem::path& folder,
                                   std::vector<InputRecord>& inputs) {
    WeatherSettings settings;
    settings.place = {root.place().file, {}, {}, "weather"};
    const std::optional<TomlTable> table = root.table("weather", weather_keys);
    if (!table) return settings;
    settings.place = table->place();
    table->at_most_one_of(weather_kinds);
    SettingsReader reader(table, "weather", inputs);
    settings.yearly_mean_c = reader.number("yearly_mean_c", air_c);
    if (table->has("file")) {
        refuse_others(*table, "file", month_keys);
        constexpr std::array<std::string_view, 1> made_only = {"clear_sky"};
        refuse_others(*table, "file", made_only);
        read_weather_file(*table, folder, inputs, settings);
        return settings;
    }
    constexpr std::array<std::string_view, 5> file_only = {"longest_fill_h", "format", "time",
                                                           "columns", "netcdf"};
    refuse_others(*table, "month or design_day", file_only);
    read_made_weather(*table, reader, inputs, settings);
    return settings;
}

}  // namespace noonshell
