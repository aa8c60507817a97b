#include "geometry/slats.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <optional>

#include "geometry/patches.hpp"
#include "geometry/shade_builder.hpp"
#include "geometry/sides.hpp"

namespace noonshell {

namespace {

constexpr std::size_t least_strips = 3;
constexpr double least_slat_length = 4;
/// Middles of neighbours, in widths: two widths of gap.
constexpr double most_spacing = 3;
constexpr double parallel_deg = 5;
constexpr double most_thickness_ratio = 2;

/// A body as a plate: extents along its largest side's normal and within that side.
struct Plate {
    Vec3 normal{0, 0, 1};
    Vec3 middle_m{0, 0, 0};
    double thickness_m = 0, width_m = 0, length_m = 0;

    double side_m2() const { return width_m * length_m; }
};

double extent_m(const std::vector<Vec3>& corners, const Vec3& axis) {
    double low = std::numeric_limits<double>::infinity(), high = -low;
    for (const Vec3& corner : corners) {
        low = std::min(low, corner.dot(axis));
        high = std::max(high, corner.dot(axis));
    }
    return high - low;
}

std::optional<Plate> plate_of(const Model& model, BodyId body) {
    const std::vector<Patch> patches = planar_patches(model, body);
    if (patches.empty()) return std::nullopt;
    const std::vector<Direction> directions = leading_directions(patches);
    Plate plate;
    plate.normal = directions.front().normal;
    // The longest straight edge of the largest face lies along the plate.
    const Patch& largest = *std::ranges::max_element(
        patches, [](const Patch& a, const Patch& b) { return a.area_m2 < b.area_m2 * (1 - 1e-9); });
    std::vector<Vec3> corners;
    Eigen::AlignedBox3d box;
    for (const Patch& patch : patches) {
        for (const ConvexPolygon& polygon : patch.outline) {
            for (const Vec2& corner : polygon) {
                corners.push_back(patch.frame.to_space(corner));
                box.extend(corners.back());
            }
        }
    }
    plate.middle_m = box.center();
    plate.thickness_m = extent_m(corners, plate.normal);
    const double u = extent_m(corners, largest.frame.u), v = extent_m(corners, largest.frame.v);
    plate.width_m = std::min(u, v);
    plate.length_m = std::max(u, v);
    return plate;
}

bool alike(const Plate& a, const Plate& b) {
    const double thicker = std::max(a.thickness_m, b.thickness_m);
    const double thinner = std::min(a.thickness_m, b.thickness_m);
    return std::abs(a.normal.dot(b.normal)) >= std::cos(parallel_deg * std::numbers::pi / 180) &&
           thicker <= most_thickness_ratio * thinner + 1e-6;
}

bool are_strips_side_by_side(const std::vector<Plate>& plates) {
    if (plates.size() < least_strips) return false;
    return std::ranges::all_of(plates, [&](const Plate& plate) {
        if (plate.width_m > most_slat_width_m ||
            plate.length_m < least_slat_length * plate.width_m) {
            return false;
        }
        return std::ranges::any_of(plates, [&](const Plate& other) {
            return &other != &plate && (other.middle_m - plate.middle_m).norm() <=
                                           most_spacing * std::max(plate.width_m, other.width_m);
        });
    });
}

class SlatGrouper {
  public:
    SlatGrouper(const Model& model, const RoleGuessLimits& limits, std::vector<RoleChoice>& choices)
        : model_(model), limits_(limits), choices_(choices) {}

    void group() {
        std::vector<std::vector<BodyId>> held(model_.assemblies.size());
        std::vector<bool> holds_more(model_.assemblies.size(), false);
        for (std::size_t b = 0; b < model_.bodies.size(); ++b) {
            std::int32_t a = model_.bodies[b].assembly;
            if (a < 0) continue;
            held[static_cast<std::size_t>(a)].push_back(BodyId(b));
            while ((a = model_.assemblies[static_cast<std::size_t>(a)].parent) >= 0)
                holds_more[static_cast<std::size_t>(a)] = true;
        }
        for (std::size_t a = 0; a < held.size(); ++a) {
            if (holds_more[a] || held[a].size() < 2) continue;
            if (is_one_shade(model_.assemblies[a], held[a])) join(model_.assemblies[a], held[a]);
        }
    }

  private:
    bool may_be_slat(BodyId body) const {
        const RoleChoice& choice = choices_[body.index()];
        return choice.unit.empty() && choice.roof_of.empty() &&
               (choice.role == Role::shade || (choice.guessed && choice.role == Role::ignore));
    }

    bool is_one_shade(const Assembly& assembly, const std::vector<BodyId>& bodies) const {
        // The shades that a site file adds are told apart by name.
        if (assembly.name == added_shades_name) return false;
        if (!std::ranges::all_of(bodies, [&](BodyId b) { return may_be_slat(b); })) return false;
        std::vector<Plate> plates;
        double side_m2 = 0;
        for (const BodyId body : bodies) {
            const std::optional<Plate> plate = plate_of(model_, body);
            if (!plate || plate->thickness_m >= limits_.thin_plate_m) return false;
            if (!plates.empty() && !alike(plates.front(), *plate)) return false;
            side_m2 += plate->side_m2();
            plates.push_back(*plate);
        }
        if (side_m2 < limits_.least_plate_area_m2) return false;
        const std::string unnamed = assembly.name + "-solid-";
        const bool one_part = std::ranges::all_of(
            bodies, [&](BodyId b) { return model_.bodies[b.index()].name.starts_with(unnamed); });
        return one_part || are_strips_side_by_side(plates);
    }

    void join(const Assembly& assembly, const std::vector<BodyId>& bodies) {
        const std::string why =
            "one of " + std::to_string(bodies.size()) + " slats that make up a shade";
        for (const BodyId body : bodies) {
            RoleChoice& choice = choices_[body.index()];
            if (choice.guessed) choice = RoleChoice{Role::shade, true, why};
            choice.unit = assembly.id;
        }
    }

    const Model& model_;
    const RoleGuessLimits& limits_;
    std::vector<RoleChoice>& choices_;
};

}  // namespace

void group_slats(const Model& model, const RoleGuessLimits& limits,
                 std::vector<RoleChoice>& choices) {
    SlatGrouper(model, limits, choices).group();
}

}  // namespace noonshell
