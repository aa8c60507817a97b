#include "solar/horizon_profile.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <sstream>
#include <string>
#include <string_view>
#include <utility>

#include "geometry/angles.hpp"
#include "geometry/diagnostics.hpp"
#include "solar/csv_table.hpp"

namespace noonshell {

namespace {

std::size_t column_named(const CsvTable& table, std::size_t row, const char* name) {
    const auto fields = table.row(row);
    const auto found = std::ranges::find(fields, std::string_view(name));
    if (found != fields.end()) return static_cast<std::size_t>(found - fields.begin());
    throw InputError(table.place(row, 0, name), "a column of this name", shown_field(fields[0]));
}

double number_in(const CsvTable& table, std::size_t row, std::size_t column, const char* name,
                 double lowest, double highest) {
    const auto fields = table.row(row);
    const std::string_view field = column < fields.size() ? fields[column] : std::string_view();
    const auto value = parse_csv_number(field);
    if (value && *value >= lowest && *value <= highest) return *value;
    std::ostringstream expected;
    expected << "a number from " << lowest << " to " << highest;
    throw InputError(table.place(row, column, name), expected.str(), shown_field(field));
}

/// What stands between the column names, on the first line that is not empty: semicolon, tab or
/// comma, or else blanks.
char separator_of(std::string_view text) {
    const std::size_t begin = std::min(text.find_first_not_of("\r\n \t"), text.size());
    std::string_view line = text.substr(begin);
    line = line.substr(0, line.find_first_of("\r\n"));
    for (const char separator : {';', '\t', ','}) {
        if (line.find(separator) != std::string_view::npos) return separator;
    }
    return line.find(' ') != std::string_view::npos ? ' ' : ',';
}

}  // namespace

HorizonProfile::HorizonProfile(std::vector<double> azimuths_deg, std::vector<double> elevations_deg)
    : azimuth_deg_(std::move(azimuths_deg)), elevation_deg_(std::move(elevations_deg)) {
    NOONSHELL_CHECK_EQ(azimuth_deg_.size(), elevation_deg_.size());
    for (std::size_t i = 0; i < azimuth_deg_.size(); ++i) {
        NOONSHELL_CHECK_GE(azimuth_deg_[i], 0.0);
        NOONSHELL_CHECK_LT(azimuth_deg_[i], full_circle_deg);
        if (i > 0) NOONSHELL_CHECK_GT(azimuth_deg_[i], azimuth_deg_[i - 1]);
    }
}

double HorizonProfile::elevation_deg(double azimuth_deg) const {
    if (empty()) return 0;
    const double azimuth = round_the_circle_deg(azimuth_deg);
    const auto above = std::ranges::upper_bound(azimuth_deg_, azimuth);
    const std::size_t n = size();
    const auto after = static_cast<std::size_t>(above - azimuth_deg_.begin()) % n;
    const std::size_t before = (after + n - 1) % n;
    const double width = round_the_circle_deg(azimuth_deg_[after] - azimuth_deg_[before]);
    if (width == 0) return elevation_deg_[before];  // a single point
    const double share = round_the_circle_deg(azimuth - azimuth_deg_[before]) / width;
    return elevation_deg_[before] + share * (elevation_deg_[after] - elevation_deg_[before]);
}

double HorizonProfile::highest_deg() const {
    return empty() ? 0 : *std::ranges::max_element(elevation_deg_);
}

double HorizonProfile::lowest_deg() const {
    return empty() ? 0 : *std::ranges::min_element(elevation_deg_);
}

HorizonProfile read_horizon_profile(const std::filesystem::path& file) {
    constexpr const char* azimuth_name = "azimuth_deg";
    constexpr const char* elevation_name = "elevation_deg";
    const std::string text = read_text_file(file);
    const CsvTable table(text, file.string(), separator_of(text));
    std::size_t row = 0;
    while (row < table.n_rows() && table.blank(row)) ++row;
    const InputPlace whole{.file = table.name(), .line = {}, .column = {}, .entity = {}};
    if (row == table.n_rows()) throw InputError(whole, "a line of column names", "blank lines");
    const std::size_t azimuth_column = column_named(table, row, azimuth_name);
    const std::size_t elevation_column = column_named(table, row, elevation_name);
    std::map<double, double> points;
    for (++row; row < table.n_rows(); ++row) {
        if (table.blank(row)) continue;
        const double azimuth = round_the_circle_deg(
            number_in(table, row, azimuth_column, azimuth_name, -full_circle_deg, full_circle_deg));
        const double elevation = number_in(table, row, elevation_column, elevation_name, -10, 90);
        const auto [known, is_new] = points.emplace(azimuth, elevation);
        if (!is_new && known->second != elevation) {
            std::ostringstream expected;
            expected << "the elevation " << known->second << " that this azimuth has already";
            throw InputError(table.place(row, elevation_column, elevation_name), expected.str(),
                             shown_field(table.row(row)[elevation_column]));
        }
    }
    if (points.empty()) throw InputError(whole, "at least one azimuth with its elevation", "none");
    std::vector<double> azimuths, elevations;
    for (const auto& [azimuth, elevation] : points) {
        azimuths.push_back(azimuth);
        elevations.push_back(elevation);
    }
    return {std::move(azimuths), std::move(elevations)};
}

}  // namespace noonshell
