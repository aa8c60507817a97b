// Air that rises in the gap behind a cladding: flow by stack pressure against the openings and the
// walls, temperature along the height, heat carried away.
#pragma once

namespace noonshell {

struct GapGeometry {
    double depth_m = 0.05;
    double flow_length_m = 2.6;      ///< along the slope
    double height_m = 2.6;           ///< vertical rise; 0 for a level gap
    double opening_m2_per_m = 0.02;  ///< free area at each end per m width
    double inner_emittance = 0.9;
};

/// Linear network between sheet (c), wall face (w) and outdoor air (o), all per m2 of face:
/// link between c and w, and a loss from each of c and w to outdoor air [W/(m2 K)].
struct GapNetwork {
    double link_w_m2k = 0;
    double loss_w_m2k = 0;
    double air_speed_m_s = 0;
    double outlet_c = 0;          ///< temperature of the air that leaves
    double carried_away_w_m2 = 0; ///< heat that the moving air takes, per m2 of face
};

/// Air speed from stack pressure against inlet, outlet and friction losses, temperature along the
/// gap by the exponential profile of [iso15099] (coefficients from memory), convection 2 hc + 4 V.
/// Level gaps and gaps without openings give the still layer of [iso6946]. Throws ConvergenceError
/// when the flow does not settle. Guess of the air speed speeds up the search; 0 is fine.
GapNetwork vented_gap(const GapGeometry& gap, double sheet_c, double wall_c, double outdoor_c,
                      double air_speed_guess_m_s = 0);

}  // namespace noonshell
