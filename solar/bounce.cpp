#include "solar/bounce.hpp"

#include <Eigen/Core>
#include <algorithm>
#include <cmath>
#include <sstream>
#include <string>

#include "geometry/diagnostics.hpp"

namespace noonshell {

namespace {

using Lanes = Eigen::Array<double, static_cast<int>(BounceSolver::lanes), 1>;

Eigen::Map<const Lanes> lane(std::span<const double> values, std::size_t surface) {
    return Eigen::Map<const Lanes>(values.data() + surface * BounceSolver::lanes);
}

Eigen::Map<Lanes> lane(std::span<double> values, std::size_t surface) {
    return Eigen::Map<Lanes>(values.data() + surface * BounceSolver::lanes);
}

}  // namespace

double LightBalance::residual() const {
    return arriving_w > 0 ? std::abs(arriving_w - absorbed_w - escaped_w) / arriving_w : 0;
}

BounceSolver::BounceSolver(const ExchangeMatrix& exchange, std::span<const double> reflectance,
                           const BounceOptions& options)
    : reflectance_(reflectance.begin(), reflectance.end()),
      area_m2_(exchange.surface_exposed_area_m2),
      row_begin_(exchange.surface_row_begin),
      share_(exchange.surface_share),
      options_(options) {
    NOONSHELL_CHECK_EQ(reflectance.size(), exchange.n_surfaces);
    for (std::size_t s = 0; s < reflectance_.size(); ++s) {
        if (!(reflectance_[s] >= 0 && reflectance_[s] <= 1)) {
            throw InputError({.entity = "reflectance of surface " + std::to_string(s)}, "0 to 1",
                             std::to_string(reflectance_[s]));
        }
        open_share_.push_back(exchange.surface_sky_share[s] + exchange.surface_ground_share[s] +
                              exchange.surface_context_share[s]);
    }
    for (const SurfaceId surface : exchange.surface_column) column_.push_back(surface.value);
}

/// One Gauss-Seidel sweep; returns the largest change over the largest value.
double BounceSolver::sweep(std::span<const double> arriving_w_m2,
                           std::span<double> leaving_w_m2) const {
    Lanes changed = Lanes::Zero(), largest = Lanes::Zero();
    for (std::size_t s = 0; s < reflectance_.size(); ++s) {
        Lanes light = lane(arriving_w_m2, s);
        for (std::uint32_t e = row_begin_[s]; e < row_begin_[s + 1]; ++e) {
            light += share_[e] * lane(leaving_w_m2, column_[e]);
        }
        light *= reflectance_[s];
        auto leaving = lane(leaving_w_m2, s);
        changed = changed.max((light - leaving).abs());
        largest = largest.max(light.abs());
        leaving = light;
    }
    return (largest > 0).select(changed / largest.max(1e-300), 0.0).maxCoeff();
}

void BounceSolver::gather(std::span<const double> leaving_w_m2,
                          std::span<double> bounced_w_m2) const {
    for (std::size_t s = 0; s < reflectance_.size(); ++s) {
        Lanes light = Lanes::Zero();
        for (std::uint32_t e = row_begin_[s]; e < row_begin_[s + 1]; ++e) {
            light += share_[e] * lane(leaving_w_m2, column_[e]);
        }
        lane(bounced_w_m2, s) = light;
    }
}

std::vector<LightBalance> BounceSolver::balance(std::span<const double> arriving_w_m2,
                                                std::span<const double> leaving_w_m2,
                                                std::span<const double> bounced_w_m2) const {
    std::vector<LightBalance> balances(lanes);
    for (std::size_t s = 0; s < reflectance_.size(); ++s) {
        for (std::size_t k = 0; k < lanes; ++k) {
            const std::size_t i = s * lanes + k;
            balances[k].arriving_w += area_m2_[s] * arriving_w_m2[i];
            balances[k].absorbed_w +=
                area_m2_[s] * (1 - reflectance_[s]) * (arriving_w_m2[i] + bounced_w_m2[i]);
            balances[k].escaped_w += area_m2_[s] * open_share_[s] * leaving_w_m2[i];
        }
    }
    return balances;
}

std::vector<LightBalance> BounceSolver::solve(std::span<const double> arriving_w_m2,
                                              std::span<double> bounced_w_m2) const {
    NOONSHELL_CHECK_EQ(arriving_w_m2.size(), reflectance_.size() * lanes);
    NOONSHELL_CHECK_EQ(bounced_w_m2.size(), arriving_w_m2.size());
    std::vector<double> leaving(arriving_w_m2.size(), 0.0);
    double change = 1;
    for (int n = 0; change > options_.tolerance; ++n) {
        if (n == options_.most_sweeps) {
            std::ostringstream text;
            text << "bounced light did not settle: relative change " << change << " after " << n
                 << " sweeps, wanted " << options_.tolerance;
            throw ConvergenceError(text.str());
        }
        change = sweep(arriving_w_m2, leaving);
    }
    gather(leaving, bounced_w_m2);
    return balance(arriving_w_m2, leaving, bounced_w_m2);
}

}  // namespace noonshell
