#include "geometry/visible_parts.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>

namespace noonshell {

namespace {

/// Triangles of less are seen edge-on [m2].
constexpr double least_seen_area_m2 = 1e-9;

/// As seen: corners in the picture, and heights toward the viewer, a plane over it.
struct SeenTriangle {
    std::array<Vec2, 3> at_m;
    std::array<double, 3> height_m{};
    Vec2 slope{0, 0};  ///< of the height
    Vec2 low_m, high_m;
    double lowest_m = 0, highest_m = 0;
    std::uint32_t item = 0;

    double height_over(const Vec2& place_m) const {
        return height_m[0] + slope.dot(place_m - at_m[0]);
    }
    bool apart_from(const SeenTriangle& other) const {
        return (low_m.array() >= other.high_m.array()).any() ||
               (other.low_m.array() >= high_m.array()).any();
    }
};

std::vector<SeenTriangle> seen_from(std::span<const ViewTriangle> triangles,
                                    const ViewFrame& view) {
    std::vector<SeenTriangle> all;
    for (const ViewTriangle& triangle : triangles) {
        SeenTriangle seen;
        seen.item = triangle.item;
        for (std::size_t k = 0; k < 3; ++k) {
            seen.at_m[k] = view.place_m(triangle.corners_m[k]);
            seen.height_m[k] = view.height_m(triangle.corners_m[k]);
        }
        const Vec2 a = seen.at_m[1] - seen.at_m[0], b = seen.at_m[2] - seen.at_m[0];
        const double twice_area = a.x() * b.y() - a.y() * b.x();
        if (std::abs(twice_area) < 2 * least_seen_area_m2) continue;
        const double up_a = seen.height_m[1] - seen.height_m[0];
        const double up_b = seen.height_m[2] - seen.height_m[0];
        seen.slope = {(up_a * b.y() - up_b * a.y()) / twice_area,
                      (up_b * a.x() - up_a * b.x()) / twice_area};
        seen.low_m = seen.at_m[0].cwiseMin(seen.at_m[1]).cwiseMin(seen.at_m[2]);
        seen.high_m = seen.at_m[0].cwiseMax(seen.at_m[1]).cwiseMax(seen.at_m[2]);
        std::tie(seen.lowest_m, seen.highest_m) = std::minmax(
            {seen.height_m[0], seen.height_m[1], seen.height_m[2]}, std::less<double>());
        all.push_back(seen);
    }
    return all;
}

/// The part of `front` that lies higher than `behind` by more than `margin_m`.
ConvexPolygon part_above(const SeenTriangle& front, const SeenTriangle& behind, double margin_m) {
    std::array<double, 3> above{};
    for (std::size_t k = 0; k < 3; ++k)
        above[k] = front.height_m[k] - behind.height_over(front.at_m[k]) - margin_m;
    ConvexPolygon part;
    for (std::size_t k = 0; k < 3; ++k) {
        const std::size_t next = (k + 1) % 3;
        if (above[k] > 0) part.push_back(front.at_m[k]);
        if ((above[k] > 0) == (above[next] > 0)) continue;
        const double share = above[k] / (above[k] - above[next]);
        part.emplace_back(front.at_m[k] + share * (front.at_m[next] - front.at_m[k]));
    }
    return part;
}

/// Triangles by the squares of a grid that their extents reach.
class ViewGrid {
  public:
    explicit ViewGrid(const std::vector<SeenTriangle>& triangles)
        : triangles_(triangles), stamp_(triangles.size(), 0) {
        low_m_ = high_m_ = triangles.front().low_m;
        for (const SeenTriangle& t : triangles) {
            low_m_ = low_m_.cwiseMin(t.low_m);
            high_m_ = high_m_.cwiseMax(t.high_m);
        }
        n_ = std::clamp(static_cast<int>(std::sqrt(static_cast<double>(triangles.size()))), 1, 256);
        squares_.resize(static_cast<std::size_t>(n_) * static_cast<std::size_t>(n_));
        for (std::uint32_t t = 0; t < triangles.size(); ++t)
            visit(triangles[t], [t](std::vector<std::uint32_t>& square) { square.push_back(t); });
    }

    /// Those whose extents overlap that of triangle `of`, ascending.
    std::vector<std::uint32_t> near(std::uint32_t of) {
        std::vector<std::uint32_t> found;
        const std::uint32_t mark = of + 1;
        visit(triangles_[of], [&](const std::vector<std::uint32_t>& square) {
            for (const std::uint32_t t : square) {
                if (stamp_[t] == mark) continue;
                stamp_[t] = mark;
                if (t != of && !triangles_[t].apart_from(triangles_[of])) found.push_back(t);
            }
        });
        std::sort(found.begin(), found.end());
        return found;
    }

  private:
    template <class Work>
    void visit(const SeenTriangle& triangle, const Work& work) {
        const auto first = square_of(triangle.low_m), last = square_of(triangle.high_m);
        for (int y = first[1]; y <= last[1]; ++y) {
            for (int x = first[0]; x <= last[0]; ++x) work(squares_[square_number(x, y)]);
        }
    }
    std::size_t square_number(int x, int y) const {
        return static_cast<std::size_t>(y) * static_cast<std::size_t>(n_) +
               static_cast<std::size_t>(x);
    }
    std::array<int, 2> square_of(const Vec2& place_m) const {
        std::array<int, 2> square{};
        for (int k = 0; k < 2; ++k) {
            const double width = high_m_[k] - low_m_[k];
            square[static_cast<std::size_t>(k)] =
                std::clamp(static_cast<int>(n_ * (place_m[k] - low_m_[k]) / width), 0, n_ - 1);
        }
        return square;
    }

    const std::vector<SeenTriangle>& triangles_;
    std::vector<std::uint32_t> stamp_;
    std::vector<std::vector<std::uint32_t>> squares_;
    Vec2 low_m_, high_m_;
    int n_ = 1;
};

}  // namespace

std::vector<PlaneRegion> visible_parts(std::span<const ViewTriangle> triangles, std::size_t n_items,
                                       const ViewFrame& view) {
    std::vector<PlaneRegion> regions(n_items);
    const std::vector<SeenTriangle> seen = seen_from(triangles, view);
    if (seen.empty()) return regions;
    ViewGrid grid(seen);
    std::vector<std::vector<PlaneRegion>> pieces(n_items);
    for (std::uint32_t t = 0; t < seen.size(); ++t) {
        const SeenTriangle& own = seen[t];
        std::vector<ConvexPolygon> hiding;
        for (const std::uint32_t other : grid.near(t)) {
            if (seen[other].highest_m < own.lowest_m - same_plane_m) continue;
            const double margin_m = other < t ? -same_plane_m : same_plane_m;
            ConvexPolygon part = part_above(seen[other], own, margin_m);
            if (part.size() >= 3) hiding.push_back(std::move(part));
        }
        const std::array<ConvexPolygon, 1> whole = {
            ConvexPolygon(own.at_m.begin(), own.at_m.end())};
        PlaneRegion region = PlaneRegion::union_of(whole);
        if (!hiding.empty()) region = region.without(PlaneRegion::union_of(hiding));
        if (!region.empty()) pieces[own.item].push_back(std::move(region));
    }
    for (std::size_t i = 0; i < n_items; ++i) regions[i] = PlaneRegion::union_of(pieces[i]);
    return regions;
}

}  // namespace noonshell
