#include "solar/bin_solver.hpp"

#include <algorithm>

namespace noonshell {

namespace {

constexpr std::size_t lanes = BounceSolver::lanes;

}  // namespace

void BinSolver::solve(std::span<const double> arriving_wh_m2) {
    for (std::size_t first = 0; first < result_.n_bins; first += lanes) {
        const std::size_t count = std::min(lanes, result_.n_bins - first);
        solve(arriving_wh_m2.subspan(first * n_parts_), first, count);
    }
}

void BinSolver::solve(std::span<const double> bins_wh_m2, std::size_t first, std::size_t count) {
    std::vector<double> arriving(n_parts_ * lanes), leaving(n_parts_ * lanes),
        thrown(n_parts_ * lanes);
    for (std::size_t k = 0; k < count; ++k) {
        for (std::size_t p = 0; p < n_parts_; ++p) {
            arriving[p * lanes + k] = bins_wh_m2[k * n_parts_ + p];
        }
    }
    solver_.solve(arriving, leaving);
    solver_.gather(leaving, 0, static_cast<std::uint32_t>(n_parts_), thrown);
    for (const LightBalance& balance : solver_.balance(arriving, leaving, thrown)) {
        result_.solar_residual = std::max(result_.solar_residual, balance.residual());
    }
    for (std::size_t p = 0; p < n_parts_; ++p) {
        for (std::size_t k = 0; k < count; ++k) {
            add(p, arriving[p * lanes + k], thrown[p * lanes + k]);
            result_.leaving_by_bin_wh_m2[(first + k) * n_parts_ + p] = leaving[p * lanes + k];
        }
    }
}

void BinSolver::add(std::size_t part, double arriving_wh_m2, double thrown_wh_m2) {
    const double area_m2 = exchange_.parts.area_m2[part];
    result_.part_light_wh_m2[part] += arriving_wh_m2 + thrown_wh_m2;
    arriving_wh_ += area_m2 * arriving_wh_m2;
    if (exchange_.parts.surface[part].index() < result_.n_surfaces) {
        thrown_wh_ += area_m2 * thrown_wh_m2;
    }
}

}  // namespace noonshell
