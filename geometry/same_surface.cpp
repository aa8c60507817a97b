#include "geometry/same_surface.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <numeric>

namespace noonshell {

namespace {

constexpr double same_centre_m = 1e-4;
constexpr double same_area = 1e-5;

}  // namespace

SurfaceMoments surface_moments(const TriangleMesh& mesh, std::size_t first, std::size_t last) {
    SurfaceMoments out;
    if (first == last) return out;
    const Vec3 origin = mesh.corner(first, 0);  // keeps digits far from the model's origin
    for (std::size_t t = first; t < last; ++t) {
        const Vec3 a = mesh.corner(t, 0) - origin, b = mesh.corner(t, 1) - origin,
                   c = mesh.corner(t, 2) - origin;
        const double area = (b - a).cross(c - a).norm() / 2;
        const Vec3 sum = a + b + c;
        out.area_m2 += area;
        out.centre_m += area * sum / 3;
        // The mean of x x^T over a triangle, exact.
        out.spread_m2 +=
            area / 12 *
            (sum * sum.transpose() + a * a.transpose() + b * b.transpose() + c * c.transpose());
    }
    if (!(out.area_m2 > 0)) return {};
    out.centre_m /= out.area_m2;
    out.spread_m2 = out.spread_m2 / out.area_m2 - out.centre_m * out.centre_m.transpose();
    out.centre_m += origin;
    return out;
}

bool same_surface(const SurfaceMoments& a, const SurfaceMoments& b) {
    // A shift of the surface by d changes the spread by about d times its size.
    const double size_m = std::sqrt(std::max(a.spread_m2.trace(), 0.0));
    return std::abs(a.area_m2 - b.area_m2) <= same_area * a.area_m2 &&
           (a.centre_m - b.centre_m).norm() <= same_centre_m &&
           (a.spread_m2 - b.spread_m2).cwiseAbs().maxCoeff() <=
               same_centre_m * size_m + same_area * size_m * size_m;
}

std::vector<std::size_t> first_of_same(const std::vector<SurfaceMoments>& items) {
    std::vector<std::size_t> order(items.size()), first(items.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::iota(first.begin(), first.end(), std::size_t{0});
    // Stacks share a coordinate, so the sweep runs along a line that no building follows.
    const Vec3 line(0.5773, 0.6347, 0.5138);
    const auto along = [&](std::size_t i) { return items[i].centre_m.dot(line); };
    std::ranges::stable_sort(order, {}, along);
    for (std::size_t i = 0; i < order.size(); ++i) {
        for (std::size_t j = i + 1; j < order.size(); ++j) {
            if (along(order[j]) - along(order[i]) > 2 * same_centre_m) break;
            if (!same_surface(items[order[i]], items[order[j]])) continue;
            const std::size_t low = std::min(first[order[i]], first[order[j]]);
            first[order[i]] = std::min(low, order[i]);
            first[order[j]] = std::min(low, order[j]);
        }
    }
    return first;
}

}  // namespace noonshell
