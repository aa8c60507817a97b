// A film on the glass of a pane: what a supplier states of the glass with it, as a construction.
#pragma once

#include <optional>
#include <string>

#include "thermal/construction.hpp"

namespace noonshell {

/// The glass with its film, as the film's supplier states it for that glass.
struct WindowFilm {
    /// Total solar energy transmittance g: what comes indoors of the sun at normal incidence, let
    /// through and given off inwards by the warm glass, 0..1.
    double g_value = 0.4;
    std::optional<double> solar_reflectance;  ///< outside; none: as the glass has it
    /// With a film of low emittance on the room's side [W/(m2 K)]; none: as the glass has it.
    std::optional<double> u_value_w_m2k;
};

/// Thermal transmittance of a pane by the boundary values of [en673]: 25 W/(m2 K) outside, inside
/// 3.6 + 4.1 e / 0.837, e the emittance towards the room [W/(m2 K)].
double pane_u_value_w_m2k(const Construction& glass);

/// g = tau + N alpha [en410], with the boundary values 23 W/(m2 K) outside and 3.6 + 4.4 e / 0.837
/// inside. N is the share of what the glass takes in that goes indoors, of a pane that takes it in
/// at its outermost face, as the heat run has it; [en410] has h_i / (h_e + h_i) for single glass,
/// which leaves the resistance of the glass out.
double pane_g_value(const Construction& glass);

struct ValueRange {
    double low = 0, high = 0;
};

/// What can be reached on this glass: U-values by an inside emittance of 0.03 to that of the glass,
/// and, with the film's U-value and reflectance, g-values from a pane that lets nothing through to
/// one that takes nothing in.
ValueRange u_values_within_reach(const Construction& glass);
ValueRange g_values_within_reach(const Construction& glass, const WindowFilm& film);

/// The glass with the film: the U-value sets the inside emittance, reflectance and g-value divide
/// the sun into what is let through and what is taken in. How the transmittance falls at slanting
/// angles stays that of the glass (PaneLight). Values out of reach are taken at the end of the
/// reach.
Construction with_film(const Construction& glass, const WindowFilm& film);

/// Throws InputError naming `where`, the field, its value and the range, for a value out of reach
/// on this glass and for a construction that lets no sun in.
void require_suits(const WindowFilm& film, const Construction& glass, const std::string& where);

}  // namespace noonshell
