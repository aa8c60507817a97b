// Damaged weather files, and the comma-separated tables under them.
//
// A whole year is 8760 rows, far more than a fuzzer can mend by chance. Input that begins with
// "rows:" is therefore a recipe: its lines are laid over a sound year, made here, from a row that
// the recipe gives.
#include <array>
#include <charconv>
#include <cmath>
#include <string>
#include <string_view>
#include <vector>

#include "solar/csv_table.hpp"
#include "solar/weather.hpp"
#include "solar/weather_table.hpp"
#include "tests/fuzz/fuzz_checks.hpp"

namespace noonshell::fuzz {
namespace {

constexpr std::string_view recipe_mark = "rows:";
constexpr std::array<int, 12> days_in_month = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};

std::string two_digits(int value) {
    return (value < 10 ? "0" : "") + std::to_string(value);
}

/// An invented year: two heading lines and 8760 hours, each a line.
std::vector<std::string> sound_year() {
    std::vector<std::string> lines = {
        "1,\"INVENTED PLACE\",XX,2.0,27.400,29.600,160",
        "Date (MM/DD/YYYY),Time (HH:MM),GHI (W/m^2),DNI (W/m^2),DHI (W/m^2),Dry-bulb (C),"
        "Dew-point (C),Pressure (mbar),Wdir (degrees),Wspd (m/s)"};
    for (int month = 1; month <= 12; ++month) {
        for (int day = 1; day <= days_in_month[static_cast<std::size_t>(month - 1)]; ++day) {
            for (int hour = 1; hour <= 24; ++hour) {
                const bool sun = hour > 7 && hour < 18;
                lines.push_back(two_digits(month) + "/" + two_digits(day) + "/1995," +
                                two_digits(hour) + ":00," + (sun ? "600,700,80" : "0,0,0") +
                                ",30.5,8.0,995,180,3.1");
            }
        }
    }
    return lines;
}

/// Lays the lines of `recipe` ("rows:<first row>\n<line>\n...") over the sound year.
std::string year_with(std::string_view recipe) {
    static const std::vector<std::string> year = sound_year();
    recipe.remove_prefix(recipe_mark.size());
    std::size_t row = 0;
    const auto end = std::min(recipe.find('\n'), recipe.size());
    std::from_chars(recipe.data(), recipe.data() + end, row);
    recipe.remove_prefix(std::min(end + 1, recipe.size()));
    std::vector<std::string> lines = year;
    row %= lines.size();
    while (!recipe.empty() && row < lines.size()) {
        const auto stop = std::min(recipe.find('\n'), recipe.size());
        lines[row++] = recipe.substr(0, stop);
        recipe.remove_prefix(std::min(stop + 1, recipe.size()));
    }
    std::string text;
    for (const std::string& line : lines) (text += line) += '\n';
    return text;
}

void check_table(std::string_view text) {
    const CsvTable table(text, "table.csv");
    for (std::size_t r = 0; r < table.n_rows(); ++r) {
        demand(r == 0 || table.line(r) > table.line(r - 1), "rows stand in order");
        for (const std::string_view field : table.row(r)) {
            demand(is_valid_utf8(field) || !is_valid_utf8(text), "fields are UTF-8", field);
            demand_one_line(shown_field(field));
            if (const auto number = parse_csv_number(field)) {
                demand(std::isfinite(*number), "numbers are finite", field);
            }
        }
    }
}

void check_weather_file(const Tmy3File& file) {
    const Weather& weather = file.weather;
    demand(weather.size() == 8760, "a year has 8760 hours");
    for (const auto* quantity :
         {&weather.dry_bulb_c, &weather.dew_point_c, &weather.wind_speed_m_s, &weather.pressure_pa,
          &weather.global_w_m2, &weather.direct_normal_w_m2, &weather.diffuse_w_m2}) {
        demand(quantity->size() == weather.size(), "every quantity has every hour");
        for (const double value : *quantity) demand(std::isfinite(value), "values are finite");
    }
    for (std::size_t h = 0; h < weather.size(); ++h) {
        demand(weather.pressure_pa[h] > 0, "pressure is above 0");
        demand(weather.direct_normal_w_m2[h] >= 0 && weather.diffuse_w_m2[h] >= 0,
               "sunlight is not below 0");
    }
    demand(std::abs(file.place.latitude_deg) <= 90, "a latitude is -90 to 90");
    demand_one_line(weather.source);
    for (const Warning& warning : weather.warnings) demand_one_line(warning.text);
}

/// Columns by name and by number, in units that need arithmetic.
WeatherTableFormat table_format() {
    WeatherTableFormat format;
    format.time_columns = {{"time", 0}};
    const auto add = [&format](WeatherQuantity quantity, TableColumn column, const char* unit) {
        format.quantities.push_back(
            {quantity, std::move(column), *weather_unit(info(quantity).measure, unit)});
    };
    add(WeatherQuantity::dry_bulb, {"T", 0}, "degF");
    add(WeatherQuantity::relative_humidity, {"RH", 0}, "%");
    add(WeatherQuantity::wind_speed, {"v", 0}, "knots");
    add(WeatherQuantity::global, {"", 5}, "Wh/m2");
    return format;
}

void check_own_table(std::string_view text) {
    static const WeatherTableFormat format = table_format();
    Site site;
    site.latitude_deg = 27;
    const Weather weather = hourly_weather(site, parse_weather_table(text, "table.csv", format));
    demand(weather.size() >= 24, "a table has a day at least");
    for (const auto* quantity : {&weather.dry_bulb_c, &weather.dew_point_c, &weather.global_w_m2,
                                 &weather.direct_normal_w_m2, &weather.diffuse_w_m2}) {
        demand(quantity->size() == weather.size(), "every quantity has every hour");
        for (const double value : *quantity) demand(std::isfinite(value), "values are finite");
    }
    for (const Warning& warning : weather.warnings) demand_one_line(warning.text);
}

/// The first line is a layout (site files are UTF-8), the second a stamp.
void check_layout(std::string_view text) {
    const auto end = text.find('\n');
    if (!is_valid_utf8(text.substr(0, end))) return;
    const TimeLayout layout{std::string(text.substr(0, end))};
    if (end != std::string_view::npos) layout.read(text.substr(end + 1), 2023);
}

/// Runs a check; what it refuses, it refuses in one line.
template <class Check>
void try_out(const Check& check) {
    try {
        check();
    } catch (const InputError& error) {
        demand_one_line(error.what());
    }
}

}  // namespace
}  // namespace noonshell::fuzz

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace noonshell;
    using namespace noonshell::fuzz;
    static const MemoryFile memory;
    const std::string_view text = as_text(data, size);
    try_out([&] { check_table(text); });
    try_out([&] { check_own_table(text); });
    if (text.size() < 200) {
        try_out([&] { check_layout(text); });
    }
    try_out([&] {
        const std::string content =
            text.starts_with(recipe_mark) ? year_with(text) : std::string(text);
        check_weather_file(read_tmy3(memory.holding(content)));
    });
    return 0;
}
