// Time axes of the CF conventions: "hours since 1900-01-01 00:00:00" on a calendar.
#pragma once

#include <chrono>
#include <string>
#include <string_view>

namespace noonshell {

/// One such axis, [cf2023] section 4.4. Units: seconds, minutes, hours, days and their short forms.
/// Reference: YYYY-MM-DD, alone or with a time (after a blank or T) and a zone (Z, UTC, +02:00).
/// Calendars: standard or gregorian (Julian before 15 October 1582), proleptic_gregorian, and
/// noleap or 365_day, whose dates are those of the real calendar but for 29 February.
class CfTimeAxis {
  public:
    /// Throws InputError (without a place) for units or a calendar that are none of these.
    CfTimeAxis(std::string_view units, std::string_view calendar);

    /// The instant `shift_s` seconds after `value` by this calendar, to the nearest second. Throws
    /// InputError for one outside 1950 to 2150.
    std::chrono::sys_seconds instant(double value, double shift_s = 0) const;

  private:
    void read_reference(std::string_view text, const std::string& units);

    enum class Calendar { standard, proleptic_gregorian, noleap };
    Calendar calendar_ = Calendar::standard;
    double unit_s_ = 1;
    /// Of the reference: days (since 1970-01-01, or 365 times the year plus the day of the year for
    /// noleap) and seconds of the day.
    long long reference_day_ = 0;
    double reference_s_ = 0;
};

}  // namespace noonshell
