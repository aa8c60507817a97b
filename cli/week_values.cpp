#include "cli/week_values.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <vector>

namespace noonshell {

namespace {

WeekHours week_of(const std::vector<double>& hours) {
    if (hours.size() == hours_per_week) {
        WeekHours week;
        std::copy(hours.begin(), hours.end(), week.begin());
        return week;
    }
    std::array<double, hours_per_day> day{};
    std::copy(hours.begin(), hours.end(), day.begin());
    return every_day(day);
}

}  // namespace

WeekHours listed_hours(SettingsReader& reader, std::string_view key, const NumberRange& range) {
    constexpr std::size_t most_listed = 100000;  // so that what is expected is told here
    const std::vector<double> hours = reader.table()->numbers(key, 0, most_listed, range).value();
    if (hours.size() != hours_per_day && hours.size() != hours_per_week)
        throw reader.table()->error(
            key,
            "one number, an array of 24 for a day or of 168 for a week that begins with Monday",
            fmt::format("an array of {}", hours.size()));
    reader.record(key, hours);
    return week_of(hours);
}

}  // namespace noonshell
