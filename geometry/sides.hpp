// Which side of a body each patch lies on, and what that side is called.
// Conventions: azimuth in degrees clockwise from true north; tilt 0 faces up, 90 vertical, 180
// faces down; `north_deg` is the compass azimuth of the model's +Y axis.
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "geometry/envelope.hpp"
#include "geometry/patches.hpp"

namespace noonshell {

/// Patches that turn less than this from a side's leading direction belong to that side [deg].
inline constexpr double side_angle_deg = 30.0;

/// Profiled sheet: a steeper strip still belongs to a side when it lies no deeper than this below
/// the side's outermost plane [m], up to `profile_angle_deg`. End walls of freight containers have
/// slopes of some 63 degrees and 46 mm depth; by their normals alone they would go to the long
/// walls.
inline constexpr double profile_depth_m = 0.10;
inline constexpr double profile_angle_deg = 75.0;

/// One side of a body: the patches that make up one surface.
struct Side {
    std::vector<std::uint32_t> patches;  ///< indices into the patches given, ascending
    std::string name;                    ///< "roof", "wall-sw", "top", "edge-n-2"
    SurfaceKind kind = SurfaceKind::wall;
    Vec3 normal{0, 0, 1};  ///< area-weighted mean, unit length
    double area_m2 = 0;
    double tilt_deg = 0;
    double azimuth_deg = 0;  ///< 0 for level sides
};

/// Patches that face one way, to a degree.
struct Direction {
    Vec3 normal;
    double area_m2 = 0;
    std::vector<std::uint32_t> patches;
};

/// Directions by total area, the largest first; equals stay in patch order.
std::vector<Direction> leading_directions(std::span<const Patch> patches);

/// 0 faces up, 90 vertical, 180 faces down. `normal` has unit length.
double tilt_of_deg(const Vec3& normal);

/// What a side of a unit is by its tilt alone: roof, wall or soffit.
SurfaceKind unit_kind(const Side& side);

/// Sides of a unit: roofs (tilt below 60 degrees), walls by azimuth, soffits, floor (the lowest
/// side that faces down, eaves aside; these are soffits). Sills, heads and jambs of niches no
/// deeper than relief (relief_depth_m) belong to the side that they lie in.
std::vector<Side> unit_sides(std::span<const Patch> patches, double north_deg);

/// Whether a patch of a side stands square to it: the sill or the jamb of a niche.
bool is_reveal(const Patch& patch, const Side& side);

/// Sides of what the user set apart from the rest of a unit, all of one kind: `name` where they
/// face one way, else "<name>-sw" and so on.
std::vector<Side> named_sides(std::span<const Patch> patches, double north_deg,
                              const std::string& name, SurfaceKind kind);

/// The back of a shade's side: `patches` of it, their `backs` as indices. Its name is that of the
/// side across a plate, without a number.
Side from_behind(const Side& front, std::span<const Patch> patches,
                 std::vector<std::uint32_t> backs, double north_deg);

/// Sides of a shade, all of kind shade. A lying plate has top, edges and underside; an upright one
/// has top, two sides, edges and underside.
std::vector<Side> shade_sides(std::span<const Patch> patches, double north_deg);

}  // namespace noonshell
