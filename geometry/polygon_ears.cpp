#include "geometry/polygon_ears.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

namespace noonshell {

namespace {

using Eigen::Vector2d;
using Triangles = std::vector<std::array<std::uint32_t, 3>>;

/// Twice a triangle's area over the square of its longest side: below this its corners count as
/// standing in one line.
constexpr double least_ear_height = 1e-9;

double cross(const Vector2d& a, const Vector2d& b, const Vector2d& c) {
    return (b.x() - a.x()) * (c.y() - a.y()) - (b.y() - a.y()) * (c.x() - a.x());
}

/// True when the triangle runs counter-clockwise and is not a line.
bool turns_left(const Vector2d& a, const Vector2d& b, const Vector2d& c) {
    const double longest =
        std::max({(b - a).squaredNorm(), (c - b).squaredNorm(), (a - c).squaredNorm()});
    return cross(a, b, c) > least_ear_height * longest;
}

/// True when two segments share a point.
bool meet(const Vector2d& a, const Vector2d& b, const Vector2d& c, const Vector2d& d) {
    const auto apart = [](double p, double q, double r, double s) {
        return std::max(p, q) < std::min(r, s) || std::max(r, s) < std::min(p, q);
    };
    if (apart(a.x(), b.x(), c.x(), d.x()) || apart(a.y(), b.y(), c.y(), d.y())) return false;
    const auto same_side = [](double p, double q) { return (p > 0 && q > 0) || (p < 0 && q < 0); };
    return !same_side(cross(a, b, c), cross(a, b, d)) && !same_side(cross(c, d, a), cross(c, d, b));
}

double double_area(const std::vector<Vector2d>& ring) {
    double sum = 0;
    for (std::size_t i = 1; i + 1 < ring.size(); ++i) sum += cross(ring[0], ring[i], ring[i + 1]);
    return sum;
}

class Cutter {
  public:
    explicit Cutter(const PolygonRings& rings) {
        for (const auto& ring : rings) {
            const auto first = static_cast<std::uint32_t>(points_.size());
            const auto n = static_cast<std::uint32_t>(ring.size());
            for (std::uint32_t i = 0; i < n; ++i) {
                points_.push_back(ring[i]);
                edges_.emplace_back(first + i, first + (i + 1) % n);
            }
        }
    }

    std::optional<Triangles> run(const PolygonRings& rings) {
        if (rings.size() == 1 && is_convex_with_four()) return Triangles{shorter_cut()};
        if (!is_simple() || !join(rings)) return std::nullopt;
        return cut();
    }

  private:
    /// Of four corners that all turn left the outline is convex: it cannot wind round twice.
    bool is_convex_with_four() const;
    Triangles shorter_cut() const;
    bool is_simple() const;
    bool join(const PolygonRings& rings);
    bool join_hole(std::uint32_t first, std::uint32_t n);
    bool sees(std::uint32_t from, std::uint32_t to) const;
    std::optional<Triangles> cut();
    double ear_cut(std::size_t at) const;

    const Vector2d& corner(std::size_t at) const { return points_[polygon_[at]]; }

