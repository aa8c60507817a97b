#include "thermal/response.hpp"

#include <algorithm>
#include <cmath>

namespace noonshell {

double RoomBalance::residual() const {
    const double gap =
        through_envelope_j + air_change_j + doorways_j + gains_j + heating_j - cooling_j - stored_j;
    return passed_j > 0 ? std::abs(gap) / passed_j : 0;
}

RoomBalance between(const RoomBalance& later, const RoomBalance& earlier) {
    return {.through_envelope_j = later.through_envelope_j - earlier.through_envelope_j,
            .air_change_j = later.air_change_j - earlier.air_change_j,
            .ventilation_j = later.ventilation_j - earlier.ventilation_j,
            .doorways_j = later.doorways_j - earlier.doorways_j,
            .gains_j = later.gains_j - earlier.gains_j,
            .pane_sun_j = later.pane_sun_j - earlier.pane_sun_j,
            .heating_j = later.heating_j - earlier.heating_j,
            .cooling_j = later.cooling_j - earlier.cooling_j,
            .stored_j = later.stored_j - earlier.stored_j,
            .passed_j = later.passed_j - earlier.passed_j};
}

double Response::heat_residual() const {
    double worst = outside_residual;
    for (const RoomBalance& room : room_balance) worst = std::max(worst, room.residual());
    return worst;
}

double Response::heat_residual_of_a_day() const {
    double worst = 0;
    for (const RoomBalance& room : room_balance) worst = std::max(worst, room.worst_day);
    return worst;
}

void Trace::resize(std::size_t n_steps, std::size_t n_surfaces, std::size_t n_passage_faces,
                   std::size_t n_units) {
    outside_longwave_w_m2.assign(n_steps * n_surfaces, 0.0f);
    longwave_in_w_m2.assign(n_steps * n_surfaces, 0.0f);
    passage_face_c.assign(n_steps * n_passage_faces, 0.0f);
    room_air_c.assign(n_steps * n_units, 0.0f);
    room_radiant_c.assign(n_steps * n_units, 0.0f);
    room_humidity_kg_kg.assign(n_steps * n_units, 0.0f);
}

}  // namespace noonshell
