#include "geometry/borrowed_sides.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include "geometry/body_measure.hpp"
#include "geometry/plane_region.hpp"
#include "geometry/relief.hpp"

namespace noonshell {

namespace {

/// What stands farther from the bodies than this closes nothing [m]: cross-members and play.
constexpr double reach_m = 0.20;

/// Where the room is looked for in front of a face [m]: past the edges of the walls and a cell.
constexpr double into_room_m = 0.30;

/// Smaller openings are left open [m2].
constexpr double least_borrowed_m2 = 0.3;

constexpr double seen_edge_on = 1e-3;  ///< faces seen nearly edge-on cast no shadow
constexpr int looks_a_side = 16;
constexpr double facing_back = -0.7;  ///< of two unit normals: within 45 degrees of opposite

bool holds(const ConvexPolygon& polygon, const Vec2& at) {
    for (std::size_t k = 0; k < polygon.size(); ++k) {
        const Vec2 way = polygon[(k + 1) % polygon.size()] - polygon[k], to = at - polygon[k];
        if (way.x() * to.y() - way.y() * to.x() < 0) return false;
    }
    return true;
}

Vec3 corner_of(const BodyBounds& box, int k) {
    return {(k & 1) != 0 ? box.high_m.x() : box.low_m.x(),
            (k & 2) != 0 ? box.high_m.y() : box.low_m.y(),
            (k & 4) != 0 ? box.high_m.z() : box.low_m.z()};
}

class NeighbourFace {
  public:
    NeighbourFace(const Model& model, std::span<const BodyId> bodies, const RayMesh& mesh,
                  const RoomPlan& room, std::span<const Patch> skin, const Patch& patch)
        : model_(model), bodies_(bodies), mesh_(mesh), room_(room), skin_(skin), patch_(patch) {}

    /// Most faces end here: what stands behind walls sees nothing of the room.
    bool is_seen_at_all(const BodyBounds& reach) const {
        Vec2 low = Vec2::Constant(std::numeric_limits<double>::infinity()), high = -low;
        for (int k = 0; k < 8; ++k) {
            const Vec2 corner = patch_.frame.to_plane(corner_of(reach, k));
            low = low.cwiseMin(corner);
            high = high.cwiseMax(corner);
        }
        const auto is_of_face = [&](const Vec2& at) {
            return std::ranges::any_of(
                patch_.outline, [&](const ConvexPolygon& polygon) { return holds(polygon, at); });
        };
        for (int i = 0; i < looks_a_side; ++i) {
            for (int j = 0; j < looks_a_side; ++j) {
                const Vec2 share((i + 0.5) / looks_a_side, (j + 0.5) / looks_a_side);
                const Vec2 at = low + share.cwiseProduct(high - low);
                if (is_of_face(at) && looks_in(at)) return true;
            }
        }
        return false;
    }

    /// How far the box about the bodies stands off the face [m].
    double gap_m(const BodyBounds& bodies) const {
        double nearest = std::numeric_limits<double>::infinity();
        for (int k = 0; k < 8; ++k)
            nearest = std::min(nearest, patch_.frame.height_m(corner_of(bodies, k)));
        return std::max(0.0, nearest);
    }

    void find(double gap_m, std::vector<BorrowedSide>& found) const {
        std::vector<ConvexPolygon> near, all;
        add_shadows(near, all);
        const PlaneRegion whole = PlaneRegion::union_of(all).closed(closed_gap_m).filled();
        const PlaneRegion before = PlaneRegion::union_of(near).closed(closed_gap_m);
        PlaneRegion face = projected(patch_, patch_.frame).within(whole), own_skin;
        const auto looks_out = [&](const Patch& patch) {
            return patch.frame.normal.dot(patch_.frame.normal) < facing_back;
        };
        for (const Patch& patch : skin_) {
            if (looks_out(patch)) own_skin = own_skin.with(projected(patch, patch_.frame));
        }
        for (const BorrowedSide& nearer : found) {
            if (!looks_out(nearer.patch)) continue;
            face = face.without(projected(nearer.patch, patch_.frame));
            own_skin = own_skin.with(projected(nearer.patch, patch_.frame));
        }
        const PlaneRegion edges = before.without(own_skin);
        for (const PlaneRegion& part : face.without(before).parts()) {
            if (part.area_m2() < least_borrowed_m2) break;
            if (!is_seen(part.convex_pieces())) continue;
            Patch side = patch_;
            set_outline(side, part.with(part.grown(relief_depth_m).within(edges)).convex_pieces());
            side = flipped(side);
            side.body = bodies_.front();
            side.stands_for.clear();
            side.developed_area_m2 = side.area_m2;
            side.tag = -1;
            side.of_neighbour = true;
            found.push_back({std::move(side), part.area_m2(), gap_m});
        }
    }

