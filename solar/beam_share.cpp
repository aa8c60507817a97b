#include "solar/beam_share.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

#include "geometry/angles.hpp"
#include "geometry/diagnostics.hpp"
#include "solar/clean_air.hpp"
#include "solar/clear_sky.hpp"
#include "solar/hour_sine.hpp"

namespace noonshell {

namespace {

constexpr double clearest = 2, dustiest = 8;
constexpr double unknown = std::numeric_limits<double>::infinity();

class BeamSharer {
  public:
    BeamSharer(const Site& site, const BeamIntervals& in) : site_(site), in_(in) {
        depth_.reserve(in.elevation_deg.size());
        for (const double elevation : in.elevation_deg)
            depth_.push_back(clean_air_depth(elevation, site.elevation_m));
    }

    std::vector<double> shares() const {
        const std::vector<double> turbidity = turbidities();
        std::vector<double> shares(depth_.size());
        for (std::size_t i = 0; i < in_.begin_utc.size(); ++i) {
            double sum = 0;
            for (auto k = in_.sun_begin[i]; k < in_.sun_begin[i + 1]; ++k)
                sum += shares[k] = std::exp(-turbidity[i] * depth_[k]);
            for (auto k = in_.sun_begin[i]; k < in_.sun_begin[i + 1]; ++k) shares[k] /= sum;
        }
        return shares;
    }

  private:
    /// The T of which a clear sky has the interval's own beam; unknown where the sun is too low to
    /// tell, or there is none.
    double own_turbidity(std::size_t interval) const {
        constexpr double lowest_deg = 10;
        const auto first = in_.sun_begin[interval], n = in_.sun_begin[interval + 1] - first;
        const double beam = in_.beam_w_m2[interval];
        const auto elevations = in_.elevation_deg.subspan(first, n);
        if (!(beam > 0) || n == 0 || std::ranges::min(elevations) < lowest_deg) return unknown;
        const double outside =
            extraterrestrial_normal_w_m2(local_day_of_year(site_, in_.begin_utc[interval]));
        // Newton's method on the logarithm of the mean, which is next to a straight line in T.
        constexpr int rounds = 4;
        double turbidity = usual_turbidity;
        for (int round = 0; round < rounds; ++round) {
            double sum = 0, slope = 0;
            for (std::size_t k = 0; k < n; ++k) {
                const double weight = in_.on_level_ground ? std::sin(elevations[k] * degree) : 1.0;
                const double beam_share = weight * std::exp(-turbidity * depth_[first + k]);
                sum += beam_share;
                slope += beam_share * depth_[first + k];
            }
            turbidity += std::log(outside * sum / (beam * n)) * sum / slope;
            turbidity = std::clamp(turbidity, 0.0, 2 * dustiest);
        }
        return turbidity;
    }

    std::vector<double> turbidities() const {
        using namespace std::chrono;
        const std::size_t n = in_.begin_utc.size();
        std::vector<double> result(n, usual_turbidity);
        if (in_.beam_w_m2.empty()) return result;
        std::vector<double> own(n);
        for (std::size_t i = 0; i < n; ++i) own[i] = own_turbidity(i);
        constexpr std::size_t reach = 6;
        for (std::size_t i = 0; i < n; ++i) {
            double least = unknown;
            for (std::size_t k = i - std::min(i, reach); k < std::min(i + reach + 1, n); ++k) {
                const auto apart = in_.begin_utc[k] - in_.begin_utc[i];
                if (abs(apart) <= hours(reach)) least = std::min(least, own[k]);
            }
            if (least != unknown) result[i] = std::clamp(least, clearest, dustiest);
        }
        return result;
    }

    const Site& site_;
    const BeamIntervals& in_;
    std::vector<double> depth_;
};

}  // namespace

std::vector<double> beam_shares(const Site& site, const BeamIntervals& intervals) {
    const std::size_t n = intervals.begin_utc.size();
    NOONSHELL_CHECK_EQ(intervals.sun_begin.size(), n + 1);
    NOONSHELL_CHECK_EQ(intervals.sun_begin.back(), intervals.elevation_deg.size());
    if (!intervals.beam_w_m2.empty()) NOONSHELL_CHECK_EQ(intervals.beam_w_m2.size(), n);
    return BeamSharer(site, intervals).shares();
}

}  // namespace noonshell
