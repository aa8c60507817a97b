// Private to geometry/: flat bodies by their middle and extents.
#pragma once

#include <array>
#include <span>

#include "geometry/patches.hpp"
#include "geometry/ray_mesh.hpp"

namespace noonshell {

/// A plate by its middle, its axes (the last across it) and its half extents along them.
struct Plate {
    Vec3 middle_m{0, 0, 0};
    std::array<Vec3, 3> axis;
    std::array<double, 3> half_m{};
};

/// Across the direction that most of the area of `patches`, of which there must be some, faces.
/// The first axis of an upright plate is level.
Plate plate_of(std::span<const Patch> patches);

/// Whether something stands as close to both edges of the plate along one of its axes as gaps are
/// closed (closed_gap_m).
bool is_framed(const Plate& plate, std::size_t axis, const RayMesh& mesh);

}  // namespace noonshell
