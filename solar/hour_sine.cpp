#include "solar/hour_sine.hpp"

#include <chrono>
#include <cmath>
#include <numbers>

#include "solar/sun_path.hpp"

namespace noonshell {

HourSines hour_sines(const Site& site, const Weather& weather) {
    constexpr double step_s = 300, degree = std::numbers::pi / 180;
    const SunPath path = sun_path(site, weather, step_s);
    HourSines sines;
    for (std::size_t hour = 0; hour < path.n_hours(); ++hour) {
        double sum = 0, of_beam = 0;
        for (auto step = path.hour_begin[hour]; step < path.hour_begin[hour + 1]; ++step) {
            const double sine = std::sin(path.elevation_deg[step] * degree);
            sum += sine;
            of_beam += path.beam_share[step] * sine;
        }
        const auto n_up = static_cast<double>(path.hour_begin[hour + 1] - path.hour_begin[hour]);
        sines.while_up.push_back(n_up > 0 ? sum / n_up : 0);
        sines.of_beam.push_back(of_beam);
        sines.whole_hour.push_back(sum * step_s / 3600);
    }
    return sines;
}

double local_day_of_year(const Site& site, std::chrono::sys_seconds instant) {
    using namespace std::chrono;
    const auto offset = seconds(std::lround(site.utc_offset_h * 3600));
    const local_seconds local{instant.time_since_epoch() + offset};
    const local_days day = floor<days>(local);
    const local_days first{year_month_day{day}.year() / January / 1};
    return static_cast<double>((day - first).count() + 1);
}

}  // namespace noonshell
