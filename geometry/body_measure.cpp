#include "geometry/body_measure.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <map>
#include <numeric>
#include <vector>

namespace noonshell {

namespace {

/// The triangles of a body, which are consecutive in the mesh.
struct TriangleRange {
    std::size_t begin = 0;
    std::size_t end = 0;
};

TriangleRange triangles_of(const Model& model, const Body& body) {
    if (body.n_faces == 0) return {};
    const Face& first = model.faces[body.first_face];
    const Face& last = model.faces[body.first_face + body.n_faces - 1];
    return {first.first_triangle, last.first_triangle + last.n_triangles};
}

/// Twice the area, along the normal.
Vec3 area_vector(const TriangleMesh& mesh, std::size_t triangle) {
    const Vec3 a = mesh.corner(triangle, 0);
    return (mesh.corner(triangle, 1) - a).cross(mesh.corner(triangle, 2) - a);
}

/// The direction (either way along it) that most area faces, among those at right angles to
/// `perpendicular_to` unless that is zero. Directions within about 0.6 degrees count as one.
Vec3 dominant_direction(const TriangleMesh& mesh, TriangleRange range,
                        const Vec3& perpendicular_to) {
    struct Bin {
        Vec3 sum{0, 0, 0};
        double area = 0;
    };
    std::map<std::array<long, 3>, Bin> bins;
    constexpr double bins_per_unit = 100;
    for (std::size_t t = range.begin; t < range.end; ++t) {
        Vec3 n = area_vector(mesh, t);
        n -= n.dot(perpendicular_to) * perpendicular_to;
        const double area = n.norm();
        if (!(area > 0)) continue;
        std::array<long, 3> key{};
        for (int k = 0; k < 3; ++k) {
            key[static_cast<std::size_t>(k)] = std::lround(n[k] / area * bins_per_unit);
        }
        if (key < std::array<long, 3>{}) {
            n = -n;
            for (long& k : key) k = -k;
        }
        Bin& bin = bins[key];
        bin.sum += n;
        bin.area += area;
    }
    const auto largest =
        std::ranges::max_element(bins, {}, [](const auto& entry) { return entry.second.area; });
    return largest == bins.end() ? Vec3::Zero() : largest->second.sum.normalized();
}

double extent_along(const TriangleMesh& mesh, TriangleRange range, const Vec3& axis) {
    double low = std::numeric_limits<double>::infinity(), high = -low;
    for (std::size_t t = range.begin; t < range.end; ++t) {
        for (int k = 0; k < 3; ++k) {
            const double x = mesh.corner(t, k).dot(axis);
            low = std::min(low, x);
            high = std::max(high, x);
        }
    }
    return high - low;
}

double least_extent(const TriangleMesh& mesh, TriangleRange range) {
    const Vec3 first = dominant_direction(mesh, range, Vec3::Zero());
    if (first.isZero()) return 0;
    Vec3 second = dominant_direction(mesh, range, first);
    if (second.isZero()) return extent_along(mesh, range, first);
    second = (second - second.dot(first) * first).normalized();
    const Vec3 third = first.cross(second);
    return std::min({extent_along(mesh, range, first), extent_along(mesh, range, second),
                     extent_along(mesh, range, third)});
}

/// Skins of a body: for each triangle the number of the connected piece that it belongs to. Faces
/// meet where their corners agree to a hundredth of a millimetre.
class Skins {
  public:
    Skins(const TriangleMesh& mesh, TriangleRange range) {
        for (std::size_t t = range.begin; t < range.end; ++t) {
            const std::size_t a = corner_of(mesh.corner(t, 0));
            unite(a, corner_of(mesh.corner(t, 1)));
            unite(a, corner_of(mesh.corner(t, 2)));
            triangle_corner_.push_back(a);
        }
    }
    std::size_t of(std::size_t triangle_in_range) {
        return root(triangle_corner_[triangle_in_range]);
    }

  private:
    std::size_t corner_of(const Vec3& p) {
        constexpr double cells_per_m = 1e5;
        const std::array<long, 3> key = {std::lround(p.x() * cells_per_m),
                                         std::lround(p.y() * cells_per_m),
                                         std::lround(p.z() * cells_per_m)};
        const auto [found, is_new] = corners_.try_emplace(key, parent_.size());
        if (is_new) parent_.push_back(found->second);
        return found->second;
    }
    std::size_t root(std::size_t i) {
        while (parent_[i] != i) i = parent_[i] = parent_[parent_[i]];
        return i;
    }
    void unite(std::size_t a, std::size_t b) { parent_[root(b)] = root(a); }

