#include <algorithm>
#include <array>

#include "cli/settings_reader.hpp"
#include "cli/site_tables.hpp"

namespace noonshell {

namespace {

constexpr std::array<std::string_view, 23> room_keys = {"cooling",
                                                        "heating",
                                                        "cooling_set_point_c",
                                                        "heating_set_point_c",
                                                        "air_change_per_h",
                                                        "leakage_area_cm2",
                                                        "shelter_class",
                                                        "ventilation_per_h",
                                                        "ventilation_least_difference_k",
                                                        "ventilation_coolest_room_c",
                                                        "fan_w_per_m3_s",
                                                        "gains_w_m2",
                                                        "gains_radiant_share",
                                                        "moisture_g_hm2",
                                                        "moisture_buffer",
                                                        "coil_c",
                                                        "furniture_j_m2k",
                                                        "cooling_efficiency",
                                                        "cooling_capacity_kw",
                                                        "capacity_falls_percent_per_k",
                                                        "efficiency_falls_percent_per_k",
                                                        "heating_efficiency",
                                                        "comfort_limit"};
constexpr std::array<std::string_view, 3> cooling_plants = {"ideal", "unit", "none"};
constexpr std::array<std::string_view, 2> heating_plants = {"ideal", "none"};
constexpr std::array<std::string_view, 2> comfort_limits = {"en 16798", "ashrae 55"};

const NumberRange room_c = NumberRange::between(-30, 60);
const NumberRange gains = NumberRange::between(0, 1000);

/// One number for all hours, or 24, the first for the hour from 0 to 1.
void read_hours(SettingsReader& reader, std::string_view key, const NumberRange& range,
                std::string_view default_source, std::array<double, 24>& values) {
    if (reader.has(key) && !reader.table()->is_array(key)) {
        values.fill(reader.needed_number(key, range));
        return;
    }
    const auto hours =
        reader.has(key) ? reader.table()->numbers(key, values.size(), range) : std::nullopt;
    if (!hours) {
        reader.record_default(key, 0.0, default_source);
        return;
    }
    std::copy(hours->begin(), hours->end(), values.begin());
    reader.record(key, *hours);
}

void read_leakage(SettingsReader& reader, AirLeakage& leakage) {
    constexpr std::string_view area_key = "leakage_area_cm2", changes_key = "air_change_per_h";
    if (!reader.has(area_key)) {
        leakage.air_change_per_h =
            reader.number(changes_key, NumberRange::between(0, 100), leakage.air_change_per_h,
                          "common practice, closed room");
        if (reader.has("shelter_class"))
            throw reader.table()->error("shelter_class", "leakage_area_cm2 beside it",
                                        "a fixed change of air");
        return;
    }
    if (reader.has(changes_key))
        throw reader.table()->error(changes_key, "either this or leakage_area_cm2", "both");
    leakage.leakage_area_cm2 = reader.needed_number(area_key, NumberRange::above_up_to(0, 1e5));
    leakage.shelter_class = static_cast<int>(
        reader.whole("shelter_class", 1, 5, leakage.shelter_class, "[ashrae2021] ch. 16"));
}

void read_ventilation(SettingsReader& reader, Ventilation& ventilation) {
    read_hours(reader, "ventilation_per_h", NumberRange::between(0, 100),
               "own choice: windows shut", ventilation.air_change_per_h);
    constexpr std::string_view source = "own choice";
    ventilation.least_difference_k =
        reader.number("ventilation_least_difference_k", NumberRange::between(0, 30),
                      ventilation.least_difference_k, source);
    ventilation.coolest_room_c =
        reader.number("ventilation_coolest_room_c", room_c, ventilation.coolest_room_c, source);
    ventilation.fan_w_per_m3_s = reader.number("fan_w_per_m3_s", NumberRange::between(0, 1e5),
                                               ventilation.fan_w_per_m3_s, "windows, no fan");
}

/// The capacity belongs to a unit: an ideal plant has none.
void read_cooling_unit(SettingsReader& reader, bool is_unit, CoolingPlant& plant) {
    plant.rated_efficiency =
        reader.number("cooling_efficiency", NumberRange::above_up_to(0, 20), plant.rated_efficiency,
                      "common practice, split unit at 35 C outdoors");
    const NumberRange percent_per_k = NumberRange::between(0, 10);
    constexpr double percent = 100;
    constexpr std::string_view source = "common practice, fixed-speed unit, from memory";
    plant.efficiency_falls_per_k = reader.number("efficiency_falls_percent_per_k", percent_per_k,
                                                 percent * plant.efficiency_falls_per_k, source) /
                                   percent;
    plant.capacity_falls_per_k = reader.number("capacity_falls_percent_per_k", percent_per_k,
                                               percent * plant.capacity_falls_per_k, source) /
                                 percent;
    plant.coil_c = reader.number("coil_c", NumberRange::between(0, 25), plant.coil_c,
                                 "common practice, split unit");
    constexpr std::string_view key = "cooling_capacity_kw";
    if (is_unit) {
        plant.rated_capacity_w =
            1000 * reader.needed_number(key, NumberRange::above_up_to(0, 1000));
    } else if (reader.has(key)) {
        throw reader.table()->error(key, "a capacity with cooling = \"unit\" alone",
                                    "one with another kind of cooling");
    }
}

void read_plant(SettingsReader& reader, RoomSettings& room) {
    const std::string cooling = reader.choice("cooling", cooling_plants, "ideal", "own choice");
    room.cooled = cooling != "none";
    room.heated = reader.choice("heating", heating_plants, "ideal", "own choice") == "ideal";
    room.cooling_set_point_c =
        reader.number("cooling_set_point_c", room_c, room.cooling_set_point_c,
                      "[en16798] category II, upper limit in summer, from memory");
    room.heating_set_point_c =
        reader.number("heating_set_point_c", room_c, room.heating_set_point_c,
                      "[en16798] category II, lower limit in winter, from memory");
    if (room.heating_set_point_c > room.cooling_set_point_c)
        throw reader.table()->error(
            "heating_set_point_c",
            "a set-point no higher than cooling_set_point_c " + to_text(room.cooling_set_point_c),
            to_text(room.heating_set_point_c));
    read_cooling_unit(reader, cooling == "unit", room.plant);
    room.heating_efficiency = reader.number("heating_efficiency", NumberRange::above_up_to(0, 20),
                                            room.heating_efficiency, "resistance heater");
}

}  // namespace

RoomChoice read_room_table(const TomlTable& root, std::vector<InputRecord>& inputs) {
    SettingsReader reader(root.table("room", room_keys), "room", inputs);
    RoomChoice choice;
    RoomSettings& room = choice.settings;
    read_plant(reader, room);
    read_leakage(reader, room.leakage);
    read_ventilation(reader, room.ventilation);
    read_hours(reader, "gains_w_m2", gains, "own choice: the envelope alone", room.gains_w_m2);
    room.gains_radiant_share = reader.number("gains_radiant_share", NumberRange::between(0, 1),
                                             room.gains_radiant_share, "common practice");
    constexpr double grams = 1000;
    read_hours(reader, "moisture_g_hm2", NumberRange::between(0, 10000),
               "own choice: nobody in the room", room.moisture_kg_hm2);
    for (double& moisture : room.moisture_kg_hm2) moisture /= grams;
    room.moisture_buffer = reader.number("moisture_buffer", NumberRange::between(1, 100),
                                         room.moisture_buffer, "common practice, furnished room");
    room.furniture_j_m2k = reader.number("furniture_j_m2k", NumberRange::between(0, 1e6),
                                         room.furniture_j_m2k, "common practice, light furniture");
    const std::string limit = reader.choice("comfort_limit", comfort_limits, comfort_limits[0],
                                            "[en16798] adaptive limit of category II");
    choice.comfort = limit == comfort_limits[0] ? AdaptiveModel::en_16798_category_2
                                                : AdaptiveModel::ashrae_55_80_percent;
    return choice;
}

}  // namespace noonshell
