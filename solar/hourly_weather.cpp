// From the intervals of a file to the hours of Weather; declared in weather_samples.hpp.
#include <algorithm>
#include <cmath>
#include <optional>

#include "geometry/angles.hpp"
#include "solar/gap_fill.hpp"
#include "solar/hour_sine.hpp"
#include "solar/hour_split.hpp"
#include "solar/humidity.hpp"
#include "solar/light_completion.hpp"
#include "solar/missing.hpp"
#include "solar/standard_air.hpp"
#include "solar/weather_samples.hpp"

namespace noonshell {

namespace {

using namespace std::chrono;

/// The same day of a later year, or one day after.
bool closes_a_period(sys_seconds begin, sys_seconds end) {
    if (end - begin == days(1)) return true;
    const auto first_day = floor<days>(begin), last_day = floor<days>(end);
    const year_month_day first{first_day}, last{last_day};
    return first.month() == last.month() && first.day() == last.day() &&
           first.year() < last.year() && begin - first_day == end - last_day;
}

/// Builds the hours of one file; a call leads from the intervals to the finished Weather.
class Hours {
  public:
    Hours(const Site& site, const WeatherSamples& samples, int longest_fill_h)
        : site_(site), samples_(samples), longest_fill_(std::max(longest_fill_h, 0)) {}

    Weather make() {
        require_quantities();
        find_hours();
        weather_.source = samples_.source;
        weather_.stamps = samples_.stamps;
        sines_ = hour_sines(site_, weather_);
        take_air();
        take_light();
        return std::move(weather_);
    }

  private:
    InputError lacks(const char* key, const std::string& expected) const {
        return {{.file = samples_.file, .line = {}, .column = {}, .entity = key},
                expected,
                "no such quantity"};
    }

    void require_quantities() const {
        if (!samples_.has(WeatherQuantity::dry_bulb))
            throw lacks("dry_bulb", "the air's temperature");
        if (!samples_.has(WeatherQuantity::dew_point) &&
            !samples_.has(WeatherQuantity::relative_humidity))
            throw lacks("dew_point", "a dew point or a relative_humidity");
        if (!samples_.has(WeatherQuantity::wind_speed)) throw lacks("wind_speed", "a wind speed");
        const auto there = [this](WeatherQuantity q) { return samples_.has(q); };
        const bool sky_and_beam =
            there(WeatherQuantity::diffuse) &&
            (there(WeatherQuantity::direct_normal) || there(WeatherQuantity::direct_horizontal));
        if (!there(WeatherQuantity::global) && !sky_and_beam)
            throw lacks("global",
                        "global light, or diffuse light with direct_normal or "
                        "direct_horizontal");
    }

    void find_hours() {
        per_hour_ = static_cast<std::size_t>(3600 / samples_.interval_s);
        const auto& begins = samples_.begin_utc;
        const auto on_the_hour = [this](sys_seconds begin) {
            return per_hour_ == 1 ||
                   (begin.time_since_epoch() + samples_.clock_offset) % hours(1) == seconds(0);
        };
        first_ =
            static_cast<std::size_t>(std::ranges::find_if(begins, on_the_hour) - begins.begin());
        for (std::size_t i = first_; i + per_hour_ <= begins.size(); i += per_hour_)
            weather_.hour_start_utc.push_back(begins[i]);
        if (weather_.size() < 24)
            throw InputError({.file = samples_.file, .line = {}, .column = {}, .entity = {}},
                             "at least 24 whole hours", std::to_string(weather_.size()));
        const auto& starts = weather_.hour_start_utc;
        weather_.periodic = closes_a_period(starts.front() + samples_.clock_offset,
                                            starts.back() + hours(1) + samples_.clock_offset);
    }

    // ---- One hour of one quantity

    /// Mean of the hour's intervals; of directions that of their unit vectors.
    double mean_of(const WeatherSeries& series, std::size_t hour, bool direction) const {
        double sum = 0, east = 0, north = 0;
        std::size_t n = 0;
        for (std::size_t i = first_ + hour * per_hour_, k = 0; k < per_hour_; ++i, ++k) {
            const double value = series.values[i];
            if (std::isnan(value)) continue;
            ++n;
            sum += value;
            east += std::sin(value * degree);
            north += std::cos(value * degree);
        }
        if (2 * n < per_hour_) return missing;
        if (!direction || n == 1) return sum / static_cast<double>(n);
        return round_the_circle_deg(std::atan2(east, north) / degree);
    }

    std::optional<double> value_at(const WeatherSeries& series, std::size_t index) const {
        if (index < series.values.size()) return series.values[index];
        if (!weather_.periodic) return std::nullopt;
        return series.values[first_ + (index - first_) % (weather_.size() * per_hour_)];
    }

