#include "solar/hour_split.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <span>

#include "geometry/angles.hpp"
#include "solar/beam_share.hpp"
#include "solar/hour_sine.hpp"
#include "solar/sun_path.hpp"

namespace noonshell {

namespace {

using namespace std::chrono;

class HourSplitter {
  public:
    HourSplitter(const Site& site, const WeatherSamples& samples, bool periodic)
        : site_(site), samples_(samples), periodic_(periodic), n_hours_(samples.interval_s / 3600) {
        NOONSHELL_CHECK_EQ(samples.interval_s % 3600, 0);
        out_.file = samples.file;
        out_.source = samples.source;
        out_.clock_offset = samples.clock_offset;
        out_.stamps = samples.stamps;
        for (const sys_seconds begin : samples.begin_utc)
            for (int k = 0; k < n_hours_; ++k) out_.begin_utc.push_back(begin + hours(k));
        Weather hours_only;
        hours_only.hour_start_utc = out_.begin_utc;
        sines_ = hour_sines(site, hours_only);
        path_ = sun_path(site, hours_only);
        for (std::size_t h = 0; h < path_.hour_begin.size(); h += hours_each())
            sun_begin_.push_back(path_.hour_begin[h]);
    }

    WeatherSamples split() {
        for (std::size_t i = 0; i < n_weather_quantities; ++i) {
            const auto quantity = static_cast<WeatherQuantity>(i);
            if (!samples_.has(quantity)) continue;
            const OverTheHour kind = info(quantity).over_the_hour;
            if (quantity == WeatherQuantity::global && samples_.has(WeatherQuantity::diffuse))
                split_global();
            else if (kind == OverTheHour::sunlight)
                out_[quantity].values = split_light(quantity, samples_[quantity].values);
            else if (kind == OverTheHour::flux)
                split_flux(quantity);
            else
                join_by_lines(quantity);
        }
        return std::move(out_);
    }

  private:
    std::size_t hours_each() const { return static_cast<std::size_t>(n_hours_); }

    /// By hour, in any unit: how light runs through the intervals that have these means. Global and
    /// diffuse light go by the sine of the sun, the beam as that of a clear sky.
    std::vector<double> light_weights(WeatherQuantity quantity,
                                      std::span<const double> means) const {
        const bool level = quantity == WeatherQuantity::direct_horizontal;
        if (quantity != WeatherQuantity::direct_normal && !level) return sines_.whole_hour;
        const std::vector<double> shares =
            beam_shares(site_, {.begin_utc = samples_.begin_utc,
                                .beam_w_m2 = means,
                                .on_level_ground = level,
                                .sun_begin = sun_begin_,
                                .elevation_deg = path_.elevation_deg});
        std::vector<double> weights(path_.n_hours());
        for (std::size_t h = 0; h < weights.size(); ++h) {
            for (auto k = path_.hour_begin[h]; k < path_.hour_begin[h + 1]; ++k)
                weights[h] += shares[k] * (level ? path_.direction[k].z() : 1);
        }
        return weights;
    }

    /// Global light beside diffuse: what it is more than this is direct.
    void split_global() {
        const std::vector<double>& global = samples_[WeatherQuantity::global].values;
        const std::vector<double>& diffuse = samples_[WeatherQuantity::diffuse].values;
        std::vector<double> direct(global.size());
        for (std::size_t i = 0; i < global.size(); ++i) direct[i] = global[i] - diffuse[i];
        out_[WeatherQuantity::global].values =
            split_light(WeatherQuantity::direct_horizontal, direct);
        const std::vector<double> rest = split_light(WeatherQuantity::diffuse, diffuse);
        for (std::size_t h = 0; h < rest.size(); ++h)
            out_[WeatherQuantity::global].values[h] += rest[h];
    }

    std::vector<double> split_light(WeatherQuantity quantity, std::span<const double> means) const {
        const std::vector<double> weights = light_weights(quantity, means);
        std::vector<double> hourly;
        for (std::size_t i = 0; i < means.size(); ++i) {
            const auto of_hours = std::span(weights).subspan(i * hours_each(), hours_each());
            const double sum = std::accumulate(of_hours.begin(), of_hours.end(), 0.0);
            for (const double weight : of_hours)
                hourly.push_back(means[i] * (sum > 0 ? n_hours_ * weight / sum : 1.0));
        }
        return hourly;
    }

    /// The value `step` intervals after the one at `index`; at an end that does not go on, or where
    /// it is missing, the value at `index` itself.
    double beside(std::span<const double> values, std::size_t index, int step) const {
        const auto n = static_cast<std::ptrdiff_t>(values.size());
        std::ptrdiff_t at = static_cast<std::ptrdiff_t>(index) + step;
        if (periodic_) at = (at + n) % n;
        if (at < 0 || at >= n) return values[index];
        const double value = values[static_cast<std::size_t>(at)];
        return std::isnan(value) ? values[index] : value;
    }

    void split_flux(WeatherQuantity quantity) {
        const std::vector<double>& means = samples_[quantity].values;
        for (std::size_t i = 0; i < means.size(); ++i) {
            const double mean = means[i];
            const double from = (beside(means, i, -1) + mean) / 2;
            const double to = (mean + beside(means, i, 1)) / 2;
            // from + linear * u + square * u^2 for u from 0 to 1 has this mean and ends at `to`.
            const double linear = 6 * mean - 4 * from - 2 * to;
            const double square = 3 * (from + to) - 6 * mean;
            for (int k = 0; k < n_hours_; ++k) {
                const double u = static_cast<double>(k) / n_hours_;
                const double v = static_cast<double>(k + 1) / n_hours_;
                out_[quantity].values.push_back(from + linear * (u + v) / 2 +
                                                square * (u * u + u * v + v * v) / 3);
            }
        }
    }

    /// The index of a reading before or after the series' ends, as it goes on there.
    std::size_t wrapped(std::ptrdiff_t index, std::size_t size) const {
        const auto n = static_cast<std::ptrdiff_t>(size);
        if (!periodic_)
            return static_cast<std::size_t>(std::clamp<std::ptrdiff_t>(index, 0, n - 1));
        return static_cast<std::size_t>((index % n + n) % n);
    }

    void join_by_lines(WeatherQuantity quantity) {
        const WeatherSeries& readings = samples_[quantity];
        WeatherSeries& series = out_[quantity];
        series.is_mean = false;
        series.instant_s = 3600;
        const bool direction = info(quantity).over_the_hour == OverTheHour::compass;
        for (std::size_t hour = 0; hour < out_.begin_utc.size(); ++hour) {
            const double position =
                static_cast<double>(hour + 1) / n_hours_ - readings.instant_s / samples_.interval_s;
            const double before = std::floor(position), share = position - before;
            const auto index = static_cast<std::ptrdiff_t>(before);
            const double a = readings.values[wrapped(index, readings.values.size())];
            const double b = readings.values[wrapped(index + 1, readings.values.size())];
            double rise = share > 0 ? b - a : 0;
            if (direction) rise = std::remainder(rise, full_circle_deg);
            double value = a + share * rise;
            if (direction) value = round_the_circle_deg(value);
            series.values.push_back(value);
        }
    }

    const Site& site_;
    const WeatherSamples& samples_;
    bool periodic_;
    int n_hours_;
    HourSines sines_;
    SunPath path_;
    std::vector<std::uint32_t> sun_begin_;  // of the intervals, as SunPath::hour_begin
    WeatherSamples out_;
};

}  // namespace

WeatherSamples split_to_hours(const Site& site, const WeatherSamples& samples, bool periodic) {
    return HourSplitter(site, samples, periodic).split();
}

}  // namespace noonshell
