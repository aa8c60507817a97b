#include "cli/constructions_told.hpp"

#include <fmt/format.h>

#include <map>
#include <optional>
#include <string>
#include <tuple>
#include <vector>

#include "cli/run_page_parts.hpp"
#include "cli/table.hpp"
#include "thermal/gap_layers.hpp"
#include "thermal/u_value.hpp"

namespace noonshell {

namespace {

/// A construction as it stands on surfaces of one direction of heat flow, or on shades, between
/// whose sides there is no room.
struct InUse {
    const Construction* construction = nullptr;
    std::optional<HeatFlow> flow;  ///< none: on shades
    bool on_ground = false;
    std::size_t surfaces = 0;
    double area_m2 = 0;
};

/// The way of heat into the room, as the run takes still gaps.
std::optional<HeatFlow> flow_through(const Surface& surface) {
    if (!surface.unit.valid()) return std::nullopt;
    return flow_into_room(surface.tilt_deg);
}

std::string_view in_words(const InUse& used) {
    if (!used.flow) return "shades";
    if (used.on_ground) return "floors on the ground";
    switch (*used.flow) {
        case HeatFlow::down:
            return "roofs";
        case HeatFlow::up:
            return "floors";
        case HeatFlow::horizontal:
            break;
    }
    return "walls";
}

std::vector<InUse> constructions_in_use(const RunResult& result) {
    std::vector<InUse> list;
    std::map<std::tuple<std::string, std::optional<HeatFlow>, bool>, std::size_t> known;
    std::vector<bool> on_ground(result.envelope().surfaces.size());
    for (const Contact& contact : result.envelope().contacts) {
        if (contact.on_ground()) on_ground[contact.a.index()] = true;
    }
    for (std::size_t s = 0; s < result.envelope().surfaces.size(); ++s) {
        const Surface& surface = result.envelope().surfaces[s];
        const Construction& construction = result.building.exposed[s];
        const auto [at, is_new] = known.try_emplace(
            {construction.name, flow_through(surface), on_ground[s]}, list.size());
        if (is_new) list.push_back({&construction, flow_through(surface), on_ground[s], 0, 0});
        ++list[at->second].surfaces;
        list[at->second].area_m2 += surface.area_m2;
    }
    return list;
}

std::string layers_of(const Construction& construction) {
    constexpr double mm = 1000;
    std::string text;
    for (const Layer& layer : construction.layers) {
        if (!text.empty()) text += ", ";
        if (layer.gap_emittance)
            text += fmt::format("{:g} mm {}{}, ", mm * layer.thickness_m, layer.material.name,
                                layer.bridge ? " crossed by " + layer.bridge->material.name : "");
        text += layer.resistance_m2k_w
                    ? fmt::format("{:.3g} m2K/W", *layer.resistance_m2k_w)
                    : fmt::format("{:g} mm {}", mm * layer.thickness_m, layer.material.name);
    }
    return text;
}

Json json_layer(const Layer& layer) {
    Json told;
    if (layer.gap_emittance) {
        told = {{"thickness_m", layer.thickness_m},
                {"gap_emittance", *layer.gap_emittance},
                {"resistance_m2k_w", *layer.resistance_m2k_w}};
    } else if (layer.resistance_m2k_w) {
        told = {{"resistance_m2k_w", *layer.resistance_m2k_w}};
    } else {
        told = {{"material", json_text(layer.material.name)},
                {"thickness_m", layer.thickness_m},
                {"conductivity_w_mk", layer.material.conductivity_w_mk},
                {"density_kg_m3", layer.material.density_kg_m3},
                {"specific_heat_j_kgk", layer.material.specific_heat_j_kgk},
                {"source", json_text(layer.material.source)}};
    }
    if (layer.bridge) {
        told["bridge"] = json_text(layer.bridge->material.name);
        told["bridge_share"] = layer.bridge->share;
    }
    return told;
}

}  // namespace

std::string constructions_page(const RunResult& result) {
    TextTable table({{"construction"},
                     {"on"},
                     {"surfaces", Align::right},
                     {"m2", Align::right},
                     {"U W/m2K", Align::right},
                     {"absorptance", Align::right},
                     {"lets in", Align::right},
                     {"emittance", Align::right},
                     {"layers"}});
    std::map<std::string, const Material*> materials;
    for (const InUse& used : constructions_in_use(result)) {
        const Construction& c = *used.construction;
        table.add_row({c.name, std::string(in_words(used)), std::to_string(used.surfaces),
                       number(used.area_m2),
                       used.flow ? number(u_value_w_m2k(c, *used.flow), 2) : "-",
                       number(c.outside_absorptance, 2), number(c.solar_transmittance, 2),
                       number(c.outside_emittance, 2), layers_of(c)});
        for (const Layer& layer : c.layers) {
            if (!layer.resistance_m2k_w) materials.emplace(layer.material.name, &layer.material);
        }
    }
    TextTable list({{"material"},
                    {"W/mK", Align::right},
                    {"kg/m3", Align::right},
                    {"J/kgK", Align::right},
                    {"source"}});
    for (const auto& [name, material] : materials)
        list.add_row({name, fmt::format("{:.3g}", material->conductivity_w_mk),
                      number(material->density_kg_m3), number(material->specific_heat_j_kgk),
                      material->source});
    return "\nConstructions (layers outside to inside; U by ISO 6946 for heat on its way into "
           "the room:\n  down through roofs, up through floors, with the surface resistances of "
           "that way; still "
           "gaps at 30 C, 5 K apart;\n  of floors on the ground that of the layers alone: the "
           "run reckons the ground beneath\n  apart, by ISO 13370)\n" +
           table.text() + "\nMaterials\n" + list.text();
}

Json json_constructions(const RunResult& result) {
    Json list = Json::array();
    for (const InUse& used : constructions_in_use(result)) {
        const Construction& c = *used.construction;
        Json layers = Json::array();
        for (const Layer& layer : c.layers) layers.push_back(json_layer(layer));
        list.push_back(
            {{"name", json_text(c.name)},
             {"on", in_words(used)},
             {"surfaces", used.surfaces},
             {"area_m2", used.area_m2},
             {"u_value_w_m2k", used.flow ? Json(u_value_w_m2k(c, *used.flow)) : Json(nullptr)},
             {"outside_absorptance", c.outside_absorptance},
             {"solar_transmittance", c.solar_transmittance},
             {"outside_emittance", c.outside_emittance},
             {"inside_emittance", c.inside_emittance},
             {"roughness", roughness_names.at(static_cast<std::size_t>(c.roughness))},
             {"layers", std::move(layers)}});
    }
    return list;
}

}  // namespace noonshell
