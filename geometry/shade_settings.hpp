// Shade roofs, overhangs and fins that the user adds to a model, as plain settings.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "geometry/diagnostics.hpp"

namespace noonshell {

/// Sides of a group's plan: the one whose outward direction is nearest to true north comes first,
/// then clockwise.
enum class PlanSide { north, east, south, west };

/// Parallel strips in place of a closed sheet, from edge to edge of the roof.
struct Slats {
    double width_m = 0.1;
    double gap_m = 0.1;               ///< between two slats, in plan as their width is
    std::optional<double> along_deg;  ///< compass azimuth; none: the group's longer side
};

/// A flat roof over a group of units: the rectangle about their plan, in the direction of their
/// longest wall, widened by the overhangs. It is that rectangle seen from above, whatever its tilt.
struct ShadeRoof {
    std::string name;
    std::vector<std::string> over;       ///< patterns of unit ids
    double height_m = 0.8;               ///< of its lowest point above the group's highest roof
    std::array<double, 4> overhang_m{};  ///< by PlanSide
    double tilt_deg = 0;                 ///< from level
    double tilt_towards_deg = 180;       ///< compass azimuth that it falls towards
    double thickness_m = 0.05;           ///< across the sheet
    std::optional<Slats> slats;
    InputPlace place;
};

/// A plate that stands out from a wall.
struct Overhang {
    std::string name;
    std::vector<std::string> walls;  ///< patterns of surface ids
    double depth_m = 1;              ///< along the plate
    std::optional<double> width_m;   ///< none: the wall's width
    double offset_m = 0;  ///< of its middle from the wall's, to the right seen from outside
    std::optional<double> height_m;  ///< of its underside at the wall above the wall's foot; none:
                                     ///< the top of the wall
    double tilt_deg = 0;             ///< its outer edge falls
    double thickness_m = 0.05;
    double gap_m = 0;  ///< between the wall's outermost point and the plate
    InputPlace place;
};

/// An upright plate that stands out from a wall at right angles.
struct Fin {
    std::string name;
    std::vector<std::string> walls;  ///< patterns of surface ids
    double depth_m = 0.5;
    std::optional<double> height_m;  ///< none: the wall's height
    double foot_m = 0;               ///< of its lower edge above the wall's foot
    double offset_m = 0;  ///< of its middle from the wall's, to the right seen from outside
    double thickness_m = 0.05;
    double gap_m = 0;  ///< between the wall's outermost point and the plate
    InputPlace place;
};

struct ShadeSettings {
    std::vector<ShadeRoof> roofs;
    std::vector<Overhang> overhangs;
    std::vector<Fin> fins;

    bool empty() const { return roofs.empty() && overhangs.empty() && fins.empty(); }
};

}  // namespace noonshell