    /// At the end of the hour, on the straight line between two readings.
    double end_of(const WeatherSeries& series, std::size_t hour, bool direction) const {
        const double position = static_cast<double>(first_ + (hour + 1) * per_hour_) -
                                series.instant_s / samples_.interval_s;
        const double before = std::floor(position);
        const double share = position - before;
        const auto index = static_cast<std::size_t>(before);
        const std::optional<double> a = value_at(series, index);
        if (!a) return series.values.back();
        if (share == 0) return *a;
        const std::optional<double> b = value_at(series, index + 1);
        if (!b) return *a;
        double rise = *b - *a;
        if (!direction) return *a + share * rise;
        rise = std::remainder(rise, full_circle_deg);
        return round_the_circle_deg(*a + share * rise);
    }

    std::vector<double> hourly(WeatherQuantity quantity) {
        const WeatherSeries& series = samples_[quantity];
        if (series.values.empty()) return {};
        NOONSHELL_CHECK_EQ(series.values.size(), samples_.begin_utc.size());
        const OverTheHour kind = info(quantity).over_the_hour;
        const bool direction = kind == OverTheHour::compass;
        const bool mean = kind == OverTheHour::flux || kind == OverTheHour::sunlight ||
                          (kind != OverTheHour::level && series.is_mean);
        std::vector<double> values(weather_.size());
        if (!mean) {
            const WeatherSeries filled = filled_readings(quantity);
            for (std::size_t hour = 0; hour < values.size(); ++hour)
                values[hour] = end_of(filled, hour, direction);
            return values;
        }
        for (std::size_t hour = 0; hour < values.size(); ++hour)
            values[hour] = mean_of(series, hour, direction);
        fill(quantity, values);
        return values;
    }

    // ---- Gaps

    std::string clock(sys_seconds instant) const {
        return clock_text(instant, samples_.clock_offset) +
               (samples_.clock_offset == seconds(0) ? " UTC" : "");
    }
    std::string label(std::size_t hour) const {
        return clock(weather_.hour_start_utc[hour] + hours(1));
    }
    /// When a reading was taken; of means the end of their interval.
    std::string reading_label(const WeatherSeries& series, std::size_t index) const {
        const double after =
            series.is_mean ? static_cast<double>(samples_.interval_s) : series.instant_s;
        return clock(samples_.begin_utc[index] + seconds(std::lround(after)));
    }

    InputError gap_error(const WeatherQuantityInfo& spec, const std::string& seen) const {
        return {{.file = samples_.file, .line = {}, .column = {}, .entity = spec.key},
                "gaps of at most " + std::to_string(longest_fill_) + " h (longest_fill_h)",
                seen};
    }

    std::size_t darken_nights(std::vector<double>& values) const {
        std::size_t n = 0;
        for (std::size_t hour = 0; hour < values.size(); ++hour) {
            if (!std::isnan(values[hour]) || sines_.whole_hour[hour] > 0) continue;
            values[hour] = 0;
            ++n;
        }
        return n;
    }

    /// A gap at an end of a period that does not return to its beginning: the nearest value.
    static void hold(std::vector<double>& values, const Gap& gap) {
        const std::size_t end = std::min(gap.begin + gap.length, values.size());
        if (gap.begin > 0)
            std::fill(values.begin() + static_cast<std::ptrdiff_t>(gap.begin),
                      values.begin() + static_cast<std::ptrdiff_t>(end), values[gap.begin - 1]);
        const std::size_t head = gap.begin == 0 ? end : gap.begin + gap.length - end;
        std::fill_n(values.begin(), head, head < values.size() ? values[head] : missing);
    }

    void fill(WeatherQuantity quantity, std::vector<double>& values) {
        const WeatherQuantityInfo& spec = info(quantity);
        const auto first = static_cast<std::size_t>(
            std::ranges::find_if(values, [](double v) { return std::isnan(v); }) - values.begin());
        if (first == values.size()) return;
        const bool all = std::ranges::all_of(values, [](double v) { return std::isnan(v); });
        std::size_t n_dark = 0, n_lines = 0;
        if (!all && spec.over_the_hour == OverTheHour::sunlight) n_dark = darken_nights(values);
        for (const Gap& gap : find_gaps(values)) {
            if (gap.length > static_cast<std::size_t>(longest_fill_) || all)
                throw gap_error(spec, std::to_string(gap.length) +
                                          " missing hours from the one ending " + label(gap.begin) +
                                          " on");
            close(spec, gap, values);
            n_lines += gap.length;
        }
        std::string text = missing_text(n_lines + n_dark, 3600) + " of " + spec.key + ": " +
                           std::to_string(n_lines) + " filled by straight lines";
        if (n_dark > 0) text += ", " + std::to_string(n_dark) + " set to 0 with the sun down";
        weather_.warnings.push_back(
            {"weather-filled", text + "; the first ends " + label(first), samples_.file});
    }

