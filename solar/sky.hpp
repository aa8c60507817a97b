// Diffuse light on a tilted facet and the split of global into beam and diffuse.
#pragma once

namespace noonshell {

/// How the diffuse light of one hour is spread over the sky: [perez1990].
/// diffuse on a facet = dome_w_m2 * sky_share + circumsolar_w_m2 * max(0, cos incidence) * lit
/// share
///                    + horizon_w_m2 * horizon_share
/// Where nothing stands in the way sky_share is (1 + cos tilt) / 2 and horizon_share is sin tilt.
/// The horizon part may be negative, and on facets that face down and see little dome so may the
/// sum: whoever adds the parts sets a negative sum to 0.
struct SkyLight {
    double dome_w_m2 = 0;         ///< DHI (1 - F1)
    double circumsolar_w_m2 = 0;  ///< DHI F1 / max(cos 85 deg, cos Z), normal to the sun
    double horizon_w_m2 = 0;      ///< DHI F2; may be negative
};

/// Source: [perez1990] eqs (1), (9) and table 6 (all sites), with the sky clearness in radians of
/// zenith angle. `zenith_deg` and `air_mass` (relative) of the mean sun of the hour.
/// Rules of ours where the paper is silent: a lower bin edge belongs to the bin; clearness beyond
/// all bounds (DHI near 0) gives bin 8; a sun at or below the horizon gives an isotropic dome; F1
/// is kept at or below 1, so that the dome is never negative. No DHI gives no light.
SkyLight perez_sky(double direct_normal_w_m2, double diffuse_w_m2, double zenith_deg,
                   double extraterrestrial_w_m2, double air_mass);

/// Diffuse fraction of global horizontal for an hourly clearness index (global over
/// extraterrestrial horizontal); [erbs1982] eq. (1). Below 0 it is taken as 0.
double erbs_diffuse_fraction(double clearness_index);

}  // namespace noonshell
