#include "solar/weather_grid_join.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <filesystem>
#include <optional>

#include "solar/great_circle.hpp"
#include "solar/missing.hpp"

namespace noonshell {

namespace {

using namespace std::chrono;

/// The quantities of WeatherSamples and the two components of the wind.
constexpr std::size_t n_series = n_weather_quantities + 2;

WeatherSeries& series_of(WeatherGrid& grid, std::size_t index) {
    if (index < n_weather_quantities) return grid.samples.series[index];
    return index == n_weather_quantities ? grid.wind_east : grid.wind_north;
}

const char* key_of(std::size_t index) {
    if (index < n_weather_quantities) return weather_quantities()[index].key;
    return index == n_weather_quantities ? "wind_east" : "wind_north";
}

bool is_flux(std::size_t index) {
    return index < n_weather_quantities &&
           weather_quantities()[index].measure == WeatherMeasure::irradiance;
}

/// One quantity of all parts, on intervals of its own.
struct Joined {
    std::vector<sys_seconds> begin_utc;
    WeatherSeries series;
    std::string last_file;
};

class GridJoiner {
  public:
    GridJoiner(std::vector<WeatherGrid> parts, int longest_fill_h)
        : parts_(std::move(parts)),
          longest_fill_h_(longest_fill_h),
          interval_(parts_.front().samples.interval_s) {}

    WeatherGrid join() {
        for (const WeatherGrid& part : parts_) require_same_grid(part);
        std::ranges::stable_sort(
            parts_, {}, [](const WeatherGrid& part) { return part.samples.begin_utc.front(); });
        std::array<std::optional<Joined>, n_series> joined;
        for (std::size_t i = 0; i < n_series; ++i) joined[i] = join_series(i);
        const std::size_t leader = leading(joined);
        WeatherGrid grid = head();
        grid.samples.begin_utc = joined[leader]->begin_utc;
        for (std::size_t i = 0; i < n_series; ++i)
            if (joined[i])
                series_of(grid, i) =
                    laid_on(*joined[leader], key_of(leader), *joined[i], key_of(i));
        return grid;
    }

  private:
    static InputPlace place(const std::string& file, const std::string& entity) {
        return {.file = file, .line = {}, .column = {}, .entity = entity};
    }

    static std::string utc_text(sys_seconds instant) {
        return clock_text(instant, seconds(0)) + " UTC";
    }

    static std::string place_text(const WeatherGrid& part) {
        std::array<char, 64> text{};
        std::snprintf(text.data(), text.size(), "%.3f, %.3f", part.latitude_deg,
                      part.longitude_deg);
        return text.data();
    }

    void require_same_grid(const WeatherGrid& part) const {
        constexpr double same_cell_km = 1;
        const WeatherGrid& first = parts_.front();
        const WeatherSamples& samples = part.samples;
        if (samples.interval_s != first.samples.interval_s)
            throw InputError(place(samples.file, "time"),
                             "intervals of " + std::to_string(first.samples.interval_s) +
                                 " s as in " + first.samples.file,
                             std::to_string(samples.interval_s) + " s");
        const double apart_km = great_circle_km(first.latitude_deg, first.longitude_deg,
                                                part.latitude_deg, part.longitude_deg);
        if (apart_km > same_cell_km)
            throw InputError(place(samples.file, {}),
                             "the cell of " + first.samples.file + " at latitude and longitude " +
                                 place_text(first),
                             "the nearest one at " + place_text(part));
    }

    /// Name, source and warnings of the whole.
    WeatherGrid head() const {
        const WeatherGrid& first = parts_.front();
        WeatherGrid grid;
        grid.latitude_deg = first.latitude_deg;
        grid.longitude_deg = first.longitude_deg;
        grid.distance_km = first.distance_km;
        for (const WeatherGrid& part : parts_) {
            for (const Warning& warning : part.warnings) {
                const bool said = std::ranges::any_of(grid.warnings, [&](const Warning& w) {
                    return w.code == warning.code && w.text == warning.text;
                });
                if (!said) grid.warnings.push_back(warning);
            }
        }
        grid.samples.file = first.samples.file;
        grid.samples.source = first.samples.source;
        grid.samples.interval_s = first.samples.interval_s;
        grid.samples.stamps = first.samples.stamps;
        if (parts_.size() == 1) return grid;
        const std::string others = std::to_string(parts_.size() - 1);
        grid.samples.file += " and " + others + " more";
        const std::string name = std::filesystem::path(first.samples.file).filename().string();
        grid.samples.source.insert(name.size(), " and " + others + " more");
        return grid;
    }

    std::optional<Joined> join_series(std::size_t index) {
        Joined joined;
        SampleClock clock(static_cast<int>(interval_.count()), seconds(0), longest_fill_h_);
        for (WeatherGrid& part : parts_) {
            const WeatherSeries& series = series_of(part, index);
            if (series.values.empty()) continue;
            append(part, series, key_of(index), clock, joined);
        }
        if (joined.series.values.empty()) return std::nullopt;
        joined.begin_utc = clock.begins();
        return joined;
    }

