// Values by the hour of the week, Monday's first: what a room is used for follows the calendar.
#pragma once

#include <array>
#include <cstddef>
#include <string_view>

#include "solar/common_year.hpp"

namespace noonshell {

inline constexpr std::array<std::string_view, 7> weekday_names = {
    "monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"};

/// By hour of the week in the site's standard time; 0 is Monday from 0:00 to 1:00.
using WeekHours = std::array<double, hours_per_week>;

/// The same value at every hour.
constexpr WeekHours at_all_hours(double value) {
    WeekHours week{};
    week.fill(value);
    return week;
}

bool is_same_every_day(const WeekHours& week);

double mean_of(const WeekHours& week);

/// Each value over the mean of all, which is not 0.
WeekHours over_its_mean(const WeekHours& week);

/// Every day alike, its hours from 0:00 on.
WeekHours every_day(const std::array<double, hours_per_day>& by_hour);

/// The same with other values on one day, 0 for Monday.
void set_day(WeekHours& week, std::size_t day, const std::array<double, hours_per_day>& by_hour);

/// Every day alike, at each hour the largest of the week's days.
WeekHours busiest_hours(const WeekHours& week);

/// Every day alike, at each hour the smallest of the week's days.
WeekHours lowest_hours(const WeekHours& week);

/// What holds `share` (0..1) into hour `now` of the week: from what held at the end of the hour
/// before it goes evenly to the hour's own value, which it has at the hour's end.
double even_change(const WeekHours& week, std::size_t now, double share);

/// The same for the set-point of a plant that works downwards (cooling) or, with `upwards`, the
/// other way. Where the hour asks for more than the one before it, the way begins at `begun_c`,
/// what the room had when the hour began, if that lies on it: a plant that was as good as off takes
/// the whole hour for what there is to take off, whatever value stood for off.
double set_point_c(const WeekHours& week, std::size_t now, double share, double begun_c,
                   bool upwards);

}  // namespace noonshell
