#include "cli/day_paths.hpp"

#include "cli/day_table.hpp"

namespace noonshell {

std::vector<DayPath> day_paths(const RunResult& result) {
    const SunPath& path = result.path;
    const ToldCalendar calendar = result.calendar();
    const DayTable middles(result.place.site, result.place.weather, calendar,
                           DayTable::Days::mean_of_months);
    std::vector<std::string> dates;
    dates.reserve(path.n_hours());
    for (std::size_t hour = 0; hour < path.n_hours(); ++hour) dates.push_back(calendar.date(hour));
    std::vector<DayPath> paths;
    for (const DayTable::Day& day : middles.days()) {
        DayPath& of_day = paths.emplace_back();
        of_day.date = day.date;
        of_day.month = day.month;
        for (std::size_t hour = 0; hour < path.n_hours(); ++hour) {
            if (dates[hour] != day.date) continue;
            for (std::size_t s = path.hour_begin[hour]; s < path.hour_begin[hour + 1]; ++s)
                of_day.suns.push_back({path.azimuth_deg[s], path.elevation_deg[s], hour});
        }
    }
    return paths;
}

}  // namespace noonshell
