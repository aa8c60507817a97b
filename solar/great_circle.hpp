// Distances on the globe.
#pragma once

namespace noonshell {

/// Great-circle distance [km] on a sphere of 6371 km; any longitudes, 0 to 360 as well as -180 to
/// 180.
double great_circle_km(double latitude_a_deg, double longitude_a_deg, double latitude_b_deg,
                       double longitude_b_deg);

}  // namespace noonshell
