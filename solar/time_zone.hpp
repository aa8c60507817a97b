// Local standard time of a site, from an IANA zone name or a plain offset.
#pragma once

#include <string>

namespace noonshell {

/// Standard-time offset from UTC [h] of "Asia/Riyadh", "+03:30", "-7", "UTC+5:45" or "UTC" in the
/// given year. Zone names are those of the system's time zone database, letter for letter; it is
/// read on first use only, and never for a plain offset. Safe to call from several threads.
///
/// Daylight saving is taken off: of the year's standard and saving offsets the smaller one that
/// holds for 60 days or more. So Europe/Dublin, whose law calls the summer standard, has its winter
/// time, and Africa/Casablanca is not moved by the weeks of Ramadan. Rules reach only to 2037:
/// later years take the offset of 2036, years before 1900 that of 1900. A zone that changed its
/// standard time within the year has the one that held longest.
///
/// Throws InputError for a zone that does not exist, naming the nearest known one, and for an
/// offset outside -12:00 to +14:00.
double standard_utc_offset_h(const std::string& zone, int year);

}  // namespace noonshell
