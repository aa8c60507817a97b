// Values by hour of the day or of the week in site files.
#pragma once

#include <string_view>

#include "cli/settings_reader.hpp"
#include "thermal/week_hours.hpp"

namespace noonshell {

/// An array of 24 for the hours of every day, the first from 0 to 1, or of 168 for those of a week
/// that begins with Monday; recorded. Throws InputError for another number of values and for those
/// out of range.
WeekHours listed_hours(SettingsReader& reader, std::string_view key, const NumberRange& range);

}  // namespace noonshell
