// The two-step backward differentiation formula for a lumped mass:
//   C (3/2 T - 2 T0 + 1/2 T-1) / dt = heat in.
#pragma once

namespace noonshell {

/// What the new temperature is multiplied by: 3/2 C / dt.
inline double bdf2_inertia(double capacity, double step_s) {
    return 1.5 * capacity / step_s;
}

/// What the last two temperatures bring: C (2 T0 - T-1 / 2) / dt.
inline double bdf2_history(double capacity, double now, double before, double step_s) {
    return capacity * (2.0 * now - 0.5 * before) / step_s;
}

}  // namespace noonshell
