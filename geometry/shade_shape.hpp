// The sides of a shade, those of sheets without thickness from both sides.
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "geometry/model.hpp"
#include "geometry/overhangs.hpp"
#include "geometry/patches.hpp"
#include "geometry/sides.hpp"

namespace noonshell {

struct ShadeShape {
    std::vector<Patch> patches;  ///< all of the first of the bodies
    std::vector<Side> sides;     ///< of these patches
    std::vector<std::optional<std::size_t>>
        other_side;                    ///< of a sheet, as index into sides; #sides
    std::vector<BodyId> without_area;  ///< bodies that add nothing
};

/// The shape of the bodies of one shade together: what lies between slats is no side of its own.
/// Faces of open shells are sheets without thickness: what sees the open behind them has a back,
/// and a face that sees it only there is turned round. Fronts and backs are told apart by the way
/// that the faces are drawn.
ShadeShape shade_shape(const Model& model, std::span<const BodyId> bodies, double north_deg);

/// The shape of what a unit carries beyond its walls; `body` stands for all of it.
ShadeShape shade_shape(const UnitOverhang& overhang, BodyId body, double north_deg);

}  // namespace noonshell
