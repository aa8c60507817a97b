#include "geometry/unit_openings.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "geometry/plane_region.hpp"
#include "geometry/relief.hpp"

namespace noonshell {

namespace {

constexpr double nearest_told_m = 0.001;  ///< narrower gaps are rounding
constexpr double least_told_m2 = 0.002;   ///< smaller ones are corners of the parts' own shapes
constexpr double before_end_m = 0.3;      ///< what comes as near to the room's end closes it
constexpr double edge_on_cosine = 1e-3;   ///< faces seen nearly edge-on cast no shadow
constexpr double from_end_m = 0.05;       ///< views begin so far inside the last cell
constexpr double same_end_m = 0.1;        ///< cells of a row whose ends differ less go together
constexpr double infinite = std::numeric_limits<double>::infinity();

/// Part of the room as lines along one direction meet it: a rectangle in the plane of the frame.
struct RoomStrip {
    Vec2 low{infinite, infinite}, high{-infinite, -infinite};
    double end_m = -infinite;  ///< where the room ends, above the plane of the frame
    Vec3 inside_m{0, 0, 0};    ///< a middle of the room, above or beside that end

    /// The point next to one that lies inside by a margin, or by half the width: the cells at the
    /// border reach into the walls, or over thin ones.
    Vec2 nearest_inside(const Vec2& at, double margin_m) const {
        const Vec2 margin = ((high - low) / 2).cwiseMin(margin_m);
        return at.cwiseMax(low + margin).cwiseMin(high - margin);
    }
    double distance_m(const Vec2& at) const {
        return (at - at.cwiseMax(low).cwiseMin(high)).norm();
    }
};

/// The room seen along the normal of a frame; of storeys above each other the lowest.
class RoomStrips {
  public:
    RoomStrips(const RoomPlan& plan, const PlaneFrame& frame) : plan_(plan), frame_(frame) {
        const bool along_v = std::abs(frame.normal.dot(plan.v)) > 0.5;
        const std::size_t n_lines = along_v ? plan.n_u : plan.n_v;
        for (std::size_t line = 0; line < n_lines; ++line) {
            begin_ = true;
            for (std::size_t k = 0; k < plan.n_u * plan.n_v / n_lines; ++k)
                add(along_v ? k * plan.n_u + line : line * plan.n_u + k);
        }
    }

    bool empty() const { return strips_.empty(); }

    const RoomStrip& nearest(const Vec2& at) const {
        return *std::ranges::min_element(
            strips_, {}, [&](const RoomStrip& strip) { return strip.distance_m(at); });
    }

    PlaneRegion extent() const {
        std::vector<ConvexPolygon> boxes;
        for (const RoomStrip& s : strips_) {
            boxes.push_back({s.low, {s.high.x(), s.low.y()}, s.high, {s.low.x(), s.high.y()}});
        }
        return PlaneRegion::union_of(boxes);
    }

  private:
    void add(std::size_t cell) {
        if (plan_.storeys_m[cell].empty()) return;
        const std::array<double, 2>& heights = plan_.storeys_m[cell].front();
        const std::size_t column = cell % plan_.n_u, row = cell / plan_.n_u;
        const double u_m = plan_.low_u_m + static_cast<double>(column) * plan_.step_u_m;
        const double v_m = plan_.low_v_m + static_cast<double>(row) * plan_.step_v_m;
        RoomStrip here;
        for (const double u : {u_m, u_m + plan_.step_u_m}) {
            for (const double v : {v_m, v_m + plan_.step_v_m}) {
                for (const double z : heights) {
                    const Vec3 corner = u * plan_.u + v * plan_.v + Vec3(0, 0, z);
                    here.low = here.low.cwiseMin(frame_.to_plane(corner));
                    here.high = here.high.cwiseMax(frame_.to_plane(corner));
                    here.end_m = std::max(here.end_m, frame_.height_m(corner));
                    here.inside_m += corner / 8;
                }
            }
        }
        const bool upright = std::abs(frame_.normal.z()) > 0.5;
        if (begin_ || (upright && std::abs(here.end_m - strips_.back().end_m) > same_end_m)) {
            strips_.push_back(here);
            begin_ = false;
            return;
        }
        RoomStrip& strip = strips_.back();
        strip.low = strip.low.cwiseMin(here.low);
        strip.high = strip.high.cwiseMax(here.high);
        // Upright, any middle of the row serves; else that of the cell at the very end.
        if (here.end_m > strip.end_m) strip.inside_m = here.inside_m;
        strip.end_m = std::max(strip.end_m, here.end_m);
    }

