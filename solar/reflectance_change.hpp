// What a new coating on one surface does to the light on all others, without tracing a ray.
#pragma once

#include <span>
#include <vector>

#include "geometry/envelope.hpp"
#include "solar/exchange.hpp"

namespace noonshell {

/// Light that reaches every surface per unit of light leaving surface k, all bounces included
/// [#surfaces, W/m2 per W/m2]: column k of (I - F R)^-1 F, turned into the terms of Exposure, whose
/// irradiances are means over whole surfaces with covered parts dark. With it a change d of the
/// reflectance of k is exact in closed form (rank one): E_k' = E_k / (1 - c_k d),
/// E_j' = E_j + c_j d E_k'. Zero where k has no exposed part.
std::vector<double> light_coupling(const Envelope& envelope, const ExchangeMatrix& exchange,
                                   std::span<const double> reflectance, SurfaceId k);

}  // namespace noonshell
