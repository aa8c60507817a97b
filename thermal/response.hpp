// What the heat run answers with. Hour-major flat arrays.
#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

#include "geometry/diagnostics.hpp"
#include "geometry/ids.hpp"

namespace noonshell {

/// A largest value and the step at whose end it stood; NaN where there was nothing to look at (the
/// outside of a surface that is wholly covered).
struct Peak {
    double value = 0;
    std::size_t step = 0;
};

/// The air behind one surface's cladding over the period.
struct GapFigures {
    bool there = false;
    Peak air_speed_m_s, outlet_c;  ///< fastest, and hottest where it leaves
    Peak carried_w;                ///< most heat that the air took with it at one time
    double carried_away_j = 0;     ///< heat that it took, net
};

/// Energy that passed through one room over the period [J]; `residual()` is what does not add up,
/// as a share of what passed.
struct RoomBalance {
    double through_envelope_j = 0;  ///< into the room from all its inside faces
    double air_change_j = 0;        ///< with all outdoor air
    double ventilation_j = 0;       ///< the part of air_change_j that ventilation brings
    double doorways_j = 0;          ///< from neighbour rooms with their air
    double gains_j = 0;             ///< people and equipment, and all sun through panes
    double pane_sun_j = 0;          ///< the part of gains_j that is sun
    double heating_j = 0;
    double cooling_j = 0;  ///< taken out, positive
    double stored_j = 0;   ///< change over the period
    double passed_j = 0;   ///< sum of the magnitudes of all flows
    double worst_day = 0;  ///< largest residual of a single day
    double residual() const;
};

/// What passed between two instants of one room.
RoomBalance between(const RoomBalance& later, const RoomBalance& earlier);

struct Response {
    static constexpr double not_met_k = 0.5;
    std::size_t n_hours = 0, n_surfaces = 0, n_units = 0;
    std::size_t steps_per_hour = 0;

    // Surfaces: [hour * n_surfaces + surface], means over the hour.
    std::vector<float> outside_c;  ///< outermost face of the exposed part
    std::vector<float> inward_w;   ///< heat from the whole surface into its room; 0 for shades

    // Units: [hour * n_units + unit], means over the hour.
    std::vector<float> air_c, cooling_w, heating_w;
    std::vector<float> operative_c;     ///< mean of air and mean radiant temperature
    std::vector<float> humidity_kg_kg;  ///< vapour per dry air

    // Over the whole period.
    std::vector<Peak> peak_outside_c;    ///< #surfaces, of the outermost face
    std::vector<Peak> peak_steel_c;      ///< #surfaces, of the steel under any treatment
    std::vector<Peak> peak_inward_w;     ///< #surfaces
    std::vector<double> mean_outside_c;  ///< #surfaces
    std::vector<double> inward_j;        ///< #surfaces, net over the period
    std::vector<double> absorbed_j_m2;   ///< #surfaces, sun taken in per exposed area
    std::vector<Peak> peak_cooling_w, peak_heating_w, peak_air_c;  ///< #units, of the air alone
    std::vector<double> cooling_j, heating_j;                      ///< #units
    std::vector<Peak>
        peak_load_w;  ///< largest heat that cooling took out of air and vapour, #units
    std::vector<double> latent_at_peak_w;  ///< of the vapour when peak_load_w stood, #units
    std::vector<double> latent_j;  ///< heat of the vapour that cooling took out besides, #units
    std::vector<double> condensation_h;  ///< #surfaces, time in which water condenses inside
    std::vector<double> cooling_electricity_j, heating_electricity_j;  ///< #units
    /// Largest cooling load, vapour included, over what a plant keeps of its rated capacity at that
    /// time: the rated capacity that would have met every step [W], #units.
    std::vector<Peak> needed_capacity_w;
    /// Time in which a plant at its limit left the room warmer than its set-point by more than
    /// Response::not_met_k, #units.
    std::vector<double> hours_not_met_h;
    std::vector<double> at_limit_h;      ///< time in which a plant gave all that it could, #units
    std::vector<double> outdoor_air_m3;  ///< that came in over the period, #units
    std::vector<double> fan_electricity_j;  ///< of the ventilation, #units
    /// Of cooling, heating and fan, each hour's times the building's tariff, #units: times the mean
    /// price it is the bill.
    std::vector<double> priced_electricity_j;
    std::vector<RoomBalance> room_balance;  ///< #units
    std::vector<GapFigures> gaps;           ///< #surfaces
    Peak gaps_carried_w;                    ///< most heat that the air of all gaps took at one time
    double outside_residual = 0;  ///< gap of the outside balances (sun, longwave, convection,
                                  ///< conduction, storage), share of what passed
    double outside_passed_j = 0;  ///< what it is a share of
    double worst_change_k = 0;  ///< periodic weather: largest change of a wall between the start of
                                ///< the period and its end
    std::size_t steps_not_settled = 0;  ///< steps whose inner loop ended above its tolerance
    std::vector<Warning> warnings;

    double heat_residual() const;           ///< worst of the outside and all room residuals
    double heat_residual_of_a_day() const;  ///< worst of all rooms and days
};

/// Conditions along a run that another run may take as given: step-major.
struct Trace {
    std::vector<float> outside_longwave_w_m2;  ///< leaving the outermost faces,
                                               ///< [step * n_surfaces + surface]
    std::vector<float> longwave_in_w_m2;       ///< arriving at them, [step * n_surfaces + surface]
    /// Of faces_of_passages() alone, [step * #of them + face].
    std::vector<float> passage_face_c;
    std::vector<float> room_air_c;           ///< [step * n_units + unit]
    std::vector<float> room_radiant_c;       ///< [step * n_units + unit]
    std::vector<float> room_humidity_kg_kg;  ///< [step * n_units + unit]

    void resize(std::size_t n_steps, std::size_t n_surfaces, std::size_t n_passage_faces,
                std::size_t n_units);
};

}  // namespace noonshell
