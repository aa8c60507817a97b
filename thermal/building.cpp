#include "thermal/building.hpp"

#include <string>
#include <utility>

#include "geometry/diagnostics.hpp"

namespace noonshell {

namespace {

void check_room(const RoomSettings& room, const std::string& unit) {
    const auto fail = [&unit](const char* key, const char* expected, double seen) {
        throw InputError({.entity = "[room] " + std::string(key) + " of " + unit}, expected,
                         std::to_string(seen));
    };
    for (std::size_t h = 0; h < hours_per_week; ++h) {
        const double cooling =
            room.cooling_set_points_c ? (*room.cooling_set_points_c)[h] : room.cooling_set_point_c;
        const double heating =
            room.heating_set_points_c ? (*room.heating_set_points_c)[h] : room.heating_set_point_c;
        if (!(cooling >= heating))
            fail("cooling_set_point_c", "a value not below heating_set_point_c", cooling);
    }
    const auto check_air_changes = [&fail](const char* key, double changes) {
        if (!(changes >= 0 && changes <= 100)) fail(key, "0 to 100", changes);
    };
    check_air_changes("air_change_per_h", room.leakage.air_change_per_h);
    for (const double changes : room.ventilation.air_change_per_h) {
        check_air_changes("ventilation_per_h", changes);
    }
    for (const double changes : room.ventilation.fresh_air_per_h) {
        check_air_changes("fresh_air_per_h", changes);
    }
    if (!(room.leakage.leakage_area_cm2 >= 0)) {
        fail("leakage_area_cm2", "0 or more", room.leakage.leakage_area_cm2);
    }
    wind_coefficient(room.leakage.shelter_class);
    if (!(room.furniture_j_m2k >= 0)) {
        fail("furniture_j_m2k", "0 or more", room.furniture_j_m2k);
    }
    if (!(room.gains_radiant_share >= 0 && room.gains_radiant_share <= 1)) {
        fail("gains_radiant_share", "0 to 1", room.gains_radiant_share);
    }
    if (!(room.plant.rated_efficiency > 0)) {
        fail("cooling_efficiency", "more than 0", room.plant.rated_efficiency);
    }
    if (!(room.plant.rated_capacity_w > 0)) {
        fail("cooling_capacity_kw", "more than 0", room.plant.rated_capacity_w / 1000);
    }
    for (const double falls :
         {room.plant.capacity_falls_per_k, room.plant.efficiency_falls_per_k}) {
        if (!(falls >= 0 && falls <= 0.1)) fail("cooling_..._falls_per_k", "0 to 0.1", falls);
    }
    if (!(room.heating_efficiency > 0)) {
        fail("heating_efficiency", "more than 0", room.heating_efficiency);
    }
    if (!(room.sun_on_floor_share >= 0 && room.sun_on_floor_share <= 1)) {
        fail("sun_on_floor_share", "0 to 1", room.sun_on_floor_share);
    }
    for (const double gain : room.moisture_kg_hm2) {
        if (!(gain >= 0)) fail("moisture_g_hm2", "0 or more", 1000 * gain);
    }
    if (!(room.moisture_buffer >= 1)) {
        fail("moisture_buffer", "1 or more", room.moisture_buffer);
    }
    for (const double gain : room.gains_w_m2) {
        if (!(gain >= 0)) fail("gains_w_m2", "0 or more", gain);
    }
}

}  // namespace

Building plain_building(std::vector<Construction> by_surface, std::vector<RoomSettings> rooms) {
    return {by_surface, std::move(by_surface), std::move(rooms)};
}

Building free_running(const Building& building) {
    Building free = building;
    for (RoomSettings& room : free.rooms) room.cooled = false;
    return free;
}

std::vector<double> outside_reflectance(const Building& building) {
    std::vector<double> reflectance;
    reflectance.reserve(building.exposed.size());
    for (const Construction& c : building.exposed) reflectance.push_back(solar_reflectance(c));
    return reflectance;
}

void validate(const Building& building, const Envelope& envelope) {
    NOONSHELL_CHECK_EQ(building.exposed.size(), envelope.surfaces.size());
    NOONSHELL_CHECK_EQ(building.covered.size(), envelope.surfaces.size());
    NOONSHELL_CHECK_EQ(building.rooms.size(), envelope.units.size());
    for (const Construction& c : building.exposed) validate(c);
    for (const Construction& c : building.covered) validate(c);
    for (const Doorway& door : building.doorways) {
        NOONSHELL_CHECK_LT(door.a.index(), envelope.units.size());
        NOONSHELL_CHECK_LT(door.b.index(), envelope.units.size());
        NOONSHELL_CHECK_EQ(door.a == door.b, false);
        NOONSHELL_CHECK_GT(door.width_m, 0.0);
        NOONSHELL_CHECK_GT(door.height_m, 0.0);
    }
    for (std::size_t u = 0; u < building.rooms.size(); ++u) {
        check_room(building.rooms[u], envelope.units[u].id);
    }
}

}  // namespace noonshell
