#include "cli/building_choice.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <span>
#include <utility>

#include "cli/utf8.hpp"
#include "geometry/nearest_key.hpp"
#include "geometry/roles.hpp"
#include "thermal/gap_layers.hpp"
#include "thermal/shade_plates.hpp"
#include "thermal/treatment_rules.hpp"

namespace noonshell {

namespace {

bool matches_any(const std::vector<std::string>& patterns, const std::string& id) {
    return std::any_of(patterns.begin(), patterns.end(),
                       [&id](const std::string& pattern) { return matches_pattern(pattern, id); });
}

Construction bare(SurfaceKind kind) {
    switch (kind) {
        case SurfaceKind::floor:
        case SurfaceKind::soffit:
            return bare_floor();
        case SurfaceKind::roof:
        case SurfaceKind::shade:
            return bare_roof();
        case SurfaceKind::pane:
            return clear_pane();
        case SurfaceKind::wall:
        case SurfaceKind::context:  // not of the building
        case SurfaceKind::ground:
            break;
    }
    return bare_wall();
}

std::string in_words(const Construction& construction) {
    std::string text;
    for (const Layer& layer : construction.layers)
        text += fmt::format("{}{:g} mm {}", text.empty() ? "" : ", ", 1000 * layer.thickness_m,
                            layer.material.name);
    return fmt::format("{}: {}; solar absorptance {:g}, emittance {:g}", construction.name, text,
                       construction.outside_absorptance, construction.outside_emittance);
}

/// One record for each kind of surface that has no construction of its own.
void record_default(SurfaceKind kind, const Construction& construction,
                    std::vector<InputRecord>& inputs) {
    const std::string key = fmt::format("construction of every other {}", to_string(kind));
    const auto same = [&key](const InputRecord& record) { return record.key == key; };
    if (std::any_of(inputs.begin(), inputs.end(), same)) return;
    inputs.push_back({key, in_words(construction), InputOrigin::by_default,
                      "common practice, freight container"});
}

void warn_of_unused(const Envelope& envelope, const SiteFile& settings,
                    const std::vector<std::uint8_t>& used, std::vector<Warning>& warnings) {
    for (std::size_t r = 0; r < used.size(); ++r) {
        if (used[r] != 0) continue;
        warnings.push_back({"construction-matches-nothing",
                            "no surface has this construction: no pattern matches, or an earlier "
                            "construction takes them all",
                            settings.constructions[r].construction.name});
    }
    for (const Treatment& treatment : settings.treatments) {
        if (treatment.is_of_panes() && settings.treatments_are_examples) continue;
        const auto fitting = [&treatment](const Surface& surface) {
            return fits(treatment, surface);
        };
        if (std::any_of(envelope.surfaces.begin(), envelope.surfaces.end(), fitting)) continue;
        warnings.push_back({"treatment-fits-nothing",
                            treatment.is_of_panes()
                                ? "no pane in the open matches the patterns of this film"
                                : "no surface in the open matches the patterns of this treatment",
                            treatment.name});
    }
}

std::vector<RoomSettings> choose_rooms(const Envelope& envelope, const RoomChoice& choice,
                                       std::vector<Warning>& warnings) {
    std::vector<RoomSettings> rooms;
    std::vector<std::uint8_t> used(choice.own.size(), 0);
    for (const Unit& unit : envelope.units) {
        const auto own =
            std::find_if(choice.own.begin(), choice.own.end(),
                         [&unit](const OwnRoom& o) { return matches_any(o.units, unit.id); });
        if (own != choice.own.end()) used[static_cast<std::size_t>(own - choice.own.begin())] = 1;
        rooms.push_back(own == choice.own.end() ? choice.settings : own->settings);
    }
    for (std::size_t i = 0; i < used.size(); ++i) {
        if (used[i] == 0)
            warnings.push_back({"own-room-matches-nothing",
                                "no unit has these settings: no pattern matches, or an earlier "
                                "[[own_room]] takes them all",
                                choice.own[i].units.front()});
    }
    return rooms;
}

UnitId unit_named(const Envelope& envelope, const InputPlace& place, const std::string& name) {
    std::vector<std::string_view> ids;
    for (std::size_t u = 0; u < envelope.units.size(); ++u) {
        if (envelope.units[u].id == name) return UnitId(u);
        ids.push_back(envelope.units[u].id);
    }
    throw InputError(
        place,
        fmt::format("the name of a unit (nearest: \"{}\")", printable(nearest_key(name, ids))),
        "\"" + printable(name) + "\"");
}

double height_m(const Unit& unit) {
    return unit.volume_m3 / unit.floor_area_m2;
}

std::vector<Doorway> choose_doorways(const Envelope& envelope, const RoomChoice& choice) {
    std::vector<Doorway> doorways;
    for (const DoorwayRule& rule : choice.doorways) {
        Doorway door = rule.doorway;
        door.a = unit_named(envelope, rule.place, rule.unit_a);
        door.b = unit_named(envelope, rule.place, rule.unit_b);
        if (door.a == door.b)
            throw InputError(rule.place, "two different units", "\"" + rule.unit_a + "\" twice");
        doorways.push_back(door);
    }
    return doorways;
}

/// Wall to wall, and in all, that two units have in contact [m2].
struct SharedSides {
    double walls_m2 = 0, all_m2 = 0;
};

SharedSides shared_sides(const Envelope& envelope, const Doorway& door) {
    SharedSides shared;
    for (const Contact& contact : envelope.contacts) {
        if (contact.on_ground()) continue;
        const Surface &a = envelope.surfaces[contact.a.index()],
                      &b = envelope.surfaces[contact.b.index()];
        const bool between =
            (a.unit == door.a && b.unit == door.b) || (a.unit == door.b && b.unit == door.a);
        if (!between) continue;
        shared.all_m2 += contact.area_m2;
        if (a.kind == SurfaceKind::wall || b.kind == SurfaceKind::wall)
            shared.walls_m2 += contact.area_m2;
    }
    return shared;
}

bool same_rooms(const Doorway& a, const Doorway& b) {
    return (a.a == b.a && a.b == b.b) || (a.a == b.b && a.b == b.a);
}

/// All doorways between two rooms together.
struct DoorwayGroup {
    double area_m2 = 0, highest_m = 0;
    std::string sizes;
};

DoorwayGroup together(const std::vector<Doorway>& doorways, const Doorway& one) {
    DoorwayGroup group;
    for (const Doorway& door : doorways) {
        if (!same_rooms(door, one)) continue;
        group.area_m2 += door.width_m * door.height_m;
        group.highest_m = std::max(group.highest_m, door.height_m);
        group.sizes += fmt::format("{}{:g} x {:g} m", group.sizes.empty() ? "" : " and ",
                                   door.width_m, door.height_m);
    }
    return group;
}

/// Doorways where no door can be: the flow is reckoned all the same.
void warn_of_odd_doorways(const Envelope& envelope, const std::vector<Doorway>& doorways,
                          std::vector<Warning>& warnings) {
    for (std::size_t d = 0; d < doorways.size(); ++d) {
        const Doorway& door = doorways[d];
        const bool told =
            std::any_of(doorways.begin(), doorways.begin() + static_cast<std::ptrdiff_t>(d),
                        [&door](const Doorway& earlier) { return same_rooms(earlier, door); });
        if (told) continue;
        const DoorwayGroup group = together(doorways, door);
        const std::string &a = envelope.units[door.a.index()].id,
                          &b = envelope.units[door.b.index()].id;
        const std::string where = a + " and " + b;
        const SharedSides shared = shared_sides(envelope, door);
        if (shared.all_m2 <= 0) {
            warnings.push_back({"doorway-between-apart",
                                "a doorway joins two units that nowhere touch: their air is mixed "
                                "all the same, as through a passage without a length",
                                where});
        } else if (shared.walls_m2 <= 0) {
            warnings.push_back(
                {"doorway-between-storeys",
                 "a doorway joins two units that touch by floor and roof alone: it "
                 "counts as an upright opening between two rooms side by side, which "
                 "a hatch or stairs are not",
                 where});
        } else if (group.area_m2 > shared.walls_m2) {
            warnings.push_back(
                {"doorway-too-large",
                 fmt::format("a doorway of {} is {:.1f} m2, more than the {:.1f} m2 of "
                             "wall that the two units have in common",
                             group.sizes, group.area_m2, shared.walls_m2),
                 where});
        } else if (const double tallest_m = std::max(height_m(envelope.units[door.a.index()]),
                                                     height_m(envelope.units[door.b.index()]));
                   group.highest_m > tallest_m) {
            warnings.push_back({"doorway-too-large",
                                fmt::format("a doorway is {:g} m high in rooms of {:.2f} m at most",
                                            group.highest_m, tallest_m),
                                where});
        }
    }
}

/// Posts and ribs behind a metal skin are the rule: [iso6946] counts what crosses insulation.
/// Between two metal skins foam needs none.
bool lacks_bridge(const Construction& construction) {
    constexpr double metal_w_mk = 10, insulation_w_mk = 0.065;  // common practice
    constexpr double more_than_air_m2k_w = 0.5;  // than still gaps of bare faces [iso6946]
    bool behind_metal = false, insulated = false;
    for (const Layer& layer : construction.layers) {
        if (layer.resistance_m2k_w) {
            insulated = insulated || (behind_metal && !layer.gap_emittance &&
                                      *layer.resistance_m2k_w >= more_than_air_m2k_w);
            continue;
        }
        const bool metal = layer.material.conductivity_w_mk >= metal_w_mk;
        if (metal && insulated) return false;
        behind_metal = behind_metal || metal;
        insulated =
            insulated || (behind_metal && layer.material.conductivity_w_mk <= insulation_w_mk);
    }
    return insulated;
}

void warn_of_missing_bridges(const SiteFile& settings, const std::vector<std::uint8_t>& used,
                             std::vector<Warning>& warnings) {
    for (std::size_t r = 0; r < used.size(); ++r) {
        const ConstructionRule& rule = settings.constructions[r];
        if (used[r] == 0 || rule.names_bridge || !lacks_bridge(rule.construction)) continue;
        warnings.push_back(
            {"no-bridge-named",
             "insulation inside a metal skin counts as crossed by nothing: steel ribs, posts or "
             "battens through it can nearly double what it lets through; name them with the "
             "layer's `bridge` (`bridge_share` 1e-6 where nothing crosses it; beside a "
             "resistance_m2k_w that holds them `bridge = \"counted in\"`)",
             rule.construction.name});
    }
}

/// The standard's own bound of its method: upper limit at most 1.5 times the lower, which is 20 %
/// of their mean ([iso6946] 6.7.2.1, from memory).
void warn_of_strong_bridges(const SiteFile& settings, const std::vector<std::uint8_t>& used,
                            std::vector<Warning>& warnings) {
    constexpr double largest_error = 0.2;
    for (std::size_t r = 0; r < used.size(); ++r) {
        const ConstructionRule& rule = settings.constructions[r];
        if (used[r] == 0 || rule.bridge_error <= largest_error) continue;
        warnings.push_back(
            {"bridge-beyond-method",
             fmt::format("what crosses the layer conducts so much better that the wall's "
                         "resistance, and with it its U-value, is sure to {:.0f} % only: ISO 6946 "
                         "wants 20 % at most and else a calculation in two dimensions, whose "
                         "answer stands as resistance_m2k_w with `bridge = \"counted in\"`",
                         100 * rule.bridge_error),
             rule.construction.name});
    }
}

/// Correlations that were measured as a whole have the roughness of their own plates in them.
void warn_of_idle_roughness(const SiteFile& settings, const std::vector<std::uint8_t>& used,
                            std::vector<Warning>& warnings) {
    if (settings.run.outside_convection == OutsideConvection::combined) return;
    const auto warn = [&](Roughness roughness, const std::string& name) {
        if (roughness == Roughness::very_smooth) return;
        warnings.push_back(
            {"roughness-without-effect",
             fmt::format("its roughness \"{}\" counts with outside_convection \"combined\" alone: "
                         "the correlation chosen is the same for all faces",
                         roughness_names.at(static_cast<std::size_t>(roughness))),
             name});
    };
    for (std::size_t r = 0; r < used.size(); ++r) {
        const Construction& construction = settings.constructions[r].construction;
        if (used[r] != 0) warn(construction.roughness, construction.name);
    }
    for (const Treatment& treatment : settings.treatments)
        warn(treatment.roughness.value_or(Roughness::very_smooth), treatment.name);
}

/// A film that some pane cannot bear is told where it stands; a shipped example is left out.
void check_films(const Envelope& envelope, SiteFile& settings, const Building& building) {
    std::vector<Treatment> suitable;
    for (std::size_t t = 0; t < settings.treatments.size(); ++t) {
        const Treatment& treatment = settings.treatments[t];
        try {
            require_suitable_glass(std::span(&treatment, 1), envelope, building);
        } catch (const InputError& error) {
            if (settings.treatments_are_examples) continue;
            const TreatmentPlace& places = settings.treatment_places.at(t);
            const std::string& entity = error.place().entity;
            InputPlace place = entity.ends_with("pane_u_value_w_m2k") ? places.pane_u_value
                               : entity.ends_with("pane_g_value")     ? places.pane_g_value
                                                                      : places.table;
            place.entity = entity;
            throw InputError(place, error.expected(), error.seen());
        }
        suitable.push_back(treatment);
    }
    settings.treatments = std::move(suitable);
}

/// What a supplier states of glazing holds for panes alone.
void require_pane(const ConstructionRule& rule, const Surface& surface) {
    if (!rule.pane_place || surface.kind == SurfaceKind::pane) return;
    throw InputError(*rule.pane_place,
                     "`surfaces` that match panes alone where pane_u_value_w_m2k is set",
                     fmt::format("\"{}\" on {}, a {}", printable(rule.construction.name),
                                 printable(surface.id), to_string(surface.kind)));
}

}  // namespace

Building choose_building(const Envelope& envelope, SiteFile& settings,
                         std::vector<Warning>& warnings) {
    std::vector<Construction> by_surface;
    std::vector<std::uint8_t> used(settings.constructions.size(), 0);
    for (const Surface& surface : envelope.surfaces) {
        const auto rule = std::find_if(
            settings.constructions.begin(), settings.constructions.end(),
            [&surface](const ConstructionRule& r) { return matches_any(r.surfaces, surface.id); });
        if (rule != settings.constructions.end()) {
            require_pane(*rule, surface);
            used[static_cast<std::size_t>(rule - settings.constructions.begin())] = 1;
            by_surface.push_back(rule->construction);
            by_surface.back().gap_flow = flow_into_room(surface.tilt_deg);
            set_layer_resistances(by_surface.back().layers, by_surface.back().gap_flow);
            continue;
        }
        by_surface.push_back(bare(surface.kind));
        by_surface.back().gap_flow = flow_into_room(surface.tilt_deg);
        record_default(surface.kind, by_surface.back(), settings.inputs);
    }
    warn_of_unused(envelope, settings, used, warnings);
    Building building =
        plain_building(std::move(by_surface), choose_rooms(envelope, settings.room, warnings));
    building.doorways = choose_doorways(envelope, settings.room);
    building.tariff = settings.plan.tariff;
    warn_of_odd_doorways(envelope, building.doorways, warnings);
    warn_of_missing_bridges(settings, used, warnings);
    warn_of_strong_bridges(settings, used, warnings);
    warn_of_idle_roughness(settings, used, warnings);
    const std::vector<Warning> of_shades = shade_plate_warnings(envelope, building);
    warnings.insert(warnings.end(), of_shades.begin(), of_shades.end());
    check_films(envelope, settings, building);
    return building;
}

}  // namespace noonshell
