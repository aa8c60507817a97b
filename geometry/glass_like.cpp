#include "geometry/glass_like.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <optional>
#include <string>

#include "geometry/plates.hpp"
#include "geometry/visibility.hpp"

namespace noonshell {

namespace {

/// Triple glazing in its frame is no thicker [m].
constexpr double thickest_glazing_m = 0.06;
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
        low_ = Vec3::Constant(std::numeric_limits<double>::infinity());
        high_ = -low_;
        for (const BodyId b : bodies) {
            low_ = low_.cwiseMin(bounds[b.index()].low_m);
            high_ = high_.cwiseMax(bounds[b.index()].high_m);
        }
    }

    PlateGroup find() {
        PlateGroup found;
        for (const BodyId b : bodies_) {
            if (!may_be_glazing(b)) continue;
            const std::vector<Patch> patches = planar_patches(model_, b);
            if (patches.empty()) continue;
            const Plate plate = plate_of(patches);
            if (is_glazing(plate) && fills_a_hole(b, plate)) found.push_back(b);
        }
        return found;
    }

  private:
    /// By its bounds alone: most bodies of a detailed unit are told apart here.
    bool may_be_glazing(BodyId b) const {
        const Vec3 size = bounds_[b.index()].high_m - bounds_[b.index()].low_m;
        return bounds_[b.index()].low_m.z() - low_.z() >= least_sill_m &&
               size.z() * std::hypot(size.x(), size.y()) >= least_glazing_m2;
    }

    bool is_glazing(const Plate& plate) const {
        constexpr double upright = 0.5;  // upright part of the normal: beyond 60 degrees of slope
        if (std::abs(plate.axis[2].z()) > upright) return false;
        if (2 * plate.half_m[2] > thickest_glazing_m) return false;
        const double area_m2 = 4 * plate.half_m[0] * plate.half_m[1];
        const Vec3 size = high_ - low_;
        const double side_m2 = size.z() * (std::abs(plate.axis[0].x()) * size.x() +
                                           std::abs(plate.axis[0].y()) * size.y());
        return area_m2 >= least_glazing_m2 && area_m2 <= most_side_share * side_m2;
    }

    bool fills_a_hole(BodyId glass, const Plate& plate) {
        for (std::size_t k = 0; k < bodies_.size(); ++k) {
            if (bodies_[k] == glass || !reaches_round(bodies_[k], glass)) continue;
            auto& mesh = meshes_[k];
            if (!mesh) mesh = ray_mesh_of(model_, std::span(&bodies_[k], 1));
            if (is_framed(plate, 0, *mesh) && is_framed(plate, 1, *mesh)) return true;
        }
        return false;
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
    Vec3 low_, high_;
};

}  // namespace

std::vector<Warning> glass_like_warnings(const Model& model, std::span<const BodyBounds> bounds,
                                         const std::vector<RoleChoice>& roles) {
    std::map<std::string, PlateGroup> units;
    for (std::size_t b = 0; b < roles.size(); ++b) {
        if (roles[b].role == Role::unit && !roles[b].unit.empty())
            units[roles[b].unit].emplace_back(b);
    }
    std::vector<Warning> warnings;
    for (const auto& [unit, bodies] : units) {
        const PlateGroup glass = UnitGlass(model, bounds, bodies).find();
        if (glass.empty()) continue;
        const std::string& first = model.bodies[glass.front().index()].id;
        const bool one = glass.size() == 1;
        warnings.push_back(
            {"pane-unnamed",
             first +
                 (one ? " fills a hole"
                      : " and " + std::to_string(glass.size() - 1) + " more fill holes") +
                 " in the walls of " + unit + " and " + (one ? "counts" : "count") +
                 " as opaque: if it is glass, name it in panes or pane_colours",
             first});
    }
    return warnings;
}

}  // namespace noonshell
