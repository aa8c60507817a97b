#include "solar/tmy3_columns.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <sstream>
#include <string>

namespace noonshell {

namespace {

/// Lower case without what differs between savings of the same name.
std::string plain_name(std::string_view name) {
    std::string result;
    for (std::size_t i = 0; i < name.size(); ++i) {
        const auto rest = name.substr(i);
        if (rest.starts_with("\xC2\xB2")) {  // superscript two
            result += '2';
            ++i;
        } else if (rest.starts_with("\xC2\xB0")) {  // degree sign
            ++i;
        } else if (name[i] >= 'A' && name[i] <= 'Z') {
            result += static_cast<char>(name[i] - 'A' + 'a');
        } else if (std::string_view(" \t\r\n^").find(name[i]) == std::string_view::npos) {
            result += name[i];
        }
    }
    return result;
}

std::size_t edits_between(const std::string& a, const std::string& b) {
    std::vector<std::size_t> row(b.size() + 1);
    std::iota(row.begin(), row.end(), std::size_t{0});
    for (std::size_t i = 0; i < a.size(); ++i) {
        std::size_t diagonal = row[0];
        row[0] = i + 1;
        for (std::size_t j = 0; j < b.size(); ++j) {
            const std::size_t change = diagonal + (a[i] == b[j] ? 0 : 1);
            diagonal = row[j + 1];
            row[j + 1] = std::min({change, row[j] + 1, row[j + 1] + 1});
        }
    }
    return row[b.size()];
}

class Finder {
  public:
    Finder(const CsvTable& table, std::size_t header_row) : table_(table), row_(header_row) {
        for (const auto field : table.row(header_row)) names_.push_back(plain_name(field));
    }

    std::optional<std::size_t> find(const char* name) const {
        const auto first = std::ranges::find(names_, plain_name(name));
        if (first == names_.end()) return std::nullopt;
        const auto second = std::find(first + 1, names_.end(), *first);
        if (second != names_.end())
            throw InputError(
                table_.place(row_, index(second), name), "one column of this name",
                "a second one; the first is column " + std::to_string(index(first) + 1));
        return index(first);
    }

    std::size_t need(const char* name) const {
        if (const auto found = find(name)) return *found;
        InputPlace place = table_.place(row_, 0, name);
        place.column.reset();
        const auto fields = table_.row(row_);
        if (fields.size() == 1 && fields[0].find_first_of(";\t|") != std::string_view::npos)
            throw InputError(std::move(place), "column names separated by commas",
                             shown_field(fields[0]));
        const std::size_t near = nearest(plain_name(name));
        throw InputError(std::move(place), "a column of this name",
                         "none; the nearest is " + shown_field(fields[near]) + " in column " +
                             std::to_string(near + 1));
    }

  private:
    std::size_t index(std::vector<std::string>::const_iterator at) const {
        return static_cast<std::size_t>(at - names_.begin());
    }

    std::size_t nearest(const std::string& wanted) const {
        std::size_t best = 0, fewest = std::numeric_limits<std::size_t>::max();
        for (std::size_t i = 0; i < names_.size(); ++i) {
            // A field of any length may stand here; only short ones can be near.
            if (names_[i].empty() || names_[i].size() > 64) continue;
            const std::size_t edits = edits_between(wanted, names_[i]);
            if (edits < fewest) {
                fewest = edits;
                best = i;
            }
        }
        return best;
    }

    const CsvTable& table_;
    std::size_t row_;
    std::vector<std::string> names_;
};

std::string range_text(const Tmy3Column& spec) {
    std::ostringstream text;
    text << spec.lowest << " to " << spec.highest;
    return text.str();
}

}  // namespace

bool is_missing_mark(double value) {
    constexpr double marks[] = {9900, 99, 999, 9999, 99999, 999999, 99.9, 999.9, 9999.9, 99.99};
    return std::ranges::find(marks, std::abs(value)) != std::end(marks);
}

const std::array<Tmy3Column, n_tmy3_columns>& tmy3_columns() {
    static const std::array<Tmy3Column, n_tmy3_columns> columns{{
        {.name = "GHI (W/m^2)",
         .lowest = 0,
         .highest = 1500,
         .sunlight = true,
         .target = &Weather::global_w_m2},
        {.name = "DNI (W/m^2)",
         .lowest = 0,
         .highest = 1500,
         .sunlight = true,
         .target = &Weather::direct_normal_w_m2},
        {.name = "DHI (W/m^2)",
         .lowest = 0,
         .highest = 1200,
         .sunlight = true,
         .target = &Weather::diffuse_w_m2},
        {.name = "Dry-bulb (C)", .lowest = -90, .highest = 65, .target = &Weather::dry_bulb_c},
        {.name = "Dew-point (C)", .lowest = -90, .highest = 45, .target = &Weather::dew_point_c},
        {.name = "Pressure (mbar)",
         .lowest = 300,
         .highest = 1100,
         .to_si = 100,
         .target = &Weather::pressure_pa},
        {.name = "Wspd (m/s)", .lowest = 0, .highest = 90, .target = &Weather::wind_speed_m_s},
        {.name = "Wdir (degrees)",
         .lowest = 0,
         .highest = 360,
         .full_circle = 360,
         .optional = true,
         .target = &Weather::wind_direction_deg},
        {.name = "TotCld (tenths)",
         .lowest = 0,
         .highest = 10,
         .to_si = 0.1,
         .optional = true,
         .dispensable = true,
         .target = &Weather::cloud_cover},
    }};
    return columns;
}

Tmy3Layout find_tmy3_columns(const CsvTable& table, std::size_t header_row) {
    const Finder finder(table, header_row);
    Tmy3Layout layout;
    const auto take = [&](std::size_t column, const char* name) {
        if (column < layout.n_fields) return;
        layout.n_fields = column + 1;
        layout.last_name = name;
    };
    take(layout.date = finder.need(tmy3_date_name), tmy3_date_name);
    take(layout.time = finder.need(tmy3_time_name), tmy3_time_name);
    for (std::size_t i = 0; i < tmy3_columns().size(); ++i) {
        const Tmy3Column& spec = tmy3_columns()[i];
        layout.column[i] = spec.optional ? finder.find(spec.name) : finder.need(spec.name);
        if (layout.column[i]) take(*layout.column[i], spec.name);
    }
    return layout;
}

double tmy3_value(const CsvTable& table, std::size_t row, std::size_t column,
                  const Tmy3Column& spec) {
    constexpr double missing = std::numeric_limits<double>::quiet_NaN();
    const std::string_view field = table.row(row)[column];
    if (field.empty()) return missing;
    const auto value = parse_csv_number(field);
    if (!value)
        throw InputError(table.place(row, column, spec.name), "a number", shown_field(field));
    if (*value >= spec.lowest && *value <= spec.highest) return *value * spec.to_si;
    if (is_missing_mark(*value)) return missing;
    throw InputError(table.place(row, column, spec.name), range_text(spec), std::string(field));
}

}  // namespace noonshell
