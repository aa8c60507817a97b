// [[planned_shade]] of a site file.
#include <array>
#include <string>
#include <utility>

#include "cli/settings_reader.hpp"
#include "cli/site_tables.hpp"

namespace noonshell {

namespace {

constexpr std::array<std::string_view, 17> planned_shade_keys = {"name",
                                                                 "kind",
                                                                 "over",
                                                                 "walls",
                                                                 "reach_m",
                                                                 "height_m",
                                                                 "tilt_deg",
                                                                 "tilt_towards_deg",
                                                                 "thickness_m",
                                                                 "cost_per_m2",
                                                                 "cost_per_piece",
                                                                 "call_out",
                                                                 "call_out_cost",
                                                                 "life_years",
                                                                 "upkeep_per_m2_year",
                                                                 "sizes",
                                                                 "gap_m"};
constexpr std::array<std::string_view, 3> shade_kinds = {"roof", "overhang", "fin"};
constexpr std::array<std::string_view, 4> of_roofs_alone = {"over", "height_m", "tilt_deg",
                                                            "tilt_towards_deg"};
constexpr std::array<std::string_view, 2> of_plates_alone = {"walls", "gap_m"};

// Beyond these a length is more likely a slip than a shade.
constexpr double farthest_m = 100, thickest_sheet_m = 2;
constexpr std::string_view chosen_here = "own choice";

void refuse_keys(const TomlTable& table, std::span<const std::string_view> keys,
                 std::string_view kind) {
    for (const std::string_view key : keys) {
        if (table.has(key))
            throw table.error(key,
                              "no " + std::string(key) + " for a planned shade of kind \"" +
                                  std::string(kind) + "\"",
                              "it set");
    }
}

/// One length, or two between which one is looked for.
LengthRange read_range(SettingsReader& reader, std::string_view key, const NumberRange& range) {
    const TomlTable& table = *reader.table();
    if (!table.is_array(key)) {
        const double given_m = reader.needed_number(key, range);
        return {given_m, given_m};
    }
    const std::vector<double> ends = *table.numbers(key, 2, range);
    if (!(ends[0] < ends[1]))
        throw table.error(key, "one length, or a shorter and a longer one",
                          to_text(InputValue(ends)));
    reader.record(key, ends);
    return {ends[0], ends[1]};
}

std::vector<std::string> needed_names(SettingsReader& reader, std::string_view key,
                                      std::string_view expected) {
    if (!reader.has(key)) throw reader.table()->missing(key, std::string(expected));
    auto patterns = reader.texts(key, {}, "none");
    if (patterns.empty()) throw reader.table()->error(key, std::string(expected), "none");
    return patterns;
}

double read_thickness(SettingsReader& reader, double fallback_m) {
    return reader.number("thickness_m", NumberRange::above_up_to(0, thickest_sheet_m), fallback_m,
                         chosen_here);
}

ShadeRoof read_roof_form(SettingsReader& reader, const std::string& name) {
    ShadeRoof roof;
    roof.name = name;
    roof.place = reader.table()->place("name");
    roof.over = needed_names(reader, "over", "patterns of units");
    roof.tilt_deg = reader.number("tilt_deg", NumberRange::between(0, steepest_shade_deg), 0,
                                  "own choice: level");
    roof.tilt_towards_deg = reader.number("tilt_towards_deg", NumberRange::between(-360, 360),
                                          roof.tilt_towards_deg, "own choice: south");
    roof.thickness_m = read_thickness(reader, roof.thickness_m);
    return roof;
}

template <class Plate>
Plate read_plate_form(SettingsReader& reader, const std::string& name) {
    Plate plate;
    plate.name = name;
    plate.place = reader.table()->place("name");
    plate.walls = needed_names(reader, "walls", "patterns of walls");
    plate.gap_m = reader.number("gap_m", NumberRange::between(0, farthest_m), 0,
                                "own choice: against the wall");
    plate.thickness_m = read_thickness(reader, plate.thickness_m);
    return plate;
}

void read_prices(SettingsReader& reader, PlannedShade& shade) {
    shade.cost_per_m2 = reader.needed_number("cost_per_m2", NumberRange::from(0));
    shade.cost_per_piece =
        reader.number("cost_per_piece", NumberRange::from(0), 0, "own choice: none");
    if (shade.cost_per_m2 <= 0 && shade.cost_per_piece <= 0)
        throw reader.table()->error("cost_per_m2", "a cost above 0 (or a cost_per_piece)", "0");
    if (const auto call_out = reader.text("call_out")) {
        shade.call_out = *call_out;
        shade.call_out_cost = reader.needed_number("call_out_cost", NumberRange::from(0));
    } else if (reader.has("call_out_cost")) {
        throw reader.table()->error("call_out_cost", "the call_out that it is the price of",
                                    "it alone");
    }
    constexpr double longest_years = 200;
    shade.life_years = reader.number("life_years", NumberRange::above_up_to(0, longest_years),
                                     shade.life_years, chosen_here);
    shade.upkeep_per_m2_year =
        reader.number("upkeep_per_m2_year", NumberRange::from(0), 0, "own choice: none");
}

PlannedShade read_planned_shade(const TomlTable& table, std::vector<InputRecord>& inputs) {
    SettingsReader reader(table, table.path(), inputs);
    PlannedShade shade;
    const std::string name = reader.needed_text("name");
    if (name.find_first_of("/*?") != std::string::npos)
        throw table.error("name", "a name without / * ?", "\"" + name + "\"");
    const std::optional<std::string> kind = table.choice("kind", shade_kinds);
    if (!kind) throw table.missing("kind", "\"roof\", \"overhang\" or \"fin\"");
    reader.record("kind", *kind);
    const bool is_roof = *kind == shade_kinds[0];
    if (is_roof) {
        refuse_keys(table, of_plates_alone, *kind);
        shade.form.roofs.push_back(read_roof_form(reader, name));
        shade.height_m = {shade.form.roofs.front().height_m, shade.form.roofs.front().height_m};
        if (reader.has("height_m"))
            shade.height_m =
                read_range(reader, "height_m", NumberRange::above_up_to(0, farthest_m));
        else
            reader.record_default("height_m", shade.height_m.low_m, chosen_here);
    } else {
        refuse_keys(table, of_roofs_alone, *kind);
        if (*kind == shade_kinds[1])
            shade.form.overhangs.push_back(read_plate_form<Overhang>(reader, name));
        else
            shade.form.fins.push_back(read_plate_form<Fin>(reader, name));
    }
    shade.reach_m = read_range(
        reader, "reach_m",
        is_roof ? NumberRange::between(0, farthest_m) : NumberRange::above_up_to(0, farthest_m));
    constexpr std::int64_t most_sizes = 9;
    shade.sizes = static_cast<std::size_t>(
        reader.whole("sizes", 2, most_sizes, static_cast<std::int64_t>(shade.sizes), chosen_here));
    read_prices(reader, shade);
    validate(shade);
    return shade;
}

/// A name of its own, and one price for a call-out.
void check_beside(const TomlTable& table, const PlannedShade& shade, const SiteFile& site) {
    const auto refuse_name = [&](const std::string& other) {
        if (other == shade.name())
            throw table.error("name", "a name not used before", "\"" + other + "\" again");
    };
    for (const ShadeRoof& roof : site.model.shades.roofs) refuse_name(roof.name);
    for (const Overhang& overhang : site.model.shades.overhangs) refuse_name(overhang.name);
    for (const Fin& fin : site.model.shades.fins) refuse_name(fin.name);
    for (const PlannedShade& other : site.planned_shades) refuse_name(other.name());
    if (shade.call_out.empty()) return;
    const auto refuse_price = [&](const std::string& call_out, double cost) {
        if (call_out == shade.call_out && cost != shade.call_out_cost)
            throw table.error("call_out_cost",
                              "the price that call-out \"" + call_out + "\" has elsewhere, " +
                                  to_text(InputValue(cost)),
                              to_text(InputValue(shade.call_out_cost)));
    };
    for (const Treatment& other : site.treatments)
        refuse_price(other.call_out, other.call_out_cost);
    for (const PlannedShade& other : site.planned_shades)
        refuse_price(other.call_out, other.call_out_cost);
}

}  // namespace

void read_planned_shades(const TomlTable& root, SiteFile& site) {
    for (const TomlTable& table : root.tables("planned_shade", planned_shade_keys)) {
        PlannedShade shade = read_planned_shade(table, site.inputs);
        check_beside(table, shade, site);
        site.planned_shades.push_back(std::move(shade));
    }
}

}  // namespace noonshell
