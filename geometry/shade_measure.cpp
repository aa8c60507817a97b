#include "geometry/shade_measure.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <set>
#include <string>

#include "geometry/roles.hpp"

namespace noonshell {

namespace {

double area_of(const std::vector<Vec3>& polygon) {
    Vec3 twice = Vec3::Zero();
    for (std::size_t k = 1; k + 1 < polygon.size(); ++k)
        twice += (polygon[k] - polygon[0]).cross(polygon[k + 1] - polygon[0]);
    return twice.norm() / 2;
}

/// The largest face of a plate is the one that shades.
double plate_area_m2(const Prism& prism) {
    double largest = 0;
    for (const std::vector<Vec3>& face : faces_of(prism))
        largest = std::max(largest, area_of(face));
    return largest;
}

bool matches_any(const std::vector<std::string>& patterns, const std::string& id) {
    return std::ranges::any_of(
        patterns, [&id](const std::string& pattern) { return matches_pattern(pattern, id); });
}

void add_units_with_walls(const Envelope& envelope, const std::vector<std::string>& walls,
                          std::set<UnitId>& units) {
    for (const Surface& surface : envelope.surfaces) {
        const bool upright = surface.kind == SurfaceKind::wall || surface.kind == SurfaceKind::pane;
        if (upright && surface.unit.valid() && matches_any(walls, surface.id))
            units.insert(surface.unit);
    }
}

}  // namespace

ShadeMeasure measure_shades(const Model& model, const Envelope& envelope,
                            const ShadeSettings& settings) {
    ShadeMeasure measure;
    for (const PrismBody& body : build_shades(model, envelope, settings).bodies) {
        ++measure.pieces;
        for (const Prism& prism : body.prisms) measure.area_m2 += plate_area_m2(prism);
    }
    std::set<UnitId> units;
    for (const ShadeRoof& roof : settings.roofs) {
        for (std::size_t u = 0; u < envelope.units.size(); ++u) {
            if (matches_any(roof.over, envelope.units[u].id)) units.insert(UnitId(u));
        }
    }
    for (const Overhang& overhang : settings.overhangs)
        add_units_with_walls(envelope, overhang.walls, units);
    for (const Fin& fin : settings.fins) add_units_with_walls(envelope, fin.walls, units);
    measure.units.assign(units.begin(), units.end());
    return measure;
}

}  // namespace noonshell
