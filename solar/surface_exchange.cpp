#include "solar/surface_exchange.hpp"

#include <algorithm>
#include <cmath>
#include <map>

namespace noonshell {

namespace {

/// Areas seen [m2]: row by row, area of i times its share of j.
struct SeenAreas {
    std::vector<std::map<std::uint32_t, double>> surface;  // #surfaces
    std::vector<double> sky, horizon, ground, ground_open, context, own;
    std::vector<double> facets;  // exposed ones: rays in proportion

    explicit SeenAreas(std::size_t n)
        : surface(n),
          sky(n),
          horizon(n),
          ground(n),
          ground_open(n),
          context(n),
          own(n),
          facets(n) {}

    double open(std::size_t i) const { return sky[i] + ground[i] + context[i]; }
};

SeenAreas sum_facets(const Envelope& envelope, const ExchangeMatrix& matrix) {
    const FacetArrays& facets = envelope.facets;
    SeenAreas seen(matrix.n_surfaces);
    for (std::size_t f = 0; f < matrix.n_facets; ++f) {
        if (facets.covered[f] != 0) continue;
        const std::size_t s = facets.surface[f].index();
        const double area = facets.area_m2[f];
        seen.own[s] += area;
        seen.facets[s] += 1;
        seen.sky[s] += area * matrix.sky_share[f];
        seen.horizon[s] += area * matrix.horizon_share[f];
        seen.ground[s] += area * matrix.ground_share[f];
        seen.ground_open[s] += area * matrix.ground_open_share[f];
        seen.context[s] += area * matrix.context_share[f];
        for (auto e = matrix.row_begin[f]; e < matrix.row_begin[f + 1]; ++e) {
            seen.surface[s][matrix.column[e].value] += area * matrix.share[e];
        }
    }
    return seen;
}

/// One value for both ways. A share F counted on N rays of a surface A makes A F uncertain by
/// A sqrt(F / N): the estimates of both ways are weighed by their rays per area.
std::vector<std::map<std::uint32_t, double>> averaged(const SeenAreas& seen) {
    const std::size_t n = seen.surface.size();
    std::vector<std::map<std::uint32_t, double>> result(n);
    const auto density = [&](std::size_t i) { return seen.facets[i] / seen.own[i]; };
    for (std::uint32_t i = 0; i < n; ++i) {
        for (const auto& [j, value] : seen.surface[i]) {
            if (seen.own[j] <= 0) continue;
            const double part = value * density(i) / (density(i) + density(j));
            result[i][j] += part;
            result[j][i] += part;
        }
    }
    return result;
}

/// Factors d with d_i (sum_j G_ij d_j + open_i) = area_i, by the damped iteration of symmetric
/// matrix scaling; the last step gives exact row sums where it has converged.
std::vector<double> closing_factors(const std::vector<std::map<std::uint32_t, double>>& exchange,
                                    const SeenAreas& seen) {
    constexpr int most_sweeps = 1000;
    constexpr double settled = 1e-14;
    std::vector<double> factor(exchange.size(), 1.0);
    for (int sweep = 0; sweep < most_sweeps; ++sweep) {
        double moved = 0;
        for (std::size_t i = 0; i < exchange.size(); ++i) {
            if (seen.own[i] <= 0) continue;
            double sum = seen.open(i);
            for (const auto& [j, value] : exchange[i]) sum += value * factor[j];
            if (sum <= 0) continue;
            const double next = std::sqrt(factor[i] * seen.own[i] / sum);
            moved = std::max(moved, std::abs(next - factor[i]));
            factor[i] = next;
        }
        if (moved < settled) break;
    }
    return factor;
}

void write_row(const std::map<std::uint32_t, double>& exchange, const SeenAreas& seen,
               const std::vector<double>& factor, std::size_t i, ExchangeMatrix& matrix) {
    const double scale = seen.own[i] > 0 ? factor[i] / seen.own[i] : 0;
    matrix.surface_sky_share.push_back(seen.sky[i] * scale);
    matrix.surface_ground_share.push_back(seen.ground[i] * scale);
    matrix.surface_ground_open_share.push_back(seen.ground_open[i] * scale);
    matrix.surface_context_share.push_back(seen.context[i] * scale);
    matrix.surface_horizon_share.push_back(seen.own[i] > 0 ? seen.horizon[i] / seen.own[i] : 0);
    for (const auto& [j, value] : exchange) {
        if (scale <= 0) continue;
        const double share = value * factor[j] * scale;
        const auto traced = seen.surface[i].find(j);
        const double before = traced == seen.surface[i].end() ? 0 : traced->second / seen.own[i];
        matrix.reciprocity_error = std::max(matrix.reciprocity_error, std::abs(share - before));
        matrix.surface_column.emplace_back(j);
        matrix.surface_share.push_back(share);
    }
    matrix.surface_row_begin.push_back(static_cast<std::uint32_t>(matrix.surface_share.size()));
}

}  // namespace

void fill_surface_exchange(const Envelope& envelope, ExchangeMatrix& matrix) {
    const SeenAreas seen = sum_facets(envelope, matrix);
    const auto exchange = averaged(seen);
    const std::vector<double> factor = closing_factors(exchange, seen);
    matrix.surface_exposed_area_m2 = seen.own;
    matrix.surface_row_begin = {0};
    for (std::size_t i = 0; i < matrix.n_surfaces; ++i) {
        write_row(exchange[i], seen, factor, i, matrix);
    }
}

}  // namespace noonshell
