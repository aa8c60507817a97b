// Private to geometry/: gaps between the faces and parts that make up the skin of a unit: how wide
// those are that count as closed, and how long and large those that do not.
#pragma once

#include <span>

#include "geometry/model.hpp"
#include "geometry/skin.hpp"

namespace noonshell {

struct UnitGaps {
    double widest_closed_m = 0;  ///< no wider than closed_gap_m; 0: none of at least 1 mm
    double widest_open_m = 0;    ///< 0: none
    double open_length_m = 0;    ///< of all gaps wider than closed_gap_m together
    double open_area_m2 = 0;     ///< of the same
};

/// Between closed solids see geometry/unit_openings.hpp.
/// Looks along the free edges of the outer faces of open bodies, square to the edge and away from
/// the face, for the nearest other face; what is farther than half the bodies' smallest extent is
/// a missing side and no gap. In sides drawn from several faces the gaps between them, seen along
/// the side's normal, are measured too. Lengths are good to the distance of the samples (a 60th of
/// an edge, or 50 mm).
/// `missing_side` is the outward normal of a side that is told as missing; zero where none is: its
/// own border is no gap.
UnitGaps measure_unit_gaps(const Model& model, std::span<const BodyId> bodies, const Skin& skin,
                           const Vec3& missing_side = Vec3::Zero());

}  // namespace noonshell
