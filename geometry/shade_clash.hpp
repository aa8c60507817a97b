// Private to geometry/: how far a shade runs into a unit.
#pragma once

#include "geometry/envelope.hpp"
#include "geometry/model.hpp"
#include "geometry/prism.hpp"
#include "geometry/shade_frames.hpp"

namespace noonshell {

/// A unit with what the search for clashes asks of it again and again.
struct ClashUnit {
    UnitId id;
    PlanFrame box;
    std::vector<Vec3> corners;  ///< of its triangles, three by three
};

ClashUnit clash_unit(const Model& model, const Envelope& envelope, UnitId unit);

/// The shortest way by which the prism has to move out of the box about the unit [m]; 0 where it
/// does not meet the unit's surfaces and is not inside.
double clash_depth_m(const Prism& prism, const ClashUnit& unit);

}  // namespace noonshell
