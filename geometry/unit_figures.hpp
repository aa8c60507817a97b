// Private to geometry/: floor area and volume of the units.
#pragma once

#include "geometry/envelope.hpp"

namespace noonshell {

/// Completes what the units' shapes left open, from surfaces and facets, which must be there; then
/// takes the user's own figures. Warnings: "unit-not-closed", "unit-size" (a room out of all
/// measure), "unit-figure-matches-nothing".
void describe_units(const Model& model, const EnvelopeOptions& options, Envelope& envelope);

}  // namespace noonshell
