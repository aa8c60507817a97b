#include "solar/weather_samples.hpp"

#include <algorithm>
#include <cmath>
#include <cstdio>

#include "solar/csv_table.hpp"
#include "solar/missing.hpp"

namespace noonshell {

namespace {

using namespace std::chrono;

/// The day of the file's clock that begins at this instant is a 29 February.
bool begins_leap_day(sys_seconds instant, seconds offset) {
    const local_seconds local{instant.time_since_epoch() + offset};
    const local_days day = floor<days>(local);
    const year_month_day date{day};
    return local == day && date.month() == February && date.day() == std::chrono::day{29};
}

}  // namespace

const std::array<WeatherQuantityInfo, n_weather_quantities>& weather_quantities() {
    using enum WeatherMeasure;
    using enum OverTheHour;
    static const std::array<WeatherQuantityInfo, n_weather_quantities> infos{{
        {"dry_bulb", temperature, -90, 65, level},
        {"dew_point", temperature, -90, 45, level},
        {"relative_humidity", humidity, 0, 100, level},
        {"wind_speed", speed, 0, 90, mean},
        {"wind_direction", direction, 0, 360, compass},
        {"pressure", pressure, 30000, 110000, level},
        {"global", irradiance, 0, 1500, sunlight},
        {"direct_normal", irradiance, 0, 1500, sunlight},
        {"direct_horizontal", irradiance, 0, 1500, sunlight},
        {"diffuse", irradiance, 0, 1200, sunlight},
        {"longwave_down", irradiance, 50, 700, flux},
        {"cloud_cover", cover, 0, 1, level},
    }};
    return infos;
}

const WeatherQuantityInfo& info(WeatherQuantity quantity) {
    return weather_quantities()[static_cast<std::size_t>(quantity)];
}

double plausible(const WeatherQuantityInfo& quantity, double value) {
    constexpr double wettest_reading = 110;  // percent
    const bool sunlight = quantity.over_the_hour == OverTheHour::sunlight;
    const double low = sunlight ? lowest_night_reading_w_m2 : quantity.lowest;
    const double high =
        quantity.measure == WeatherMeasure::humidity ? wettest_reading : quantity.highest;
    if (!(value >= low && value <= high)) return missing;
    return std::clamp(value, quantity.lowest, quantity.highest);
}

std::string clock_text(sys_seconds instant, seconds offset) {
    const local_seconds local{instant.time_since_epoch() + offset};
    const local_days day = floor<days>(local);
    const year_month_day date{day};
    const hh_mm_ss time{local - day};
    std::array<char, 64> text{};
    std::snprintf(text.data(), text.size(), "%04d-%02u-%02u %02d:%02d",
                  static_cast<int>(date.year()), static_cast<unsigned>(date.month()),
                  static_cast<unsigned>(date.day()), static_cast<int>(time.hours().count()),
                  static_cast<int>(time.minutes().count()));
    return text.data();
}

bool stand_at_half_hours(const std::vector<sys_seconds>& stamps, seconds clock_offset,
                         int interval_s) {
    if (interval_s != 3600 && interval_s != 3 * 3600) return false;
    return std::ranges::all_of(stamps, [&](sys_seconds stamp) {
        return (stamp.time_since_epoch() + clock_offset) % hours(1) == minutes(30);
    });
}

std::size_t SampleClock::take(sys_seconds begin, const InputPlace& place) {
    if (begins_.empty()) {
        begins_.push_back(begin);
        return 0;
    }
    sys_seconds next = begins_.back() + interval_;
    const auto text = [this](sys_seconds instant) {
        return clock_text(instant, offset_) + (offset_ == seconds(0) ? " UTC" : "");
    };
    if (begin < next && begin > begins_.back())
        throw InputError(place, "an interval that begins " + text(next),
                         text(begin) + ", less than " + std::to_string(interval_.count()) +
                             " s after the one before");
    if (begin <= begins_.back())
        throw InputError(place, "an interval that begins " + text(next) + " or later",
                         text(begin) + ", which is there already or earlier");
    if (begins_leap_day(next, offset_) && begin >= next + days(1)) next += days(1);
    const seconds open = begin - next;
    if (open % interval_ != seconds(0))
        throw InputError(
            place,
            "intervals of " + std::to_string(interval_.count()) + " s, the next from " + text(next),
            text(begin));
    if (open > longest_fill_ + hours(1))  // whole hours may lie unluckily to the intervals
        throw InputError(
            place,
            "gaps of at most " + std::to_string(longest_fill_.count()) + " h (longest_fill_h)",
            std::to_string(duration_cast<hours>(open).count()) + " missing hours from " +
                text(next) + " on");
    const auto n_open = static_cast<std::size_t>(open / interval_);
    for (std::size_t i = 0; i < n_open; ++i)
        begins_.push_back(next + interval_ * static_cast<seconds::rep>(i));
    begins_.push_back(begin);
    return n_open;
}

}  // namespace noonshell
