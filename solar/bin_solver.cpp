#include "solar/bin_solver.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

namespace noonshell {

namespace {

constexpr std::size_t bins_at_once = BounceSolver::lanes;

class BinSolver {
  public:
    BinSolver(const HourSources& sources, Exposure& result)
        : exchange_(sources.exchange),
          solver_(sources.solver),
          share_of_surface_(sources.share_of_surface),
          off_far_ground_(sources.off_far_ground),
          result_(result),
          n_parts_(exchange_.parts.size()),
          first_ground_(exchange_.parts.first_ground),
          end_of_building_(exchange_.parts.surface_begin[result.n_surfaces]),
          bounced_wh_m2_(result.n_bins * result.n_surfaces),
          ground_wh_m2_(result.n_bins * result.n_surfaces) {}

    void solve(std::span<const double> arriving_wh_m2) {
        for (std::size_t first = 0; first < result_.n_bins; first += bins_at_once) {
            const std::size_t count = std::min(bins_at_once, result_.n_bins - first);
            solve(arriving_wh_m2.subspan(first * n_parts_), first, count);
        }
        add_far_ground();
    }

    void scale(std::span<const HourLight> hours, std::span<const std::uint8_t> bin_of_hour) {
        scale(hours, bin_of_hour, bounced_wh_m2_, result_.bounced_w_m2);
        scale(hours, bin_of_hour, ground_wh_m2_, result_.ground_w_m2);
    }

  private:
    void solve(std::span<const double> bins_wh_m2, std::size_t first, std::size_t count) {
        std::vector<double> arriving(n_parts_ * bins_at_once), leaving(n_parts_ * bins_at_once),
            from_surfaces(n_parts_ * bins_at_once), thrown(n_parts_ * bins_at_once);
        for (std::size_t k = 0; k < count; ++k) {
            for (std::size_t p = 0; p < n_parts_; ++p) {
                arriving[p * bins_at_once + k] = bins_wh_m2[k * n_parts_ + p];
            }
        }
        solver_.solve(arriving, leaving);
        solver_.gather(leaving, 0, first_ground_, from_surfaces);
        solver_.gather(leaving, first_ground_, static_cast<std::uint32_t>(n_parts_), thrown);
        for (std::size_t p = 0; p < n_parts_; ++p) {
            for (std::size_t k = 0; k < count; ++k) {
                const std::size_t i = p * bins_at_once + k;
                add_to_surface(p, first + k, from_surfaces[i], thrown[i]);
                thrown[i] += from_surfaces[i];
                result_.part_light_wh_m2[p] += arriving[i] + thrown[i];
                result_.leaving_by_bin_wh_m2[(first + k) * n_parts_ + p] = leaving[i];
            }
        }
        for (const LightBalance& balance : solver_.balance(arriving, leaving, thrown)) {
            result_.solar_residual = std::max(result_.solar_residual, balance.residual());
        }
    }

    void add_to_surface(std::size_t part, std::size_t bin, double from_surfaces_wh_m2,
                        double from_ground_wh_m2) {
        if (part >= end_of_building_) return;
        const std::size_t i = bin * result_.n_surfaces + exchange_.parts.surface[part].index();
        bounced_wh_m2_[i] += share_of_surface_[part] * from_surfaces_wh_m2;
        ground_wh_m2_[i] += share_of_surface_[part] * from_ground_wh_m2;
    }

    void add_far_ground() {
        for (std::size_t p = 0; p < end_of_building_; ++p) {
            const double share = share_of_surface_[p] * off_far_ground_[p];
            for (std::size_t bin = 0; bin < result_.n_bins; ++bin) {
                ground_wh_m2_[bin * result_.n_surfaces + exchange_.parts.surface[p].index()] +=
                    share * result_.open_ground_by_bin_wh_m2[bin];
            }
        }
    }

    void scale(std::span<const HourLight> hours, std::span<const std::uint8_t> bin_of_hour,
               const std::vector<double>& wanted_wh_m2, std::vector<double>& by_hour_w_m2) {
        const std::size_t n = result_.n_surfaces;
        const auto begin_of_bin = [&](const HourLight& light) {
            return (bin_of_hour.empty() ? 0u : bin_of_hour[light.hour]) * n;
        };
        std::vector<double> factor(result_.n_bins * n, 0.0);  // first the sums
        for (const HourLight& light : hours) {
            const std::size_t from = result_.begin_of(light.hour), to = begin_of_bin(light);
            for (std::size_t s = 0; s < n; ++s) factor[to + s] += by_hour_w_m2[from + s];
        }
        const double brightest = *std::max_element(wanted_wh_m2.begin(), wanted_wh_m2.end());
        for (std::size_t i = 0; i < factor.size(); ++i) {
            const double gap = std::abs(wanted_wh_m2[i] - factor[i]);
            if (gap > 0)
                result_.hour_correction = std::max(result_.hour_correction, gap / brightest);
            factor[i] = factor[i] > 0 ? wanted_wh_m2[i] / factor[i] : 1.0;
        }
        for (const HourLight& light : hours) {
            const std::size_t to = result_.begin_of(light.hour), from = begin_of_bin(light);
            for (std::size_t s = 0; s < n; ++s) by_hour_w_m2[to + s] *= factor[from + s];
        }
    }

    const ExchangeMatrix& exchange_;
    const BounceSolver& solver_;
    std::span<const double> share_of_surface_;
    std::span<const double> off_far_ground_;
    Exposure& result_;
    std::size_t n_parts_;
    std::uint32_t first_ground_, end_of_building_;
    std::vector<double> bounced_wh_m2_, ground_wh_m2_;  // [bin * #surfaces + surface]
};

}  // namespace

void solve_bins(const HourSources& sources, std::span<const HourLight> hours,
                std::span<const double> arriving_wh_m2, Exposure& result) {
    if (result.n_surfaces == 0) return;
    BinSolver solver(sources, result);
    solver.solve(arriving_wh_m2);
    solver.scale(hours, sources.bin_of_hour);
}

}  // namespace noonshell
