// TMY3 files: [wilcox2008] section 1 (layout, units, missing marks) and section 2 (hour-ending
// labels in local standard time). Read are the eight quantities of tmy3_columns(); sources,
// uncertainties, illuminances, clouds and rain are left out.
#include <algorithm>
#include <chrono>
#include <cmath>
#include <limits>
#include <string>

#include "solar/csv_table.hpp"
#include "solar/gap_fill.hpp"
#include "solar/hour_sun.hpp"
#include "solar/tmy3_calendar.hpp"
#include "solar/tmy3_columns.hpp"
#include "solar/weather.hpp"

namespace noonshell {

namespace {

double place_number(const CsvTable& table, std::size_t row, std::size_t column, const char* entity,
                    double lowest, double highest) {
    const std::string_view field = table.row(row)[column];
    const auto value = parse_csv_number(field);
    if (!value || *value < lowest || *value > highest) {
        std::ostringstream expected;
        expected << "a number from " << lowest << " to " << highest;
        throw InputError(table.place(row, column, entity), expected.str(), shown_field(field));
    }
    return *value;
}

WeatherPlace read_place(const CsvTable& table, std::size_t row) {
    const auto fields = table.row(row);
    if (fields.size() < 7)
        throw InputError(table.place(row, fields.size() - 1, "station line"),
                         "station, name, state, time zone, latitude, longitude, elevation",
                         std::to_string(fields.size()) +
                             (fields.size() == 1 ? " field: " : " fields: ") +
                             shown_field(fields[0]));
    WeatherPlace place;
    place.station = on_one_line(fields[0]);
    place.name = on_one_line(fields[1]);
    place.utc_offset_h = place_number(table, row, 3, "time zone [h]", -12, 14);
    place.latitude_deg = place_number(table, row, 4, "latitude [deg]", -90, 90);
    place.longitude_deg = place_number(table, row, 5, "longitude [deg]", -180, 180);
    place.elevation_m = place_number(table, row, 6, "elevation [m]", -450, 9000);
    return place;
}

std::string source_text(const WeatherPlace& place, std::string_view state) {
    std::string text = "TMY3 station " + place.station;
    if (!place.name.empty()) text += ", " + place.name;
    if (!state.empty()) text += ", " + on_one_line(state);
    return text;
}

/// Reads the hours of one file; a call leads from the text to the finished Weather.
class Reader {
  public:
    Reader(const CsvTable& table, std::size_t longest_fill)
        : table_(table), longest_fill_(longest_fill) {}

    Tmy3File read() {
        const std::size_t place_row = next_row(0, "a station line");
        file_.place = read_place(table_, place_row);
        file_.weather.source = source_text(file_.place, table_.row(place_row)[2]);
        const std::size_t header_row = next_row(place_row + 1, "a line of column names");
        layout_ = find_tmy3_columns(table_, header_row);
        read_hours(header_row + 1);
        for (std::size_t i = 0; i < tmy3_columns().size(); ++i)
            if (layout_.column[i]) fill_column(tmy3_columns()[i], *layout_.column[i]);
        file_.weather.periodic = true;
        return std::move(file_);
    }

  private:
    std::size_t next_row(std::size_t row, const char* expected) const {
        while (row < table_.n_rows() && table_.blank(row)) ++row;
        if (row == table_.n_rows())
            throw InputError({.file = table_.name(), .line = {}, .column = {}, .entity = {}},
                             expected, "the end of the file");
        return row;
    }

    void read_hours(std::size_t first_row) {
        Tmy3Calendar calendar(table_, layout_);
        const auto offset = std::chrono::seconds(std::lround(file_.place.utc_offset_h * 3600));
        for (std::size_t row = first_row; row < table_.n_rows(); ++row) {
            if (table_.blank(row)) continue;
            const std::size_t n_fields = table_.row(row).size();
            if (n_fields < layout_.n_fields)
                throw InputError(table_.place(row, n_fields - 1, layout_.last_name),
                                 "at least " + std::to_string(layout_.n_fields) + " fields",
                                 "a line cut short after " + std::to_string(n_fields));
            const auto local_start = calendar.take(row).time_since_epoch();
            file_.weather.hour_start_utc.emplace_back(local_start - offset);
            for (std::size_t i = 0; i < tmy3_columns().size(); ++i) {
                if (!layout_.column[i]) continue;
                const Tmy3Column& spec = tmy3_columns()[i];
                (file_.weather.*spec.target)
                    .push_back(tmy3_value(table_, row, *layout_.column[i], spec));
            }
        }
        calendar.finish();
        rows_ = calendar.rows();
    }

