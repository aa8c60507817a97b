// Weather as files hold it, at their own interval, and its way to the hours of Weather.
#pragma once

#include <array>
#include <chrono>
#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "geometry/diagnostics.hpp"
#include "solar/site.hpp"
#include "solar/weather.hpp"
#include "solar/weather_units.hpp"

namespace noonshell {

/// What a file may hold, in the order of weather_quantities().
enum class WeatherQuantity {
    dry_bulb,
    dew_point,
    relative_humidity,
    wind_speed,
    wind_direction,
    pressure,
    global,
    direct_normal,
    direct_horizontal,
    diffuse,
    longwave_down,
    cloud_cover
};
inline constexpr std::size_t n_weather_quantities = 12;

/// How a quantity goes from its interval to the hour.
enum class OverTheHour {
    level,     ///< a state of the air: its value at the end of the hour
    mean,      ///< a mean over the hour, or the value at its end where the file holds instants
    flux,      ///< energy: always the mean over the hour
    sunlight,  ///< as flux; 0 where it is missing with the sun down
    compass    ///< a direction, as mean but round the circle
};

struct WeatherQuantityInfo {
    const char* key;  ///< "dry_bulb"
    WeatherMeasure measure;
    double lowest, highest;  ///< what it can be on Earth, in SI as weather_units.hpp has it
    OverTheHour over_the_hour;
};

/// Instruments in the dark read some W/m2 below 0; sunlight from here up to 0 counts as 0.
inline constexpr double lowest_night_reading_w_m2 = -20;

const std::array<WeatherQuantityInfo, n_weather_quantities>& weather_quantities();
const WeatherQuantityInfo& info(WeatherQuantity quantity);

/// `value` in SI with the small slips that instruments have set right (sunlight a little below 0,
/// humidity a little above 100 %); NaN where it is out of range.
double plausible(const WeatherQuantityInfo& quantity, double value);

/// One quantity by interval; NaN where missing, no values where the file does not have it.
struct WeatherSeries {
    std::vector<double> values;
    bool is_mean = true;   ///< over the interval; else read at one instant
    double instant_s = 0;  ///< of the reading, after the interval's beginning; means: its middle
};

struct WeatherSamples {
    std::string file;                                 ///< for messages
    std::string source;                               ///< in plain words, for reports
    int interval_s = 3600;                            ///< divides 3600, or whole hours
    std::chrono::seconds clock_offset{0};             ///< of the file's clock from UTC
    std::vector<std::chrono::sys_seconds> begin_utc;  ///< of each interval; they follow each
                                                      ///< other, but may step over a 29 February
    std::array<WeatherSeries, n_weather_quantities> series;
    std::optional<StampReading> stamps;  ///< where the site file may move them

    WeatherSeries& operator[](WeatherQuantity q) { return series[static_cast<std::size_t>(q)]; }
    const WeatherSeries& operator[](WeatherQuantity q) const {
        return series[static_cast<std::size_t>(q)];
    }
    bool has(WeatherQuantity q) const { return !(*this)[q].values.empty(); }
};

/// Puts intervals one after the other as a file gives them.
class SampleClock {
  public:
    SampleClock(int interval_s, std::chrono::seconds clock_offset, int longest_fill_h)
        : interval_(interval_s), offset_(clock_offset), longest_fill_(longest_fill_h) {}

    /// Takes the beginning of the next interval; intervals that are left out before it are added
    /// (none over a whole 29 February). Returns how many were. Throws InputError at `place` for a
    /// beginning that does not come after the last, is off the interval, or leaves more than the
    /// longest gap open.
    std::size_t take(std::chrono::sys_seconds begin, const InputPlace& place);

    const std::vector<std::chrono::sys_seconds>& begins() const { return begins_; }

  private:
    std::chrono::seconds interval_, offset_;
    std::chrono::hours longest_fill_;
    std::vector<std::chrono::sys_seconds> begins_;
};

/// True where intervals of an hour or of three have all their stamps at half past by the clock that
/// wrote them: such stamps stand in the middle of means ([cf2023] section 7.1 lets times without
/// bounds be taken so; analyses of the weather write them).
bool stand_at_half_hours(const std::vector<std::chrono::sys_seconds>& stamps,
                         std::chrono::seconds clock_offset, int interval_s);

/// "2023-07-21 14:00" by a clock that is `offset` ahead of UTC.
std::string clock_text(std::chrono::sys_seconds instant, std::chrono::seconds offset);

/// Whole hours of Weather. Means and fluxes are averaged over the intervals of the hour (missing
/// where more than half of them are), states are read at its end by straight lines between the
/// readings. Gaps of up to `longest_fill_h` hours are filled by straight lines, missing sunlight
/// with the sun down by 0, with one warning "weather-filled" per quantity; at the ends of a period
/// that is no whole year the nearest value is held. A dew point that is not there comes from the
/// relative humidity, pressure from the standard atmosphere at the site's elevation, sunlight from
/// complete_light(). Intervals of several hours go through split_to_hours() first. Incomplete hours
/// at either end are left out. A period of whole years, or of
/// one day, is periodic. Throws InputError for a longer gap, less than 24 hours, and a file without
/// dry bulb, humidity, wind speed or enough light.
Weather hourly_weather(const Site& site, const WeatherSamples& samples, int longest_fill_h = 6);

}  // namespace noonshell
