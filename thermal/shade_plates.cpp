#include "thermal/shade_plates.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

namespace noonshell {

namespace {

constexpr double opposite_cosine = -0.98;  // within 11 degrees
constexpr double least_area_ratio = 0.8;
constexpr double most_aside_of_size = 0.1;  // that the middles may lie beside each other
constexpr double most_thickness_of_size = 0.25, most_thickness_m = 0.5;
constexpr double most_over_thinnest = 1.5;
constexpr double least_thickness_m = 1e-3;  // of drawing: sheets are as thin as nothing

/// Whether two surfaces are the faces of a plate; sets its thickness.
bool is_plate(const Surface& a, const Surface& b, double& thickness_m) {
    if (a.normal.dot(b.normal) > opposite_cosine) return false;
    if (std::min(a.area_m2, b.area_m2) < least_area_ratio * std::max(a.area_m2, b.area_m2))
        return false;
    const double size_m = std::sqrt(std::min(a.area_m2, b.area_m2));
    const Vec3 normal = (a.normal - b.normal).normalized();
    const Vec3 apart_m = a.centroid_m - b.centroid_m;
    thickness_m = apart_m.dot(normal);
    // Faces that look at each other have air between them, not matter.
    if (thickness_m < -least_thickness_m) return false;
    return thickness_m <= std::min(most_thickness_m, most_thickness_of_size * size_m) &&
           (apart_m - thickness_m * normal).norm() <= most_aside_of_size * size_m;
}

struct LayerSums {
    double resistance_m2k_w = 0, capacity_j_m2k = 0;
    bool is_sheet() const { return resistance_m2k_w < sheet_resistance_m2k_w; }
};

LayerSums sums_of(const Construction& construction) {
    LayerSums sums;
    for (const Layer& layer : construction.layers) {
        sums.resistance_m2k_w += layer.resistance();
        sums.capacity_j_m2k += layer.heat_capacity_j_m2k();
    }
    return sums;
}

bool differs(double a, double b) {
    return std::abs(a - b) > 0.01 * std::max(a, b);
}

}  // namespace

std::vector<ShadePlate> find_plates(const Envelope& envelope,
                                    std::span<const SurfaceId> of_one_shade) {
    const auto surface = [&envelope](SurfaceId id) -> const Surface& {
        return envelope.surfaces[id.index()];
    };
    std::vector<ShadePlate> candidates;
    double thinnest_m = most_thickness_m;
    for (std::size_t i = 0; i < of_one_shade.size(); ++i) {
        for (std::size_t j = i + 1; j < of_one_shade.size(); ++j) {
            const SurfaceId a = of_one_shade[i], b = of_one_shade[j];
            double thickness_m = 0;
            if (surface(a).other_side != b && !is_plate(surface(a), surface(b), thickness_m))
                continue;
            const bool turned = surface(b).normal.z() > surface(a).normal.z() + 1e-6;
            candidates.push_back({turned ? b : a, turned ? a : b, thickness_m});
            thinnest_m = std::min(thinnest_m, std::max(thickness_m, least_thickness_m));
        }
    }
    std::stable_sort(candidates.begin(), candidates.end(),
                     [&](const ShadePlate& one, const ShadePlate& other) {
                         return surface(one.front).area_m2 > surface(other.front).area_m2;
                     });
    std::vector<ShadePlate> plates;
    std::set<SurfaceId> taken;
    for (const ShadePlate& plate : candidates) {
        if (plate.thickness_m > most_over_thinnest * thinnest_m) continue;
        if (taken.contains(plate.front) || taken.contains(plate.back)) continue;
        taken.insert({plate.front, plate.back});
        plates.push_back(plate);
    }
    return plates;
}

std::vector<std::vector<SurfaceId>> surfaces_by_shade(const Envelope& envelope) {
    std::map<BodyId, std::size_t> known;
    std::vector<std::vector<SurfaceId>> shades;
    for (std::size_t s = 0; s < envelope.surfaces.size(); ++s) {
        const Surface& surface = envelope.surfaces[s];
        if (surface.unit.valid()) continue;
        const auto [found, is_new] = known.try_emplace(surface.body, shades.size());
        if (is_new) shades.emplace_back();
        shades[found->second].emplace_back(s);
    }
    return shades;
}

std::vector<Layer> layers_between(const Building& building, const ShadePlate& plate) {
    const Construction& front = building.exposed[plate.front.index()];
    const Construction& back = building.exposed[plate.back.index()];
    const LayerSums of_front = sums_of(front), of_back = sums_of(back);
    if (of_front.is_sheet() && of_back.is_sheet()) return {};
    if (of_back.resistance_m2k_w > of_front.resistance_m2k_w)
        return {back.layers.rbegin(), back.layers.rend()};
    return front.layers;
}

std::vector<Warning> shade_plate_warnings(const Envelope& envelope, const Building& building) {
    const auto sums = [&building](SurfaceId s) { return sums_of(building.exposed[s.index()]); };
    std::vector<Warning> warnings;
    for (const std::vector<SurfaceId>& shade : surfaces_by_shade(envelope)) {
        const std::vector<ShadePlate> plates = find_plates(envelope, shade);
        const auto layered = std::find_if(shade.begin(), shade.end(),
                                          [&](SurfaceId s) { return !sums(s).is_sheet(); });
        if (plates.empty() && layered != shade.end())
            warnings.push_back({"shade-layers-idle",
                                "its layers resist nothing: the shade has no two opposite faces "
                                "that they could lie between, and one temperature on all its sides",
                                envelope.surfaces[layered->index()].id});
        for (const ShadePlate& plate : plates) {
            const LayerSums front = sums(plate.front), back = sums(plate.back);
            if (front.is_sheet() || back.is_sheet()) continue;
            if (!differs(front.resistance_m2k_w, back.resistance_m2k_w) &&
                !differs(front.capacity_j_m2k, back.capacity_j_m2k))
                continue;
            warnings.push_back({"shade-layers-differ",
                                "its layers are not those of the shade's other face, " +
                                    envelope.surfaces[plate.front.index()].id +
                                    ": those that resist more lie between the two",
                                envelope.surfaces[plate.back.index()].id});
        }
    }
    return warnings;
}

}  // namespace noonshell
