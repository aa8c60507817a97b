// What a run tells of the sun beyond its yearly sums: months, times, and who gives the shade.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "cli/inspection.hpp"
#include "cli/local_time.hpp"
#include "cli/site_resolution.hpp"
#include "solar/shade_sources.hpp"
#include "solar/site_sun.hpp"
#include "solar/sky_mask.hpp"
#include "solar/surface_hours.hpp"

namespace noonshell {

inline constexpr std::size_t months_of_year = 12;

/// Something that can take the sun from a surface, in the user's names.
struct Shader {
    std::string name;  ///< of the unit or body, "hills"
    bool own = false;  ///< the surface's own unit, or own body where it has none
    double wh_m2 = 0;
};

struct SurfaceMask {
    SurfaceId surface;
    SkyMask mask;
};

struct SunDetails {
    SurfaceBins months;                        ///< 12, January first
    std::vector<bool> month_there;             ///< whether the period has hours of it; 12
    std::vector<SunTimes> times;               ///< #surfaces
    std::vector<std::vector<Shader>> shaders;  ///< the three that take most, most first; #surfaces
    std::vector<SurfaceMask> masks;
};

/// Surfaces whose id matches any of the patterns. Throws InputError for a pattern that matches
/// none, or none with a part in the open.
std::vector<SurfaceId> surfaces_of_masks(const Envelope& envelope,
                                         const std::vector<std::string>& patterns);

/// `quick` takes fewer points for the shaders.
SunDetails sun_details(const Inspection& inspection, const PlaceAndWeather& place,
                       const SunPath& path, const SiteSun& light,
                       const std::vector<SurfaceId>& masked, bool quick, unsigned threads);

/// "06:10" of seconds after midnight; "24:00" at its end.
std::string clock_text(double seconds_after_midnight);

}  // namespace noonshell
