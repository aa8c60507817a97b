// Diffuse light on a tilted facet and the split of global into beam and diffuse.
#pragma once

namespace noonshell {

/// How the diffuse light of one hour is spread over the sky: [perez1990].
/// diffuse on a facet = dome_w_m2 * sky_share + circumsolar_w_m2 * max(0, cos incidence) * lit share
///                    + horizon_w_m2 * horizon_share
struct SkyLight {
    double dome_w_m2 = 0;         ///< DHI (1 - F1)
    double circumsolar_w_m2 = 0;  ///< DHI F1 / max(cos 85 deg, cos Z), normal to the sun
    double horizon_w_m2 = 0;      ///< DHI F2; may be negative
};

/// Lower bin edges belong to the bin; DHI near 0 gives bin 8; sun at or below the horizon gives an
/// isotropic dome. `zenith_deg` and `air_mass` of the mean sun of the hour.
SkyLight perez_sky(double direct_normal_w_m2, double diffuse_w_m2, double zenith_deg,
                   double extraterrestrial_w_m2, double air_mass);

/// Diffuse fraction of global for an hourly clearness index; [erbs1982].
double erbs_diffuse_fraction(double clearness_index);

}  // namespace noonshell
