// The shape of a clear day's temperature and the solar clock that it follows.
#pragma once

namespace noonshell {

/// Equation of time [min] on day 1..366; [ashrae2021] ch. 14 eqs (5) and (6).
double equation_of_time_min(double day_of_year);

/// Apparent solar time [h], 0..24; [ashrae2021] ch. 14 eq (7), written for UTC: the time zone's
/// meridian drops out.
double apparent_solar_time_h(double utc_h, double longitude_deg, double day_of_year);

/// Fraction of the daily range to be subtracted from the day's highest temperature, 0 at 14 and 15
/// h, 1 at 5 h; [ashrae2021] ch. 14 table 6, by straight lines between its whole hours. The table
/// is one for all clear days on land; humid coasts swing less than it says around noon.
double daily_range_fraction(double apparent_solar_time_h);

}  // namespace noonshell
