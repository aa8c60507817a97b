#include "solar/weather_table.hpp"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <sstream>

#include "solar/csv_table.hpp"
#include "solar/missing.hpp"
#include "solar/tmy3_columns.hpp"

namespace noonshell {

namespace {

using namespace std::chrono;

constexpr std::size_t longest_heading = 100;  // lines

char lower(char c) {
    return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
}

bool same_name(std::string_view a, std::string_view b) {
    return std::ranges::equal(a, b, [](char x, char y) { return lower(x) == lower(y); });
}

bool has_digit(std::string_view text) {
    return text.find_first_of("0123456789") != std::string_view::npos;
}

/// Where the columns of the format stand in one table, from 0.
struct Layout {
    std::size_t first_row = 0;  ///< of the data
    std::vector<std::size_t> time, quantity;
    std::size_t n_fields = 0;  ///< a row must have at least so many
};

class TableReader {
  public:
    TableReader(const CsvTable& table, const WeatherTableFormat& format, int longest_fill_h)
        : table_(table), format_(format), longest_fill_h_(longest_fill_h) {}

    WeatherSamples read() {
        find_columns();
        find_decimal();
        read_stamps();
        samples_.file = table_.name();
        samples_.source = on_one_line(std::filesystem::path(table_.name()).filename().string());
        choose_stamp();
        SampleClock clock(samples_.interval_s, samples_.clock_offset, longest_fill_h_);
        for (const QuantityColumn& q : format_.quantities) set_up(samples_[q.quantity]);
        for (std::size_t i = 0; i < rows_.size(); ++i) {
            const std::size_t n_open = clock.take(begin_of(stamps_[i]), time_place(rows_[i]));
            for (std::size_t k = 0; k < format_.quantities.size(); ++k) {
                std::vector<double>& values = samples_[format_.quantities[k].quantity].values;
                values.insert(values.end(), n_open, missing);
                values.push_back(value(rows_[i], k));
            }
        }
        samples_.begin_utc = clock.begins();
        return std::move(samples_);
    }

  private:
    // ---- Columns

    std::optional<std::size_t> column_in(std::size_t row, const TableColumn& column) const {
        if (column.number > 0) return column.number - 1;
        const auto fields = table_.row(row);
        const auto same = [&](std::string_view field) { return same_name(field, column.name); };
        const auto found = std::ranges::find_if(fields, same);
        if (found == fields.end()) return std::nullopt;
        const auto index = static_cast<std::size_t>(found - fields.begin());
        const auto second = std::find_if(found + 1, fields.end(), same);
        if (second != fields.end())
            throw InputError(table_.place(row, static_cast<std::size_t>(second - fields.begin()),
                                          on_one_line(column.name)),
                             "one column of this name (or its number in the site file)",
                             "a second one; the first is column " + std::to_string(index + 1));
        return index;
    }

    std::vector<TableColumn> all_columns() const {
        std::vector<TableColumn> columns = format_.time_columns;
        for (const QuantityColumn& q : format_.quantities) columns.push_back(q.column);
        return columns;
    }

    std::size_t names_in(std::size_t row, const std::vector<TableColumn>& columns) const {
        const auto fields = table_.row(row);
        return static_cast<std::size_t>(std::ranges::count_if(columns, [&](const TableColumn& c) {
            return c.number == 0 && std::ranges::any_of(fields, [&](std::string_view field) {
                       return same_name(field, c.name);
                   });
        }));
    }

    /// The line of names; the first data row follows it.
    std::size_t heading_row(const std::vector<TableColumn>& columns, std::size_t n_names) const {
        std::size_t best = 0, most = 0;
        for (std::size_t row = 0; row < std::min(table_.n_rows(), longest_heading); ++row) {
            const std::size_t n = names_in(row, columns);
            if (n == n_names) return row;
            if (n <= most) continue;
            most = n;
            best = row;
        }
        for (const TableColumn& column : columns) {
            if (column.number > 0 || names_in(best, {column}) > 0) continue;
            InputPlace place = table_.place(best, 0, on_one_line(column.name));
            place.column.reset();
            if (most == 0) place.line.reset();
            throw InputError(
                place, "a heading with a column of this name",
                most == 0 ? "none of the names that the site file gives"
                          : "none; the line begins " + shown_field(table_.row(best).front()));
        }
        return best;
    }

