#include "thermal/week_hours.hpp"

#include <algorithm>
#include <numeric>

#include "geometry/diagnostics.hpp"

namespace noonshell {

double mean_of(const WeekHours& week) {
    return std::accumulate(week.begin(), week.end(), 0.0) / static_cast<double>(week.size());
}

WeekHours over_its_mean(const WeekHours& week) {
    WeekHours shares = week;
    const double mean = mean_of(week);
    for (double& share : shares) share /= mean;
    return shares;
}

WeekHours every_day(const std::array<double, hours_per_day>& by_hour) {
    WeekHours week{};
    for (std::size_t day = 0; day < 7; ++day) set_day(week, day, by_hour);
    return week;
}

void set_day(WeekHours& week, std::size_t day, const std::array<double, hours_per_day>& by_hour) {
    NOONSHELL_CHECK_LT(day, 7u);
    std::copy(by_hour.begin(), by_hour.end(),
              week.begin() + static_cast<std::ptrdiff_t>(day * hours_per_day));
}

bool is_same_every_day(const WeekHours& week) {
    return std::equal(week.begin() + hours_per_day, week.end(), week.begin());
}

WeekHours busiest_hours(const WeekHours& week) {
    std::array<double, hours_per_day> most{};
    std::copy_n(week.begin(), hours_per_day, most.begin());
    for (std::size_t h = 0; h < week.size(); ++h)
        most[h % hours_per_day] = std::max(most[h % hours_per_day], week[h]);
    return every_day(most);
}

WeekHours lowest_hours(const WeekHours& week) {
    WeekHours negative = week;
    for (double& value : negative) value = -value;
    negative = busiest_hours(negative);
    for (double& value : negative) value = -value;
    return negative;
}

double even_change(const WeekHours& week, std::size_t now, double share) {
    const double before = week[(now + hours_per_week - 1) % hours_per_week];
    return before + share * (week[now] - before);
}

double set_point_c(const WeekHours& week, std::size_t now, double share, double begun_c,
                   bool upwards) {
    const double before = week[(now + hours_per_week - 1) % hours_per_week], own = week[now];
    const bool asks_for_more = upwards ? own > before : own < before;
    if (!asks_for_more) return even_change(week, now, share);
    const double from =
        upwards ? std::clamp(begun_c, before, own) : std::clamp(begun_c, own, before);
    return from + share * (own - from);
}

}  // namespace noonshell
