// The sun of surfaces by hour, day and month: what tables and diagrams of single surfaces need.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "geometry/envelope.hpp"
#include "solar/exposure.hpp"
#include "solar/site.hpp"
#include "solar/sun_path.hpp"
#include "solar/weather.hpp"

namespace noonshell {

/// Sums of Exposure by bin: [bin * n_surfaces + surface]. Hours, bins and SurfaceSun add up to each
/// other but for rounding; those of FacetSun differ where single hours were held at 0 (see there).
struct SurfaceBins {
    std::size_t n_surfaces = 0;
    std::size_t n_bins = 1;
    std::vector<double> direct_wh_m2, sky_wh_m2, ground_wh_m2, bounced_wh_m2;

    std::size_t at(std::size_t bin, SurfaceId surface) const {
        return bin * n_surfaces + surface.index();
    }
    double total_wh_m2(std::size_t i) const {
        return direct_wh_m2[i] + sky_wh_m2[i] + ground_wh_m2[i] + bounced_wh_m2[i];
    }
};

/// `bin_of_hour` #hours, or empty for one bin; `bins` at least as many as it names.
SurfaceBins surface_bins(const Exposure& exposure, std::span<const std::uint8_t> bin_of_hour,
                         std::size_t bins = 1);

/// When one surface has its sun. Of equals, the first counts.
struct SunTimes {
    std::size_t worst_hour = 0;  ///< of the weather: the most light on the surface
    double worst_hour_w_m2 = 0;
    std::size_t worst_day_begin = 0;  ///< first weather hour of the local day with the most light
    double worst_day_wh_m2 = 0;
    /// Of all days, the earliest and latest time of day with direct sun on any part of the surface
    /// while DNI is above 0 [s after local midnight]; none without direct sun. Where the sun rises,
    /// sets or comes about the surface's plane they are told to the sun step, else (shade, hills)
    /// they are the ends of the hour.
    std::optional<double> earliest_sun_s, latest_sun_s;
};

/// #surfaces of the building. `envelope` and `sunlight` are those that `exposure` was made from,
/// `parts` those of the exchange matrix.
std::vector<SunTimes> sun_times(const Envelope& envelope, const Site& site, const Weather& weather,
                                const SunPath& path, const LightParts& parts,
                                const Sunlight& sunlight, const Exposure& exposure);

/// Share of each surface's area that the sun reaches, by weather hour, weighed by the cosine of
/// incidence: lit over unshaded cosine, so that direct irradiance = DNI * unshaded cosine * share.
/// Covered parts of the surface are dark.
class SunlitShare {
  public:
    SunlitShare(const Envelope& envelope, const SunPath& path, const LightParts& parts,
                const Sunlight& sunlight);

    struct Value {
        double share = 0;            ///< 0..1; 0 where the sun is behind the surface
        double unshaded_cosine = 0;  ///< mean over the hour's steps with the sun up and the surface
    };
    /// Of a weather hour that has a row in the traced sunlight; else both are 0.
    Value at(std::size_t hour, SurfaceId surface) const;

  private:
    struct Facing {
        Vec3 normal;
        double share;  ///< of the surface's area
    };
    const SunPath& path_;
    const LightParts& parts_;
    const Sunlight& sunlight_;
    std::vector<std::vector<Facing>> facings_;  ///< #surfaces of the building
    std::vector<double> area_m2_;               ///< of the facets, #surfaces
    std::vector<std::uint32_t> row_of_hour_;    ///< #hours
};

}  // namespace noonshell
