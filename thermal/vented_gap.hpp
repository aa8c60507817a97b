// Air that rises in the gap behind a cladding: flow by stack pressure against the openings and the
// walls, temperature along the gap, heat carried away.
//
// Air enters at outdoor temperature To and approaches the mean Tav of the two faces over the length
// H0 = rho cp b V / (2 h), h the convection of each face ([iso15099], ventilated gaps):
//   T(s) = Tav - (Tav - To) exp(-s/H0),   over the whole gap   Tg = w Tav + (1 - w) To,
//   w = 1 - (1 - exp(-N)) / N,            N = L / H0.
// What face c gives off to the air is then
//   h (Tc - Tg) = h w/2 (Tc - Tw) + h (1 - w) (Tc - To),
// so the gap is a link h w/2 (beside radiation) between the faces and a loss h (1 - w) from each of
// them to outdoor air. With h = 2 ha + 4 V the link is the still layer's ha when V = 0.
#pragma once

namespace noonshell {

struct GapGeometry {
    double depth_m = 0.05;
    double flow_length_m = 2.6;      ///< along the slope
    double height_m = 2.6;           ///< vertical rise; 0 for a level gap, which wind alone drives
    double opening_m2_per_m = 0.02;  ///< free area at each end per m width
    double inner_emittance = 0.9;
    bool sheet_below = false;     ///< under a floor: a hot sheet heats the gap from below
    double mesh_open_share = 1;   ///< of a wire mesh in both openings
    double wind_coefficient = 0;  ///< difference of pressure coefficients between the openings
};

/// Linear network between sheet (c), wall face (w) and outdoor air (o), all per m2 of face:
/// link between c and w, and a loss from each of c and w to outdoor air [W/(m2 K)].
struct GapNetwork {
    double link_w_m2k = 0;
    double loss_w_m2k = 0;
    double air_speed_m_s = 0;
    double outlet_c = 0;           ///< temperature of the air that leaves
    double carried_away_w_m2 = 0;  ///< heat that the moving air takes, per m2 of face; below 0 when
                                   ///< the air warms the faces
};

/// Air speed from stack pressure against inlet, outlet and friction losses, temperature along the
/// gap by the exponential profile of [iso15099] (coefficients from memory), convection 2 ha + 4 V.
/// Faces cooler than the outdoor air drive the flow downward. Gaps without openings, and level ones
/// without a wind coefficient, give the still layer of [iso6946]. Wind adds its pressure,
/// wind_coefficient rho U^2 / 2, to the stack's, whichever way that drives (openings on one side of
/// a wall; [ashrae2021] ch. 16 joins the two by pressures likewise). A mesh of round wire in an
/// opening costs K = 1.3 (1 - s) + (1/s
/// - 1)^2 velocity heads of the air before it, s its open share ([idelchik] ch. 8, from memory;
/// Reynolds numbers of wires above some hundreds). Throws
/// ConvergenceError when the flow does not settle. Guess of the air speed speeds up the search; 0
/// is fine.
GapNetwork vented_gap(const GapGeometry& gap, double sheet_c, double wall_c, double outdoor_c,
                      double air_speed_guess_m_s = 0, double pressure_pa = 101325,
                      double wind_m_s = 0);

/// Velocity heads that a mesh costs, see vented_gap(). `open_share` above 0, at most 1.
double mesh_loss(double open_share);

/// Air along a gap of which both faces, at the mean `faces_c`, have the convection `h_w_m2k`.
struct GapAir {
    double outlet_c = 0;
    double mean_c = 0;           ///< over the length
    double faces_share = 0;      ///< w: mean_c = w faces_c + (1 - w) inlet_c
    double carried_w_per_m = 0;  ///< heat taken per m width
};
GapAir air_along_gap(double depth_m, double length_m, double air_speed_m_s, double air_heat_j_m3k,
                     double h_w_m2k, double inlet_c, double faces_c);

}  // namespace noonshell
