// Plates made of right prisms: shade roofs, slats, overhangs and fins as plain numbers, before they
// are bodies of a model or solids of a STEP file.
#pragma once

#include <string>
#include <vector>

#include "geometry/model.hpp"

namespace noonshell {

/// A convex planar polygon swept along a straight line.
struct Prism {
    std::vector<Vec3> base_m;  ///< counter-clockwise seen from where the sweep leads to
    Vec3 sweep_m{0, 0, 1};     ///< not in the plane of the base
};

/// One body that consists of one or more prisms that do not run into each other.
struct PrismBody {
    std::string name;
    std::vector<Prism> prisms;
};

/// The planar faces of a prism, each counter-clockwise seen from outside: the base, the polygon
/// opposite, then one quadrilateral per edge of the base. This is also the order of the faces that
/// append_bodies() adds.
std::vector<std::vector<Vec3>> faces_of(const Prism& prism);

double volume_m3(const Prism& prism);

/// Appends the bodies to the model as closed solids of planar faces, held by a new assembly called
/// `assembly`, and widens the model's bounds. A name that an id of the model has already becomes an
/// id with "-2", "-3"... Nothing happens without bodies. Returns the new bodies, in order.
std::vector<BodyId> append_bodies(Model& model, const std::vector<PrismBody>& bodies,
                                  const std::string& assembly);

}  // namespace noonshell
