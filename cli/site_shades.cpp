#include "cli/site_shades.hpp"

#include <string>
#include <utility>

#include "cli/settings_reader.hpp"
#include "geometry/shade_builder.hpp"

namespace noonshell {

namespace {

constexpr std::array<std::string_view, 10> roof_keys = {
    "name",        "over",         "height_m",   "overhang_m",     "tilt_deg", "tilt_towards_deg",
    "thickness_m", "slat_width_m", "slat_gap_m", "slats_along_deg"};
constexpr std::array<std::string_view, 9> overhang_keys = {"name",     "walls",       "depth_m",
                                                           "width_m",  "offset_m",    "height_m",
                                                           "tilt_deg", "thickness_m", "gap_m"};
constexpr std::array<std::string_view, 8> fin_keys = {
    "name", "walls", "depth_m", "height_m", "foot_m", "offset_m", "thickness_m", "gap_m"};

// Beyond these a length is more likely a slip than a shade.
constexpr double longest_m = 500;
constexpr double thickest_m = 2;
constexpr std::string_view own_choice = "own choice";

NumberRange from_zero() {
    return NumberRange::between(0, longest_m);
}
NumberRange above_zero() {
    return NumberRange::above_up_to(0, longest_m);
}
NumberRange to_either_side() {
    return NumberRange::between(-longest_m, longest_m);
}

InputPlace place_of(const SettingsReader& reader) {
    return reader.table()->place("name");
}

std::vector<std::string> needed_patterns(SettingsReader& reader, std::string_view key,
                                         std::string_view expected) {
    if (!reader.has(key)) throw reader.table()->missing(key, std::string(expected));
    auto patterns = reader.texts(key, {}, "none");
    if (patterns.empty()) throw reader.table()->error(key, std::string(expected), "none");
    return patterns;
}

/// One overhang for all sides, or four: north, east, south, west.
std::array<double, 4> read_roof_overhang(SettingsReader& reader) {
    constexpr std::string_view key = "overhang_m";
    std::array<double, 4> sides{};
    if (reader.table()->is_array(key)) {
        const std::vector<double> four = *reader.table()->numbers(key, 4, from_zero());
        for (std::size_t k = 0; k < 4; ++k) sides[k] = four[k];
        reader.record(key, four);
    } else {
        sides.fill(reader.number(key, from_zero(), 0.5, own_choice));
    }
    return sides;
}

void read_slats(SettingsReader& reader, ShadeRoof& roof) {
    if (!reader.has("slat_width_m")) {
        for (const std::string_view key : {"slat_gap_m", "slats_along_deg"}) {
            if (reader.has(key))
                throw reader.table()->error(key, "slat_width_m beside it", "a roof without slats");
        }
        return;
    }
    Slats slats;
    slats.width_m = reader.needed_number("slat_width_m", above_zero());
    slats.gap_m =
        reader.number("slat_gap_m", from_zero(), slats.width_m, "own choice: as wide as a slat");
    slats.along_deg = reader.number("slats_along_deg", NumberRange::between(-360, 360));
    if (!slats.along_deg) {
        reader.record_default("slats_along_deg", std::string("the roof's longer side"), own_choice);
    }
    roof.slats = slats;
}

ShadeRoof read_roof(const TomlTable& table, std::vector<InputRecord>& inputs) {
    SettingsReader reader(table, table.path(), inputs);
    ShadeRoof roof;
    roof.name = reader.needed_text("name");
    roof.place = place_of(reader);
    roof.over = needed_patterns(reader, "over", "patterns of units");
    roof.height_m = reader.number("height_m", from_zero(), roof.height_m, own_choice);
    roof.overhang_m = read_roof_overhang(reader);
    roof.tilt_deg = reader.number("tilt_deg", NumberRange::between(0, steepest_shade_deg), 0,
                                  "own choice: level");
    roof.tilt_towards_deg = reader.number("tilt_towards_deg", NumberRange::between(-360, 360),
                                          roof.tilt_towards_deg, "own choice: south");
    roof.thickness_m = reader.number("thickness_m", NumberRange::above_up_to(0, thickest_m),
                                     roof.thickness_m, own_choice);
    read_slats(reader, roof);
    return roof;
}

Overhang read_overhang(const TomlTable& table, std::vector<InputRecord>& inputs) {
    SettingsReader reader(table, table.path(), inputs);
    Overhang overhang;
    overhang.name = reader.needed_text("name");
    overhang.place = place_of(reader);
    overhang.walls = needed_patterns(reader, "walls", "patterns of walls");
    overhang.depth_m = reader.needed_number("depth_m", above_zero());
    overhang.width_m = reader.number("width_m", above_zero());
    if (!overhang.width_m)
        reader.record_default("width_m", std::string("the wall's width"), own_choice);
    overhang.offset_m =
        reader.number("offset_m", to_either_side(), 0, "own choice: the wall's middle");
    overhang.height_m = reader.number("height_m", to_either_side());
    if (!overhang.height_m)
        reader.record_default("height_m", std::string("the top of the wall"), own_choice);
    overhang.tilt_deg =
        reader.number("tilt_deg", NumberRange::between(-steepest_shade_deg, steepest_shade_deg), 0,
                      "own choice: level");
    overhang.thickness_m = reader.number("thickness_m", NumberRange::above_up_to(0, thickest_m),
                                         overhang.thickness_m, own_choice);
    overhang.gap_m = reader.number("gap_m", from_zero(), 0, "own choice: against the wall");
    return overhang;
}

Fin read_fin(const TomlTable& table, std::vector<InputRecord>& inputs) {
    SettingsReader reader(table, table.path(), inputs);
    Fin fin;
    fin.name = reader.needed_text("name");
    fin.place = place_of(reader);
    fin.walls = needed_patterns(reader, "walls", "patterns of walls");
    fin.depth_m = reader.needed_number("depth_m", above_zero());
    fin.height_m = reader.number("height_m", above_zero());
    if (!fin.height_m)
        reader.record_default("height_m", std::string("up to the top of the wall"), own_choice);
    fin.foot_m = reader.number("foot_m", to_either_side(), 0, "own choice: the wall's foot");
    fin.offset_m = reader.number("offset_m", to_either_side(), 0, "own choice: the wall's middle");
    fin.thickness_m = reader.number("thickness_m", NumberRange::above_up_to(0, thickest_m),
                                    fin.thickness_m, own_choice);
    fin.gap_m = reader.number("gap_m", from_zero(), 0, "own choice: against the wall");
    return fin;
}

void require_new_shade_name(const TomlTable& table, const std::string& name,
                            std::vector<std::string>& taken) {
    if (name.find_first_of("/*?") != std::string::npos)
        throw table.error("name", "a name without / * ?", "\"" + name + "\"");
    for (const std::string& other : taken) {
        if (other == name)
            throw table.error("name", "a name not used before", "\"" + name + "\" again");
    }
    taken.push_back(name);
}

}  // namespace

ShadeSettings read_shades(const TomlTable& root, std::vector<InputRecord>& inputs) {
    ShadeSettings settings;
    std::vector<std::string> taken;
    for (const TomlTable& table : root.tables(shade_tables[0], roof_keys)) {
        settings.roofs.push_back(read_roof(table, inputs));
        require_new_shade_name(table, settings.roofs.back().name, taken);
    }
    for (const TomlTable& table : root.tables(shade_tables[1], overhang_keys)) {
        settings.overhangs.push_back(read_overhang(table, inputs));
        require_new_shade_name(table, settings.overhangs.back().name, taken);
    }
    for (const TomlTable& table : root.tables(shade_tables[2], fin_keys)) {
        settings.fins.push_back(read_fin(table, inputs));
        require_new_shade_name(table, settings.fins.back().name, taken);
    }
    return settings;
}

}  // namespace noonshell
