#include "thermal/layered_wall.hpp"

#include <algorithm>
#include <cmath>

#include "geometry/diagnostics.hpp"

namespace noonshell {

namespace {

// A cell may span this share of the depth sqrt(diffusivity * step) that a disturbance reaches
// within one step. At 0.6 the error of the cells stays below that of the time scheme.
constexpr double cell_per_step_depth = 0.6;
constexpr int most_cells_per_layer = 40;

int cells_of(const Layer& layer, double step_s) {
    const Material& m = layer.material;
    const double diffusivity_m2_s = m.conductivity_w_mk / (m.density_kg_m3 * m.specific_heat_j_kgk);
    const double cell_m = cell_per_step_depth * std::sqrt(diffusivity_m2_s * step_s);
    return static_cast<int>(std::clamp(std::ceil(layer.thickness_m / cell_m), 1.0,
                                       static_cast<double>(most_cells_per_layer)));
}

}  // namespace

LayeredWall::LayeredWall(std::span<const Layer> layers, double step_s, int refine)
    : step_s_(step_s) {
    NOONSHELL_CHECK_GT(step_s, 0.0);
    NOONSHELL_CHECK_GE(refine, 1);
    if (layers.empty())
        throw InputError({"", {}, {}, "layered wall"}, "at least one layer", "none");
    for (const Layer& layer : layers) validate(layer, "layered wall");
    add_layers(layers, refine);
    factor();
}

// Each slab is cut into equal cells; half a cell of resistance lies on either side of a cell's
// centre, and layers without mass add theirs to the resistance between the neighbouring centres.
void LayeredWall::add_layers(std::span<const Layer> layers, int refine) {
    double since_centre_m2k_w = 0;
    for (const Layer& layer : layers) {
        first_cell_.push_back(n_cells());
        resistance_before_m2k_w_.push_back(resistance_m2k_w_);
        resistance_m2k_w_ += layer.resistance();
        if (layer.resistance_m2k_w) {
            since_centre_m2k_w += layer.resistance();
            continue;
        }
        const int n = cells_of(layer, step_s_) * refine;
        const double half_cell_m2k_w = layer.resistance() / (2.0 * n);
        for (int i = 0; i < n; ++i) {
            conductance_w_m2k_.push_back(1.0 / (since_centre_m2k_w + half_cell_m2k_w));
            capacity_j_m2k_.push_back(layer.heat_capacity_j_m2k() / n);
            since_centre_m2k_w = half_cell_m2k_w;
        }
    }
    conductance_w_m2k_.push_back(1.0 / since_centre_m2k_w);
}

// Gaussian elimination of (3/2 C/dt + K). With steel between films the entries span 1e1 to 1e5 and
// plain elimination would lose the small ones, so no difference is ever formed: the pivot is
// carried as what it exceeds the coming conductance by,
//   excess_i = 3/2 C_i/dt + G_i excess_(i-1) / pivot_(i-1),   pivot_i = excess_i + G_(i+1),
// and aa - ab comes from the cells' lag behind faces that are both raised by 1 K, not by
// subtraction.
void LayeredWall::factor() {
    const std::vector<double>& g = conductance_w_m2k_;
    const std::size_t n = n_cells();
    if (n == 0) {
        aa_ = ab_ = bb_ = 1.0 / resistance_m2k_w_;
        return;
    }
    past_.resize(n);
    lower_.resize(n);
    upper_.resize(n);
    response_a_.resize(n);
    response_b_.resize(n);
    std::vector<double> lag(n);
    double share_kept = 1.0;  // excess_(i-1) / pivot_(i-1)
    for (std::size_t i = 0; i < n; ++i) {
        const double inertia_w_m2k = 1.5 * capacity_j_m2k_[i] / step_s_;
        const double excess = inertia_w_m2k + g[i] * share_kept;
        const double pivot = excess + g[i + 1];
        past_[i] = capacity_j_m2k_[i] / step_s_ / pivot;
        lower_[i] = g[i] / pivot;
        upper_[i] = g[i + 1] / pivot;
        share_kept = excess / pivot;
        response_a_[i] = lower_[i] * (i == 0 ? 1.0 : response_a_[i - 1]);
        lag[i] = inertia_w_m2k / pivot + (i == 0 ? 0.0 : lower_[i] * lag[i - 1]);
    }
    response_b_[n - 1] = upper_[n - 1];
    for (std::size_t i = n - 1; i-- > 0;) {
        response_a_[i] += upper_[i] * response_a_[i + 1];
        response_b_[i] = upper_[i] * response_b_[i + 1];
        lag[i] += upper_[i] * lag[i + 1];
    }
    ab_ = g[0] * response_b_[0];
    aa_ = ab_ + g[0] * lag[0];
    bb_ = ab_ + g[n] * lag[n - 1];
    lower_[0] = 0;      // face a enters through response_a_
    upper_[n - 1] = 0;  // face b through response_b_
}

WallState LayeredWall::uniform_state(double temperature_c) const {
    return {std::vector<double>(n_cells(), temperature_c),
            std::vector<double>(n_cells(), temperature_c)};
}

WallState LayeredWall::steady_state(double face_a_c, double face_b_c) const {
    WallState state = uniform_state(face_a_c);
    double passed_m2k_w = 0;
    for (std::size_t i = 0; i < n_cells(); ++i) {
        passed_m2k_w += 1.0 / conductance_w_m2k_[i];
        state.now_c[i] = face_a_c + (face_b_c - face_a_c) * (passed_m2k_w / resistance_m2k_w_);
    }
    state.before_c = state.now_c;
    return state;
}

TwoPort LayeredWall::prepare(const WallState& state, std::span<double> particular_c) const {
    const std::size_t n = n_cells();
    NOONSHELL_CHECK_EQ(particular_c.size(), n);
    NOONSHELL_CHECK_EQ(state.now_c.size(), n);
    TwoPort port{.aa = aa_, .ab = ab_, .bb = bb_, .r_a = 0, .r_b = 0};
    if (n == 0) return port;
    double last_c = 0;
    for (std::size_t i = 0; i < n; ++i) {
        last_c = past_[i] * (2.0 * state.now_c[i] - 0.5 * state.before_c[i]) + lower_[i] * last_c;
        particular_c[i] = last_c;
    }
    for (std::size_t i = n - 1; i-- > 0;) {
        last_c = particular_c[i] + upper_[i] * last_c;
        particular_c[i] = last_c;
    }
    port.r_a = conductance_w_m2k_.front() * particular_c[0];
    port.r_b = conductance_w_m2k_.back() * particular_c[n - 1];
    return port;
}

void LayeredWall::advance(WallState& state, std::span<const double> particular_c, double face_a_c,
                          double face_b_c) const {
    NOONSHELL_CHECK_EQ(particular_c.size(), n_cells());
    state.before_c.swap(state.now_c);
    for (std::size_t i = 0; i < n_cells(); ++i)
        state.now_c[i] = particular_c[i] + response_a_[i] * face_a_c + response_b_[i] * face_b_c;
}

double LayeredWall::stored_j_m2(const WallState& state) const {
    double stored = 0;
    for (std::size_t i = 0; i < n_cells(); ++i)
        stored += capacity_j_m2k_[i] * (1.5 * state.now_c[i] - 0.5 * state.before_c[i]);
    return stored;
}

}  // namespace noonshell
