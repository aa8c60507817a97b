// From facets to surfaces: area means that obey reciprocity and close.
#pragma once

#include "geometry/envelope.hpp"
#include "solar/exchange.hpp"

namespace noonshell {

/// Fills the surface_ fields and reciprocity_error of a matrix whose facet rows are done. The two
/// estimates of each A_i F_ij are averaged by their rays per area; then surface i is scaled by a
/// factor d_i near 1, its exchange with surface j by d_i d_j and with sky, ground and context by
/// d_i, so that all rows sum to 1 while A_i F_ij = A_j F_ji holds. A surface that sees no other
/// keeps d_i = 1.
void fill_surface_exchange(const Envelope& envelope, ExchangeMatrix& matrix);

}  // namespace noonshell
