#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <iterator>
#include <optional>

#include "cli/settings_reader.hpp"
#include "cli/site_tables.hpp"
#include "cli/week_values.hpp"

namespace noonshell {

namespace {

constexpr std::array<std::string_view, 28> room_keys = {"cooling",
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
                                                        "fresh_air_per_h",
                                                        "fresh_air_fan_w_per_m3_s",
                                                        "gains_w_m2",
                                                        "gains_radiant_share",
                                                        "gains_off_w_m2",
                                                        "moisture_g_hm2",
                                                        "moisture_off_g_hm2",
                                                        "days_off",
                                                        "moisture_buffer",
                                                        "coil_c",
                                                        "sun_on_floor_share",
                                                        "furniture_j_m2k",
                                                        "cooling_efficiency",
                                                        "cooling_capacity_kw",
                                                        "capacity_falls_percent_per_k",
                                                        "efficiency_falls_percent_per_k",
                                                        "heating_efficiency"};
constexpr std::array<std::string_view, 2> building_wide_keys = {"comfort_limit", "first_weekday"};
constexpr std::array<std::string_view, 4> doorway_keys = {"between", "width_m", "height_m",
                                                          "open_share"};
constexpr std::array<std::string_view, 3> cooling_plants = {"ideal", "unit", "none"};
constexpr std::array<std::string_view, 2> heating_plants = {"ideal", "none"};
constexpr std::array<std::string_view, 2> comfort_limits = {"en 16798", "ashrae 55"};

const NumberRange room_c = NumberRange::between(-30, 60);
const NumberRange gains = NumberRange::between(0, 1000);

/// One number for all hours, 24 for the hours of every day, the first from 0 to 1, or 168 for those
/// of a week that begins with Monday.
void read_hours(SettingsReader& reader, std::string_view key, const NumberRange& range,
                std::string_view default_source, WeekHours& values) {
    if (reader.has(key) && !reader.table()->is_array(key)) {
        values.fill(reader.needed_number(key, range));
        return;
    }
    if (!reader.has(key)) {
        reader.record_default(key, 0.0, default_source);
        return;
    }
    values = listed_hours(reader, key, range);
}

std::size_t weekday_number(const TomlTable& table, std::string_view key, const std::string& word) {
    const auto found = std::find(weekday_names.begin(), weekday_names.end(), word);
    if (found == weekday_names.end())
        throw table.error(key, "a day of the week such as \"friday\"", "\"" + word + "\"");
    return static_cast<std::size_t>(found - weekday_names.begin());
}

/// What people and equipment give off, with what holds on days off in place of it.
struct WorkingWeek {
    std::vector<std::size_t> days_off;
    WeekHours gains_w_m2{}, moisture_g_hm2{};
    std::optional<WeekHours> gains_off_w_m2, moisture_off_g_hm2;
};

WeekHours with_days_off(WeekHours week, const std::optional<WeekHours>& off,
                        const std::vector<std::size_t>& days) {
    if (!off) return week;
    for (const std::size_t day : days) {
        const auto from = static_cast<std::ptrdiff_t>(day * hours_per_day);
        std::copy_n(off->begin() + from, hours_per_day, week.begin() + from);
    }
    return week;
}

void read_hours_off(SettingsReader& reader, const std::vector<std::size_t>& days,
                    std::string_view key, const NumberRange& range, std::optional<WeekHours>& off) {
    if (!reader.has(key)) return;
    if (days.empty()) throw reader.table()->error(key, "days_off beside it", "no days named");
    off.emplace();
    read_hours(reader, key, range, "", *off);
}

void read_days_off(SettingsReader& reader, WorkingWeek& week) {
    if (!reader.has("days_off")) return;
    week.days_off.clear();
    for (const std::string& word : reader.texts("days_off", {}, ""))
        week.days_off.push_back(weekday_number(*reader.table(), "days_off", word));
    const bool says_what = reader.has("gains_off_w_m2") || reader.has("moisture_off_g_hm2") ||
                           week.gains_off_w_m2 || week.moisture_off_g_hm2;
    if (!says_what && !week.days_off.empty())
        throw reader.table()->error(
            "days_off",
            "gains_off_w_m2 or moisture_off_g_hm2 beside it (0 for none; set-points and air on "
            "days off: lists of 168 values)",
            "neither");
}

void read_leakage(SettingsReader& reader, AirLeakage& leakage) {
    constexpr std::string_view area_key = "leakage_area_cm2", changes_key = "air_change_per_h";
    const bool inherited = leakage.leakage_area_cm2 > 0 && !reader.has(changes_key);
    if (!reader.has(area_key) && !inherited) {
        leakage.leakage_area_cm2 = 0;
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
    if (!inherited)
        leakage.leakage_area_cm2 = reader.needed_number(area_key, NumberRange::above_up_to(0, 1e5));
    else if (const auto area = reader.number(area_key, NumberRange::above_up_to(0, 1e5)))
        leakage.leakage_area_cm2 = *area;
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
    read_hours(reader, "fresh_air_per_h", NumberRange::between(0, 100), "own choice: leaks alone",
               ventilation.fresh_air_per_h);
    ventilation.fresh_air_fan_w_per_m3_s =
        reader.number("fresh_air_fan_w_per_m3_s", NumberRange::between(0, 1e5),
                      ventilation.fresh_air_fan_w_per_m3_s, "own choice: no fan");
}

/// The capacity belongs to a unit: an ideal plant has none.
void read_cooling_unit(SettingsReader& reader, bool is_unit, CoolingPlant& plant) {
    plant.rated_efficiency =
        reader.number("cooling_efficiency", NumberRange::above_up_to(0, 20), plant.rated_efficiency,
                      "common practice, split unit at 35 C outdoors");
    const NumberRange percent_per_k = NumberRange::between(0, 10);
    constexpr double percent = 100, digits = 1e9;
    constexpr std::string_view source = "common practice, fixed-speed unit, from memory";
    // 100 times 0.022 is not 2.2 to the last digit, which the list of defaults would show.
    const auto in_percent = [](double share) {
        return std::round(percent * share * digits) / digits;
    };
    plant.efficiency_falls_per_k = reader.number("efficiency_falls_percent_per_k", percent_per_k,
                                                 in_percent(plant.efficiency_falls_per_k), source) /
                                   percent;
    plant.capacity_falls_per_k = reader.number("capacity_falls_percent_per_k", percent_per_k,
                                               in_percent(plant.capacity_falls_per_k), source) /
                                 percent;
    plant.coil_c = reader.number("coil_c", NumberRange::between(0, 25), plant.coil_c,
                                 "common practice, split unit");
    constexpr std::string_view key = "cooling_capacity_kw";
    if (is_unit) {
        if (!plant.is_limited() || reader.has(key))
            plant.rated_capacity_w =
                1000 * reader.needed_number(key, NumberRange::above_up_to(0, 1000));
        return;
    }
    plant.rated_capacity_w = CoolingPlant{}.rated_capacity_w;
    if (reader.has(key)) {
        throw reader.table()->error(key, "a capacity with cooling = \"unit\" alone",
                                    "one with another kind of cooling");
    }
}

/// One number, or hours as of read_hours(): either takes the place of the other.
void read_set_point(SettingsReader& reader, std::string_view key, std::string_view source,
                    double& always_c, std::optional<WeekHours>& by_hour_c) {
    if (reader.has(key) && reader.table()->is_array(key)) {
        by_hour_c.emplace();
        read_hours(reader, key, room_c, source, *by_hour_c);
        return;
    }
    if (by_hour_c && !reader.has(key)) return;
    by_hour_c.reset();
    always_c = reader.number(key, room_c, always_c, source);
}

void require_order(const SettingsReader& reader, const RoomSettings& room) {
    for (std::size_t h = 0; h < hours_per_week; ++h) {
        const double cooling_c =
            room.cooling_set_points_c ? (*room.cooling_set_points_c)[h] : room.cooling_set_point_c;
        const double heating_c =
            room.heating_set_points_c ? (*room.heating_set_points_c)[h] : room.heating_set_point_c;
        if (heating_c <= cooling_c) continue;
        const bool by_hour = room.cooling_set_points_c || room.heating_set_points_c;
        throw reader.table()->error(
            reader.has("heating_set_point_c") ? "heating_set_point_c" : "cooling_set_point_c",
            "heating_set_point_c no higher than cooling_set_point_c " + to_text(cooling_c),
            to_text(heating_c) + (by_hour
                                      ? " from " + std::to_string(h % hours_per_day) + ":00 on " +
                                            std::string(weekday_names.at(h / hours_per_day))
                                      : ""));
    }
}

void read_plant(SettingsReader& reader, RoomSettings& room) {
    const std::string_view before = !room.cooled              ? "none"
                                    : room.plant.is_limited() ? "unit"
                                                              : "ideal";
    const std::string cooling = reader.choice("cooling", cooling_plants, before, "own choice");
    room.cooled = cooling != "none";
    room.heated = reader.choice("heating", heating_plants, room.heated ? "ideal" : "none",
                                "own choice") == "ideal";
    read_set_point(reader, "cooling_set_point_c",
                   "[en16798] category II, upper limit in summer, from memory",
                   room.cooling_set_point_c, room.cooling_set_points_c);
    read_set_point(reader, "heating_set_point_c",
                   "[en16798] category II, lower limit in winter, from memory",
                   room.heating_set_point_c, room.heating_set_points_c);
    require_order(reader, room);
    read_cooling_unit(reader, cooling == "unit", room.plant);
    room.heating_efficiency = reader.number("heating_efficiency", NumberRange::above_up_to(0, 20),
                                            room.heating_efficiency, "resistance heater");
}

void read_week(SettingsReader& reader, WorkingWeek& week) {
    read_days_off(reader, week);
    read_hours(reader, "gains_w_m2", gains, "own choice: the envelope alone", week.gains_w_m2);
    read_hours_off(reader, week.days_off, "gains_off_w_m2", gains, week.gains_off_w_m2);
    const NumberRange moisture_g = NumberRange::between(0, 10000);
    read_hours(reader, "moisture_g_hm2", moisture_g, "own choice: nobody in the room",
               week.moisture_g_hm2);
    read_hours_off(reader, week.days_off, "moisture_off_g_hm2", moisture_g,
                   week.moisture_off_g_hm2);
}

/// A room as its table tells it.
struct ToldRoom {
    RoomSettings settings;  ///< gains and moisture by `week`
    WorkingWeek week;
};

void put_week(ToldRoom& room) {
    constexpr double grams = 1000;
    const WorkingWeek& week = room.week;
    room.settings.gains_w_m2 = with_days_off(week.gains_w_m2, week.gains_off_w_m2, week.days_off);
    room.settings.moisture_kg_hm2 =
        with_days_off(week.moisture_g_hm2, week.moisture_off_g_hm2, week.days_off);
    for (double& moisture : room.settings.moisture_kg_hm2) moisture /= grams;
}

/// What is not in the table stays as it is in `told`.
void read_room(SettingsReader& reader, ToldRoom& told, std::vector<std::size_t>& days_off) {
    RoomSettings& room = told.settings;
    read_plant(reader, room);
    read_leakage(reader, room.leakage);
    read_ventilation(reader, room.ventilation);
    read_week(reader, told.week);
    put_week(told);
    days_off.insert(days_off.end(), told.week.days_off.begin(), told.week.days_off.end());
    room.gains_radiant_share = reader.number("gains_radiant_share", NumberRange::between(0, 1),
                                             room.gains_radiant_share, "common practice");
    room.moisture_buffer = reader.number("moisture_buffer", NumberRange::between(1, 100),
                                         room.moisture_buffer, "common practice, furnished room");
    room.sun_on_floor_share = reader.number("sun_on_floor_share", NumberRange::between(0, 1),
                                            room.sun_on_floor_share, "common practice, wood floor");
    room.furniture_j_m2k = reader.number("furniture_j_m2k", NumberRange::between(0, 1e6),
                                         room.furniture_j_m2k, "common practice, light furniture");
}

/// Only what the table sets is told: the rest is told as [room]'s.
OwnRoom read_own_room(const TomlTable& table, const ToldRoom& general,
                      std::vector<std::size_t>& days_off, std::vector<InputRecord>& inputs) {
    std::vector<InputRecord> read;
    SettingsReader reader(table, table.path(), read);
    OwnRoom own{table.place(), {}, {}};
    if (!reader.has("units"))
        throw table.missing("units", "the units that this holds for, by patterns");
    own.units = reader.texts("units", {}, "");
    ToldRoom told = general;
    read_room(reader, told, days_off);
    own.settings = told.settings;
    std::ranges::copy_if(read, std::back_inserter(inputs), [](const InputRecord& record) {
        return record.origin != InputOrigin::by_default;
    });
    return own;
}

DoorwayRule read_doorway(const TomlTable& table, std::vector<InputRecord>& inputs) {
    SettingsReader reader(table, table.path(), inputs);
    DoorwayRule rule;
    rule.place = table.place();
    const std::vector<std::string> between = reader.texts("between", {}, "");
    if (between.size() != 2)
        throw table.missing("between", "two units, `between = [\"a\", \"b\"]`");
    rule.unit_a = between[0];
    rule.unit_b = between[1];
    Doorway& door = rule.doorway;
    door.width_m = reader.number("width_m", NumberRange::above_up_to(0, 20), door.width_m,
                                 "common practice, inside door");
    door.height_m = reader.number("height_m", NumberRange::above_up_to(0, 20), door.height_m,
                                  "common practice, inside door");
    if (reader.has("open_share"))
        read_hours(reader, "open_share", NumberRange::between(0, 1), "", door.open_share);
    else
        reader.record_default("open_share", 1.0, "own choice: always open");
    return rule;
}

}  // namespace

RoomChoice read_room_table(const TomlTable& root, std::vector<InputRecord>& inputs) {
    std::vector<std::string_view> with_week(room_keys.begin(), room_keys.end());
    with_week.insert(with_week.end(), building_wide_keys.begin(), building_wide_keys.end());
    SettingsReader reader(root.table("room", with_week), "room", inputs);
    RoomChoice choice;
    ToldRoom general;
    read_room(reader, general, choice.days_off);
    choice.settings = general.settings;
    if (const auto word = reader.text("first_weekday"))
        choice.first_weekday = weekday_number(*reader.table(), "first_weekday", *word);
    const std::string limit = reader.choice("comfort_limit", comfort_limits, comfort_limits[0],
                                            "[en16798] adaptive limit of category II, from memory");
    choice.comfort = limit == comfort_limits[0] ? AdaptiveModel::en_16798_category_2
                                                : AdaptiveModel::ashrae_55_80_percent;
    std::vector<std::string_view> own_keys(room_keys.begin(), room_keys.end());
    own_keys.push_back("units");
    for (const TomlTable& table : root.tables("own_room", own_keys))
        choice.own.push_back(read_own_room(table, general, choice.days_off, inputs));
    for (const TomlTable& table : root.tables("doorway", doorway_keys))
        choice.doorways.push_back(read_doorway(table, inputs));
    return choice;
}

}  // namespace noonshell