    const RoomPlan& plan_;
    const PlaneFrame& frame_;
    bool begin_ = true;
    std::vector<RoomStrip> strips_;
};

/// Length and width of the rectangle, or of the ring, that has the area and border of a region.
UnitOpening measured(const PlaneRegion& region, const Vec3& normal) {
    UnitOpening opening{normal, 0, 0, region.area_m2()};
    const double half_m = region.perimeter_m() / 2;
    if (!region.holes().empty()) {
        opening.length_m = half_m;
    } else {
        const double rest = half_m * half_m / 4 - opening.area_m2;
        opening.length_m = half_m / 2 + std::sqrt(std::max(0.0, rest));
    }
    opening.width_m = opening.area_m2 / opening.length_m;
    return opening;
}

class SideView {
  public:
    SideView(const Model& model, std::span<const BodyId> bodies, const RayMesh& mesh,
             const RoomPlan& plan, const PlaneFrame& frame)
        : mesh_(mesh),
          frame_(frame),
          room_(plan, frame_),
          cell_m_(std::max(plan.step_u_m, plan.step_v_m)),
          from_end_m_(from_end_m + cell_m_) {
        if (room_.empty()) return;
        std::vector<ConvexPolygon> near, all;
        for (const BodyId id : bodies) {
            const Body& body = model.bodies[id.index()];
            for (std::uint32_t f = body.first_face; f < body.first_face + body.n_faces; ++f) {
                const Face& face = model.faces[f];
                for (std::uint32_t t = 0; t < face.n_triangles; ++t)
                    add_shadow(model.mesh, face.first_triangle + t, near, all);
            }
        }
        covered_ = PlaneRegion::union_of(near);
        whole_ = PlaneRegion::union_of(all);
    }

    /// `reach_m`: what is wider and open on both sides of the unit is no opening.
    void find(double reach_m, UnitOpenings& found) const {
        if (room_.empty()) return;
        const PlaneRegion sought =
            whole_.closed(reach_m).filled().within(room_.extent().grown(relief_depth_m));
        const PlaneRegion tight = covered_.closed(nearest_told_m);
        const PlaneRegion closed = covered_.closed(closed_gap_m);
        for (const PlaneRegion& part : sought.within(closed).without(tight).parts()) {
            if (part.area_m2() < least_told_m2) break;
            if (!(open_share(part) > 0.5)) continue;
            const double width_m = measured(part, frame_.normal).width_m;
            if (width_m >= nearest_told_m && width_m <= closed_gap_m)
                found.widest_closed_m = std::max(found.widest_closed_m, width_m);
        }
        for (const PlaneRegion& part : sought.without(closed).parts()) {
            if (part.area_m2() < least_told_m2) break;
            const double share = open_share(part);
            UnitOpening opening = measured(part, frame_.normal);
            // Narrower ones lie along the border: what is missing beside them is told by itself.
            if (share <= 0 || opening.width_m <= closed_gap_m) continue;
            opening.area_m2 *= share;
            opening.length_m *= share;
            found.open.push_back(opening);
        }
    }

