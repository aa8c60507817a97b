// What the heat side is told about the building: constructions by surface and settings by room.
#pragma once

#include <optional>
#include <vector>

#include "geometry/envelope.hpp"
#include "thermal/air_exchange.hpp"
#include "thermal/construction.hpp"
#include "thermal/cooling_plant.hpp"
#include "thermal/doorway.hpp"
#include "thermal/week_hours.hpp"

namespace noonshell {

struct RoomSettings {
    bool cooled = true;
    bool heated = true;
    double cooling_set_point_c = 26.0;
    double heating_set_point_c = 20.0;
    /// By hour in place of the two above; what changes
    /// from hour to hour changes evenly over the later one.
    std::optional<WeekHours> cooling_set_points_c{}, heating_set_points_c{};
    AirLeakage leakage;
    Ventilation ventilation;
    WeekHours gains_w_m2{};       ///< people, lamps, equipment per floor area
    WeekHours moisture_kg_hm2{};  ///< vapour from people, cooking, washing per floor area
    double moisture_buffer = 5;   ///< vapour that air and furnishings hold, over that of the air
    double gains_radiant_share = 0.5;  ///< the rest warms the air straight away
    /// Of the direct sun that comes through panes, the part that the floor takes; the rest and all
    /// other light goes to the inside faces as radiant gains do.
    double sun_on_floor_share = 0.6;
    double furniture_j_m2k = 20000.0;  ///< heat capacity per floor area lumped with the air
    CoolingPlant plant;
    double heating_efficiency = 1.0;  ///< heat delivered per electricity (resistance heater)
};

/// `exposed` holds on the part of a surface that meets the open; `covered` on the part in contact
/// with a neighbour or the ground, which no treatment reaches.
struct Building {
    std::vector<Construction> exposed;  ///< #surfaces
    std::vector<Construction> covered;  ///< #surfaces; unused for shades
    std::vector<RoomSettings> rooms;    ///< #units
    std::vector<Doorway> doorways = {};
    WeekHours tariff = at_all_hours(1);  ///< price of electricity over its mean of the week
};

/// The same construction on both parts of every surface.
Building plain_building(std::vector<Construction> by_surface, std::vector<RoomSettings> rooms);

/// The same building with every room's cooling switched off; heating stays.
Building free_running(const Building& building);

/// Outside solar reflectance of every surface's exposed part, #surfaces.
std::vector<double> outside_reflectance(const Building& building);

/// Throws InputError when sizes do not match the envelope or a value is out of range.
void validate(const Building& building, const Envelope& envelope);

}  // namespace noonshell