    /// Missing sunlight of an hour in which the sun stays down is no gap: it is 0.
    std::size_t darken_nights(std::vector<double>& values) const {
        Site site;
        site.latitude_deg = file_.place.latitude_deg;
        site.longitude_deg = file_.place.longitude_deg;
        site.elevation_m = file_.place.elevation_m;
        std::size_t n = 0;
        for (std::size_t hour = 0; hour < values.size(); ++hour) {
            if (!std::isnan(values[hour])) continue;
            if (highest_elevation_deg(site, file_.weather.hour_start_utc[hour]) > 0) continue;
            values[hour] = 0;
            ++n;
        }
        return n;
    }

    void require_fillable(const Tmy3Column& spec, std::size_t column, const Gap& gap) const {
        if (gap.length <= longest_fill_ && gap.length < hours_per_year) return;
        throw InputError(table_.place(rows_[gap.begin], column, spec.name),
                         "gaps of at most " + std::to_string(longest_fill_) + " h (longest_fill_h)",
                         std::to_string(gap.length) + " missing hours from the one ending " +
                             hour_label(gap.begin) + " on");
    }

    bool fillable(const std::vector<double>& values) const {
        if (std::ranges::all_of(values, [](double v) { return std::isnan(v); })) return false;
        return std::ranges::all_of(find_gaps(values),
                                   [this](const Gap& gap) { return gap.length <= longest_fill_; });
    }

    void fill_column(const Tmy3Column& spec, std::size_t column) {
        std::vector<double>& values = file_.weather.*spec.target;
        const auto first = static_cast<std::size_t>(
            std::ranges::find_if(values, [](double v) { return std::isnan(v); }) - values.begin());
        if (first == values.size()) return;
        if (spec.dispensable && !fillable(values)) {
            values.clear();
            file_.weather.warnings.push_back(
                {"weather-left-out",
                 std::string(spec.name) + " is left out: gaps of more than " +
                     std::to_string(longest_fill_) + " h; the first begins with the hour ending " +
                     hour_label(first),
                 table_.name()});
            return;
        }
        if (std::ranges::all_of(values, [](double v) { return std::isnan(v); }))
            require_fillable(spec, column, {0, hours_per_year});
        const std::size_t n_dark = spec.sunlight ? darken_nights(values) : 0;
        std::size_t n_lines = 0;
        for (const Gap& gap : find_gaps(values)) {
            require_fillable(spec, column, gap);
            fill_gap(values, gap, spec.full_circle);
            n_lines += gap.length;
        }
        warn_filled(spec, column, first, n_lines, n_dark);
    }

    void warn_filled(const Tmy3Column& spec, std::size_t column, std::size_t first,
                     std::size_t n_lines, std::size_t n_dark) {
        std::ostringstream text, where;
        text << n_lines + n_dark << " missing hour" << (n_lines + n_dark == 1 ? "" : "s") << " of "
             << spec.name << ": " << n_lines << " filled by straight lines";
        if (n_dark > 0) text << ", " << n_dark << " set to 0 with the sun down";
        text << "; the first ends " << hour_label(first);
        where << table_.name() << ':' << table_.line(rows_[first]) << ':' << column + 1;
        file_.weather.warnings.push_back({"weather-filled", text.str(), where.str()});
    }

    const CsvTable& table_;
    std::size_t longest_fill_;
    Tmy3Layout layout_;
    std::vector<std::size_t> rows_;  ///< row of each hour
    Tmy3File file_;
};

}  // namespace

Tmy3File read_tmy3(const std::filesystem::path& file, int longest_fill_h) {
    const CsvTable table = read_csv_table(file);
    return Reader(table, static_cast<std::size_t>(std::max(longest_fill_h, 0))).read();
}

}  // namespace noonshell
