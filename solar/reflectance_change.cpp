#include "solar/reflectance_change.hpp"

#include <Eigen/LU>
#include <algorithm>

#include "geometry/diagnostics.hpp"
#include "solar/bounce.hpp"
#include "solar/parallel.hpp"

namespace noonshell {

namespace {

constexpr std::size_t change_lanes = BounceSolver::lanes;

/// Light leaving the parts of surface k [W/m2] for a mean of 1 over its whole area, spread as the
/// period's light on them, in lane `lane`.
void emit(const LightParts& parts, const Exposure& exposure, const Surface& surface, SurfaceId k,
          std::size_t lane, std::span<double> leaving) {
    const std::uint32_t begin = parts.surface_begin[k.index()];
    const std::uint32_t end = parts.surface_begin[k.index() + 1];
    double light = 0, area = 0;
    for (std::uint32_t p = begin; p < end; ++p) {
        light += parts.area_m2[p] * exposure.part_light_wh_m2[p];
        area += parts.area_m2[p];
    }
    for (std::uint32_t p = begin; p < end; ++p) {
        leaving[p * change_lanes + lane] =
            surface.area_m2 * (light > 0 ? exposure.part_light_wh_m2[p] / light : 1 / area);
    }
}

/// Mean over each whole surface of the building, in lane `lane`.
std::vector<double> on_surfaces(const Envelope& envelope, const LightParts& parts, std::size_t n,
                                std::span<const double> light, std::size_t lane) {
    std::vector<double> mean(n, 0.0);
    for (std::size_t s = 0; s < n; ++s) {
        for (auto p = parts.surface_begin[s]; p < parts.surface_begin[s + 1]; ++p) {
            mean[s] += parts.area_m2[p] * light[p * change_lanes + lane];
        }
        if (envelope.surfaces[s].area_m2 > 0) mean[s] /= envelope.surfaces[s].area_m2;
    }
    return mean;
}

}  // namespace

std::vector<std::vector<double>> light_couplings(const Envelope& envelope,
                                                 const ExchangeMatrix& exchange,
                                                 const Exposure& exposure,
                                                 std::span<const SurfaceId> changed,
                                                 unsigned threads) {
    const LightParts& parts = exchange.parts;
    NOONSHELL_CHECK_EQ(exposure.part_light_wh_m2.size(), parts.size());
    NOONSHELL_CHECK_LE(exposure.n_surfaces, envelope.surfaces.size());
    std::vector<double> reflectance;
    for (const SurfaceId s : parts.surface) reflectance.push_back(exposure.reflectance[s.index()]);
    const BounceSolver solver(exchange.part_net, reflectance, {.tolerance = 1e-10});
    const auto n_parts = static_cast<std::uint32_t>(parts.size());
    std::vector<std::vector<double>> couplings(changed.size());
    const std::size_t n_batches = (changed.size() + change_lanes - 1) / change_lanes;
    for_each_task(threads, n_batches, [&](std::size_t batch) {
        std::vector<double> first(n_parts * change_lanes), straight(n_parts * change_lanes),
            leaving(n_parts * change_lanes), later(n_parts * change_lanes);
        const std::size_t begin = batch * change_lanes;
        const std::size_t count = std::min(change_lanes, changed.size() - begin);
        for (std::size_t k = 0; k < count; ++k) {
            const SurfaceId surface = changed[begin + k];
            emit(parts, exposure, envelope.surfaces[surface.index()], surface, k, first);
        }
        solver.gather(first, 0, n_parts, straight);
        solver.solve(straight, leaving);
        solver.gather(leaving, 0, n_parts, later);
        for (std::size_t i = 0; i < later.size(); ++i) later[i] += straight[i];
        for (std::size_t k = 0; k < count; ++k) {
            couplings[begin + k] = on_surfaces(envelope, parts, exposure.n_surfaces, later, k);
        }
    });
    return couplings;
}

Exposure relit_by(const Exposure& exposure, std::span<const std::vector<double>> coupling,
                  std::span<const double> reflectance) {
    NOONSHELL_CHECK_EQ(reflectance.size(), exposure.n_surfaces);
    std::vector<std::size_t> changed;
    std::vector<double> change;
    for (std::size_t s = 0; s < reflectance.size(); ++s) {
        const double moved = reflectance[s] - exposure.reflectance[s];
        if (moved == 0) continue;
        if (coupling[s].empty()) throw std::out_of_range("a surface without a coupling changes");
        changed.push_back(s);
        change.push_back(moved);
    }
    Exposure out = exposure;
    std::copy(reflectance.begin(), reflectance.end(), out.reflectance.begin());
    if (changed.empty()) return out;

    const auto n = static_cast<Eigen::Index>(changed.size());
    const auto n_surfaces = static_cast<Eigen::Index>(exposure.n_surfaces);
    Eigen::MatrixXd thrown(n_surfaces, n);  // onto every surface per light on a changed one
    Eigen::MatrixXd among = Eigen::MatrixXd::Identity(n, n);
    for (Eigen::Index k = 0; k < n; ++k) {
        const auto column = static_cast<std::size_t>(k);
        const std::vector<double>& list = coupling[changed[column]];
        for (Eigen::Index j = 0; j < n_surfaces; ++j)
            thrown(j, k) = list[static_cast<std::size_t>(j)] * change[column];
        for (Eigen::Index i = 0; i < n; ++i)
            among(i, k) -= list[changed[static_cast<std::size_t>(i)]] * change[column];
    }
    const Eigen::MatrixXd update = thrown * among.inverse();  // #surfaces x #changed
    Eigen::VectorXd light(n), added(n_surfaces);
    std::vector<std::uint8_t> done(out.bounced_w_m2.size() / exposure.n_surfaces, 0);
    for (std::size_t hour = 0; hour < exposure.n_hours; ++hour) {
        const std::size_t begin = exposure.begin_of(hour);
        if (std::exchange(done[begin / exposure.n_surfaces], 1) != 0) continue;  // a shared row
        for (Eigen::Index k = 0; k < n; ++k) {
            const std::size_t at = begin + changed[static_cast<std::size_t>(k)];
            light[k] = exposure.direct_w_m2[at] + exposure.sky_w_m2[at] + exposure.ground_w_m2[at] +
                       exposure.bounced_w_m2[at];
        }
        added.noalias() = update * light;
        for (std::size_t s = 0; s < exposure.n_surfaces; ++s)
            out.bounced_w_m2[begin + s] += added[static_cast<Eigen::Index>(s)];
    }
    return out;
}

}  // namespace noonshell
