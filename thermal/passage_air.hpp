// Air between two level plates that stand close before each other, such as a shade roof and the
// roof under it: how much slower it passes than in the open, and how it warms on its way.
//
// The plates are the walls of a flat duct, open at both ends, whose clearance b is half its
// hydraulic diameter. The pressure that would drive air at the open speed v0 against inlet and
// outlet alone drives it against friction too:
//
//   (1/2 + 1) v0^2 = (1/2 + 1 + f L / (2 b)) v^2
//
// with the loss of a sharp inlet 1/2 and of an outlet 1 and Darcy's friction factor f, the larger
// of 96 / Re between parallel plates and Blasius' 0.316 Re^(-1/4), Re = 2 b v / nu ([idelchik],
// values from memory). Where the air stands, warmth moves it as through an upright opening of
// height b, in below and out above or the other way, [brown1962]: v = 0.2 sqrt(g b dT / T).
//
// Along the way the air goes toward the mean Tw of both plates, so that its mean over the length is
//
//   T = Tw + (Ta - Tw) (1 - exp(-N)) / N,   N = 2 h L / (rho cp v b).
//
// A wide passage is the open; one without clearance is a gap of still air, whose conductance k / b
// from plate to plate is 2 k / b from each to the middle. Left out: the way the wind blows (the
// passage is as long as it is wide), eddies behind edges, plates that slope against each other, and
// that free convection at a warm plate above still air is weaker in a gap than in the open (60 mm:
// 0.4 W/(m2 K) between the plates, beside 6 of longwave). The correlation of the open is used at
// the passage's speed; for a duct of 60 mm with 1 m/s it lies within 40 % of Dittus and Boelter's.
#pragma once

namespace noonshell {

struct Passage {
    double clearance_m = 0;
    double length_m = 0;
};

/// Speed of the wind's air in a passage [m/s], 0 to that in the open.
double passage_speed_m_s(const Passage& passage, double open_m_s);

/// Speed of air that warmth alone moves through it [m/s]; `apart_k` is the difference of the plates
/// to the air of the open.
double lifted_speed_m_s(const Passage& passage, double apart_k, double open_air_c);

/// Conductance of still air from a plate to the middle of the passage [W/(m2 K)].
double still_air_w_m2k(const Passage& passage);

/// How far the air's mean stands from the plates' mean towards the open, 0 to 1.
/// `flow_w_m2k`: rho cp v b / L, heat that the air takes per area of one plate and difference.
double share_of_open_air(double h_w_m2k, double flow_w_m2k);

}  // namespace noonshell
