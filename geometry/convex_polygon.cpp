#include "geometry/convex_polygon.hpp"

#include <cmath>
#include <cstddef>
#include <utility>

namespace noonshell {

namespace {

double cross(const Vec2& a, const Vec2& b) {
    return a.x() * b.y() - a.y() * b.x();
}

bool same_point(const Vec2& a, const Vec2& b) {
    return (a - b).squaredNorm() <= corner_tolerance_m * corner_tolerance_m;
}

/// Signed distance of `point` to the left of the line through `from` along unit `direction`.
double left_distance(const Vec2& point, const Vec2& from, const Vec2& direction) {
    return cross(direction, point - from);
}

/// -1, 0 or 1: right of the line, on it, left of it.
int side_of(double distance) {
    return distance > snap_distance_m ? 1 : (distance < -snap_distance_m ? -1 : 0);
}

/// Whether `corner` bends to the left, or not at all within the tolerance.
bool is_convex_corner(const Vec2& before, const Vec2& corner, const Vec2& after) {
    const Vec2 chord = after - before;
    const double length = chord.norm();
    if (length <= corner_tolerance_m) return false;
    return cross(chord, corner - before) / length <= corner_tolerance_m;
}

}  // namespace

double signed_area(const ConvexPolygon& polygon) {
    double twice = 0;
    for (std::size_t k = 1; k + 1 < polygon.size(); ++k) {
        twice += cross(polygon[k] - polygon[0], polygon[k + 1] - polygon[0]);
    }
    return twice / 2;
}

Vec2 area_centroid(const ConvexPolygon& polygon) {
    if (polygon.empty()) return Vec2::Zero();
    Vec2 moment = Vec2::Zero(), corner_sum = Vec2::Zero();
    double twice = 0;
    for (std::size_t k = 1; k + 1 < polygon.size(); ++k) {
        const Vec2 p = polygon[k] - polygon[0], q = polygon[k + 1] - polygon[0];
        const double part = cross(p, q);
        twice += part;
        moment += part * (p + q) / 3;
    }
    if (twice != 0) return polygon[0] + moment / twice;
    for (const Vec2& corner : polygon) corner_sum += corner;
    return corner_sum / static_cast<double>(polygon.size());
}

SplitPolygon split(const ConvexPolygon& polygon, const Vec2& from, const Vec2& to) {
    const Vec2 direction = (to - from).normalized();
    bool any_left = false, any_right = false;
    for (const Vec2& corner : polygon) {
        const int side = side_of(left_distance(corner, from, direction));
        any_left |= side > 0;
        any_right |= side < 0;
    }
    if (!any_right) return {polygon, {}};
    if (!any_left) return {{}, polygon};

    SplitPolygon parts;
    for (std::size_t k = 0; k < polygon.size(); ++k) {
        const Vec2 &here = polygon[k], &next = polygon[(k + 1) % polygon.size()];
        const double d_here = left_distance(here, from, direction);
        const double d_next = left_distance(next, from, direction);
        const int side = side_of(d_here), side_next = side_of(d_next);
        if (side >= 0) parts.left.push_back(here);
        if (side <= 0) parts.right.push_back(here);
        if (side * side_next < 0) {
            const Vec2 crossing = here + (next - here) * (d_here / (d_here - d_next));
            parts.left.push_back(crossing);
            parts.right.push_back(crossing);
        }
    }
    return parts;
}

CutPolygon cut(const ConvexPolygon& polygon, const ConvexPolygon& cutter) {
    CutPolygon result;
    if (cutter.size() < 3) {
        result.outside.push_back(polygon);
        return result;
    }
    ConvexPolygon rest = polygon;
    for (std::size_t k = 0; k < cutter.size() && !rest.empty(); ++k) {
        const Vec2 &from = cutter[k], &to = cutter[(k + 1) % cutter.size()];
        if (same_point(from, to)) continue;
        SplitPolygon parts = split(rest, from, to);
        if (!parts.right.empty()) result.outside.push_back(std::move(parts.right));
        rest = std::move(parts.left);
    }
    if (rest.empty()) {
        result.outside.assign(1, polygon);  // nothing in common: hand the polygon back uncut
    } else {
        result.inside = std::move(rest);
    }
    return result;
}

ConvexPolygon intersection(const ConvexPolygon& a, const ConvexPolygon& b) {
    return cut(a, b).inside;
}

std::vector<ConvexPolygon> difference(const ConvexPolygon& a, const ConvexPolygon& b) {
    return cut(a, b).outside;
}

std::optional<ConvexPolygon> joined(const ConvexPolygon& a, const ConvexPolygon& b) {
    const std::size_t na = a.size(), nb = b.size();
    for (std::size_t i = 0; i < na; ++i) {
        const Vec2 &start = a[i], &end = a[(i + 1) % na];
        for (std::size_t j = 0; j < nb; ++j) {
            if (!same_point(start, b[(j + 1) % nb]) || !same_point(end, b[j])) continue;
            // The edge runs a[i] -> a[i+1] and b[j] -> b[j+1] the other way round.
            const Vec2 &before_start = a[(i + na - 1) % na], &after_start = b[(j + 2) % nb];
            const Vec2 &before_end = b[(j + nb - 1) % nb], &after_end = a[(i + 2) % na];
            if (!is_convex_corner(before_start, start, after_start) ||
                !is_convex_corner(before_end, end, after_end)) {
                return std::nullopt;
            }
            ConvexPolygon whole;
            whole.reserve(na + nb - 2);
            for (std::size_t k = 1; k <= na; ++k) whole.push_back(a[(i + k) % na]);
            for (std::size_t k = 2; k < nb; ++k) whole.push_back(b[(j + k) % nb]);
            return whole;
        }
    }
    return std::nullopt;
}

void join_pieces(std::vector<ConvexPolygon>& pieces) {
    bool changed = true;
    while (changed) {
        changed = false;
        for (std::size_t i = 0; i < pieces.size(); ++i) {
            for (std::size_t j = i + 1; j < pieces.size();) {
                auto whole = joined(pieces[i], pieces[j]);
                if (!whole) {
                    ++j;
                    continue;
                }
                pieces[i] = std::move(*whole);
                pieces.erase(pieces.begin() + static_cast<std::ptrdiff_t>(j));
                changed = true;
            }
        }
    }
    // Only now: an idle corner may be where two neighbours meet.
    for (ConvexPolygon& piece : pieces) piece = without_idle_corners(piece);
}

ConvexPolygon without_idle_corners(const ConvexPolygon& polygon) {
    ConvexPolygon kept = polygon;
    std::size_t k = 0;
    while (kept.size() > 3 && k < kept.size()) {
        const Vec2& before = kept[(k + kept.size() - 1) % kept.size()];
        const Vec2& after = kept[(k + 1) % kept.size()];
        const Vec2 chord = after - before;
        const double length = chord.norm();
        const bool idle =
            same_point(kept[k], before) ||
            (length > corner_tolerance_m &&
             std::abs(cross(chord, kept[k] - before)) / length < corner_tolerance_m / 10);
        if (idle) {
            kept.erase(kept.begin() + static_cast<std::ptrdiff_t>(k));
        } else {
            ++k;
        }
    }
    return kept;
}

}  // namespace noonshell
