#include "thermal/heat_patches.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <map>
#include <numbers>

#include "thermal/enclosure.hpp"
#include "thermal/ground_floor.hpp"
#include "thermal/shade_plates.hpp"

namespace noonshell {

namespace {

constexpr double still_gap_least_m = 1e-4;  // closer faces touch

/// Keeps one LayeredWall per distinct build-up: 72 bare walls share a matrix.
class WallStore {
  public:
    WallStore(double step_s, int refine, std::vector<LayeredWall>& walls)
        : step_s_(step_s), refine_(refine), walls_(walls) {}

    std::size_t index_of(const std::vector<Layer>& layers) {
        std::vector<double> key;
        for (const Layer& l : layers) {
            key.insert(key.end(), {l.resistance(), l.heat_capacity_j_m2k(), l.thickness_m});
        }
        const auto [found, is_new] = known_.try_emplace(key, walls_.size());
        if (is_new) walls_.emplace_back(layers, step_s_, refine_);
        return found->second;
    }

  private:
    double step_s_;
    int refine_;
    std::vector<LayeredWall>& walls_;
    std::map<std::vector<double>, std::size_t> known_;
};

double radians(double degrees) {
    return degrees * std::numbers::pi / 180.0;
}

/// The building, and what was found of all its surfaces.
struct Source {
    const Envelope& envelope;
    const OutsideView& view;
    const Building& building;
    std::vector<double> enclosure_factor;  ///< #surfaces
};

/// Seen from the room, a roof's inside face looks down: warm, it sends heat down.
InsideFace inside_face(const Source& from, SurfaceId id, double area_m2,
                       const Construction& construction) {
    const Surface& surface = from.envelope.surfaces[id.index()];
    HeatFlow warm = HeatFlow::horizontal, cool = HeatFlow::horizontal;
    if (surface.tilt_deg < 60) {
        warm = HeatFlow::down;
        cool = HeatFlow::up;
    } else if (surface.tilt_deg > 120) {
        warm = HeatFlow::up;
        cool = HeatFlow::down;
    }
    return {.surface = id,
            .unit = surface.unit,
            .area_m2 = area_m2,
            .emittance = construction.inside_emittance,
            .enclosure_factor = from.enclosure_factor[id.index()],
            .warm_w_m2k = inside_convection_w_m2k(warm),
            .cool_w_m2k = inside_convection_w_m2k(cool),
            .natural_warm = natural_coefficient(180 - surface.tilt_deg, true),
            .natural_cool = natural_coefficient(180 - surface.tilt_deg, false),
            .is_floor = surface.tilt_deg > 120};
}

/// `relief_ratio` is that of the face in the open: 1 where a treatment covers the folds.
OpenFace open_face(const Envelope& envelope, const OutsideView& view, SurfaceId id,
                   const Construction& construction, double relief_ratio) {
    const Surface& surface = envelope.surfaces[id.index()];
    return {.surface = id,
            .area_m2 = surface.exposed_area_m2,
            .share_of_surface = surface.exposed_area_m2 / surface.area_m2,
            .absorptance = construction.outside_absorptance,
            .transmittance = construction.solar_transmittance,
            .face = outside_face(surface.tilt_deg, construction.outside_emittance, relief_ratio),
            .tilt_deg = surface.tilt_deg,
            .azimuth_deg = surface.azimuth_deg,
            .sky_share = view.net.sky_share[id.index()],
            .ground_share = view.net.ground_share[id.index()],
            .context_share = view.net.context_share[id.index()],
            .sunlit_ground_share = view.sunlit_ground_share[id.index()],
            .height_m = surface.centroid_m.z() - envelope.ground_z_m,
            .roughness = construction.roughness};
}

/// Length along the slope and rise of the gap behind a cladding that covers the whole surface.
GapGeometry gap_geometry(const Envelope& envelope, SurfaceId id, const VentedCladding& cladding) {
    const Surface& surface = envelope.surfaces[id.index()];
    // A wall's run from bottom to top, from the extent of its facets along the slope.
    const Vec3 normal = surface.normal;
    Vec3 uphill = Vec3(0, 0, 1) - normal * normal.z();
    const bool level = uphill.norm() < 1e-6;
    double length_m = std::sqrt(surface.area_m2);
    if (!level) {
        uphill.normalize();
        double lowest = 1e300, highest = -1e300;
        for (std::uint32_t f = surface.first_facet; f < surface.first_facet + surface.n_facets;
             ++f) {
            for (auto t = envelope.facets.triangle_begin[f];
                 t < envelope.facets.triangle_begin[f + 1]; ++t) {
                for (const Vec3& corner : envelope.facets.triangles_m[t]) {
                    lowest = std::min(lowest, corner.dot(uphill));
                    highest = std::max(highest, corner.dot(uphill));
                }
            }
        }
        length_m = highest - lowest;
    }
    return {.depth_m = cladding.gap_depth_m,
            .flow_length_m = length_m,
            .height_m = level ? 0.0 : length_m * std::abs(std::sin(radians(surface.tilt_deg))),
            .opening_m2_per_m = cladding.opening_m2_per_m,
            .inner_emittance = cladding.inner_emittance,
            .sheet_below = surface.tilt_deg > 90,
            .mesh_open_share = cladding.mesh_open_share,
            .wind_coefficient = cladding.wind_coefficient};
}

/// Layers from the room of `a` through the gap into the room of `b`.
std::vector<Layer> between_rooms(const Construction& a, const Construction& b, double gap_m) {
    std::vector<Layer> layers(a.layers.rbegin(), a.layers.rend());
    if (gap_m > still_gap_least_m) {
        Layer air;
        air.material.name = "still air";
        air.thickness_m = gap_m;
        air.resistance_m2k_w = still_air_layer_m2k_w(gap_m, HeatFlow::horizontal,
                                                     a.outside_emittance, b.outside_emittance, 25);
        layers.push_back(air);
    }
    layers.insert(layers.end(), b.layers.begin(), b.layers.end());
    return layers;
}

/// A side that the neighbour's floor or wall closes has no layers of its own.
std::vector<Layer> between_rooms(const Envelope& envelope, const Building& building,
                                 const Contact& contact) {
    Construction a = building.covered[contact.a.index()];
    Construction b = building.covered[contact.b.index()];
    const bool a_lent = envelope.surfaces[contact.a.index()].of_neighbour;
    const bool b_lent = envelope.surfaces[contact.b.index()].of_neighbour;
    if (a_lent && !b_lent) a.layers.clear();
    if (b_lent && !a_lent) b.layers.clear();
    return between_rooms(a, b, a_lent || b_lent ? 0 : contact.gap_m);
}

OpenPatch open_patch(const Source& from, SurfaceId id, WallStore& store) {
    const Envelope& envelope = from.envelope;
    const Construction& construction = from.building.exposed[id.index()];
    const Construction& base = from.building.covered[id.index()];
    const std::size_t n_added =
        construction.layers.size() - std::min(construction.layers.size(), base.layers.size());
    const bool folds_show = n_added == 0 && !construction.cladding;
    const Surface& surface = envelope.surfaces[id.index()];
    OpenPatch patch{.outside = open_face(envelope, from.view, id, construction,
                                         folds_show ? surface.relief_ratio() : 1.0),
                    .inside = inside_face(from, id, surface.exposed_area_m2, construction),
                    .wall = store.index_of(construction.layers),
                    .steel_layer = n_added};
    if (construction.cladding) {
        patch.clad = true;
        patch.gap = gap_geometry(envelope, id, *construction.cladding);
        patch.sheet_capacity_j_m2k = construction.cladding->sheet.heat_capacity_j_m2k();
    }
    return patch;
}

/// Each side of a sheet carries half the capacity of its layers, covered ones too.
double sheet_capacity_j_k(const Envelope& envelope, const Building& building,
                          std::span<const SurfaceId> surfaces) {
    double sum_j_k = 0;
    for (const SurfaceId s : surfaces) {
        double per_area = 0;
        for (const Layer& layer : building.exposed[s.index()].layers)
            per_area += layer.heat_capacity_j_m2k();
        sum_j_k += 0.5 * per_area * envelope.surfaces[s.index()].area_m2;
    }
    return sum_j_k;
}

/// One for each plate that has layers between its faces, the largest first; where there is none,
/// one sheet.
struct ShadeForm {
    std::vector<ShadeSheet> sheets;
    std::map<SurfaceId, std::pair<std::size_t, PlateSide>> place;  ///< of the faces of plates
};

ShadeForm shade_form(const Envelope& envelope, const Building& building, BodyId body,
                     std::span<const SurfaceId> surfaces, WallStore& store) {
    ShadeForm form;
    for (const ShadePlate& plate : find_plates(envelope, surfaces)) {
        const std::vector<Layer> layers = layers_between(building, plate);
        if (layers.empty()) continue;
        form.place[plate.front] = {form.sheets.size(), PlateSide::front};
        form.place[plate.back] = {form.sheets.size(), PlateSide::back};
        form.sheets.push_back({.body = body,
                               .wall = store.index_of(layers),
                               .plate_m2 = 0.5 * (envelope.surfaces[plate.front.index()].area_m2 +
                                                  envelope.surfaces[plate.back.index()].area_m2)});
    }
    if (form.sheets.empty())
        form.sheets.push_back(
            {.body = body, .capacity_j_k = sheet_capacity_j_k(envelope, building, surfaces)});
    return form;
}

void add_shades(const Envelope& envelope, const OutsideView& view, const Building& building,
                const ActivePart* active, WallStore& store, Patches& out) {
    const auto is_run = [&](SurfaceId s) {
        return envelope.surfaces[s.index()].exposed_area_m2 > 0 &&
               (active == nullptr || active->surfaces[s.index()]);
    };
    for (const std::vector<SurfaceId>& surfaces : surfaces_by_shade(envelope)) {
        if (std::none_of(surfaces.begin(), surfaces.end(), is_run)) continue;
        ShadeForm form = shade_form(
            envelope, building, envelope.surfaces[surfaces.front().index()].body, surfaces, store);
        for (const SurfaceId s : surfaces) {
            if (!is_run(s)) continue;
            const auto found = form.place.find(s);
            const auto [plate, side] = found != form.place.end()
                                           ? found->second
                                           : std::pair(std::size_t{0}, PlateSide::edge);
            form.sheets[plate].faces.push_back(
                open_face(envelope, view, s, building.exposed[s.index()],
                          envelope.surfaces[s.index()].relief_ratio()));
            form.sheets[plate].side.push_back(side);
        }
        std::erase_if(form.sheets, [](const ShadeSheet& sheet) { return sheet.faces.empty(); });
        std::move(form.sheets.begin(), form.sheets.end(), std::back_inserter(out.shades));
    }
}

}  // namespace

Patches make_patches(const Envelope& envelope, const OutsideView& view, const Building& building,
                     double step_s, int refine, const ActivePart* active) {
    Patches out;
    WallStore store(step_s, refine, out.walls);
    const Source from{envelope, view, building, enclosure_factors(envelope)};
    const auto is_active = [active](UnitId unit) {
        return unit.valid() && (active == nullptr || active->units[unit.index()]);
    };
    const auto surface_of = [&envelope](SurfaceId id) -> const Surface& {
        return envelope.surfaces[id.index()];
    };
    for (std::size_t s = 0; s < envelope.surfaces.size(); ++s) {
        const Surface& surface = envelope.surfaces[s];
        if (is_active(surface.unit) && surface.exposed_area_m2 > 1e-9) {
            out.open.push_back(open_patch(from, SurfaceId(s), store));
        }
    }
    const std::vector<double> slab_m = characteristic_dimensions_m(envelope);
    for (const Contact& contact : envelope.contacts) {
        if (contact.on_ground()) {
            if (!is_active(surface_of(contact.a).unit)) continue;
            const Construction& floor = building.covered[contact.a.index()];
            out.ground.push_back({inside_face(from, contact.a, contact.area_m2, floor),
                                  store.index_of(layers_on_ground(
                                      floor, slab_m[surface_of(contact.a).unit.index()]))});
            continue;
        }
        const UnitId unit_a = surface_of(contact.a).unit, unit_b = surface_of(contact.b).unit;
        if (unit_a.valid() && unit_b.valid()) {
            if (!is_active(unit_a) && !is_active(unit_b)) continue;
            const Construction& a = building.covered[contact.a.index()];
            const Construction& b = building.covered[contact.b.index()];
            out.shared.push_back({inside_face(from, contact.a, contact.area_m2, a),
                                  inside_face(from, contact.b, contact.area_m2, b),
                                  store.index_of(between_rooms(envelope, building, contact))});
            continue;
        }
        for (const SurfaceId id : {contact.a, contact.b}) {
            if (!is_active(surface_of(id).unit)) continue;
            OpenPatch patch = open_patch(from, id, store);
            patch.sheltered = true;
            patch.clad = false;
            patch.wall = store.index_of(building.covered[id.index()].layers);
            patch.steel_layer = 0;
            patch.outside.area_m2 = patch.inside.area_m2 = contact.area_m2;
            out.open.push_back(patch);
        }
    }
    add_shades(envelope, view, building, active, store, out);
    return out;
}

}  // namespace noonshell
