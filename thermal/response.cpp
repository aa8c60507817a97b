#include "thermal/response.hpp"

#include <algorithm>
#include <cmath>

namespace noonshell {

double RoomBalance::residual() const {
    const double gap =
        through_envelope_j + air_change_j + gains_j + heating_j - cooling_j - stored_j;
    return passed_j > 0 ? std::abs(gap) / passed_j : 0;
}

double Response::heat_residual() const {
    double worst = outside_residual;
    for (const RoomBalance& room : room_balance) worst = std::max(worst, room.residual());
    return worst;
}

}  // namespace noonshell
