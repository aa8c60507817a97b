// Where the heat of one room came from over the period, and where it went.
#pragma once

#include "geometry/envelope.hpp"
#include "thermal/response.hpp"

namespace noonshell {

/// Heat into a room over the period [J], below 0 out of it; of `cooling_j` what was taken out. All
/// but the last add up to `stored_j`, cooling taken off. What a side passes holds its parts in
/// contact with neighbours and with the ground.
struct HeatAccount {
    double roof_j = 0, walls_j = 0, floor_j = 0;
    double panes_j = 0;        ///< conducted and given off by the glass
    double pane_sun_j = 0;     ///< sun that comes through them
    double leaks_j = 0;        ///< with outdoor air
    double ventilation_j = 0;  ///< likewise
    double doorways_j = 0;     ///< with the air of neighbour rooms
    double gains_j = 0;        ///< people and equipment
    double heating_j = 0, cooling_j = 0;
    double stored_j = 0;  ///< in the room's air and furniture
};

/// Of a run that kept its accounts (HeatOptions::account).
HeatAccount heat_account(const Response& response, const Envelope& envelope, UnitId unit);

}  // namespace noonshell
