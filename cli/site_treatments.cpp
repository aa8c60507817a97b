#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <utility>

#include "cli/default_treatments.hpp"
#include "cli/settings_reader.hpp"
#include "cli/site_layers.hpp"
#include "cli/site_tables.hpp"
#include "thermal/treatment_rules.hpp"

namespace noonshell {

namespace {

constexpr std::array<std::string_view, 32> treatment_keys = {"name",
                                                             "outside_finish",
                                                             "kind",
                                                             "surfaces",
                                                             "not_on",
                                                             "least_area_m2",
                                                             "cost_per_m2",
                                                             "fixed_cost",
                                                             "waste_percent",
                                                             "call_out",
                                                             "call_out_cost",
                                                             "life_years",
                                                             "upkeep_per_m2_year",
                                                             "recoat_per_m2",
                                                             "recoat_years",
                                                             "excludes",
                                                             "needs",
                                                             "new_reflectance",
                                                             "aged_reflectance",
                                                             "emittance",
                                                             "roughness",
                                                             "layers",
                                                             "sheet",
                                                             "sheet_thickness_mm",
                                                             "gap_mm",
                                                             "opening_mm2_per_m",
                                                             "gap_emittance",
                                                             "mesh_open_share",
                                                             "gap_wind_coefficient",
                                                             "pane_g_value",
                                                             "pane_solar_reflectance",
                                                             "pane_u_value_w_m2k"};
constexpr std::array<std::string_view, 7> cladding_keys = {
    "sheet",           "sheet_thickness_mm",  "gap_mm", "opening_mm2_per_m", "gap_emittance",
    "mesh_open_share", "gap_wind_coefficient"};
constexpr std::array<std::string_view, 1> insulation_keys = {"layers"};
constexpr std::array<std::string_view, 3> film_keys = {"pane_g_value", "pane_solar_reflectance",
                                                       "pane_u_value_w_m2k"};
constexpr std::array<std::string_view, 5> face_keys = {
    "outside_finish", "new_reflectance", "aged_reflectance", "emittance", "roughness"};
// In the order of TreatmentKind.
constexpr std::array<std::string_view, 4> kinds = {"coating", "outside insulation",
                                                   "vented cladding", "window film"};

constexpr double square_metres(double square_millimetres) {
    return square_millimetres / 1e6;
}

TreatmentKind kind_of(const TomlTable& table) {
    const std::optional<std::string> word = table.choice("kind", kinds);
    if (!word)
        throw table.missing("kind",
                            "\"coating\", \"outside insulation\", \"vented cladding\" or "
                            "\"window film\"");
    return static_cast<TreatmentKind>(std::ranges::find(kinds, *word) - kinds.begin());
}

void refuse(const TomlTable& table, std::span<const std::string_view> keys, std::string_view kind) {
    for (const std::string_view key : keys) {
        if (table.has(key))
            throw table.error(key, fmt::format("no {} for a treatment of kind \"{}\"", key, kind),
                              "it set");
    }
}

VentedCladding read_cladding(SettingsReader& reader, const std::vector<Material>& materials) {
    VentedCladding cladding;
    const TomlTable& table = *reader.table();
    if (table.has("sheet")) {
        cladding.sheet.material = material_named(table, "sheet", materials);
        reader.record("sheet", cladding.sheet.material.name);
    } else {
        cladding.sheet.material = *find_material("steel");
        reader.record_default("sheet", std::string("steel"), "common practice");
    }
    cladding.sheet.thickness_m = metres(reader.number(
        "sheet_thickness_mm", NumberRange::above_up_to(0, 50), 0.6, "common practice"));
    const double gap_mm =
        reader.number("gap_mm", NumberRange::above_up_to(0, 1000), 50, "common practice");
    cladding.gap_depth_m = metres(gap_mm);
    // No opening lets through more than the gap behind it.
    constexpr double gap_mm2_per_m = 1000;  // of each millimetre
    cladding.opening_m2_per_m = square_metres(
        reader.number("opening_mm2_per_m", NumberRange::between(0, gap_mm * gap_mm2_per_m),
                      0.4 * gap_mm * gap_mm2_per_m, "own choice: two fifths of the gap"));
    cladding.inner_emittance = reader.number("gap_emittance", NumberRange::above_up_to(0, 1), 0.9,
                                             "[ashrae2021] ch. 26 table 2, painted");
    cladding.mesh_open_share =
        reader.number("mesh_open_share", NumberRange::above_up_to(0, 1), 1, "own choice: no mesh");
    cladding.wind_coefficient = reader.number("gap_wind_coefficient", NumberRange::between(0, 2), 0,
                                              "own choice: on the safe side, a calm day");
    return cladding;
}

void read_costs(SettingsReader& reader, Treatment& treatment) {
    treatment.cost_per_m2 = reader.needed_number("cost_per_m2", NumberRange::from(0));
    treatment.fixed_cost = reader.number("fixed_cost", NumberRange::from(0), 0, "own choice: none");
    if (treatment.cost_per_m2 <= 0 && treatment.fixed_cost <= 0)
        throw reader.table()->error("cost_per_m2", "a cost above 0 (or a fixed_cost)", "0");
    constexpr double most_waste_percent = 200;
    treatment.waste_share =
        0.01 * reader.number("waste_percent", NumberRange::between(0, most_waste_percent), 0,
                             "own choice: none");
    if (const auto call_out = reader.text("call_out")) {
        treatment.call_out = *call_out;
        treatment.call_out_cost = reader.needed_number("call_out_cost", NumberRange::from(0));
    } else if (reader.has("call_out_cost")) {
        throw reader.table()->error("call_out_cost", "the call_out that it is the price of",
                                    "it alone");
    }
}

void read_lasting(SettingsReader& reader, Treatment& treatment) {
    constexpr double longest_years = 200;
    const NumberRange years = NumberRange::above_up_to(0, longest_years);
    treatment.life_years = reader.number("life_years", years, 10, "own choice");
    treatment.upkeep_per_m2_year =
        reader.number("upkeep_per_m2_year", NumberRange::from(0), 0, "own choice: none");
    if (!reader.has("recoat_per_m2") && !reader.has("recoat_years")) return;
    treatment.recoat_per_m2 = reader.needed_number("recoat_per_m2", NumberRange::from(0));
    treatment.recoat_years = reader.needed_number("recoat_years", years);
}

/// Where it may go and what may stand with it.
void read_place(SettingsReader& reader, Treatment& treatment) {
    if (treatment.is_of_panes()) {
        treatment.surfaces = reader.texts("surfaces", {"*"}, "own choice: every pane");
    } else {
        treatment.surfaces = reader.texts("surfaces", treatment.surfaces,
                                          "own choice: roofs and walls of every unit");
    }
    treatment.not_on = reader.texts("not_on", {}, "own choice: none");
    treatment.least_area_m2 =
        reader.number("least_area_m2", NumberRange::from(0), 0, "own choice: none");
    treatment.excludes = reader.texts("excludes", {}, "own choice: none");
    treatment.needs = reader.texts("needs", {}, "own choice: none");
}

/// What a treatment's outermost face is like unless said.
OutsideFinish usual_finish(TreatmentKind kind) {
    if (kind == TreatmentKind::coating)
        return {"", 0.80, 0.62, 0.9, "common practice, white coating: loss of 20 to 25 %"};
    return {"", 0.50, 0.45, 0.9, "[ashrae2021] ch. 17 table 8, light metal; aged: common practice"};
}

void read_finish(SettingsReader& reader, const OwnMaterials& own, Treatment& treatment) {
    const bool coating = treatment.kind == TreatmentKind::coating;
    const OutsideFinish* named = read_outside_finish(reader, own);
    const OutsideFinish finish = named != nullptr ? *named : usual_finish(treatment.kind);
    const NumberRange range = NumberRange::between(0, 1);
    treatment.new_reflectance =
        reader.number("new_reflectance", range, finish.new_reflectance, finish.source);
    treatment.aged_reflectance =
        reader.number("aged_reflectance", range,
                      std::min(treatment.new_reflectance, finish.aged_reflectance), finish.source);
    if (treatment.aged_reflectance > treatment.new_reflectance)
        throw reader.table()->error(
            "aged_reflectance",
            fmt::format("a reflectance no higher than the new one, {}", treatment.new_reflectance),
            fmt::format("{}", treatment.aged_reflectance));
    treatment.emittance =
        reader.number("emittance", NumberRange::above_up_to(0, 1), finish.emittance,
                      named != nullptr ? std::string_view(finish.source)
                                       : "[ashrae2021] ch. 26 table 2, non-metallic paint");
    if (!coating || reader.has("roughness"))
        treatment.roughness = read_roughness(reader);
    else
        reader.record_default("roughness", std::string("as under it"),
                              "own choice: a coat fills no grooves");
}

/// What the supplier states of the glass with the film. Two of three may be left to the glass.
WindowFilm read_film(SettingsReader& reader) {
    constexpr double highest_u_value_w_m2k = 10;
    WindowFilm film;
    film.g_value = reader.needed_number("pane_g_value", NumberRange::between(0, 1));
    film.solar_reflectance = reader.number("pane_solar_reflectance", NumberRange::between(0, 1));
    if (!film.solar_reflectance)
        reader.record_default("pane_solar_reflectance", std::string("of the glass"),
                              "own choice: as without the film");
    film.u_value_w_m2k =
        reader.number("pane_u_value_w_m2k", NumberRange::above_up_to(0, highest_u_value_w_m2k));
    if (!film.u_value_w_m2k)
        reader.record_default("pane_u_value_w_m2k", std::string("of the glass"),
                              "own choice: as without the film");
    if (film.g_value + film.solar_reflectance.value_or(0) > 1)
        throw reader.table()->error("pane_g_value",
                                    "at most 1 together with pane_solar_reflectance",
                                    fmt::format("{:g}", film.g_value + *film.solar_reflectance));
    return film;
}

Treatment read_treatment(const TomlTable& table, const OwnMaterials& own,
                         std::vector<InputRecord>& inputs) {
    SettingsReader reader(table, table.path(), inputs);
    Treatment treatment;
    treatment.name = reader.needed_text("name");
    treatment.kind = kind_of(table);
    reader.record("kind", std::string(to_string(treatment.kind)));
    read_place(reader, treatment);
    read_costs(reader, treatment);
    read_lasting(reader, treatment);
    if (treatment.is_of_panes()) {
        for (const auto keys : {std::span<const std::string_view>(face_keys), {insulation_keys}})
            refuse(table, keys, "window film");
        treatment.film = read_film(reader);
    } else {
        refuse(table, film_keys, to_string(treatment.kind));
        read_finish(reader, own, treatment);
    }
    if (treatment.kind == TreatmentKind::coating) refuse(table, insulation_keys, "coating");
    if (treatment.kind != TreatmentKind::vented_cladding)
        refuse(table, cladding_keys, to_string(treatment.kind));
    treatment.added = read_layers(table, "layers", own.materials, inputs);
    if (treatment.kind == TreatmentKind::outside_insulation && treatment.added.empty())
        throw table.missing("layers", "the layers of the outside insulation, outside to inside");
    if (treatment.kind == TreatmentKind::vented_cladding)
        treatment.cladding = read_cladding(reader, own.materials);
    validate(treatment);
    return treatment;
}

/// Rules between treatments, told where the one stands that breaks them.
void check_rules(const std::vector<TomlTable>& tables, const std::vector<Treatment>& treatments) {
    try {
        validate_together(treatments);
    } catch (const InputError& error) {
        const std::string& entity = error.place().entity;
        for (std::size_t t = 0; t < treatments.size(); ++t) {
            const std::string head = "treatment \"" + treatments[t].name + "\": ";
            if (!entity.starts_with(head)) continue;
            InputPlace place = tables[t].place(entity.substr(head.size()));
            place.entity = entity;
            throw InputError(place, error.expected(), error.seen());
        }
        throw;
    }
}

}  // namespace

std::vector<Treatment> read_treatments(const TomlTable& root, const OwnMaterials& own,
                                       std::vector<InputRecord>& inputs,
                                       std::vector<TreatmentPlace>& places) {
    const std::vector<TomlTable> tables = root.tables("treatment", treatment_keys);
    std::vector<Treatment> treatments;
    for (const TomlTable& table : tables) {
        treatments.push_back(read_treatment(table, own, inputs));
        places.push_back(
            {table.place(), table.place("pane_g_value"), table.place("pane_u_value_w_m2k")});
        for (std::size_t i = 0; i + 1 < treatments.size(); ++i) {
            if (treatments[i].name == treatments.back().name)
                throw table.error("name", "a name not used before",
                                  "\"" + treatments.back().name + "\" again");
        }
    }
    check_rules(tables, treatments);
    return treatments;
}

std::vector<Treatment> shipped_examples(std::vector<InputRecord>& inputs) {
    std::vector<Treatment> treatments = example_treatments();
    for (std::size_t i = 0; i < treatments.size(); ++i) {
        const std::string path = fmt::format("treatment[{}]", i + 1);
        SettingsReader reader(std::nullopt, path, inputs);
        const Treatment& treatment = treatments[i];
        reader.record_default("name", treatment.name, "shipped example");
        reader.record_default("cost_per_m2", treatment.cost_per_m2, invented_price);
        reader.record_default("fixed_cost", treatment.fixed_cost, invented_price);
        if (treatment.film)
            reader.record_default("pane_g_value", treatment.film->g_value, "common practice");
        else
            reader.record_default("aged_reflectance", treatment.aged_reflectance,
                                  "common practice");
    }
    return treatments;
}

}  // namespace noonshell
