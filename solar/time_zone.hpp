// Local standard time of a site, from an IANA zone name or a plain offset.
#pragma once

#include <string>

namespace noonshell {

/// Standard-time offset from UTC [h] of "Asia/Riyadh", "+03:30", "-7" or "UTC" in the given year.
/// Daylight saving is taken off. Throws InputError for a zone that does not exist, naming the
/// nearest known one. Uses the system's time zone database.
double standard_utc_offset_h(const std::string& zone, int year);

}  // namespace noonshell
