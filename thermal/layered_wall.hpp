// Transient conduction through the layers of one construction as a two-port: implicit finite
// volumes, constant step, heat flux at both faces linear in the two face temperatures.
//
//   C dT/dt = -K T + q          C [J/(m2 K)] per cell, K [W/(m2 K)] between cells
//
// in time by the two-step backward differentiation formula (second order, L-stable): a 2 mm steel
// sheet that settles within minutes and a thick slab use the same step.
//
// Face temperatures are those at the ends of the steps. A jump from one step to the next counts as
// a jump in the middle of the step. What a step costs: of a two-hour triangular pulse of sol-air
// temperature a light insulated wall passes each hour's share right to 0.2 points in 100 with steps
// of 150 s, 0.6 with 300 s, 2 with 600 s and 4 with 900 s; sums over a day are exact, and a daily
// sine comes through within 0.4 % and 0.02 h with 900 s.
#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "thermal/construction.hpp"

namespace noonshell {

/// Fluxes per m2 for one step, positive from face a (outside) toward face b (inside):
///   into a:   q_a = aa T_a - ab T_b - r_a
///   out of b: q_b = ab T_a - bb T_b + r_b
struct TwoPort {
    double aa = 0, ab = 0, bb = 0;  ///< [W/(m2 K)], constant for one step length
    double r_a = 0, r_b = 0;        ///< [W/m2], from the wall's past
};

/// Cell temperatures of one wall at this step and the one before [C], each of length n_cells().
struct WallState {
    std::vector<double> now_c;
    std::vector<double> before_c;
};

/// What a step does to one cell: forward y = past (2 T_now - 1/2 T_before) + lower y_before, then
/// backward T = y + upper T_behind, then T + response_a T_a + response_b T_b.
struct CellStep {
    double past = 0, lower = 0, upper = 0, response_a = 0, response_b = 0;
};

class LayeredWall {
  public:
    /// Layers from face a to face b. Factors the matrix for `step_s` once. `refine` multiplies the
    /// number of cells. Without any massive layer the wall has no cells and the two-port is the
    /// bare resistance. Throws InputError when there is no layer or a layer breaks a rule of
    /// `validate`.
    LayeredWall(std::span<const Layer> layers, double step_s, int refine = 1);

    std::size_t n_cells() const { return capacity_j_m2k_.size(); }
    double step_s() const { return step_s_; }
    double resistance_m2k_w() const { return resistance_m2k_w_; }
    /// Cell nearest to face a of the layer with this index in the list given (of the next massive
    /// layer where that one has no mass).
    /// n_cells() where no layer from this one on has mass.
    std::size_t first_cell_of_layer(std::size_t layer) const { return first_cell_[layer]; }
    /// From the face a of the layer with this index to face b [m2 K/W].
    double resistance_behind_m2k_w(std::size_t layer) const {
        return resistance_m2k_w_ - resistance_before_m2k_w_[layer];
    }

    /// The coefficients of a step, for those who take it for several walls at once.
    CellStep cell_step(std::size_t cell) const {
        return {past_[cell], lower_[cell], upper_[cell], response_a_[cell], response_b_[cell]};
    }
    TwoPort port() const { return {.aa = aa_, .ab = ab_, .bb = bb_, .r_a = 0, .r_b = 0}; }
    std::span<const double> cell_capacities_j_m2k() const { return capacity_j_m2k_; }
    /// Face a to the first cell, between cells, last cell to face b: n_cells() + 1.
    std::span<const double> conductances_w_m2k() const { return conductance_w_m2k_; }
    double outer_conductance_w_m2k() const { return conductance_w_m2k_.front(); }  ///< face a, cell
    double inner_conductance_w_m2k() const { return conductance_w_m2k_.back(); }

    WallState uniform_state(double temperature_c) const;
    /// Straight-line steady profile between two face temperatures.
    WallState steady_state(double face_a_c, double face_b_c) const;

    /// The two-port of the coming step. `particular_c` (length n_cells) receives the part of the
    /// new cell temperatures that does not depend on the faces; hand it to `advance`.
    TwoPort prepare(const WallState& state, std::span<double> particular_c) const;

    /// Completes the step once both face temperatures are known.
    void advance(WallState& state, std::span<const double> particular_c, double face_a_c,
                 double face_b_c) const;

    /// Heat stored relative to 0 C in the sense of the time scheme [J/m2]: its change over a step
    /// is exactly step * (q_a - q_b). That is sum C (3/2 T_now - 1/2 T_before).
    double stored_j_m2(const WallState& state) const;

  private:
    void add_layers(std::span<const Layer> layers, int refine);
    void factor();

    double step_s_ = 0;
    double resistance_m2k_w_ = 0;
    std::vector<std::size_t> first_cell_;          // per layer
    std::vector<double> resistance_before_m2k_w_;  // per layer
    std::vector<double> capacity_j_m2k_;           // per cell
    std::vector<double> conductance_w_m2k_;        // n_cells + 1: face a, between cells, face b
    // The factored matrix, each of length n_cells: forward y_i = past_i (2 T_now - 1/2 T_before) +
    // lower_i y_(i-1), then backward T_i = y_i + upper_i T_(i+1).
    std::vector<double> past_, lower_, upper_;
    std::vector<double> response_a_, response_b_;  // cell temperatures per K of face a, face b
    double aa_ = 0, ab_ = 0, bb_ = 0;
};

}  // namespace noonshell
