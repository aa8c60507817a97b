// What a new coating on one surface does to the light on all others, without tracing a ray.
#pragma once

#include <span>
#include <vector>

#include "geometry/envelope.hpp"
#include "solar/exchange.hpp"
#include "solar/exposure.hpp"

namespace noonshell {

/// Light that reaches every surface per unit of light leaving surface k, all bounces included, from
/// the ground too [#surfaces of the building, W/m2 per W/m2]: (I - F R)^-1 F applied to k's parts,
/// in the terms of Exposure, whose irradiances are means over whole surfaces with covered parts
/// dark. Within k the light is spread as it falls on k over the period. With it a change d of the
/// reflectance of k is a rank-one update: E_k' = E_k / (1 - c_k d), E_j' = E_j + c_j d E_k'. It is
/// exact for the period's sums where none of it comes back to k; what does come back is spread
/// otherwise than the light that falls on k (in a narrow yard, 2 % of the change), and so is the
/// light of single hours. All zero where k has no exposed part. One list per surface of `changed`.
/// `threads`: see for_each_task().
std::vector<std::vector<double>> light_couplings(const Envelope& envelope,
                                                 const ExchangeMatrix& exchange,
                                                 const Exposure& exposure,
                                                 std::span<const SurfaceId> changed,
                                                 unsigned threads = 0);

/// The light with other reflectances of several surfaces at once, by their couplings: with D the
/// changes, C the couplings between the changed surfaces and E_K the light on them, each hour has
/// E_K' = (I - C D)^-1 E_K and E_j' = E_j + sum of c_jk d_k E_k'. Only the hourly arrays and
/// `reflectance` are new; the change is booked as bounced light. `coupling`: #surfaces, see
/// light_couplings(), empty for surfaces that never change; `reflectance`: #surfaces of the
/// building. Throws std::out_of_range for a surface that changes without a coupling.
Exposure relit_by(const Exposure& exposure, std::span<const std::vector<double>> coupling,
                  std::span<const double> reflectance);

}  // namespace noonshell
