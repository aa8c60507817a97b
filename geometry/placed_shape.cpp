#include "geometry/placed_shape.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <complex>
#include <limits>
#include <numbers>
#include <utility>
#include <vector>

#include "geometry/angles.hpp"

namespace noonshell {

namespace {

/// Upright faces whose directions, folded to a quarter turn, agree less than this have no heading.
constexpr double least_heading_share = 0.05;

/// Calls `use(triangle)` for every triangle of the bodies.
template <class Use>
void for_triangles(const Model& model, std::span<const BodyId> bodies, const Use& use) {
    for (const BodyId id : bodies) {
        const Body& body = model.bodies[id.index()];
        for (std::uint32_t f = body.first_face; f < body.first_face + body.n_faces; ++f) {
            const Face& face = model.faces[f];
            for (std::uint32_t t = 0; t < face.n_triangles; ++t) use(face.first_triangle + t);
        }
    }
}

/// Directions of upright faces, folded to a quarter turn: walls at right angles add up. The heading
/// is where most of them point alike; flanks of folds and cut ends would turn the mean of all.
class Heading {
  public:
    void add(const TriangleMesh& mesh, std::size_t t) {
        const Vec3 a = mesh.corner(t, 0);
        const Vec3 n = (mesh.corner(t, 1) - a).cross(mesh.corner(t, 2) - a);
        const std::complex<double> level(n.x(), n.y());
        const double length = std::abs(level);
        if (length == 0) return;
        const std::complex<double> folded = std::pow(level / length, 4);
        sum_ += length * folded;
        area_ += length;
        of_faces_.emplace_back(std::arg(folded), length);
    }

    bool none() const { return std::abs(sum_) <= least_heading_share * area_; }

    double radians() {
        if (none()) return 0.0;
        const double leading = leading_direction();
        std::complex<double> alike{0, 0};
        for (const auto& [angle, length] : of_faces_) {
            if (std::abs(std::remainder(angle - leading, turn)) <= alike_rad) {
                alike += std::polar(length, angle);
            }
        }
        return std::arg(alike) / 4;
    }

  private:
    static constexpr double turn = 2 * std::numbers::pi;
    static constexpr double alike_rad = 4 * 0.5 * degree;  // folded angles count four times

    /// The middle of the arc that holds the most area.
    double leading_direction() {
        std::sort(of_faces_.begin(), of_faces_.end());
        const std::size_t n = of_faces_.size();
        const auto at = [&](std::size_t i) {
            return of_faces_[i % n].first + (i >= n ? turn : 0.0);
        };
        double held = 0, most = -1, leading = 0;
        std::size_t end = 0;
        for (std::size_t begin = 0; begin < n; ++begin) {
            for (; end < begin + n && at(end) <= at(begin) + 2 * alike_rad; ++end) {
                held += of_faces_[end % n].second;
            }
            if (held > most * (1 + 1e-9)) {
                most = held;
                leading = at(begin) + 0.5 * (at(end - 1) - at(begin));
            }
            held -= of_faces_[begin].second;
        }
        return leading;
    }

    std::complex<double> sum_{0, 0};
    double area_ = 0;
    std::vector<std::pair<double, double>> of_faces_;  // folded angle, area
};

}  // namespace

PlacedShape placed_shape(const Model& model, std::span<const BodyId> bodies) {
    PlacedShape shape;
    Heading heading;
    for_triangles(model, bodies, [&](std::size_t t) { heading.add(model.mesh, t); });
    const double angle = heading.radians();
    const Vec3 along(std::cos(angle), std::sin(angle), 0);
    const Vec3 across(-along.y(), along.x(), 0);
    constexpr double far = std::numeric_limits<double>::infinity();
    Vec3 low(far, far, far), high(-far, -far, -far);
    for_triangles(model, bodies, [&](std::size_t t) {
        for (int k = 0; k < 3; ++k) {
            const Vec3 p = model.mesh.corner(t, k);
            const Vec3 q(p.dot(along), p.dot(across), p.z());
            low = low.cwiseMin(q);
            high = high.cwiseMax(q);
            shape.empty = false;
        }
    });
    for (const BodyId id : bodies) {
        shape.area_m2 += model.bodies[id.index()].area_m2;
        shape.volume_m3 += model.bodies[id.index()].volume_m3;
    }
    if (shape.empty) return shape;
    const Vec3 middle = 0.5 * (low + high);
    shape.centre_m = middle.x() * along + middle.y() * across + Vec3(0, 0, middle.z());
    shape.sizes_m = high - low;
    shape.round = heading.none();
    double deg = angle / degree;
    if (shape.sizes_m.y() > shape.sizes_m.x()) {
        std::swap(shape.sizes_m.x(), shape.sizes_m.y());
        deg += 90;
    }
    shape.heading_deg = deg - 180 * std::floor(deg / 180);
    if (shape.heading_deg > 180 - 1e-9) shape.heading_deg = 0;
    return shape;
}

}  // namespace noonshell
