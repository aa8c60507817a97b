#include "geometry/overhangs.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include "geometry/relief.hpp"
#include "geometry/room_space.hpp"

namespace noonshell {

namespace {

/// Upright part of the normal of a wall; of what is less upright the plan says where it lies.
constexpr double upright_sine = 0.05;

constexpr double least_wall_width_m = 0.5;
constexpr double least_wall_m2 = 0.5;

/// Walls count as this thick at least [m]: their strips meet at the corners of the plan.
constexpr double wall_strip_m = 0.25;

constexpr double least_room_plan_m2 = 1.0;
constexpr double least_overhang_m2 = 0.05;

/// What a cut leaves smaller than this is rounding [m2].
constexpr double least_piece_m2 = 1e-5;

/// An upright face is cut where the matter behind it leaves the plan of the walls: from so far
/// behind to thrice as far [m].
constexpr double behind_face_m = 1e-3;

/// Parts with less air between their heights are one overhang [m].
constexpr double same_overhang_m = 0.05;

struct ReachAlong {
    Vec2 low_m = Vec2::Constant(std::numeric_limits<double>::infinity());
    Vec2 high_m = -low_m;

    void add(const Vec2& p) {
        low_m = low_m.cwiseMin(p);
        high_m = high_m.cwiseMax(p);
    }
    void add(const PlaneRegion& region) {
        for (const ConvexPolygon& piece : region.convex_pieces()) {
            for (const Vec2& corner : piece) add(corner);
        }
    }
};

bool is_upright(const Patch& patch) {
    return std::abs(patch.frame.normal.z()) < upright_sine;
}

/// Axes of an upright patch: u level, v up.
PlaneFrame upright_frame(const Patch& patch) {
    const Vec3& n = patch.frame.normal;
    PlaneFrame frame{patch.frame.origin_m, Vec3(-n.y(), n.x(), 0).normalized(), {}, n};
    frame.v = n.cross(frame.u);
    return frame;
}

/// A strip of the plan along an upright patch, between two depths behind it.
ConvexPolygon strip_behind(const PlaneFrame& upright, const PlaneFrame& plan, double from_m,
                           double to_m, double near_m, double far_m) {
    ConvexPolygon strip;
    for (const auto& [along, depth] : {std::pair(from_m, near_m), std::pair(to_m, near_m),
                                       std::pair(to_m, far_m), std::pair(from_m, far_m)}) {
        const Vec3 at = upright.to_space({along, 0}) - depth * upright.normal;
        strip.push_back(plan.to_plane(at));
    }
    return strip;
}

struct Walls {
    std::vector<ConvexPolygon> strips;  ///< in plan
    double low_m = std::numeric_limits<double>::infinity(), high_m = -low_m;
};

/// How far the wall reaches in what is as tall as a room: posts that stand off it, flush with it
/// and joined to it by the edges of roof and floor, are none of it.
ReachAlong reach_without_posts(const PlaneRegion& tall) {
    ReachAlong all, wide;
    for (const PlaneRegion& stretch : tall.closed(widest_doorway_m).parts()) {
        ReachAlong one;
        one.add(stretch);
        all.add(stretch);
        if (one.high_m.x() - one.low_m.x() >= least_wall_width_m) wide.add(stretch);
    }
    return wide.low_m.x() < wide.high_m.x() ? wide : all;
}

Walls walls_of(std::span<const Patch> skin, const PlaneFrame& plan) {
    Walls walls;
    for (const Patch& patch : skin) {
        if (!is_upright(patch) || patch.area_m2 < least_wall_m2) continue;
        const PlaneFrame upright = upright_frame(patch);
        PlaneFrame raised = upright;
        raised.origin_m += least_room_height_m * upright.v;
        const PlaneRegion whole = projected(patch, upright);
        // Not the edge of a plate that lies flush with the wall and goes on beyond it.
        const PlaneRegion tall = whole.within(projected(patch, raised));
        for (const PlaneRegion& part : whole.parts()) {
            ReachAlong extent = reach_without_posts(part.within(tall));
            if (!(extent.high_m.x() - extent.low_m.x() >= least_wall_width_m)) continue;
            walls.strips.push_back(
                strip_behind(upright, plan, extent.low_m.x(), extent.high_m.x(), 0, wall_strip_m));
            extent.add(part);
            walls.low_m = std::min(walls.low_m, upright.to_space(extent.low_m).z());
            walls.high_m = std::max(walls.high_m, upright.to_space(extent.high_m).z());
        }
    }
    return walls;
}

/// What walls stand about, with the walls themselves.
PlaneRegion enclosed_by(const std::vector<ConvexPolygon>& strips) {
    const PlaneRegion drawn = PlaneRegion::union_of(strips);
    PlaneRegion enclosed;
    for (const double gap_m : {closed_gap_m, widest_doorway_m}) {
        for (const PlaneRegion& part : drawn.closed(gap_m).parts()) {
            const auto holes = part.holes();
            if (!holes.empty() && holes.front().area_m2() >= least_room_plan_m2)
                enclosed = enclosed.with(part.filled());
        }
        if (!enclosed.empty()) break;
    }
    return enclosed;
}

/// What walls stand about a room, with the walls themselves but not those that go on from it about
/// a loggia.
PlaneRegion enclosed_by(const std::vector<ConvexPolygon>& strips, const PlaneFrame& plan,
                        const RoomPlan& room) {
    const PlaneRegion drawn = PlaneRegion::union_of(strips);
    const auto holds_room = [&](const PlaneRegion& hole) {
        constexpr std::size_t looks = 2000;
        const std::size_t step = 1 + room.storeys_m.size() / looks;
        for (std::size_t cell = 0; cell < room.storeys_m.size(); cell += step) {
            if (!room.storeys_m[cell].empty() && hole.contains(plan.to_plane(room.middle_of(cell))))
                return true;
        }
        return false;
    };
    PlaneRegion enclosed;
    for (const double gap_m : {closed_gap_m, widest_doorway_m}) {
        const PlaneRegion closed = drawn.closed(gap_m);
        for (const PlaneRegion& hole : closed.holes()) {
            if (hole.area_m2() >= least_room_plan_m2 && holds_room(hole))
                enclosed = enclosed.with(hole);
        }
        if (enclosed.empty()) continue;
        return enclosed.grown(wall_strip_m).within(closed.filled());
    }
    return enclosed;
}

/// Seen from above, in the frame of the patch: its plane is not upright.
ConvexPolygon dropped_onto(const Patch& patch, const PlaneFrame& plan, const ConvexPolygon& shape) {
    const PlaneFrame& frame = patch.frame;
    ConvexPolygon dropped;
    for (const Vec2& corner : shape) {
        const Vec3 at = plan.to_space(corner);
        dropped.push_back(frame.to_plane(at - Vec3(0, 0, frame.height_m(at) / frame.normal.z())));
    }
    return dropped;
}

/// A region of the plan as it lies on the plane of a patch, in the frame of the patch.
PlaneRegion lying_on(const Patch& patch, const PlaneFrame& plan, const PlaneRegion& region) {
    std::vector<ConvexPolygon> shapes;
    if (!is_upright(patch)) {
        for (const ConvexPolygon& piece : region.convex_pieces())
            shapes.push_back(dropped_onto(patch, plan, piece));
        return PlaneRegion::union_of(shapes);
    }
    const PlaneFrame upright = upright_frame(patch);
    ReachAlong extent;
    extent.add(projected(patch, upright));
    const ConvexPolygon strip = strip_behind(upright, plan, extent.low_m.x(), extent.high_m.x(),
                                             behind_face_m, 3 * behind_face_m);
    const PlaneRegion beyond = PlaneRegion::union_of({&strip, 1}).within(region);
    for (const PlaneRegion& part : beyond.parts()) {
        ReachAlong along;
        for (const ConvexPolygon& piece : part.convex_pieces()) {
            for (const Vec2& corner : piece) along.add(upright.to_plane(plan.to_space(corner)));
        }
        const double low = extent.low_m.y() - 1, high = extent.high_m.y() + 1;
        ConvexPolygon shape;
        for (const Vec2& corner : {Vec2(along.low_m.x(), low), Vec2(along.high_m.x(), low),
                                   Vec2(along.high_m.x(), high), Vec2(along.low_m.x(), high)})
            shape.push_back(patch.frame.to_plane(upright.to_space(corner)));
        shapes.push_back(std::move(shape));
    }
    return PlaneRegion::union_of(shapes);
}

Patch part_of(const Patch& patch, const PlaneRegion& region) {
    Patch part = patch;
    set_outline(part, region.convex_pieces());
    if (patch.area_m2 > 0) part.developed_area_m2 *= part.area_m2 / patch.area_m2;
    return part;
}

/// Whether a rectangle with a hair about it meets a region.
bool reaches(const ReachAlong& extent, const PlaneRegion& region) {
    const Vec2 low = extent.low_m - Vec2::Constant(snap_distance_m);
    const Vec2 high = extent.high_m + Vec2::Constant(snap_distance_m);
    const ConvexPolygon box{low, Vec2(high.x(), low.y()), high, Vec2(low.x(), high.y())};
    return !PlaneRegion::union_of({&box, 1}).within(region).empty();
}

struct Heights {
    double low_m = std::numeric_limits<double>::infinity(), high_m = -low_m;
};

Heights heights_of(const Patch& patch) {
    Heights heights;
    for (const ConvexPolygon& polygon : patch.outline) {
        for (const Vec2& corner : polygon) {
            const double z = patch.frame.to_space(corner).z();
            heights.low_m = std::min(heights.low_m, z);
            heights.high_m = std::max(heights.high_m, z);
        }
    }
    return heights;
}

}  // namespace

std::optional<OverhangZone> find_overhang_zone(std::span<const Patch> skin,
                                               const RoomPlan& plan_of_room) {
    if (skin.empty()) return std::nullopt;
    OverhangZone zone;
    zone.plan.origin_m = skin.front().frame.origin_m;
    const Walls walls = walls_of(skin, zone.plan);
    zone.has_loggia = !plan_of_room.loggias_m.empty();
    const PlaneRegion room = zone.has_loggia ? enclosed_by(walls.strips, zone.plan, plan_of_room)
                                             : enclosed_by(walls.strips);
    if (room.empty()) return std::nullopt;
    const PlaneRegion with_relief = room.grown(relief_depth_m);
    std::vector<ConvexPolygon> plan;
    for (const Patch& patch : skin) {
        if (!is_upright(patch)) add_shadow(patch, zone.plan, plan);
    }
    for (const PlaneRegion& part : PlaneRegion::union_of(plan).without(room).parts()) {
        if (part.without(with_relief).area_m2() >= least_overhang_m2)
            zone.region = zone.region.with(part);
    }
    if (zone.region.empty()) return std::nullopt;
    zone.past_relief = zone.region.without(with_relief);
    ReachAlong extent;
    extent.add(zone.region);
    zone.low_m = extent.low_m - Vec2::Constant(snap_distance_m);
    zone.high_m = extent.high_m + Vec2::Constant(snap_distance_m);
    zone.middle_z_m = (walls.low_m + walls.high_m) / 2;
    return zone;
}

CutPatch cut_at_walls(const Patch& patch, const OverhangZone& zone) {
    ReachAlong extent;
    for (const ConvexPolygon& polygon : patch.outline) {
        for (const Vec2& corner : polygon)
            extent.add(zone.plan.to_plane(patch.frame.to_space(corner)));
    }
    if ((extent.low_m.array() > zone.high_m.array()).any() ||
        (extent.high_m.array() < zone.low_m.array()).any() || !reaches(extent, zone.past_relief))
        return {patch, std::nullopt};
    const PlaneRegion whole = projected(patch, patch.frame);
    const PlaneRegion past_relief = lying_on(patch, zone.plan, zone.past_relief);
    if (whole.within(past_relief).area_m2() < least_piece_m2) return {patch, std::nullopt};
    const PlaneRegion beyond = whole.within(lying_on(patch, zone.plan, zone.region));
    const PlaneRegion within = whole.without(beyond);
    if (within.area_m2() < least_piece_m2) return {std::nullopt, patch};
    return {part_of(patch, within), part_of(patch, beyond)};
}

std::vector<UnitOverhang> overhangs_by_height(std::vector<OverhangPatch> patches,
                                              const OverhangZone& zone) {
    std::ranges::stable_sort(patches, std::ranges::greater{},
                             [](const OverhangPatch& of) { return heights_of(of.patch).high_m; });
    std::vector<UnitOverhang> overhangs;
    std::vector<Heights> reach;
    for (OverhangPatch& of : patches) {
        const Heights heights = heights_of(of.patch);
        if (overhangs.empty() || heights.high_m < reach.back().low_m - same_overhang_m) {
            overhangs.emplace_back();
            reach.push_back(heights);
        }
        reach.back().low_m = std::min(reach.back().low_m, heights.low_m);
        overhangs.back().patches.push_back(std::move(of));
    }
    for (std::size_t k = 0; k < overhangs.size(); ++k) {
        overhangs[k].low = (reach[k].low_m + reach[k].high_m) / 2 < zone.middle_z_m;
        overhangs[k].loggia =
            zone.has_loggia && reach[k].high_m - reach[k].low_m >= least_room_height_m;
    }
    return overhangs;
}

}  // namespace noonshell
