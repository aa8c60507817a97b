#include "geometry/glass_like.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <optional>
#include <string>

#include "geometry/plates.hpp"
#include "geometry/relief.hpp"
#include "geometry/visibility.hpp"

namespace noonshell {

namespace {

constexpr double least_glazing_m2 = 0.1;

/// What begins no higher than this above the foot of its unit may be a door [m].
constexpr double least_sill_m = 0.3;

/// A plate of more than this share of a side is the side's own sheet.
constexpr double most_side_share = 0.5;

using PlateGroup = std::vector<BodyId>;

class UnitGlass {
  public:
    UnitGlass(const Model& model, std::span<const BodyBounds> bounds, const PlateGroup& bodies)
        : model_(model), bounds_(bounds), bodies_(bodies), meshes_(bodies.size()) {
        low_m_ = Vec3::Constant(std::numeric_limits<double>::infinity());
        high_m_ = -low_m_;
        for (const BodyId b : bodies) {
            low_m_ = low_m_.cwiseMin(bounds[b.index()].low_m);
            high_m_ = high_m_.cwiseMax(bounds[b.index()].high_m);
        }
    }

    struct Found {
        PlateGroup in_holes, on_walls;
    };

    /// Of the unit's own bodies those that fill holes; of `loose` plates those as well that lie
    /// flat on its walls.
    Found find(const PlateGroup& loose) {
        Found found;
        for (const BodyId b : bodies_) {
            const auto plate = glazing(b);
            if (plate && fills_a_hole(b, *plate)) found.in_holes.push_back(b);
        }
        for (const BodyId b : loose) {
            if (!is_near(b)) continue;
            const auto plate = glazing(b);
            if (!plate) continue;
            if (fills_a_hole(b, *plate))
                found.in_holes.push_back(b);
            else if (lies_on_a_wall(*plate))
                found.on_walls.push_back(b);
        }
        return found;
    }

  private:
    std::optional<Plate> glazing(BodyId b) const {
        if (!may_be_glazing(b)) return std::nullopt;
        const std::vector<Patch> patches = planar_patches(model_, b);
        if (patches.empty()) return std::nullopt;
        const Plate plate = plate_of(patches);
        return is_glazing(plate) ? std::optional(plate) : std::nullopt;
    }

    bool is_near(BodyId b) const {
        const BodyBounds& bounds = bounds_[b.index()];
        return ((bounds.low_m - high_m_).array() <= closed_gap_m).all() &&
               ((low_m_ - bounds.high_m).array() <= closed_gap_m).all();
    }

    bool lies_on_a_wall(const Plate& plate) {
        const double reach_m = plate.half_m[2] + closed_gap_m;
        // From just before the one face of the plate: a sheet may lie in the plane of the wall.
        constexpr double before_m = 0.001;
        for (const double way : {1.0, -1.0}) {
            const Vec3 ahead = way * plate.axis[2];
            const Vec3 from = plate.middle_m - (plate.half_m[2] + before_m) * ahead;
            const auto is_met = [&](const Vec3& along, double far_m) {
                for (std::size_t k = 0; k < bodies_.size(); ++k) {
                    if (mesh_of(k).blocked(from, along, 0, far_m)) return true;
                }
                return false;
            };
            // What hangs on the inside of a wall has another wall behind it.
            constexpr double infinite = std::numeric_limits<double>::infinity();
            if (is_met(ahead, plate.half_m[2] + before_m + reach_m) && !is_met(-ahead, infinite))
                return true;
        }
        return false;
    }

    /// By its bounds alone: most bodies of a detailed unit are told apart here.
    bool may_be_glazing(BodyId b) const {
        const Vec3 size = bounds_[b.index()].high_m - bounds_[b.index()].low_m;
        return bounds_[b.index()].low_m.z() - low_m_.z() >= least_sill_m &&
               size.z() * std::hypot(size.x(), size.y()) >= least_glazing_m2;
    }

