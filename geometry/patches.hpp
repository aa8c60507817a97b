// Planar patches of a body: a planar face is one patch, a curved face is one patch for each plane
// that its triangles lie in. Each patch knows its outline as few, large convex polygons.
#pragma once

#include <cstdint>
#include <vector>

#include "geometry/convex_polygon.hpp"
#include "geometry/ids.hpp"
#include "geometry/model.hpp"
#include "geometry/vec3.hpp"

namespace noonshell {

/// Right-handed axes of a plane: u and v lie in it, normal = u x v. All unit length.
struct PlaneFrame {
    Vec3 origin_m{0, 0, 0};
    Vec3 u{1, 0, 0};
    Vec3 v{0, 1, 0};
    Vec3 normal{0, 0, 1};

    Vec2 to_plane(const Vec3& point_m) const {
        const Vec3 offset = point_m - origin_m;
        return {offset.dot(u), offset.dot(v)};
    }
    Vec3 to_space(const Vec2& point_m) const {
        return origin_m + u * point_m.x() + v * point_m.y();
    }
    /// Distance in front of the plane [m]; negative behind it.
    double height_m(const Vec3& point_m) const { return normal.dot(point_m - origin_m); }
};

struct Patch {
    FaceId face;
    BodyId body;
    PlaneFrame frame;  ///< normal outward; u along the longest straight edge
    double area_m2 = 0;
    Vec3 centroid_m{0, 0, 0};
    std::vector<ConvexPolygon> outline;  ///< disjoint convex polygons in `frame`
    std::vector<std::uint32_t>
        triangles;                   ///< of Model::mesh; none for a patch drawn by its outline
    std::vector<FaceId> stands_for;  ///< the faces of the model that it covers, ascending
    double developed_area_m2 = 0;    ///< of those faces' part in it, along every fold
    std::int32_t tag = -1;           ///< of faces set apart from their side; -1: none
    bool is_back = false;            ///< the back of a sheet, beside the patch of its front
    bool of_neighbour = false;       ///< closed by the matter of another body (borrowed_sides.hpp)
};

/// The same patch seen from behind.
Patch flipped(const Patch& patch);

/// Redraws a patch by an outline in its own frame: area and centroid follow, the triangles go.
void set_outline(Patch& patch, std::vector<ConvexPolygon> outline);

/// Triangles with less area than this carry neither sun nor heat and are left out [m2].
inline constexpr double least_triangle_area_m2 = 1e-12;

/// Patches of one body in face order; triangles without area are left out.
std::vector<Patch> planar_patches(const Model& model, BodyId body);

}  // namespace noonshell