    void find_columns() {
        const std::vector<TableColumn> columns = all_columns();
        const auto n_names = static_cast<std::size_t>(
            std::ranges::count_if(columns, [](const TableColumn& c) { return c.number == 0; }));
        const std::size_t heading = n_names > 0 ? heading_row(columns, n_names) : 0;
        for (const TableColumn& column : columns) {
            const std::size_t index = column_in(heading, column).value_or(0);
            const bool time = layout_.time.size() < format_.time_columns.size();
            (time ? layout_.time : layout_.quantity).push_back(index);
            layout_.n_fields = std::max(layout_.n_fields, index + 1);
        }
        layout_.first_row = n_names > 0 ? heading + 1 : 0;
        skip_lines_without_stamps(n_names > 0);
    }

    /// One line of units below the names, or all lines before the first stamp where there are none.
    void skip_lines_without_stamps(bool below_names) {
        std::size_t row = layout_.first_row;
        for (std::size_t n = 0; row < table_.n_rows() && n < longest_heading; ++row, ++n) {
            if (table_.blank(row)) continue;
            const std::string text = stamp_text(row);
            const bool heading = below_names ? row == layout_.first_row && !has_digit(text)
                                             : !format_.time_layout.read(text, format_.year);
            if (!heading) break;
        }
        if (row < table_.n_rows() && row - layout_.first_row < longest_heading)
            layout_.first_row = row;
    }

    // ---- Time

    std::string stamp_text(std::size_t row) const {
        std::string text;
        const auto fields = table_.row(row);
        for (const std::size_t column : layout_.time) {
            if (!text.empty()) text += ' ';
            if (column < fields.size()) text += fields[column];
        }
        return text;
    }

    InputPlace time_place(std::size_t row) const {
        return table_.place(row, layout_.time.front(), "time stamp");
    }

    void read_stamps() {
        for (std::size_t row = layout_.first_row; row < table_.n_rows(); ++row) {
            if (table_.blank(row)) continue;
            const std::size_t n = table_.row(row).size();
            if (n < layout_.n_fields)
                throw InputError(table_.place(row, n - 1),
                                 "at least " + std::to_string(layout_.n_fields) + " fields",
                                 "a line cut short after " + std::to_string(n));
            const std::string text = stamp_text(row);
            const auto stamp = format_.time_layout.read(text, format_.year);
            if (!stamp)
                throw InputError(
                    time_place(row),
                    "a time as " + on_one_line(format_.time_layout.text()) + " from 1950 to 2150",
                    shown_field(text));
            rows_.push_back(row);
            const seconds offset =
                stamp->utc_offset ? seconds(*stamp->utc_offset) : offset_of_file();
            if (rows_.size() == 1) samples_.clock_offset = offset;
            stamps_.emplace_back(stamp->local.time_since_epoch() - offset);
        }
        if (rows_.size() < 2)
            throw InputError({.file = table_.name(), .line = {}, .column = {}, .entity = {}},
                             "a series of hours or shorter intervals",
                             rows_.empty() ? "no line of data" : "one line of data");
        samples_.interval_s = interval_s();
    }

    seconds offset_of_file() const { return seconds(std::lround(format_.utc_offset_h * 3600)); }

    /// As the site file has it, else the shortest step from stamp to stamp.
    int interval_s() const {
        if (format_.interval_min) return 60 * *format_.interval_min;
        seconds shortest = hours(1000);
        std::size_t where = 0;
        for (std::size_t i = 1; i < stamps_.size(); ++i) {
            const seconds step = stamps_[i] - stamps_[i - 1];
            if (step <= seconds(0) || step >= shortest) continue;
            shortest = step;
            where = i;
        }
        const bool several_hours = shortest == hours(2) || shortest == hours(3);
        const bool divides =
            hours(1) % shortest == seconds(0) && shortest % minutes(1) == seconds(0);
        if (!several_hours && !divides)
            throw InputError(time_place(rows_[where]),
                             "intervals of an hour, of minutes that divide it or of 2 or 3 hours",
                             std::to_string(shortest.count()) + " s after the one before");
        return static_cast<int>(shortest.count());
    }