    bool is_glazing(const Plate& plate) const {
        constexpr double upright = 0.5;  // upright part of the normal: beyond 60 degrees of slope
        if (std::abs(plate.axis[2].z()) > upright) return false;
        if (2 * plate.half_m[2] > thickest_glazing_m) return false;
        const double area_m2 = 4 * plate.half_m[0] * plate.half_m[1];
        const Vec3 size = high_m_ - low_m_;
        const double side_m2 = size.z() * (std::abs(plate.axis[0].x()) * size.x() +
                                           std::abs(plate.axis[0].y()) * size.y());
        return area_m2 >= least_glazing_m2 && area_m2 <= most_side_share * side_m2;
    }

    bool fills_a_hole(BodyId glass, const Plate& plate) {
        for (std::size_t k = 0; k < bodies_.size(); ++k) {
            if (bodies_[k] == glass || !reaches_round(bodies_[k], glass)) continue;
            // A sheet may lie in the plane of the wall's face, a plate may lap over the hole.
            constexpr double aside_m = 0.005;
            const double lapped_m = plate.half_m[2] + thickest_glazing_m / 2;
            for (const double aside : {0.0, aside_m, -aside_m, lapped_m, -lapped_m}) {
                Plate moved = plate;
                moved.middle_m += aside * plate.axis[2];
                if (is_framed(moved, 0, mesh_of(k)) && is_framed(moved, 1, mesh_of(k))) return true;
            }
        }
        return false;
    }

    const RayMesh& mesh_of(std::size_t k) {
        auto& mesh = meshes_[k];
        if (!mesh) mesh = ray_mesh_of(model_, std::span(&bodies_[k], 1));
        return *mesh;
    }

    bool reaches_round(BodyId wall, BodyId glass) const {
        const BodyBounds &a = bounds_[wall.index()], &b = bounds_[glass.index()];
        constexpr double slack_m = thickest_glazing_m;
        return ((a.low_m - b.low_m).array() <= slack_m).all() &&
               ((b.high_m - a.high_m).array() <= slack_m).all();
    }

    const Model& model_;
    std::span<const BodyBounds> bounds_;
    const PlateGroup& bodies_;
    std::vector<std::optional<RayMesh>> meshes_;
    Vec3 low_m_, high_m_;
};

}  // namespace

std::vector<Warning> glass_like_warnings(const Model& model, std::span<const BodyBounds> bounds,
                                         const std::vector<RoleChoice>& roles) {
    std::map<std::string, PlateGroup> units;
    PlateGroup loose;
    for (std::size_t b = 0; b < roles.size(); ++b) {
        const RoleChoice& choice = roles[b];
        if (choice.role == Role::unit)
            units[choice.unit.empty() ? model.bodies[b].id : choice.unit].emplace_back(b);
        if (choice.role == Role::shade && choice.guessed && choice.unit.empty())
            loose.emplace_back(b);
    }
    std::vector<Warning> warnings;
    for (const auto& group : units) {
        const std::string& unit = group.first;
        const PlateGroup& bodies = group.second;
        const UnitGlass::Found glass = UnitGlass(model, bounds, bodies).find(loose);
        for (const BodyId told : glass.in_holes) std::erase(loose, told);
        for (const BodyId told : glass.on_walls) std::erase(loose, told);
        const auto warn = [&](const PlateGroup& plates, const char* one, const char* many) {
            if (plates.empty()) return;
            const std::string& first = model.bodies[plates.front().index()].id;
            const bool single = plates.size() == 1;
            const std::string more = " and " + std::to_string(plates.size() - 1) + " more ";
            warnings.push_back({"pane-unnamed",
                                first + (single ? std::string(" ") + one : more + many) +
                                    " the walls of " + unit + " and " +
                                    (single ? "counts" : "count") +
                                    " as opaque: if it is glass, name it in panes or pane_colours",
                                first});
        };
        warn(glass.in_holes, "fills a hole in", "fill holes in");
        warn(glass.on_walls, "lies flat on", "lie flat on");
    }
    return warnings;
}

}  // namespace noonshell
