// Hourly weather in flat arrays and where it comes from.
#pragma once

#include <array>
#include <chrono>
#include <cstddef>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "geometry/diagnostics.hpp"
#include "solar/site.hpp"

namespace noonshell {

/// Where in its interval a time stamp stands.
enum class StampAt { start, middle, end };

/// How the stamps of a file were read.
struct StampReading {
    std::string key;  ///< of the site file: "weather.time.stamp"
    StampAt at = StampAt::end;
    int interval_s = 3600;
};

/// Which parts of the sunlight were told; the others were worked out from them.
struct GivenLight {
    bool global = true, direct_normal = true, diffuse = true;
};

/// One array per quantity, one entry per hour, each a mean over (or the value at the end of) the
/// interval [start, start + 1 h). All arrays have size() entries, or none where optional.
struct Weather {
    std::string source;  ///< in plain words, for reports
    std::vector<std::chrono::sys_seconds> hour_start_utc;
    std::vector<double> dry_bulb_c;          ///< at the end of the hour
    std::vector<double> dew_point_c;         ///< at the end of the hour
    std::vector<double> wind_speed_m_s;      ///< at 10 m
    std::vector<double> wind_direction_deg;  ///< where it blows from; optional
    std::vector<double> pressure_pa;
    std::vector<double> global_w_m2;  ///< horizontal, mean over the hour
    std::vector<double> direct_normal_w_m2;
    std::vector<double> diffuse_w_m2;        ///< horizontal
    std::vector<double> longwave_down_w_m2;  ///< optional
    std::vector<double> cloud_cover;  ///< share of the sky 0..1 at the end of the hour; optional
    bool periodic = true;  ///< the last hour is followed by the first (typical year, design day)
    std::vector<Warning> warnings;
    GivenLight given_light;
    int light_interval_h = 1;            ///< of the means that the light's hours were made from
    std::optional<StampReading> stamps;  ///< of files whose stamps the site file may move

    std::size_t size() const { return hour_start_utc.size(); }
};

/// What the first line of a TMY3 file says about its place.
struct WeatherPlace {
    std::string station, name;
    double utc_offset_h = 0, latitude_deg = 0, longitude_deg = 0, elevation_m = 0;
};

struct Tmy3File {
    WeatherPlace place;
    Weather weather;
};

/// Reads a TMY3 CSV as [wilcox2008] describes it: columns found by name, wind direction optional,
/// unknown columns passed over; dates unpadded, padded or as 1988-07-21; midnight as 24:00,
/// 24:00:00 or 0:00 of the next day; byte order mark, CRLF, quoted fields, trailing commas; every
/// month of a year of its own. Missing values (empty, -9900, or nines where these are impossible)
/// in gaps of up to `longest_fill_h` hours are filled by straight lines, missing sunlight with the
/// sun down by 0, with one warning "weather-filled" per quantity that counts them. A longer gap, a
/// column that is not there, hours other than the 8760 of a year in order, 29 February, a
/// non-number or a value that the quantity cannot have is an InputError with line and column.
Tmy3File read_tmy3(const std::filesystem::path& file, int longest_fill_h = 6);

/// What a clear sky is made from: the optical depths tau_b and tau_d ([ashrae2021] ch. 14) or the
/// Linke turbidity ([ineichen2002]).
enum class ClearSkyModel { optical_depths, turbidity };

/// Climate normals of one month, as printed in handbooks.
struct MonthNormals {
    double mean_high_c = 0;  ///< mean daily highest dry bulb
    double mean_low_c = 0;   ///< mean daily lowest dry bulb
    double dew_point_c = 0;
    double wind_m_s = 0;
    double tau_b = 0.4;  ///< clear-sky optical depth, beam
    double tau_d = 2.2;  ///< clear-sky optical depth, diffuse
    double linke_turbidity = 3.5;
};

/// A typical clear year of 8760 hours from twelve months of normals: clear-sky sun by `sky`
/// averaged over each hour, daily temperature by the normalised profile of
/// table 6 in solar time, months joined by straight lines between mid-months, pressure of the
/// standard atmosphere, no wind direction. 29 February is left out. Sampled once an hour, a day's
/// lowest can miss the profile's by 1 % of the range. Throws InputError such as "[weather] month 7:
/// mean_low_c".
Weather typical_clear_year(const Site& site, const std::array<MonthNormals, 12>& months, int year,
                           ClearSkyModel sky = ClearSkyModel::optical_depths);

/// One day, to be repeated until it no longer changes.
struct DesignDay {
    int month = 7;
    int day = 21;
    double peak_dry_bulb_c = 43;
    double daily_range_k = 12;
    double dew_point_c = 10;
    double wind_m_s = 2;
    double tau_b = 0.55;
    double tau_d = 2.0;
    double linke_turbidity = 5.0;
    ClearSkyModel sky = ClearSkyModel::optical_depths;
};

/// 24 hours of one clear design day, made as typical_clear_year makes its days. Throws InputError
/// such as "[weather] design day: tau_b".
Weather design_day_weather(const Site& site, const DesignDay& day, int year);

/// Checks that the weather fits the site and says so: hottest months in the wrong half of the year
/// for the hemisphere ("weather-wrong-hemisphere"; whole years farther than 15 degrees from the
/// equator), sun at night ("weather-sun-at-night"), a clock more than 3 h from the sun of the
/// longitude ("time-zone-far"), file place more than 0.5 degrees or 1 h away
/// ("weather-place-differs"; only when `place` is given).
std::vector<Warning> check_weather(const Site& site, const Weather& weather,
                                   const std::optional<WeatherPlace>& place);

/// Checks that the three parts of the sunlight fit together: global against direct normal times the
/// mean sine of the sun's elevation (over the hour's part with the sun up) plus diffuse. One
/// warning "weather-light-differs" with mean, worst hour and number of hours when the mean of the
/// gaps' sizes is more than 2 % of the mean global over the hours with sunlight. Hours whose sun
/// stays below 5 degrees are left out: there the sine changes too much within the hour. Light that
/// was told as means of several hours is compared by these, and may lie apart 2 % for each hour.
std::vector<Warning> check_light(const Site& site, const Weather& weather);

}  // namespace noonshell