    void choose_stamp() {
        if (format_.stamp) {
            stamp_ = *format_.stamp;
        } else if (stand_at_half_hours(stamps_, samples_.clock_offset, samples_.interval_s)) {
            stamp_ = StampAt::middle;
            samples_.source += ", stamps at half past taken as middles";
        }
        samples_.stamps = StampReading{"weather.time.stamp", stamp_, samples_.interval_s};
    }

    sys_seconds begin_of(sys_seconds stamp) const {
        const int parts = stamp_ == StampAt::start ? 0 : stamp_ == StampAt::end ? 2 : 1;
        return stamp - seconds(samples_.interval_s * parts / 2);
    }

    void set_up(WeatherSeries& series) const {
        series.values.clear();
        series.is_mean = format_.means;
        const double interval = samples_.interval_s;
        const double stamp = stamp_ == StampAt::start ? 0
                             : stamp_ == StampAt::end ? interval
                                                      : interval / 2;
        series.instant_s = format_.means ? interval / 2 : stamp;
    }

    // ---- Values

    void find_decimal() {
        decimal_ = format_.decimal.value_or('.');
        if (format_.decimal) return;
        bool comma = false, point = false;
        for (std::size_t row = layout_.first_row; row < table_.n_rows() && !point; ++row) {
            const auto fields = table_.row(row);
            for (const std::size_t column : layout_.quantity) {
                if (column >= fields.size()) continue;
                comma = comma || fields[column].find(',') != std::string_view::npos;
                point = point || fields[column].find('.') != std::string_view::npos;
            }
        }
        if (comma && !point) decimal_ = ',';
    }

    std::optional<double> number(std::string_view field) const {
        if (decimal_ == '.') return parse_csv_number(field);
        if (field.find('.') != std::string_view::npos) return std::nullopt;
        std::string text(field);
        std::ranges::replace(text, ',', '.');
        return parse_csv_number(text);
    }

    bool is_missing(std::string_view field, const std::optional<double>& value) const {
        constexpr std::array<std::string_view, 4> words{"", "nan", "na", "n/a"};
        if (std::ranges::any_of(words, [&](auto word) { return same_name(word, field); }))
            return true;
        return std::ranges::any_of(format_.missing, [&](const std::string& mark) {
            const auto number_mark = parse_csv_number(mark);
            return mark == field || (number_mark && value && *number_mark == *value);
        });
    }

    double value(std::size_t row, std::size_t k) const {
        const QuantityColumn& q = format_.quantities[k];
        const WeatherQuantityInfo& spec = info(q.quantity);
        const std::size_t column = layout_.quantity[k];
        const std::string_view field = table_.row(row)[column];
        const std::optional<double> seen = number(field);
        if (is_missing(field, seen)) return missing;
        const auto place = [&] { return table_.place(row, column, spec.key); };
        if (!seen) throw InputError(place(), "a number", shown_field(field));
        const double value = plausible(spec, q.unit.to_si(*seen, samples_.interval_s));
        if (!std::isnan(value) || is_missing_mark(*seen)) return value;
        std::ostringstream expected;
        expected << spec.lowest << " to " << spec.highest << ' '
                 << weather_unit_names(spec.measure).front();
        throw InputError(place(), expected.str(), std::string(field) + " " + q.unit.name);
    }

    const CsvTable& table_;
    const WeatherTableFormat& format_;
    int longest_fill_h_;
    Layout layout_;
    char decimal_ = '.';
    StampAt stamp_ = StampAt::end;
    std::vector<std::size_t> rows_;    ///< of the data
    std::vector<sys_seconds> stamps_;  ///< one for each
    WeatherSamples samples_;
};

}  // namespace

WeatherSamples parse_weather_table(std::string_view text, const std::string& name,
                                   const WeatherTableFormat& format, int longest_fill_h) {
    NOONSHELL_CHECK_EQ(format.time_columns.empty(), false);
    const CsvTable table(text, name, format.separator.value_or(likely_separator(text)));
    return TableReader(table, format, longest_fill_h).read();
}

WeatherSamples read_weather_table(const std::filesystem::path& file,
                                  const WeatherTableFormat& format, int longest_fill_h) {
    return parse_weather_table(read_text_file(file), file.string(), format, longest_fill_h);
}

}  // namespace noonshell
