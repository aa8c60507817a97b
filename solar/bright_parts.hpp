// The part of every surface that heats up most: half a wall in the shade leaves the other half
// hotter than the wall's mean tells.
#pragma once

#include <span>
#include <vector>

#include "geometry/vec3.hpp"
#include "solar/light_parts.hpp"
#include "solar/site.hpp"
#include "solar/site_sun.hpp"
#include "solar/sun_path.hpp"
#include "solar/weather.hpp"

namespace noonshell {

struct BrightPart {
    PartId part;             ///< none where no light comes
    FacetId facet;           ///< of the part, the one nearest its middle
    Vec3 middle_m{0, 0, 0};  ///< of that facet
    double area_m2 = 0;      ///< of the part
};

struct BrightParts {
    std::vector<BrightPart> of_surface;  ///< #surfaces of the building
    /// Light on that part alone, 0 where there is none; in all else as SiteSun::exposure.
    Exposure exposure;
};

/// Of each surface the part with the largest sum of air temperature and light over 20 W/m2K (a dark
/// outside face in light wind) in any hour: where a thin sheet gets hottest. For this choice light
/// thrown onto a part is that of the surface in the hour, times the part's share of the month's;
/// the light that is told is found as expose() finds that of whole surfaces. No ray is shot.
BrightParts bright_parts(const SiteSun& sun, const Site& site, const Weather& weather,
                         const SunPath& path, SkyModel sky, unsigned threads = 0);

}  // namespace noonshell
