// Which side of a face lies in the open: outer skin against inner skin and hidden joints.
#pragma once

#include <span>
#include <vector>

#include "geometry/enclosure.hpp"
#include "geometry/model.hpp"
#include "geometry/patches.hpp"
#include "geometry/ray_mesh.hpp"

namespace noonshell {

/// How open the view from one side of a face is: shares of rays that leave the bodies unblocked.
struct Openness {
    double all_round = 0;  ///< over the half space, weighted by the cosine
    double ahead = 0;      ///< within 20 degrees of the normal
    double indoors = 0;    ///< share of the face that stands before the room
    double in_loggia = 0;  ///< share of the face that stands before a loggia
};

struct FaceOpenness {
    Openness front, behind;
};

/// A face that sees this much of its half space is outer whatever lies ahead.
inline constexpr double enough_all_round = 0.6;

/// Of what stands before the room with more than this share, the front is inside.
inline constexpr double most_indoors = 0.5;

/// What sees less of the open gets no light: the inside of a shell with seams, faces that parts
/// hide from each other.
inline constexpr double least_open_share = 0.05;

/// Outer skin sees the open straight ahead, or in most directions. Inside faces beside an open end
/// see it, but not ahead and never in half of all directions; bottoms of corrugations and the bays
/// between cross-members see it ahead. What stands before the room is inside, even opposite an open
/// side; what stands before a loggia is not, even round a corner of it.
bool is_outer(const Openness& seen);

/// The triangles of some bodies. Filled rooms count as shells: their inside is no matter.
std::vector<RayMesh::Triangle> ray_triangles(const Model& model, std::span<const BodyId> bodies);

/// The same, ready for rays.
RayMesh ray_mesh_of(const Model& model, std::span<const BodyId> bodies);

/// Openness of every face of `bodies` in the order of bodies and their faces, as far as these
/// bodies alone block the view. Points and directions come from a fixed low-discrepancy sequence
/// [roberts2018], 128 to 512 rays a face by its area. Behind faces of
/// solids is matter: there `behind` stays 0. `room` is that which the bodies enclose.
std::vector<FaceOpenness> openness_of_faces(const Model& model, std::span<const BodyId> bodies,
                                            const RayMesh& mesh, const RoomPlan& room = {});

/// The same of a patch by its outline; `behind` stays 0 unless `both_sides` are asked for.
FaceOpenness openness_of_patch(const Patch& patch, const RayMesh& mesh, bool both_sides);

/// Share of all directions around a point that are open.
double openness_of_point(const RayMesh& mesh, const Vec3& point_m);

}  // namespace noonshell