  private:
    void add_shadow(const TriangleMesh& mesh, std::size_t triangle,
                    std::vector<ConvexPolygon>& near, std::vector<ConvexPolygon>& all) const {
        const std::array<Vec3, 3> c{mesh.corner(triangle, 0), mesh.corner(triangle, 1),
                                    mesh.corner(triangle, 2)};
        const Vec3 area = (c[1] - c[0]).cross(c[2] - c[0]);
        if (std::abs(area.dot(frame_.normal)) <= edge_on_cosine * area.norm()) return;
        ConvexPolygon shadow;
        for (const Vec3& corner : c) shadow.push_back(frame_.to_plane(corner));
        const Vec3 middle = (c[0] + c[1] + c[2]) / 3;
        const auto is_near = [&](const Vec3& at) {
            return frame_.height_m(at) >= room_.nearest(frame_.to_plane(at)).end_m - before_end_m;
        };
        if (is_near(middle) || std::ranges::any_of(c, is_near)) near.push_back(shadow);
        all.push_back(std::move(shadow));
    }

    /// Share of a region through which lines along the normal come into the room.
    double open_share(const PlaneRegion& region) const {
        double open = 0, whole = 0;
        for (const ConvexPolygon& piece : region.convex_pieces()) {
            const Vec2 middle = area_centroid(piece);
            const double share = signed_area(piece) / static_cast<double>(piece.size());
            for (const Vec2& corner : piece) {
                whole += share;
                if (comes_in(0.6 * middle + 0.4 * corner)) open += share;
            }
        }
        return whole > 0 ? open / whole : 0;
    }

    bool comes_in(const Vec2& at) const {
        const RoomStrip& room = room_.nearest(at);
        const Vec3 within = frame_.to_space(at) + (room.end_m - from_end_m_) * frame_.normal;
        if (mesh_.blocked(within, frame_.normal, 0)) return false;
        // Seen upright, a strip is a row of cells: the middle of the nearest of them.
        const bool upright = std::abs(frame_.normal.z()) > 0.5;
        const Vec3 inside = upright ? frame_.to_space(room.nearest_inside(at, cell_m_)) +
                                          frame_.height_m(room.inside_m) * frame_.normal
                                    : room.inside_m;
        const Vec3 way = inside - within;
        return !mesh_.blocked(within, way.normalized(), 0, way.norm());
    }

    const RayMesh& mesh_;
    PlaneFrame frame_;
    RoomStrips room_;
    double cell_m_;  ///< of the plan
    double from_end_m_;
    PlaneRegion covered_, whole_;  ///< by what stands before the room; by anything
};

}  // namespace

UnitOpenings find_unit_openings(const Model& model, std::span<const BodyId> bodies,
                                const RayMesh& mesh, const RoomPlan& plan) {
    Vec3 low = Vec3::Constant(infinite), high = -low;
    for (const BodyId id : bodies) {
        const Body& body = model.bodies[id.index()];
        for (std::uint32_t f = body.first_face; f < body.first_face + body.n_faces; ++f) {
            const Face& face = model.faces[f];
            for (std::uint32_t t = 0; t < 3 * face.n_triangles; ++t) {
                const Vec3 p =
                    model.mesh.corner(face.first_triangle + t / 3, static_cast<int>(t % 3));
                low = low.cwiseMin(p);
                high = high.cwiseMax(p);
            }
        }
    }
    UnitOpenings found;
    const double reach_m = (high - low).minCoeff() / 2;
    for (const Vec3& normal :
         {plan.u, Vec3(-plan.u), plan.v, Vec3(-plan.v), Vec3(0, 0, 1), Vec3(0, 0, -1)}) {
        PlaneFrame frame;
        frame.origin_m = (low + high) / 2;
        frame.normal = normal;
        frame.u = std::abs(normal.z()) > 0.5 ? plan.u : Vec3(0, 0, 1);
        frame.v = normal.cross(frame.u);
        SideView(model, bodies, mesh, plan, frame).find(reach_m, found);
    }
    return found;
}

}  // namespace noonshell