    std::vector<Vector2d> points_;
    std::vector<std::pair<std::uint32_t, std::uint32_t>> edges_;  ///< of the rings and of the joins
    std::vector<std::uint32_t> polygon_;                          ///< outline with the holes joined
    std::vector<std::size_t> before_, after_;                     ///< what is left of it, as a ring
};

bool Cutter::is_convex_with_four() const {
    const std::size_t n = points_.size();
    if (n > 4) return false;
    for (std::size_t i = 0; i < n; ++i) {
        if (!turns_left(points_[i], points_[(i + 1) % n], points_[(i + 2) % n])) return false;
    }
    return true;
}

Triangles Cutter::shorter_cut() const {
    if (points_.size() == 3) return {{0, 1, 2}};
    const bool first = (points_[2] - points_[0]).norm() <= (points_[3] - points_[1]).norm();
    if (first) return {{0, 1, 2}, {0, 2, 3}};
    return {{1, 2, 3}, {1, 3, 0}};
}

bool Cutter::is_simple() const {
    for (std::size_t i = 0; i < edges_.size(); ++i) {
        const auto [a, b] = edges_[i];
        for (std::size_t j = i + 1; j < edges_.size(); ++j) {
            const auto [c, d] = edges_[j];
            if (b == c || a == d) {
                // Neighbours that fold back on each other.
                const std::uint32_t middle = b == c ? b : a, one = b == c ? a : b,
                                    other = b == c ? d : c;
                const Vector2d u = points_[one] - points_[middle];
                const Vector2d v = points_[other] - points_[middle];
                const double across = u.x() * v.y() - u.y() * v.x();
                if (u.dot(v) > 0 && std::abs(across) <= least_ear_height * u.norm() * v.norm()) {
                    return false;
                }
            } else if (meet(points_[a], points_[b], points_[c], points_[d])) {
                return false;
            }
        }
    }
    return true;
}

bool Cutter::join(const PolygonRings& rings) {
    std::uint32_t first = 0;
    std::vector<std::pair<std::uint32_t, std::uint32_t>> holes;
    for (const auto& ring : rings) {
        const auto n = static_cast<std::uint32_t>(ring.size());
        const double area = double_area(ring);
        if (area > 0) {
            if (!polygon_.empty()) return false;
            for (std::uint32_t i = 0; i < n; ++i) polygon_.push_back(first + i);
        } else if (area < 0) {
            holes.emplace_back(first, n);
        } else {
            return false;
        }
        first += n;
    }
    if (polygon_.empty()) return false;
    // From right to left: what a hole sees to its right is the outline or a hole already joined.
    const auto rightmost = [&](const auto& hole) {
        double x = -std::numeric_limits<double>::infinity();
        for (std::uint32_t i = 0; i < hole.second; ++i)
            x = std::max(x, points_[hole.first + i].x());
        return -x;
    };
    std::ranges::stable_sort(holes, {}, rightmost);
    return std::ranges::all_of(holes, [&](const auto& h) { return join_hole(h.first, h.second); });
}

bool Cutter::join_hole(std::uint32_t first, std::uint32_t n) {
    std::uint32_t from = first;
    for (std::uint32_t i = first; i < first + n; ++i) {
        if (points_[i].x() > points_[from].x()) from = i;
    }
    double shortest = std::numeric_limits<double>::infinity();
    std::size_t best = polygon_.size();
    for (std::size_t k = 0; k < polygon_.size(); ++k) {
        const double length = (points_[polygon_[k]] - points_[from]).squaredNorm();
        // A corner where a join ends stands there twice; the side that faces the hole is wanted.
        const Vector2d& here = points_[polygon_[k]];
        const Vector2d& next = points_[polygon_[(k + 1) % polygon_.size()]];
        const Vector2d& last = points_[polygon_[(k + polygon_.size() - 1) % polygon_.size()]];
        const bool left_of_next = cross(here, next, points_[from]) > 0;
        const bool left_of_last = cross(last, here, points_[from]) > 0;
        const bool convex = cross(last, here, next) > 0;
        const bool faces = convex ? left_of_next && left_of_last : left_of_next || left_of_last;
        if (length >= shortest || !faces || !sees(from, polygon_[k])) continue;
        shortest = length;
        best = k;
    }
    if (best == polygon_.size()) return false;
    edges_.emplace_back(from, polygon_[best]);
    std::vector<std::uint32_t> way;
    for (std::uint32_t i = 0; i <= n; ++i) way.push_back(first + (from - first + i) % n);
    way.push_back(polygon_[best]);
    polygon_.insert(polygon_.begin() + static_cast<std::ptrdiff_t>(best) + 1, way.begin(),
                    way.end());
    return true;
}

bool Cutter::sees(std::uint32_t from, std::uint32_t to) const {
    return std::ranges::none_of(edges_, [&](const auto& edge) {
        const auto [a, b] = edge;
        if (a == from || a == to || b == from || b == to) return false;
        return meet(points_[from], points_[to], points_[a], points_[b]);
    });
}

/// Length of the cut that takes the corner off; infinite where it is no ear.
double Cutter::ear_cut(std::size_t at) const {
    constexpr double none = std::numeric_limits<double>::infinity();
    const std::size_t last = before_[at], next = after_[at];
    const Vector2d &a = corner(last), &b = corner(at), &c = corner(next);
    if (!turns_left(a, b, c)) return none;
    for (std::size_t i = after_[next]; i != last; i = after_[i]) {
        const std::uint32_t id = polygon_[i];
        if (id == polygon_[last] || id == polygon_[at] || id == polygon_[next]) continue;
        const Vector2d& p = points_[id];
        if (cross(a, b, p) >= 0 && cross(b, c, p) >= 0 && cross(c, a, p) >= 0) return none;
        // A corner that rounding puts just beside the cut would be left as a sliver.
        if (!turns_left(a, c, p) && !turns_left(c, a, p) && (p - a).dot(p - c) < 0) return none;
    }
    return (c - a).norm();
}

std::optional<Triangles> Cutter::cut() {
    const std::size_t n = polygon_.size();
    std::vector<double> cuts(n);
    before_.resize(n);
    after_.resize(n);
    for (std::size_t i = 0; i < n; ++i) {
        before_[i] = (i + n - 1) % n;
        after_[i] = (i + 1) % n;
    }
    for (std::size_t i = 0; i < n; ++i) cuts[i] = ear_cut(i);
    Triangles triangles;
    std::size_t any = 0;
    for (std::size_t left = n; left >= 3; --left) {
        std::size_t best = any;
        for (std::size_t i = after_[any]; i != any; i = after_[i]) {
            if (cuts[i] < cuts[best]) best = i;
        }
        if (!std::isfinite(cuts[best])) return std::nullopt;
        const std::size_t last = before_[best], next = after_[best];
        triangles.push_back({polygon_[last], polygon_[best], polygon_[next]});
        after_[last] = next;
        before_[next] = last;
        any = next;
        if (left == 3) break;
        cuts[last] = ear_cut(last);
        cuts[next] = ear_cut(next);
    }
    return triangles;
}

}  // namespace

std::optional<Triangles> cut_into_triangles(const PolygonRings& rings) {
    Cutter cutter(rings);
    return cutter.run(rings);
}

}  // namespace noonshell