    void append(const WeatherGrid& part, const WeatherSeries& series, const char* key,
                SampleClock& clock, Joined& joined) const {
        const WeatherSamples& samples = part.samples;
        std::vector<double>& values = joined.series.values;
        if (values.empty()) {
            joined.series.is_mean = series.is_mean;
            joined.series.instant_s = series.instant_s;
        } else if (const sys_seconds end = clock.begins().back() + interval_;
                   samples.begin_utc.front() < end) {
            throw InputError(
                place(samples.file, key),
                "times after those of " + joined.last_file + ", from " + utc_text(end) + " on",
                "an overlap: times from " + utc_text(samples.begin_utc.front()));
        } else if (series.is_mean != joined.series.is_mean ||
                   series.instant_s != joined.series.instant_s) {
            throw InputError(place(samples.file, key),
                             "times that stand in their intervals as in " + joined.last_file,
                             "others");
        }
        for (std::size_t i = 0; i < series.values.size(); ++i) {
            const std::size_t open = clock.take(samples.begin_utc[i], place(samples.file, key));
            values.insert(values.end(), open, missing);
            values.push_back(series.values[i]);
        }
        joined.last_file = samples.file;
    }

    static std::size_t leading(const std::array<std::optional<Joined>, n_series>& joined) {
        for (std::size_t i = 0; i < n_series; ++i)
            if (joined[i] && is_flux(i)) return i;
        std::size_t first = 0;
        while (!joined[first]) ++first;  // every part has a quantity
        return first;
    }

    void require_same_period(const Joined& leader, const char* leader_key, const Joined& joined,
                             const char* key) const {
        const auto far = [this](sys_seconds a, sys_seconds b) {
            return abs(a - b) > hours(longest_fill_h_) + interval_;
        };
        const sys_seconds begin = leader.begin_utc.front(), end = leader.begin_utc.back();
        const sys_seconds own_begin = joined.begin_utc.front(), own_end = joined.begin_utc.back();
        if (!far(begin, own_begin) && !far(end, own_end)) return;
        throw InputError(place(joined.last_file, key),
                         "the period of " + std::string(leader_key) + ", " + utc_text(begin) +
                             " to " + utc_text(end + interval_),
                         utc_text(own_begin) + " to " + utc_text(own_end + interval_));
    }

    /// The series on the leader's intervals. Instants on other intervals are told by where they
    /// fall in the leader's: a reading at the end of one is one at the beginning of the next.
    WeatherSeries laid_on(const Joined& leader, const char* leader_key, const Joined& joined,
                          const char* key) const {
        if (leader.begin_utc == joined.begin_utc) return joined.series;
        require_same_period(leader, leader_key, joined, key);
        WeatherSeries laid = joined.series;
        const seconds ahead = joined.begin_utc.front() - leader.begin_utc.front();
        seconds shift{0};  // from the leader's intervals to the series' own
        if (!laid.is_mean && (ahead < seconds(0) || ahead % interval_ != seconds(0))) {
            const auto instant = seconds(std::lround(laid.instant_s));
            const seconds within = ((ahead + instant) % interval_ + interval_) % interval_;
            shift = within - instant;
            laid.instant_s = static_cast<double>(within.count());
        } else if (ahead % interval_ != seconds(0)) {
            throw InputError(
                place(joined.last_file, key),
                "means over the intervals of " + std::string(leader_key) + ", which begin " +
                    utc_text(leader.begin_utc.front()),
                "means over others, which begin " + utc_text(joined.begin_utc.front()));
        }
        laid.values.clear();
        std::size_t i = 0;
        for (const sys_seconds begin : leader.begin_utc) {
            while (i < joined.begin_utc.size() && joined.begin_utc[i] < begin + shift) ++i;
            const bool there = i < joined.begin_utc.size() && joined.begin_utc[i] == begin + shift;
            laid.values.push_back(there ? joined.series.values[i] : missing);
        }
        return laid;
    }

    std::vector<WeatherGrid> parts_;
    int longest_fill_h_;
    seconds interval_;
};

/// Speed and direction of the components, where the files hold no speed.
void combine_wind(WeatherGrid& grid) {
    constexpr double degree = 3.14159265358979323846 / 180;
    WeatherSeries& speed = grid.samples[WeatherQuantity::wind_speed];
    WeatherSeries& from = grid.samples[WeatherQuantity::wind_direction];
    const std::vector<double>&east = grid.wind_east.values, &north = grid.wind_north.values;
    if (!speed.values.empty() || east.empty() || north.empty()) return;
    speed = grid.wind_east;
    const bool directed = !from.values.empty();
    if (!directed) from = grid.wind_east;
    for (std::size_t i = 0; i < east.size(); ++i) {
        speed.values[i] = std::hypot(east[i], north[i]);
        const double angle = std::atan2(-east[i], -north[i]) / degree;
        if (!directed) from.values[i] = angle < 0 ? angle + 360 : angle;
    }
}

}  // namespace

WeatherGrid join_weather_grids(std::vector<WeatherGrid> parts, int longest_fill_h) {
    NOONSHELL_CHECK_GT(parts.size(), 0u);
    WeatherGrid grid = GridJoiner(std::move(parts), longest_fill_h).join();
    combine_wind(grid);
    return grid;
}

}  // namespace noonshell
