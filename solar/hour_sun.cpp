#include "solar/hour_sun.hpp"

#include <algorithm>

#include "solar/sun_position.hpp"

namespace noonshell {

double highest_elevation_deg(const Site& site, std::chrono::sys_seconds hour_start_utc) {
    const std::chrono::year_month_day date{std::chrono::floor<std::chrono::days>(hour_start_utc)};
    SunPositionInput input;
    input.latitude_deg = site.latitude_deg;
    input.longitude_deg = site.longitude_deg;
    input.elevation_m = site.elevation_m;
    input.delta_t_s = estimated_delta_t_s(static_cast<double>(static_cast<int>(date.year())) + 0.5);
    double highest = -90;
    for (const int minutes : {0, 30, 60}) {
        input.instant_utc = hour_start_utc + std::chrono::minutes(minutes);
        highest = std::max(highest, sun_position(input).elevation_deg);
    }
    return highest;
}

}  // namespace noonshell
