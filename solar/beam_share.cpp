#include "solar/beam_share.hpp"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <limits>
#include <numeric>

#include "geometry/diagnostics.hpp"
#include "solar/clean_air.hpp"
#include "solar/clear_sky.hpp"
#include "solar/hour_sine.hpp"

namespace noonshell {

namespace {

constexpr double clearest = 2, dustiest = 8;

class BeamSharer {
  public:
    BeamSharer(const Site& site, const Weather& weather, std::span<const std::uint32_t> hour_begin,
               std::span<const double> elevation_deg)
        : site_(site), weather_(weather), hour_begin_(hour_begin), elevation_deg_(elevation_deg) {
        depth_.reserve(elevation_deg.size());
        for (const double elevation : elevation_deg)
            depth_.push_back(clean_air_depth(elevation, site.elevation_m));
    }

    std::vector<double> shares() const {
        const std::vector<double> turbidity = turbidity_by_hour();
        std::vector<double> shares(depth_.size());
        for (std::size_t h = 0; h + 1 < hour_begin_.size(); ++h) {
            double sum = 0;
            for (auto step = hour_begin_[h]; step < hour_begin_[h + 1]; ++step)
                sum += shares[step] = std::exp(-turbidity[h] * depth_[step]);
            for (auto step = hour_begin_[h]; step < hour_begin_[h + 1]; ++step) shares[step] /= sum;
        }
        return shares;
    }

  private:
    /// Of the hour's own beam; infinite where the sun is too low to tell, or there is none.
    double own_turbidity(std::size_t hour) const {
        constexpr double lowest_deg = 10;
        const auto of_hour = [&](std::span<const double> values) {
            return values.subspan(hour_begin_[hour], hour_begin_[hour + 1] - hour_begin_[hour]);
        };
        const double beam = weather_.direct_normal_w_m2[hour];
        const auto elevations = of_hour(elevation_deg_), depths = of_hour(depth_);
        if (!(beam > 0) || elevations.empty() || std::ranges::min(elevations) < lowest_deg)
            return std::numeric_limits<double>::infinity();
        const auto n = static_cast<double>(depths.size());
        const double outside =
            extraterrestrial_normal_w_m2(local_day_of_year(site_, weather_.hour_start_utc[hour]));
        // The mean of exp(-T d) is next to that of the mean depth: the sun is high.
        return -std::log(beam / outside) * n / std::accumulate(depths.begin(), depths.end(), 0.0);
    }

    std::vector<double> turbidity_by_hour() const {
        using namespace std::chrono;
        const std::size_t n_hours = hour_begin_.size() - 1;
        std::vector<double> result(n_hours, usual_turbidity);
        if (weather_.direct_normal_w_m2.size() != n_hours) return result;
        std::vector<double> own(n_hours);
        for (std::size_t h = 0; h < n_hours; ++h) own[h] = own_turbidity(h);
        constexpr std::size_t reach = 6;
        for (std::size_t h = 0; h < n_hours; ++h) {
            double least = std::numeric_limits<double>::infinity();
            for (std::size_t k = h - std::min(h, reach); k <= std::min(h + reach, n_hours - 1);
                 ++k) {
                const auto apart = weather_.hour_start_utc[k] - weather_.hour_start_utc[h];
                if (abs(apart) <= hours(reach)) least = std::min(least, own[k]);
            }
            if (std::isfinite(least)) result[h] = std::clamp(least, clearest, dustiest);
        }
        return result;
    }

    const Site& site_;
    const Weather& weather_;
    std::span<const std::uint32_t> hour_begin_;
    std::span<const double> elevation_deg_;
    std::vector<double> depth_;
};

}  // namespace

std::vector<double> beam_shares(const Site& site, const Weather& weather,
                                std::span<const std::uint32_t> hour_begin,
                                std::span<const double> elevation_deg) {
    NOONSHELL_CHECK_EQ(hour_begin.size(), weather.size() + 1);
    NOONSHELL_CHECK_EQ(hour_begin.back(), elevation_deg.size());
    return BeamSharer(site, weather, hour_begin, elevation_deg).shares();
}

}  // namespace noonshell
