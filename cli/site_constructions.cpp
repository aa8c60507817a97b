#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <utility>

#include "cli/settings_reader.hpp"
#include "cli/site_layers.hpp"
#include "cli/site_tables.hpp"
#include "geometry/nearest_key.hpp"
#include "thermal/gap_layers.hpp"
#include "thermal/stated_glass.hpp"
#include "thermal/thermal_bridge.hpp"

namespace noonshell {

namespace {

constexpr std::array<std::string_view, 5> finish_keys = {"name", "new_reflectance",
                                                         "aged_reflectance", "emittance", "source"};
constexpr std::array<std::string_view, 5> material_keys = {
    "name", "conductivity_w_mk", "density_kg_m3", "specific_heat_j_kgk", "source"};
constexpr std::array<std::string_view, 13> construction_keys = {"name",
                                                                "outside_finish",
                                                                "surfaces",
                                                                "layers",
                                                                "outside_absorptance",
                                                                "solar_transmittance",
                                                                "glass_sheets",
                                                                "pane_u_value_w_m2k",
                                                                "pane_g_value",
                                                                "pane_solar_reflectance",
                                                                "outside_emittance",
                                                                "inside_emittance",
                                                                "roughness"};
constexpr std::array<std::string_view, 7> layer_keys = {
    "material",      "thickness_mm", "resistance_m2k_w", "air_gap_mm",
    "gap_emittance", "bridge",       "bridge_share"};

const NumberRange thickness_mm = NumberRange::above_up_to(0, 5000);
// [iso6946] 6.9 covers gaps up to 0.3 m.
const NumberRange gap_mm = NumberRange::between(1, 300);
// A resistance that holds what crosses its layer.
constexpr std::string_view bridge_counted_in = "counted in";
// The bridge of the crossed layer before.
constexpr std::string_view bridge_goes_on = "goes on";
const NumberRange fraction = NumberRange::between(0, 1);
const NumberRange emittance = NumberRange::above_up_to(0, 1);

void require_new_name(const TomlTable& table, const std::string& name,
                      std::vector<std::string>& names) {
    if (std::find(names.begin(), names.end(), name) != names.end())
        throw table.error("name", "a name not used before", "\"" + name + "\" again");
    names.push_back(name);
}

void refuse_beside(const TomlTable& table, std::string_view what,
                   std::initializer_list<std::string_view> keys) {
    for (const std::string_view key : keys) {
        if (table.has(key))
            throw table.error(key, fmt::format("no {} beside {}", key, what), "it set");
    }
}

Layer read_layer(const TomlTable& table, const std::vector<Material>& materials,
                 std::vector<InputRecord>& inputs) {
    SettingsReader reader(table, table.path(), inputs);
    constexpr std::array<std::string_view, 3> either = {"material", "resistance_m2k_w",
                                                        "air_gap_mm"};
    table.at_most_one_of(either);
    if (table.has("air_gap_mm")) {
        refuse_beside(table, "air_gap_mm", {"thickness_mm"});
        const double gap_m = metres(reader.needed_number("air_gap_mm", gap_mm));
        return still_gap(gap_m, reader.number("gap_emittance", emittance, 0.9,
                                              "[iso6946] annex D, bare faces; from memory"));
    }
    refuse_beside(table, "a layer that is no air gap", {"gap_emittance"});
    Layer layer;
    layer.resistance_m2k_w = reader.number("resistance_m2k_w", NumberRange::above_up_to(0, 100));
    if (layer.resistance_m2k_w) {
        layer.material.name = "layer without mass";
        refuse_beside(table, "resistance_m2k_w", {"thickness_mm", "bridge_share"});
        if (table.has("bridge") && table.text("bridge") != bridge_counted_in)
            throw table.error(
                "bridge",
                "\"counted in\" beside resistance_m2k_w, where the resistance is that "
                "of the layer with what crosses it; else material and thickness_mm",
                "\"" + *table.text("bridge") + "\"");
        return layer;
    }
    layer.material = material_named(table, "material", materials);
    reader.record("material", layer.material.name);
    layer.thickness_m = metres(reader.needed_number("thickness_mm", thickness_mm));
    return layer;
}

/// Air that lies open to the outside or to another gap is no still gap.
void require_still_gaps(const std::vector<TomlTable>& tables) {
    constexpr std::string_view key = "air_gap_mm";
    for (std::size_t i = 0; i < tables.size(); ++i) {
        if (!tables[i].has(key)) continue;
        if (i == 0)
            throw tables[i].error(key, "a gap between two layers",
                                  "one outermost, open to the outside air");
        if (tables[i - 1].has(key))
            throw tables[i].error(key, "one gap, or a layer between two", "two side by side");
    }
}

void require_lining(const TomlTable& innermost) {
    constexpr std::string_view key = "air_gap_mm";
    if (innermost.has(key))
        throw innermost.error(key, "a gap between two layers", "one innermost, open to the room");
}

/// The name that was meant, or all of them where none is near.
std::string likely_among(const std::vector<std::string_view>& known, std::string_view word,
                         std::string_view own_table) {
    constexpr std::size_t letters_a_slip = 4;
    const std::string_view nearest = nearest_key(word, known);
    if (edit_distance(word, nearest) <= 1 + word.size() / letters_a_slip)
        return fmt::format("nearest: \"{}\"", nearest);
    return fmt::format("of your own by {}, or one of: {}", own_table, fmt::join(known, "; "));
}

/// The bridge that a layer's table names; none where it has none, or one counted in.
std::optional<Bridge> read_bridge(const TomlTable& table, const std::vector<Material>& materials,
                                  const Bridge* before, std::vector<InputRecord>& inputs) {
    if (!table.has("bridge")) {
        if (table.has("bridge_share"))
            throw table.error("bridge_share", "the bridge's material, `bridge`, beside it",
                              "nothing");
        return std::nullopt;
    }
    if (table.has("resistance_m2k_w")) return std::nullopt;
    SettingsReader reader(table, table.path(), inputs);
    if (table.text("bridge") == bridge_goes_on) {
        refuse_beside(table, "bridge = \"goes on\", which has the share of the bridge before it,",
                      {"bridge_share"});
        if (before == nullptr)
            throw table.error("bridge", "a crossed layer outside one whose bridge \"goes on\"",
                              "none");
        reader.record("bridge", before->material.name);
        Bridge bridge = *before;
        bridge.goes_on = true;
        return bridge;
    }
    Bridge bridge;
    bridge.material = material_named(table, "bridge", materials);
    reader.record("bridge", bridge.material.name);
    constexpr double web_share = 2.0 / 600;  // of the area
    bridge.share = reader.number("bridge_share", NumberRange::between(1e-6, 0.5), web_share,
                                 "own choice: a web of 2 mm every 600 mm");
    return bridge;
}

/// Puts what `bridge` names across the layers; the largest error of the wall's resistance by it, as
/// a share.
double cross_layers(const std::vector<TomlTable>& tables, const std::vector<Material>& materials,
                    std::vector<Layer>& layers, std::vector<InputRecord>& inputs) {
    const Bridge* before = nullptr;
    std::size_t n = 0;
    for (std::size_t i = 0; i < tables.size(); ++i) {
        layers[i].bridge = read_bridge(tables[i], materials, before, inputs);
        if (!layers[i].bridge) continue;
        before = &*layers[i].bridge;
        if (!before->goes_on && ++n > most_bridges)
            throw tables[i].error("bridge", fmt::format("at most {} in a wall", most_bridges),
                                  "one more");
    }
    if (n == 0) return 0;
    const double error = set_layer_resistances(layers, HeatFlow::horizontal).largest_error();
    const std::string source =
        fmt::format("[iso6946] 6.7.2; the wall's resistance is up to {:.0f} % off", 100 * error);
    for (std::size_t i = 0; i < tables.size(); ++i) {
        if (!layers[i].bridge) continue;
        SettingsReader reader(tables[i], tables[i].path(), inputs);
        if (layers[i].gap_emittance)
            reader.record_default("bridged_resistance_m2k_w", *layers[i].resistance_m2k_w,
                                  source + "; heat across");
        else
            reader.record_default("bridged_conductivity_w_mk", layers[i].material.conductivity_w_mk,
                                  source);
    }
    return error;
}

struct CrossedLayers {
    std::vector<Layer> layers;
    double bridge_error = 0;
};

CrossedLayers read_crossed(const TomlTable& table, std::string_view key,
                           const std::vector<Material>& materials,
                           std::vector<InputRecord>& inputs) {
    CrossedLayers read;
    const std::vector<TomlTable> tables = table.tables(key, layer_keys);
    require_still_gaps(tables);
    for (const TomlTable& layer : tables)
        read.layers.push_back(read_layer(layer, materials, inputs));
    read.bridge_error = cross_layers(tables, materials, read.layers, inputs);
    return read;
}

/// A pane by what its supplier states, in place of layers.
Construction read_stated_glass(SettingsReader& reader, const std::string& name) {
    constexpr double highest_u_value_w_m2k = 6;
    const TomlTable& table = *reader.table();
    refuse_beside(table, "pane_u_value_w_m2k and pane_g_value",
                  {"layers", "outside_finish", "outside_absorptance", "solar_transmittance",
                   "outside_emittance", "inside_emittance", "roughness"});
    StatedGlass stated;
    stated.u_value_w_m2k = reader.needed_number("pane_u_value_w_m2k",
                                                NumberRange::above_up_to(0, highest_u_value_w_m2k));
    stated.g_value = reader.needed_number("pane_g_value", fraction);
    stated.sheets =
        static_cast<int>(reader.whole("glass_sheets", 1, 4, usual_sheets(stated.u_value_w_m2k),
                                      "common practice for this U-value"));
    stated.solar_reflectance =
        reader.number("pane_solar_reflectance", fraction, usual_reflectance(stated.sheets),
                      "[ashrae2021] ch. 15, clear glass of so many sheets; from memory");
    try {
        return glass_as_stated(name, stated, name);
    } catch (const InputError& error) {
        const bool of_u = error.place().entity.ends_with("pane_u_value_w_m2k");
        throw table.error(of_u ? "pane_u_value_w_m2k" : "pane_g_value", error.expected(),
                          error.seen());
    }
}

/// [[outside_finish]]: what the outermost face of walls and roofs may be like besides.
void read_own_finishes(const TomlTable& root, std::vector<InputRecord>& inputs,
                       std::vector<OutsideFinish>& finishes) {
    std::vector<std::string> names;
    for (const TomlTable& table : root.tables("outside_finish", finish_keys)) {
        SettingsReader reader(table, table.path(), inputs);
        OutsideFinish finish;
        finish.name = reader.needed_text("name");
        require_new_name(table, finish.name, names);
        if (find_finish(finish.name, {}) != nullptr)
            throw table.error("name", "a name that no shipped finish has",
                              "\"" + finish.name + "\"");
        finish.new_reflectance = reader.needed_number("new_reflectance", fraction);
        finish.aged_reflectance = reader.number("aged_reflectance", fraction,
                                                finish.new_reflectance, "own choice: as new");
        if (finish.aged_reflectance > finish.new_reflectance)
            throw table.error("aged_reflectance",
                              fmt::format("a reflectance no higher than the new one, {:g}",
                                          finish.new_reflectance),
                              fmt::format("{:g}", finish.aged_reflectance));
        finish.emittance = reader.number("emittance", emittance, 0.9,
                                         "[ashrae2021] ch. 26 table 2, non-metallic paint");
        finish.source = reader.text("source", "the site file", "the site file");
        finishes.push_back(std::move(finish));
    }
}

}  // namespace

Roughness read_roughness(SettingsReader& reader) {
    const std::string word =
        reader.choice("roughness", roughness_names, roughness_names.front(),
                      "own choice: as glass and painted sheet; by class [rowley1930], from memory");
    return static_cast<Roughness>(std::ranges::find(roughness_names, word) -
                                  roughness_names.begin());
}

const Material& material_named(const TomlTable& table, std::string_view key,
                               const std::vector<Material>& materials) {
    const std::optional<std::string> name = table.text(key);
    if (!name) throw table.missing(key, "the name of a material");
    for (const Material& material : materials) {
        if (material.name == *name) return material;
    }
    if (const Material* shipped = find_material(*name)) return *shipped;
    std::vector<std::string_view> known;
    for (const Material& material : materials) known.push_back(material.name);
    for (const Material& material : shipped_materials()) known.push_back(material.name);
    throw table.error(key, "a known material (" + likely_among(known, *name, "[[material]]") + ")",
                      "\"" + *name + "\"");
}

OwnMaterials read_materials(const TomlTable& root, std::vector<InputRecord>& inputs) {
    OwnMaterials own;
    std::vector<std::string> names;
    for (const TomlTable& table : root.tables("material", material_keys)) {
        SettingsReader reader(table, table.path(), inputs);
        Material material;
        material.name = reader.needed_text("name");
        require_new_name(table, material.name, names);
        if (find_material(material.name) != nullptr)
            throw table.error("name", "a name that no shipped material has",
                              "\"" + material.name + "\"");
        material.conductivity_w_mk =
            reader.needed_number("conductivity_w_mk", NumberRange::above_up_to(0, 500));
        material.density_kg_m3 =
            reader.needed_number("density_kg_m3", NumberRange::above_up_to(0, 25000));
        material.specific_heat_j_kgk =
            reader.needed_number("specific_heat_j_kgk", NumberRange::above_up_to(0, 20000));
        material.source = reader.text("source", "the site file", "the site file");
        own.materials.push_back(std::move(material));
    }
    read_own_finishes(root, inputs, own.finishes);
    return own;
}

const OutsideFinish* read_outside_finish(SettingsReader& reader, const OwnMaterials& own) {
    constexpr std::string_view key = "outside_finish";
    const std::optional<std::string> name = reader.text(key);
    if (!name) return nullptr;
    if (const OutsideFinish* found = find_finish(*name, own.finishes)) return found;
    std::vector<std::string_view> known;
    for (const auto* list : {&own.finishes, &shipped_finishes()}) {
        for (const OutsideFinish& finish : *list) known.push_back(finish.name);
    }
    throw reader.table()->error(
        key, "a known finish (" + likely_among(known, *name, "[[outside_finish]]") + ")",
        "\"" + *name + "\"");
}

std::vector<Layer> read_layers(const TomlTable& table, std::string_view key,
                               const std::vector<Material>& materials,
                               std::vector<InputRecord>& inputs) {
    return read_crossed(table, key, materials, inputs).layers;
}

std::vector<ConstructionRule> read_constructions(const TomlTable& root, const OwnMaterials& own,
                                                 std::vector<InputRecord>& inputs) {
    constexpr std::string_view paint = "[ashrae2021] ch. 17 table 8, medium metal roof";
    constexpr std::string_view non_metal = "[ashrae2021] ch. 26 table 2, non-metallic paint";
    std::vector<ConstructionRule> rules;
    std::vector<std::string> names;
    for (const TomlTable& table : root.tables("construction", construction_keys)) {
        SettingsReader reader(table, table.path(), inputs);
        ConstructionRule rule;
        Construction& made = rule.construction;
        made.name = reader.needed_text("name");
        require_new_name(table, made.name, names);
        rule.surfaces = reader.texts("surfaces", {"*"}, "own choice: every surface");
        if (table.has("pane_u_value_w_m2k") || table.has("pane_g_value")) {
            made = read_stated_glass(reader, made.name);
            rule.pane_place = table.place("pane_u_value_w_m2k");
            rules.push_back(std::move(rule));
            continue;
        }
        refuse_beside(table, "layers", {"pane_solar_reflectance"});
        CrossedLayers crossed = read_crossed(table, "layers", own.materials, inputs);
        made.layers = std::move(crossed.layers);
        rule.bridge_error = crossed.bridge_error;
        const std::vector<TomlTable> layers = table.tables("layers", layer_keys);
        rule.names_bridge =
            std::ranges::any_of(layers, [](const TomlTable& layer) { return layer.has("bridge"); });
        if (made.layers.empty()) throw table.missing("layers", "one layer or more");
        require_lining(layers.back());
        const OutsideFinish* finish = read_outside_finish(reader, own);
        made.outside_absorptance =
            finish == nullptr ? reader.number("outside_absorptance", fraction, 0.7, paint)
                              : reader.number("outside_absorptance", fraction,
                                              1 - finish->aged_reflectance, finish->source);
        made.solar_transmittance =
            reader.number("solar_transmittance", fraction, 0, "opaque unless said");
        if (made.solar_transmittance > 0)
            made.glass_sheets =
                static_cast<int>(reader.whole("glass_sheets", 1, 4, 1, "own choice: single glass"));
        else if (table.has("glass_sheets"))
            throw table.error("glass_sheets", "a solar_transmittance above 0 beside it", "0");
        made.outside_emittance =
            finish == nullptr
                ? reader.number("outside_emittance", emittance, 0.9, non_metal)
                : reader.number("outside_emittance", emittance, finish->emittance, finish->source);
        made.inside_emittance = reader.number("inside_emittance", emittance, 0.9, non_metal);
        made.roughness = read_roughness(reader);
        if (made.outside_absorptance + made.solar_transmittance > 1 + 1e-12)
            throw table.error("solar_transmittance",
                              fmt::format("at most {:g}, as outside_absorptance {:g} is taken in "
                                          "already",
                                          1 - made.outside_absorptance, made.outside_absorptance),
                              fmt::format("{:g}", made.solar_transmittance));
        if (made.solar_transmittance > 0 && holds_metal(made))
            throw table.error("solar_transmittance", "0, as a layer is of metal",
                              fmt::format("{:g}", made.solar_transmittance));
        validate(made);
        rules.push_back(std::move(rule));
    }
    return rules;
}

}  // namespace noonshell
