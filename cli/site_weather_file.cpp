// [weather] where it names a file.
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <utility>

#include "cli/settings_reader.hpp"
#include "cli/site_tables.hpp"

namespace noonshell {

namespace {

constexpr std::array<std::string_view, 3> formats = {"tmy3", "columns", "netcdf"};
constexpr std::array<std::string_view, 6> time_keys = {"columns", "layout",       "zone",
                                                       "stamp",   "interval_min", "values"};
constexpr std::array<std::string_view, 15> column_keys = {
    "dry_bulb",      "dew_point",   "relative_humidity", "wind_speed",        "wind_direction",
    "pressure",      "global",      "direct_normal",     "direct_horizontal", "diffuse",
    "longwave_down", "cloud_cover", "separator",         "decimal",           "missing"};
constexpr std::array<std::string_view, 2> quantity_keys = {"column", "unit"};
constexpr std::array<std::string_view, 16> netcdf_keys = {
    "dry_bulb",      "dew_point",   "relative_humidity", "wind_speed",        "wind_direction",
    "pressure",      "global",      "direct_normal",     "direct_horizontal", "diffuse",
    "longwave_down", "cloud_cover", "wind_east",         "wind_north",        "accumulation",
    "stamp"};
constexpr std::array<std::string_view, 3> stamps = {"start", "middle", "end"};
constexpr std::array<std::string_view, 2> value_words = {"mean", "instant"};
constexpr std::array<std::string_view, 3> separators = {",", ";", "tab"};
constexpr std::array<std::string_view, 2> decimals = {".", ","};
constexpr std::array<std::string_view, 2> accumulations = {"interval", "since start"};

std::size_t index_in(std::span<const std::string_view> words, std::string_view word) {
    return static_cast<std::size_t>(std::ranges::find(words, word) - words.begin());
}

/// A word of the list where the key is set; recorded.
std::optional<std::size_t> chosen(SettingsReader& reader, std::string_view key,
                                  std::span<const std::string_view> words) {
    if (!reader.has(key)) return std::nullopt;
    const auto word = reader.table()->choice(key, words);
    reader.record(key, *word);
    return index_in(words, *word);
}

/// "Ta" is a heading, "#3" the third column.
TableColumn column_named(const TomlTable& table, std::string_view key, const std::string& text) {
    TableColumn column{text, 0};
    if (!text.starts_with('#') || text.size() < 2) return column;
    const char* const end = text.data() + text.size();
    const auto [stop, error] = std::from_chars(text.data() + 1, end, column.number);
    if (error != std::errc{} || stop != end) return {text, 0};
    constexpr std::size_t most_columns = 10000;
    if (column.number < 1 || column.number > most_columns)
        throw table.error(key, fmt::format("a column from #1 to #{}", most_columns),
                          "\"" + text + "\"");
    return column;
}

void read_time(const TomlTable& weather, std::vector<InputRecord>& inputs, WeatherTableFile& file) {
    SettingsReader reader(weather.table("time", time_keys), "weather.time", inputs);
    WeatherTableFormat& format = file.format;
    if (!reader.has("columns"))
        throw weather.missing("time", "a table [weather.time] with the columns of the time stamp");
    for (const std::string& name : reader.texts("columns", {}, ""))
        format.time_columns.push_back(column_named(*reader.table(), "columns", name));
    if (format.time_columns.empty())
        throw reader.table()->error("columns", "the columns of the time stamp", "none");
    const std::string layout =
        reader.text("layout", format.time_layout.text(), "ISO 8601, with a blank");
    try {
        format.time_layout = TimeLayout(layout);
    } catch (const InputError& error) {
        throw reader.table()->error("layout", error.expected(), error.seen());
    }
    if (const auto zone = reader.text("zone")) {
        file.zone = zone;
        file.zone_place = reader.table()->place("zone");
    } else {
        reader.record_default("zone", std::string("the site's"), "own choice");
    }
    if (const auto stamp = chosen(reader, "stamp", stamps))
        format.stamp = static_cast<StampAt>(*stamp);
    else
        reader.record_default("stamp", std::string("end"),
                              "as in TMY3; \"middle\" where all stamps stand at half past");
    if (reader.has("interval_min")) {
        const auto minutes = reader.whole("interval_min", 1, 180, 60, "");
        if (60 % minutes != 0 && minutes != 120 && minutes != 180)
            throw reader.table()->error("interval_min",
                                        "minutes that divide the hour, or 120 or 180",
                                        std::to_string(minutes));
        format.interval_min = static_cast<int>(minutes);
    }
    format.means = reader.choice("values", value_words, value_words[0],
                                 "own choice: as loggers write them") == value_words[0];
}

void read_quantity(const TomlTable& columns, WeatherQuantity quantity,
                   std::vector<InputRecord>& inputs, WeatherTableFormat& format) {
    const WeatherQuantityInfo& spec = info(quantity);
    const auto table = columns.table(spec.key, quantity_keys);
    if (!table) return;
    SettingsReader reader(table, fmt::format("weather.columns.{}", spec.key), inputs);
    const std::string name = reader.needed_text("column");
    const auto names = weather_unit_names(spec.measure);
    const auto unit = table->choice("unit", names);
    if (!unit)
        throw table->missing("unit", fmt::format("one of \"{}\"", fmt::join(names, "\", \"")));
    reader.record("unit", *unit);
    format.quantities.push_back(
        {quantity, column_named(*table, "column", name), *weather_unit(spec.measure, *unit)});
}

void read_columns(const TomlTable& weather, std::vector<InputRecord>& inputs,
                  WeatherTableFormat& format) {
    const auto table = weather.table("columns", column_keys);
    if (!table)
        throw weather.missing("columns", "a table [weather.columns] with the file's quantities");
    for (std::size_t i = 0; i < n_weather_quantities; ++i)
        read_quantity(*table, static_cast<WeatherQuantity>(i), inputs, format);
    if (format.quantities.empty())
        throw weather.error("columns", "quantities such as dry_bulb and global", "none");
    SettingsReader reader(table, "weather.columns", inputs);
    if (const auto separator = chosen(reader, "separator", separators))
        format.separator = *separator == 2 ? '\t' : separators[*separator][0];
    if (const auto decimal = chosen(reader, "decimal", decimals))
        format.decimal = decimals[*decimal][0];
    format.missing =
        reader.texts("missing", {}, "empty fields, NaN, NA and impossible nines are missing");
}

WeatherGridFormat read_netcdf(const TomlTable& weather, std::vector<InputRecord>& inputs) {
    SettingsReader reader(weather.table("netcdf", netcdf_keys), "weather.netcdf", inputs);
    WeatherGridFormat format;
    for (std::size_t i = 0; i < n_weather_quantities; ++i)
        if (const auto name = reader.text(weather_quantities()[i].key)) format.variables[i] = *name;
    if (const auto name = reader.text("wind_east")) format.wind_east = *name;
    if (const auto name = reader.text("wind_north")) format.wind_north = *name;
    if (const auto accumulation = chosen(reader, "accumulation", accumulations))
        format.accumulation = static_cast<Accumulation>(*accumulation);
    if (const auto stamp = chosen(reader, "stamp", stamps))
        format.stamp = static_cast<StampAt>(*stamp);
    return format;
}

bool ends_as_netcdf(const std::filesystem::path& file) {
    constexpr std::array<std::string_view, 4> endings{".nc", ".nc4", ".cdf", ".netcdf"};
    std::string ending = file.extension().string();
    std::ranges::transform(ending, ending.begin(), [](char c) {
        return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
    });
    return std::ranges::count(endings, ending) > 0;
}

/// `file` holds one name, or a list of them.
std::vector<std::filesystem::path> named_files(SettingsReader& reader,
                                               const std::filesystem::path& folder) {
    if (!reader.table()->is_array("file")) return {folder / reader.needed_text("file")};
    std::vector<std::filesystem::path> files;
    for (const std::string& name : reader.texts("file", {}, "")) files.push_back(folder / name);
    if (files.empty()) throw reader.table()->error("file", "the name of a file", "an empty list");
    return files;
}

/// Tables of another format than the one in force.
void refuse_tables(const TomlTable& weather, std::string_view format,
                   std::span<const std::string_view> keys) {
    for (const std::string_view key : keys)
        if (weather.has(key))
            throw weather.error(key, fmt::format("no {} beside the format \"{}\"", key, format),
                                "it set");
}

}  // namespace

void read_weather_file(const TomlTable& weather, const std::filesystem::path& folder,
                       std::vector<InputRecord>& inputs, WeatherSettings& settings) {
    SettingsReader reader(weather, "weather", inputs);
    const std::vector<std::filesystem::path> files = named_files(reader, folder);
    const std::filesystem::path& file = files.front();
    const bool table = weather.has("columns") || weather.has("time");
    const std::string_view likely = table                                           ? formats[1]
                                    : weather.has("netcdf") || ends_as_netcdf(file) ? formats[2]
                                                                                    : formats[0];
    const std::string format = reader.choice(
        "format", formats, likely, "by the tables in the site file and the ending of the name");
    const int fill = static_cast<int>(reader.whole("longest_fill_h", 0, 24, 6, "own choice"));
    constexpr std::array<std::string_view, 2> of_columns = {"time", "columns"};
    constexpr std::array<std::string_view, 1> of_netcdf = {"netcdf"};
    if (format != formats[1]) refuse_tables(weather, format, of_columns);
    if (format != formats[2]) refuse_tables(weather, format, of_netcdf);
    if (format != formats[2] && files.size() > 1)
        throw weather.error("file", fmt::format("one file of the format \"{}\"", format),
                            fmt::format("{} files", files.size()));
    if (format == formats[0]) {
        settings.kind = WeatherFile{file, fill};
    } else if (format == formats[2]) {
        settings.kind = WeatherGridFile{files, read_netcdf(weather, inputs), fill};
    } else {
        WeatherTableFile source{file, {}, {}, {}, fill};
        read_time(weather, inputs, source);
        read_columns(weather, inputs, source.format);
        settings.year = static_cast<int>(
            reader.whole("year", 1950, 2100, settings.year, "for time stamps without a year"));
        source.format.year = settings.year;
        settings.kind = std::move(source);
    }
}

}  // namespace noonshell