    std::map<std::array<long, 3>, std::size_t> corners_;
    std::vector<std::size_t> parent_;
    std::vector<std::size_t> triangle_corner_;
};

/// Volume and area of the skins that enclose something; hollows have a negative volume.
void measure_skins(const Model& model, TriangleRange range, const Vec3& origin, BodyMeasure& out) {
    struct Skin {
        double volume = 0;
        double area = 0;
    };
    Skins skins(model.mesh, range);
    std::map<std::size_t, Skin> measured;
    for (std::size_t t = range.begin; t < range.end; ++t) {
        Skin& skin = measured[skins.of(t - range.begin)];
        const Vec3 n = area_vector(model.mesh, t);
        skin.area += 0.5 * n.norm();
        skin.volume += (model.mesh.corner(t, 0) - origin).dot(n) / 6.0;
    }
    for (const auto& [root, skin] : measured) {
        if (skin.volume <= 0) {
            out.hollow_volume_m3 -= skin.volume;
            continue;
        }
        out.enclosed_volume_m3 += skin.volume;
        out.outer_area_m2 += skin.area;
    }
    if (out.outer_area_m2 > 0) out.thickness_m = 2 * out.enclosed_volume_m3 / out.outer_area_m2;
}

/// Which side a shell lacks, by the area that its lower and upper half show from above and each
/// side of it from there.
std::string_view open_side(const Model& model, TriangleRange range, const BodyBounds& bounds) {
    constexpr double least_there = 0.3, most_lacking = 0.1;  // shares of the box about it
    const Vec3 size = bounds.high_m - bounds.low_m;
    const Vec3 middle = 0.5 * (bounds.low_m + bounds.high_m);
    const Vec3 box_m2(size.y() * size.z(), size.x() * size.z(), size.x() * size.y());
    std::array<Vec3, 2> seen_m2{Vec3::Zero(),
                                Vec3::Zero()};  // below the middle and above, per axis
    for (std::size_t t = range.begin; t < range.end; ++t) {
        const Vec3 half = 0.5 * area_vector(model.mesh, t);
        const Vec3 at =
            (model.mesh.corner(t, 0) + model.mesh.corner(t, 1) + model.mesh.corner(t, 2)) / 3;
        for (Eigen::Index k = 0; k < 3; ++k) {
            seen_m2[at[k] > middle[k] ? 1 : 0][k] += std::abs(half[k]);
        }
    }
    const auto there = [&](std::size_t side, Eigen::Index axis) {
        return seen_m2[side][axis] >= least_there * box_m2[axis];
    };
    const auto lacking = [&](std::size_t side) {
        return seen_m2[side][2] <= most_lacking * box_m2[2];
    };
    if (!there(0, 0) || !there(1, 0) || !there(0, 1) || !there(1, 1)) return {};
    if (there(0, 2) && lacking(1)) return "above";
    if (there(1, 2) && lacking(0)) return "below";
    return {};
}

}  // namespace

BodyBounds bounds_of_body(const Model& model, BodyId id) {
    const TriangleRange range = triangles_of(model, model.bodies[id.index()]);
    BodyBounds out;
    if (range.begin == range.end) return out;
    out.low_m = out.high_m = model.mesh.corner(range.begin, 0);
    for (std::size_t t = range.begin; t < range.end; ++t) {
        for (int k = 0; k < 3; ++k) {
            out.low_m = out.low_m.cwiseMin(model.mesh.corner(t, k));
            out.high_m = out.high_m.cwiseMax(model.mesh.corner(t, k));
        }
    }
    return out;
}

bool is_filled_room(const BodyMeasure& measure) {
    constexpr double least_width_m = 0.8;  // walls of masonry and pillars are matter
    return measure.enclosed_volume_m3 > 0 && measure.thickness_m >= hollow_thickness_m &&
           measure.least_extent_m >= least_width_m && measure.hollow_volume_m3 <= 0;
}

BodyMeasure measure_body(const Model& model, BodyId id) {
    const Body& body = model.bodies[id.index()];
    const TriangleRange range = triangles_of(model, body);
    BodyMeasure out;
    if (range.begin == range.end) return out;
    out.least_extent_m = least_extent(model.mesh, range);
    if (body.solid) {
        const BodyBounds bounds = bounds_of_body(model, id);
        measure_skins(model, range, 0.5 * (bounds.low_m + bounds.high_m), out);
    } else {
        out.outer_area_m2 = body.area_m2;
        out.open_side = open_side(model, range, bounds_of_body(model, id));
    }
    return out;
}

}  // namespace noonshell