    /// By a straight line, or by the nearest value where nothing goes on.
    void close(const WeatherQuantityInfo& spec, const Gap& gap, std::vector<double>& values) const {
        const bool at_an_end = gap.begin == 0 || gap.begin + gap.length >= values.size();
        if (at_an_end && !weather_.periodic)
            hold(values, gap);
        else
            fill_gap(values, gap, spec.over_the_hour == OverTheHour::compass ? full_circle_deg : 0);
    }

    /// "3 missing hours", "12 missing readings (every 15 min)".
    static std::string missing_text(std::size_t n, int interval_s) {
        const std::string ending = n == 1 ? "" : "s";
        if (interval_s == 3600) return std::to_string(n) + " missing hour" + ending;
        return std::to_string(n) + " missing reading" + ending + " (every " +
               std::to_string(interval_s / 60) + " min)";
    }

    /// States with their gaps closed between the readings themselves: the hours around them would
    /// lack one more.
    WeatherSeries filled_readings(WeatherQuantity quantity) {
        WeatherSeries series = samples_[quantity];
        const WeatherQuantityInfo& spec = info(quantity);
        const auto is_missing = [](double v) { return std::isnan(v); };
        const auto first = static_cast<std::size_t>(
            std::ranges::find_if(series.values, is_missing) - series.values.begin());
        if (first == series.values.size()) return series;
        const bool all = std::ranges::all_of(series.values, is_missing);
        std::size_t n = 0;
        for (const Gap& gap : find_gaps(series.values)) {
            const auto open_s = static_cast<long long>(gap.length) * samples_.interval_s;
            if (all || open_s > 3600LL * longest_fill_)
                throw gap_error(spec, missing_text(gap.length, samples_.interval_s) + " from " +
                                          reading_label(series, gap.begin) + " on");
            close(spec, gap, series.values);
            n += gap.length;
        }
        weather_.warnings.push_back({"weather-filled",
                                     missing_text(n, samples_.interval_s) + " of " + spec.key +
                                         " filled by straight lines; the first is of " +
                                         reading_label(series, first),
                                     samples_.file});
        return series;
    }

    // ---- Together

    void take_air() {
        weather_.dry_bulb_c = hourly(WeatherQuantity::dry_bulb);
        weather_.dew_point_c = hourly(WeatherQuantity::dew_point);
        if (weather_.dew_point_c.empty()) {
            weather_.dew_point_c = hourly(WeatherQuantity::relative_humidity);
            for (std::size_t h = 0; h < weather_.size(); ++h)
                weather_.dew_point_c[h] =
                    dew_point_c(weather_.dry_bulb_c[h], weather_.dew_point_c[h]);
        }
        weather_.wind_speed_m_s = hourly(WeatherQuantity::wind_speed);
        weather_.wind_direction_deg = hourly(WeatherQuantity::wind_direction);
        weather_.cloud_cover = hourly(WeatherQuantity::cloud_cover);
        weather_.pressure_pa = hourly(WeatherQuantity::pressure);
        if (weather_.pressure_pa.empty())
            weather_.pressure_pa.assign(weather_.size(), standard_pressure_pa(site_.elevation_m));
    }

    void take_light() {
        weather_.global_w_m2 = hourly(WeatherQuantity::global);
        weather_.direct_normal_w_m2 = hourly(WeatherQuantity::direct_normal);
        weather_.diffuse_w_m2 = hourly(WeatherQuantity::diffuse);
        weather_.longwave_down_w_m2 = hourly(WeatherQuantity::longwave_down);
        std::vector<double> direct_level;
        if (weather_.direct_normal_w_m2.empty())
            direct_level = hourly(WeatherQuantity::direct_horizontal);
        weather_.source += std::string("; light: ") + known_light(weather_, direct_level);
        complete_light(site_, direct_level, weather_);
    }

    const Site& site_;
    const WeatherSamples& samples_;
    int longest_fill_;
    std::size_t per_hour_ = 1;
    std::size_t first_ = 0;  ///< first interval of the first hour
    HourSines sines_;
    Weather weather_;
};

}  // namespace

Weather hourly_weather(const Site& site, const WeatherSamples& samples, int longest_fill_h) {
    if (samples.interval_s <= 3600 || samples.begin_utc.empty())
        return Hours(site, samples, longest_fill_h).make();
    const seconds offset = samples.clock_offset, interval(samples.interval_s);
    const bool periodic = closes_a_period(samples.begin_utc.front() + offset,
                                          samples.begin_utc.back() + interval + offset);
    Weather weather = Hours(site, split_to_hours(site, samples, periodic), longest_fill_h).make();
    weather.light_interval_h = samples.interval_s / 3600;
    return weather;
}

}  // namespace noonshell