  private:
    bool looks_in(const Vec2& at) const {
        const Vec3 from = patch_.frame.to_space(at), normal = patch_.frame.normal;
        constexpr double off_face_m = 1e-4;
        return room_.holds(from + into_room_m * normal) &&
               !mesh_.blocked(from, normal, off_face_m, into_room_m);
    }

    bool is_seen(const std::vector<ConvexPolygon>& pieces) const {
        double seen = 0, whole = 0;
        for (const ConvexPolygon& piece : pieces) {
            const Vec2 middle = area_centroid(piece);
            const double share = signed_area(piece) / static_cast<double>(piece.size());
            for (const Vec2& corner : piece) {
                whole += share;
                if (looks_in(0.6 * middle + 0.4 * corner)) seen += share;
            }
        }
        return seen > whole / 2;
    }

    /// Shadows of the unit's own faces on the plane of the patch: of those that stand close before
    /// it, and of all.
    void add_shadows(std::vector<ConvexPolygon>& near, std::vector<ConvexPolygon>& all) const {
        const PlaneFrame& frame = patch_.frame;
        for (const BodyId id : bodies_) {
            for (const Patch& own : planar_patches(model_, id)) {
                if (std::abs(own.frame.normal.dot(frame.normal)) <= seen_edge_on) continue;
                std::vector<ConvexPolygon> shadow;
                add_shadow(own, frame, shadow);
                const double height_m = frame.height_m(own.centroid_m);
                if (height_m > -reach_m && height_m < into_room_m)
                    near.insert(near.end(), shadow.begin(), shadow.end());
                all.insert(all.end(), shadow.begin(), shadow.end());
            }
        }
    }

    const Model& model_;
    std::span<const BodyId> bodies_;
    const RayMesh& mesh_;
    const RoomPlan& room_;
    std::span<const Patch> skin_;
    const Patch& patch_;
};

bool meets(const BodyBounds& a, const BodyBounds& b) {
    return (a.low_m.array() <= b.high_m.array()).all() &&
           (b.low_m.array() <= a.high_m.array()).all();
}

}  // namespace

std::vector<BorrowedSide> borrowed_sides(const Model& model, std::span<const BodyId> bodies,
                                         std::span<const BodyId> others, const RayMesh& mesh,
                                         const RoomPlan& room, std::span<const Patch> skin) {
    BodyBounds own = bounds_of_body(model, bodies.front());
    for (const BodyId id : bodies) {
        const BodyBounds one = bounds_of_body(model, id);
        own.low_m = own.low_m.cwiseMin(one.low_m);
        own.high_m = own.high_m.cwiseMax(one.high_m);
    }
    BodyBounds reach = own;
    reach.low_m.array() -= reach_m;
    reach.high_m.array() += reach_m;
    std::vector<std::pair<double, Patch>> seen;  // with their gaps
    const auto look_at = [&](const Patch& patch) {
        const NeighbourFace face(model, bodies, mesh, room, skin, patch);
        if (face.is_seen_at_all(reach)) seen.emplace_back(face.gap_m(own), patch);
    };
    for (const BodyId other : others) {
        if (!meets(reach, bounds_of_body(model, other))) continue;
        for (const Patch& patch : planar_patches(model, other)) {
            if (patch.area_m2 < least_borrowed_m2) continue;
            look_at(patch);
            if (!model.bodies[other.index()].solid) look_at(flipped(patch));
        }
    }
    std::ranges::stable_sort(seen, {}, &std::pair<double, Patch>::first);
    std::vector<BorrowedSide> found;
    for (const auto& [gap_m, patch] : seen)
        NeighbourFace(model, bodies, mesh, room, skin, patch).find(gap_m, found);
    return found;
}

}  // namespace noonshell
