// Water vapour in a room: what outdoor air and people bring, what the cooling coil takes out, and
// where it condenses.
#pragma once

#include <limits>

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
    double most_w = std::numeric_limits<double>::infinity();  ///< heat and vapour together
    double air_c = 25;
    double pressure_pa = 101325;
};

struct RoomMoisture {
    double humidity_kg_kg = 0;
    double latent_w = 0;     ///< heat of the vapour that the coil took out
    bool held_back = false;  ///< whether most_w kept it from taking out more
};

/// The room at the end of a step, by the implicit Euler formula. The air that meets the coil leaves
/// it on the straight line from the room's state to saturation at `coil_c` (apparatus dew point),
/// so that vapour and heat are taken out in the proportion of these two differences ([ashrae2021]
/// ch. 1, process of moist air cooling; bypass drops out). No vapour is taken from air drier than
/// that. What would pass saturation at the room's temperature condenses and leaves the balance.
/// Of vapour that would go beyond most_w only what fits beside the sensible heat is taken out.
/// Left out: evaporation from the wet coil between its runs, moisture within walls.
RoomMoisture advance_moisture(double humidity_kg_kg, const MoistureStep& step, double coil_c);

/// The sensible heat with which advance_moisture() takes out most_w in all [W], whatever cooling_w:
/// with m air past the coil, m k + m h D / (B + m) = most_w, k the sensible heat and h D / (B + m)
/// the latent heat per air; a quadratic in m.
double most_sensible_w(double humidity_kg_kg, const MoistureStep& step, double coil_c);

}  // namespace noonshell
