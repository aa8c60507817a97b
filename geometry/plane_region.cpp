#include "geometry/plane_region.hpp"

#include <algorithm>
#include <cmath>
#include <polyclipping/clipper.hpp>

namespace noonshell {

/// Between our rings and those of the polygon library.
struct RegionRings {
    static ClipperLib::Paths paths_of(const PlaneRegion& region) {
        ClipperLib::Paths paths;
        for (const PlaneRegion::Ring& ring : region.rings_) {
            ClipperLib::Path path;
            for (const auto& [x, y] : ring) path.emplace_back(x, y);
            paths.push_back(std::move(path));
        }
        return paths;
    }

    /// Rings in a fixed order: each begins at its least corner, and the rings are sorted.
    static PlaneRegion region_of(const ClipperLib::Paths& paths) {
        PlaneRegion region;
        for (const ClipperLib::Path& path : paths) {
            PlaneRegion::Ring ring;
            for (const ClipperLib::IntPoint& p : path) ring.push_back({p.X, p.Y});
            std::rotate(ring.begin(), std::min_element(ring.begin(), ring.end()), ring.end());
            region.rings_.push_back(std::move(ring));
        }
        std::sort(region.rings_.begin(), region.rings_.end());
        return region;
    }

    static PlaneRegion combined(ClipperLib::ClipType how, const ClipperLib::Paths& first,
                                const ClipperLib::Paths& second) {
        ClipperLib::Clipper clipper;
        clipper.AddPaths(first, ClipperLib::ptSubject, true);
        clipper.AddPaths(second, ClipperLib::ptClip, true);
        ClipperLib::Paths out;
        clipper.Execute(how, out, ClipperLib::pftNonZero, ClipperLib::pftNonZero);
        return region_of(out);
    }
};

namespace {

std::int64_t on_grid(double coordinate_m) {
    return std::llround(coordinate_m / PlaneRegion::step_m);
}

/// Corners that an offset of square corners turns by no more than this stay sharp.
constexpr double miter_limit = 3.0;

/// Steps in an outline lower than this are straightened when gaps are closed [m].
constexpr double jog_m = 1e-4;

ClipperLib::Paths offset(const ClipperLib::Paths& paths, double distance_m) {
    ClipperLib::ClipperOffset grower(miter_limit);
    grower.AddPaths(paths, ClipperLib::jtMiter, ClipperLib::etClosedPolygon);
    ClipperLib::Paths out;
    grower.Execute(out, distance_m / PlaneRegion::step_m);
    return out;
}

/// An edge of a ring across a strip between two abscissas.
struct StripEdge {
    double left_m, right_m;  ///< ordinate at the strip's left and right end
};

}  // namespace

PlaneRegion PlaneRegion::union_of(std::span<const ConvexPolygon> polygons) {
    ClipperLib::Paths paths;
    for (const ConvexPolygon& polygon : polygons) {
        ClipperLib::Path path;
        for (const Vec2& p : polygon) path.emplace_back(on_grid(p.x()), on_grid(p.y()));
        // A polygon seen from behind runs clockwise; what it covers is the same.
        if (!ClipperLib::Orientation(path)) ClipperLib::ReversePath(path);
        paths.push_back(std::move(path));
    }
    return RegionRings::combined(ClipperLib::ctUnion, paths, {});
}

PlaneRegion PlaneRegion::union_of(std::span<const PlaneRegion> regions) {
    ClipperLib::Paths paths;
    for (const PlaneRegion& region : regions) {
        for (auto& path : RegionRings::paths_of(region)) paths.push_back(std::move(path));
    }
    return RegionRings::combined(ClipperLib::ctUnion, paths, {});
}

double PlaneRegion::area_m2() const {
    double area = 0;
    for (const auto& path : RegionRings::paths_of(*this)) area += ClipperLib::Area(path);
    return area * step_m * step_m;
}

double PlaneRegion::perimeter_m() const {
    double steps = 0;
    for (const Ring& ring : rings_) {
        for (std::size_t k = 0; k < ring.size(); ++k) {
            const Corner &a = ring[k], &b = ring[(k + 1) % ring.size()];
            steps += std::hypot(static_cast<double>(b[0] - a[0]), static_cast<double>(b[1] - a[1]));
        }
    }
    return steps * step_m;
}

PlaneRegion PlaneRegion::closed(double gap_m) const {
    if (!(gap_m > 0)) return *this;
    const auto grown = offset(RegionRings::paths_of(*this), gap_m / 2);
    const PlaneRegion shrunk = RegionRings::region_of(offset(grown, -gap_m / 2));
    // Sharp tips are blunted by the offsets: nothing of the region itself may go.
    ClipperLib::Paths paths = RegionRings::paths_of(shrunk.with(*this));
    ClipperLib::CleanPolygons(paths, jog_m / step_m);
    return RegionRings::region_of(paths);
}

PlaneRegion PlaneRegion::grown(double distance_m) const {
    return RegionRings::region_of(offset(RegionRings::paths_of(*this), distance_m));
}

PlaneRegion PlaneRegion::with(const PlaneRegion& other) const {
    return RegionRings::combined(ClipperLib::ctUnion, RegionRings::paths_of(*this),
                                 RegionRings::paths_of(other));
}

PlaneRegion PlaneRegion::without(const PlaneRegion& other) const {
    return RegionRings::combined(ClipperLib::ctDifference, RegionRings::paths_of(*this),
                                 RegionRings::paths_of(other));
}

PlaneRegion PlaneRegion::within(const PlaneRegion& other) const {
    return RegionRings::combined(ClipperLib::ctIntersection, RegionRings::paths_of(*this),
                                 RegionRings::paths_of(other));
}

PlaneRegion PlaneRegion::filled() const {
    ClipperLib::Paths outer;
    for (auto& path : RegionRings::paths_of(*this)) {
        if (ClipperLib::Orientation(path)) outer.push_back(std::move(path));
    }
    return RegionRings::combined(ClipperLib::ctUnion, outer, {});
}

std::vector<PlaneRegion> PlaneRegion::holes() const {
    std::vector<PlaneRegion> holes;
    for (auto& path : RegionRings::paths_of(*this)) {
        if (ClipperLib::Orientation(path)) continue;
        ClipperLib::ReversePath(path);
        holes.push_back(RegionRings::region_of({path}));
    }
    std::stable_sort(holes.begin(), holes.end(), [](const PlaneRegion& a, const PlaneRegion& b) {
        return a.area_m2() > b.area_m2();
    });
    return holes;
}

std::vector<PlaneRegion> PlaneRegion::parts() const {
    ClipperLib::Clipper clipper;
    clipper.AddPaths(RegionRings::paths_of(*this), ClipperLib::ptSubject, true);
    ClipperLib::PolyTree tree;
    clipper.Execute(ClipperLib::ctUnion, tree, ClipperLib::pftNonZero, ClipperLib::pftNonZero);
    std::vector<PlaneRegion> parts;
    for (const auto* node = tree.GetFirst(); node != nullptr; node = node->GetNext()) {
        if (node->IsHole()) continue;
        ClipperLib::Paths paths{node->Contour};
        for (const auto* hole : node->Childs) paths.push_back(hole->Contour);
        parts.push_back(RegionRings::region_of(paths));
    }
    std::ranges::stable_sort(parts, [](const PlaneRegion& p, const PlaneRegion& q) {
        const double a = p.area_m2(), b = q.area_m2();
        return a != b ? a > b : p.rings_ < q.rings_;
    });
    return parts;
}

bool PlaneRegion::contains(const Vec2& point_m) const {
    const ClipperLib::IntPoint point(on_grid(point_m.x()), on_grid(point_m.y()));
    int winding = 0;
    for (const auto& path : RegionRings::paths_of(*this)) {
        if (ClipperLib::PointInPolygon(point, path) != 0) {
            winding += ClipperLib::Orientation(path) ? 1 : -1;
        }
    }
    return winding != 0;
}

std::vector<std::vector<Vec2>> PlaneRegion::outlines_m() const {
    std::vector<std::vector<Vec2>> outlines;
    for (const Ring& ring : rings_) {
        std::vector<Vec2>& outline = outlines.emplace_back();
        for (const auto& [x, y] : ring)
            outline.emplace_back(static_cast<double>(x) * step_m, static_cast<double>(y) * step_m);
    }
    return outlines;
}

std::vector<ConvexPolygon> PlaneRegion::convex_pieces() const {
    std::vector<std::int64_t> cuts;
    for (const Ring& ring : rings_) {
        for (const Corner& corner : ring) cuts.push_back(corner[0]);
    }
    std::sort(cuts.begin(), cuts.end());
    cuts.erase(std::unique(cuts.begin(), cuts.end()), cuts.end());

    // Between two neighbouring abscissas no edge ends, so the edges there bound trapezoids.
    std::vector<ConvexPolygon> pieces;
    for (std::size_t c = 0; c + 1 < cuts.size(); ++c) {
        const std::int64_t left = cuts[c], right = cuts[c + 1];
        std::vector<StripEdge> edges;
        for (const Ring& ring : rings_) {
            for (std::size_t k = 0; k < ring.size(); ++k) {
                Corner a = ring[k], b = ring[(k + 1) % ring.size()];
                if (a[0] > b[0]) std::swap(a, b);
                if (a[0] > left || b[0] < right || a[0] == b[0]) continue;
                const double slope =
                    static_cast<double>(b[1] - a[1]) / static_cast<double>(b[0] - a[0]);
                const auto at = [&](std::int64_t x) {
                    if (x == a[0]) return static_cast<double>(a[1]) * step_m;
                    if (x == b[0]) return static_cast<double>(b[1]) * step_m;
                    return (static_cast<double>(a[1]) + slope * static_cast<double>(x - a[0])) *
                           step_m;
                };
                edges.push_back({at(left), at(right)});
            }
        }
        std::sort(edges.begin(), edges.end(), [](const StripEdge& p, const StripEdge& q) {
            return p.left_m + p.right_m < q.left_m + q.right_m;
        });
        const double x0 = static_cast<double>(left) * step_m;
        const double x1 = static_cast<double>(right) * step_m;
        for (std::size_t k = 0; k + 1 < edges.size(); k += 2) {
            const StripEdge& low = edges[k];
            const StripEdge& high = edges[k + 1];
            const ConvexPolygon piece = without_idle_corners(
                {{x0, low.left_m}, {x1, low.right_m}, {x1, high.right_m}, {x0, high.left_m}});
            if (piece.size() >= 3 && signed_area(piece) > 0) pieces.push_back(piece);
        }
    }
    join_pieces(pieces);
    return pieces;
}

}  // namespace noonshell
