// Where the building stands. Conventions of this library:
// azimuth in degrees clockwise from true north; tilt 0 faces up, 90 vertical, 180 faces down;
// `north_deg` is the compass azimuth of the model's +Y axis; times are UTC inside, shown in the
// site's local standard time (no daylight saving); an hour of weather is the interval that ends at
// its label; irradiances are incident means over that interval [W/m2].
#pragma once

#include "solar/horizon_profile.hpp"

namespace noonshell {

struct Site {
    double latitude_deg = 0;   ///< north positive, -90..90
    double longitude_deg = 0;  ///< east positive, -180..180
    double elevation_m = 0;    ///< above sea level
    double utc_offset_h = 0;   ///< local standard time minus UTC
    double north_deg = 0;
    double ground_albedo = 0.2;
    HorizonProfile horizon{};  ///< hills; flat unless given
};

}  // namespace noonshell
