#include "thermal/response_join.hpp"

#include <algorithm>
#include <cmath>

#include "geometry/diagnostics.hpp"

namespace noonshell {

namespace {

template <class Number>
void add_all(const std::vector<Number>& other, std::vector<Number>& to) {
    NOONSHELL_CHECK_EQ(other.size(), to.size());
    for (std::size_t i = 0; i < to.size(); ++i) to[i] += other[i];
}

/// The first of two equal ones stays, as in one run.
void raise(const Peak& other, Peak& to) {
    const bool later = other.step > to.step;
    if (std::isnan(to.value) || other.value > to.value || (other.value == to.value && !later)) {
        if (!std::isnan(other.value)) to = other;
    }
}

void raise_all(const std::vector<Peak>& other, std::vector<Peak>& to) {
    NOONSHELL_CHECK_EQ(other.size(), to.size());
    for (std::size_t i = 0; i < to.size(); ++i) raise(other[i], to[i]);
}

void add_balance(const RoomBalance& other, RoomBalance& to) {
    to.through_envelope_j += other.through_envelope_j;
    to.air_change_j += other.air_change_j;
    to.ventilation_j += other.ventilation_j;
    to.doorways_j += other.doorways_j;
    to.gains_j += other.gains_j;
    to.pane_sun_j += other.pane_sun_j;
    to.heating_j += other.heating_j;
    to.cooling_j += other.cooling_j;
    to.stored_j += other.stored_j;
    to.passed_j += other.passed_j;
    to.worst_day = std::max(to.worst_day, other.worst_day);
}

void join_gap(const GapFigures& other, GapFigures& to) {
    to.there = to.there || other.there;
    raise(other.air_speed_m_s, to.air_speed_m_s);
    raise(other.outlet_c, to.outlet_c);
    raise(other.carried_w, to.carried_w);
    to.carried_away_j += other.carried_away_j;
}

}  // namespace

void join(const Response& other, Response& to) {
    for (const auto hours :
         {&Response::outside_c, &Response::inward_w, &Response::air_c, &Response::cooling_w,
          &Response::heating_w, &Response::operative_c, &Response::humidity_kg_kg})
        add_all(other.*hours, to.*hours);
    for (const auto sums :
         {&Response::mean_outside_c, &Response::inward_j, &Response::cooling_j,
          &Response::heating_j, &Response::latent_j, &Response::condensation_h,
          &Response::cooling_electricity_j, &Response::heating_electricity_j,
          &Response::hours_not_met_h, &Response::at_limit_h, &Response::outdoor_air_m3,
          &Response::fan_electricity_j, &Response::priced_electricity_j})
        add_all(other.*sums, to.*sums);
    for (std::size_t u = 0; u < to.latent_at_peak_w.size(); ++u) {
        if (other.peak_load_w[u].value > to.peak_load_w[u].value)
            to.latent_at_peak_w[u] = other.latent_at_peak_w[u];
    }
    for (const auto peaks :
         {&Response::peak_outside_c, &Response::peak_steel_c, &Response::peak_inward_w,
          &Response::peak_cooling_w, &Response::peak_load_w, &Response::peak_heating_w,
          &Response::peak_air_c, &Response::needed_capacity_w})
        raise_all(other.*peaks, to.*peaks);
    for (std::size_t u = 0; u < to.room_balance.size(); ++u)
        add_balance(other.room_balance[u], to.room_balance[u]);
    for (std::size_t s = 0; s < to.gaps.size(); ++s) join_gap(other.gaps[s], to.gaps[s]);
    raise(other.gaps_carried_w, to.gaps_carried_w);
    const double gap_j =
        to.outside_residual * to.outside_passed_j + other.outside_residual * other.outside_passed_j;
    to.outside_passed_j += other.outside_passed_j;
    to.outside_residual = to.outside_passed_j > 0 ? gap_j / to.outside_passed_j : 0;
    to.steps_not_settled += other.steps_not_settled;
    to.warnings.insert(to.warnings.end(), other.warnings.begin(), other.warnings.end());
}

}  // namespace noonshell
