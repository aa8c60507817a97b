#include "geometry/panes.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "geometry/plane_region.hpp"
#include "geometry/skin.hpp"

namespace noonshell {

namespace {

constexpr double least_overlap = 0.5;

const Patch* largest_of(const std::vector<Patch>& patches) {
    const auto largest = std::max_element(
        patches.begin(), patches.end(),
        [](const Patch& a, const Patch& b) { return a.area_m2 < b.area_m2 * (1 - 1e-9); });
    return largest == patches.end() ? nullptr : &*largest;
}

}  // namespace

std::optional<PaneInWall> find_wall_of_pane(const Model& model, BodyId body,
                                            std::span<const Patch> patches) {
    const std::vector<Patch> own = planar_patches(model, body);
    const Patch* glazing = largest_of(own);
    if (glazing == nullptr) return std::nullopt;
    const double least_cosine = std::cos(pane_angle_deg * std::numbers::pi / 180);
    std::optional<PaneInWall> best;
    double best_distance_m = pane_depth_m;
    for (std::size_t w = 0; w < patches.size(); ++w) {
        const Patch& wall = patches[w];
        if (std::abs(wall.frame.normal.dot(glazing->frame.normal)) < least_cosine) continue;
        const double distance_m = std::abs(wall.frame.height_m(glazing->centroid_m));
        if (distance_m >= best_distance_m) continue;
        const PlaneRegion shadow = projected(*glazing, wall.frame);
        const PlaneRegion within = shadow.within(projected(wall, wall.frame).filled());
        if (within.area_m2() < least_overlap * shadow.area_m2()) continue;
        best_distance_m = distance_m;
        best = PaneInWall{w, *glazing};
        best->pane.frame = wall.frame;
        set_outline(best->pane, within.convex_pieces());
        best->pane.developed_area_m2 = best->pane.area_m2;
        best->pane.stands_for.clear();
        for (const Patch& patch : own) best->pane.stands_for.push_back(patch.face);
        std::sort(best->pane.stands_for.begin(), best->pane.stands_for.end());
        best->pane.stands_for.erase(
            std::unique(best->pane.stands_for.begin(), best->pane.stands_for.end()),
            best->pane.stands_for.end());
    }
    return best;
}

}  // namespace noonshell
