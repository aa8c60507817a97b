// Units and shades of an envelope in one list.
#pragma once

#include <string>
#include <vector>

#include "geometry/envelope.hpp"
#include "geometry/placed_shape.hpp"

namespace noonshell {

/// A unit or a shade with its surfaces.
struct Owner {
    std::string id;
    std::vector<BodyId> bodies;
    std::vector<std::uint32_t> surfaces;
    PlacedShape shape;
};

/// Units in their order, then shades in the order of their first surfaces. Panes that are bodies
/// are not among a unit's bodies, their surfaces are among its surfaces.
std::vector<Owner> owners_of(const Model& model, const Envelope& envelope);

}  // namespace noonshell
