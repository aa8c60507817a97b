#include "thermal/heat_account.hpp"

#include <cmath>

namespace noonshell {

HeatAccount heat_account(const Response& response, const Envelope& envelope, UnitId unit) {
    const RoomBalance& room = response.room_balance[unit.index()];
    HeatAccount account{.pane_sun_j = room.pane_sun_j,
                        .leaks_j = room.air_change_j - room.ventilation_j,
                        .ventilation_j = room.ventilation_j,
                        .doorways_j = room.doorways_j,
                        .gains_j = room.gains_j - room.pane_sun_j,
                        .heating_j = room.heating_j,
                        .cooling_j = room.cooling_j,
                        .stored_j = room.stored_j};
    for (std::size_t s = 0; s < envelope.surfaces.size(); ++s) {
        if (envelope.surfaces[s].unit != unit) continue;
        const double inward_j = response.inward_j[s];
        switch (envelope.surfaces[s].kind) {
            case SurfaceKind::roof:
                account.roof_j += inward_j;
                break;
            case SurfaceKind::floor:
            case SurfaceKind::soffit:
                account.floor_j += inward_j;
                break;
            case SurfaceKind::pane:
                account.panes_j += inward_j;
                break;
            case SurfaceKind::wall:
            case SurfaceKind::shade:
            case SurfaceKind::context:
            case SurfaceKind::ground:
                account.walls_j += inward_j;
                break;
        }
    }
    // The two are summed step by step: what rounding leaves of their difference is none.
    constexpr double rounding = 1e-9;
    if (std::abs(account.gains_j) < rounding * std::abs(room.gains_j)) account.gains_j = 0;
    // Inward heat of a pane holds the sun that it lets in.
    account.panes_j -= account.pane_sun_j;
    return account;
}

}  // namespace noonshell
