#include "thermal/room_air.hpp"

#include <algorithm>

#include "solar/common_year.hpp"
#include "thermal/air.hpp"

namespace noonshell {

RoomAir::RoomAir(const Envelope& envelope, const Building& building, const Surroundings& around,
                 const LiveRooms& live)
    : envelope_(envelope),
      building_(building),
      around_(around),
      live_(live),
      leaks_m3_s_(envelope.units.size(), 0.0),
      ventilation_m3_s_(envelope.units.size(), 0.0),
      fresh_m3_s_(envelope.units.size(), 0.0),
      doorway_m3_s_(building.doorways.size(), 0.0),
      moisture_(envelope.units.size(),
                {around.humidity_kg_kg.empty() ? 0.0 : around.humidity_kg_kg[0], 0, false}),
      inflow_m3_s_(envelope.units.size(), 0.0),
      vapour_in_m3_s_(envelope.units.size(), 0.0) {}

void RoomAir::set_flows(std::size_t step, std::span<const double> air_c) {
    const std::size_t hour = step / around_.steps_per_hour;
    const double wind_m_s = around_.wind_at(hour);
    const double outdoor_c = around_.air_c[step];
    for (const std::uint32_t u : live_.run) {
        const RoomSettings& set = building_.rooms[u];
        const double volume_m3 = envelope_.units[u].volume_m3;
        leaks_m3_s_[u] = set.leakage.flow_m3_s(volume_m3, air_c[u], outdoor_c, wind_m_s);
        const double most_m3_s = set.ventilation.air_change_per_h[around_.week_hour[hour]] *
                                 volume_m3 / seconds_per_hour;
        const double wanted_m3_s =
            most_m3_s > 0 ? most_m3_s * set.ventilation.wanted_share(air_c[u], outdoor_c) : 0.0;
        ventilation_m3_s_[u] =
            most_m3_s > 0 ? 0.5 * (std::min(ventilation_m3_s_[u], most_m3_s) + wanted_m3_s) : 0.0;
        fresh_m3_s_[u] =
            set.ventilation.fresh_air_per_h[around_.week_hour[hour]] * volume_m3 / seconds_per_hour;
    }
    for (const std::uint32_t d : live_.doorways) {
        const Doorway& door = building_.doorways[d];
        const double share = door.open_share[around_.week_hour[hour]];
        const double wanted_m3_s =
            door.flow_m3_s(air_c[door.a.index()], air_c[door.b.index()], share);
        doorway_m3_s_[d] = share > 0 ? 0.5 * (doorway_m3_s_[d] + wanted_m3_s) : 0.0;
    }
    hour_ = hour;
    gather_inflows(around_.humidity_kg_kg.empty() ? 0.0 : around_.humidity_kg_kg[hour]);
}

double RoomAir::fan_w(std::size_t room) const {
    const Ventilation& set = building_.rooms[room].ventilation;
    return set.fan_w_per_m3_s * ventilation_m3_s_[room] +
           set.fresh_air_fan_w_per_m3_s * fresh_m3_s_[room];
}

/// From outdoors and through doorways, whose air is as moist as the room behind it was.
void RoomAir::gather_inflows(double outdoor_kg_kg) {
    for (const std::uint32_t u : live_.run) {
        inflow_m3_s_[u] = outdoor_m3_s(u);
        vapour_in_m3_s_[u] = outdoor_m3_s(u) * outdoor_kg_kg;
    }
    for (const std::uint32_t u : live_.beside) inflow_m3_s_[u] = vapour_in_m3_s_[u] = 0;
    for (const std::uint32_t d : live_.doorways) {
        const std::size_t a = building_.doorways[d].a.index(), b = building_.doorways[d].b.index();
        inflow_m3_s_[a] += doorway_m3_s_[d];
        inflow_m3_s_[b] += doorway_m3_s_[d];
        vapour_in_m3_s_[a] += doorway_m3_s_[d] * moisture_[b].humidity_kg_kg;
        vapour_in_m3_s_[b] += doorway_m3_s_[d] * moisture_[a].humidity_kg_kg;
    }
}

MoistureStep RoomAir::vapour_of(std::size_t room) const {
    const RoomSettings& set = building_.rooms[room];
    const Unit& unit = envelope_.units[room];
    const double kg_m3 = around_.air_heat_j_m3k[hour_] / air_specific_heat_j_kgk;
    return {.step_s = around_.step_s,
            .air_kg = set.moisture_buffer * kg_m3 * unit.volume_m3,
            .inflow_kg_s = kg_m3 * inflow_m3_s_[room],
            .inflow_humidity_kg_kg =
                inflow_m3_s_[room] > 0 ? vapour_in_m3_s_[room] / inflow_m3_s_[room] : 0.0,
            .gain_kg_s = set.moisture_kg_hm2[around_.week_hour[hour_]] * unit.floor_area_m2 /
                         seconds_per_hour,
            .pressure_pa = around_.pressure_pa[hour_]};
}

double RoomAir::most_sensible_w(std::size_t room, double most_w, double air_c) const {
    MoistureStep vapour = vapour_of(room);
    vapour.most_w = most_w;
    vapour.air_c = air_c;
    return noonshell::most_sensible_w(moisture_[room].humidity_kg_kg, vapour,
                                      building_.rooms[room].plant.coil_c);
}

void RoomAir::advance_vapour(std::span<const RoomInStep> rooms, std::span<const double> most_w) {
    for (const std::uint32_t u : live_.run) {
        MoistureStep vapour = vapour_of(u);
        vapour.cooling_w = std::max(0.0, -rooms[u].plant_w);
        vapour.most_w = most_w[u];
        vapour.air_c = rooms[u].air_c;
        moisture_[u] =
            advance_moisture(moisture_[u].humidity_kg_kg, vapour, building_.rooms[u].plant.coil_c);
    }
}

}  // namespace noonshell
