// What a run tells of the sun beyond its yearly sums: months, times, and who gives the shade.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "cli/inspection.hpp"
#include "cli/local_time.hpp"
#include "cli/run_choices.hpp"
#include "cli/site_resolution.hpp"
#include "solar/facet_hours.hpp"
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

struct MaskedFacet {
    SurfaceId surface;
    FacetId facet;
    std::size_t number = 0;  ///< of the facet on its surface, from 1; 0: the middle was asked for
};

struct FacetMask {
    MaskedFacet of;
    SkyMask mask;
};

struct SunDetails {
    SurfaceBins months;                        ///< 12, January first
    std::vector<bool> month_there;             ///< whether the period has hours of it; 12
    std::vector<SunTimes> times;               ///< #surfaces
    std::vector<std::vector<Shader>> shaders;  ///< the three that take most, most first; #surfaces
    std::vector<FacetMask> masks;
    FacetHours facet_hours;             ///< of the facets that were asked for
    std::vector<SunTimes> facet_times;  ///< likewise
};

/// What a command line asks of single facets.
struct ChosenFacets {
    std::vector<MaskedFacet> masked;
    std::vector<FacetId> by_hour;
};

/// Of surfaces whose id matches any of the patterns the facet in the middle, or the one whose
/// number stands behind "#"; each once, by surface and number. Throws InputError, naming the
/// option, for a pattern that matches none with a part in the open, and for a number beyond the
/// facets of every match.
std::vector<MaskedFacet> masked_facets(const Envelope& envelope,
                                       const std::vector<std::string>& patterns,
                                       const char* option);

/// masked_facets() of the masks, and all facets of surfaces that the tables and hourly.nc tell of
/// facet by facet. Throws in the same way.
ChosenFacets choose_facets(const Envelope& envelope, const RunChoices& choices);

/// Places in `hours.facets` of the facets of surfaces that match any of the patterns, ascending.
std::vector<std::size_t> matching_facets(const Envelope& envelope, const FacetHours& hours,
                                         const std::vector<std::string>& patterns);

/// `quick` takes fewer points for the shaders.
SunDetails sun_details(const Inspection& inspection, const PlaceAndWeather& place,
                       const SunPath& path, const SiteSun& light,
                       const std::vector<MaskedFacet>& masked, SkyModel sky, bool quick,
                       unsigned threads);

/// "06:10" of seconds after midnight; "24:00" at its end.
std::string clock_text(double seconds_after_midnight);

}  // namespace noonshell
