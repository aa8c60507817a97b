// Water vapour in a room: what outdoor air and people bring, what the cooling coil takes out, and
// where it condenses.
#pragma once

namespace noonshell {

/// Humidity ratio of saturated air [kg/kg dry air], by the vapour pressure of solar/humidity.hpp.
double saturated_humidity_kg_kg(double air_c, double pressure_pa);

/// One step of one room.
struct MoistureStep {
    double step_s = 600;
    double air_kg = 0;       ///< dry air of the room, with what furnishings hold as if it were air
    double inflow_kg_s = 0;  ///< dry air that comes in, and as much goes out
    double inflow_humidity_kg_kg = 0;
    double gain_kg_s = 0;  ///< vapour from people, cooking, washing
    double cooling_w = 0;  ///< sensible heat that the coil takes out
    double air_c = 25;
    double pressure_pa = 101325;
};

struct RoomMoisture {
    double humidity_kg_kg = 0;
    double latent_w = 0;  ///< heat of the vapour that the coil took out
};

/// The room at the end of a step, by the implicit Euler formula. The air that meets the coil leaves
/// it on the straight line from the room's state to saturation at `coil_c` (apparatus dew point),
/// so that vapour and heat are taken out in the proportion of these two differences ([ashrae2021]
/// ch. 1, process of moist air cooling; bypass drops out). No vapour is taken from air drier than
/// that. What would pass saturation at the room's temperature condenses and leaves the balance.
/// Left out: evaporation from the wet coil between its runs, moisture within walls.
RoomMoisture advance_moisture(double humidity_kg_kg, const MoistureStep& step, double coil_c);

}  // namespace noonshell
