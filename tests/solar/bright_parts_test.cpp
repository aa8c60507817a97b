// The brightest part of a surface: against the shadow of an overhang, and its light hour by hour
// against that of its facets, which is found another way.
#include "solar/bright_parts.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "solar/facet_hours.hpp"
#include "tests/support/made_suns.hpp"
#include "tests/support/plate_envelope.hpp"

namespace noonshell {
namespace {

const Site site{.latitude_deg = 27, .ground_albedo = 0.4};

/// A box with a deep slab before the western half of its south wall, and another box behind it.
PlateEnvelope shaded_box() {
    PlateEnvelope plates;
    plates.add_box("a", Vec3(0, 0, 0.6), Vec3(6, 2.4, 2.6), 0, 0.6);
    plates.add_box("roof", Vec3(-1.5, -2.1, 3.2), Vec3(3, 1.6, 0.1), 0, 0.6);
    plates.add_box("b", Vec3(1, 4, 0.6), Vec3(6, 2.4, 2.6), 25, 1.2);
    return plates;
}

double light_w_m2(const Exposure& exposure, std::size_t hour, std::size_t surface) {
    const std::size_t at = exposure.at(hour, SurfaceId(surface));
    return exposure.direct_w_m2[at] + exposure.sky_w_m2[at] + exposure.ground_w_m2[at] +
           exposure.bounced_w_m2[at];
}

TEST(BrightParts, TheirHoursAreThoseOfTheirFacets) {
    const PlateEnvelope plates = shaded_box();
    const MadeSuns suns = sun_year(27, 12);
    SiteSunOptions options;
    options.rays_per_facet = 2048;
    for (std::size_t f = 0; f < plates.envelope.facets.size(); ++f)
        options.hours_of.emplace_back(f);
    const std::vector<double> reflectance(plates.envelope.surfaces.size(), 0.5);
    const SiteSun sun =
        find_sun(plates.envelope, site, suns.weather, suns.path, reflectance, options);
    const BrightParts bright =
        bright_parts(sun, site, suns.weather, suns.path, SkyModel::anisotropic);
    const FacetHours hours = facet_hours(sun, site, suns.weather, suns.path, SkyModel::anisotropic);
    const FacetArrays& facets = sun.scenery.facets;
    std::size_t compared = 0;
    for (std::size_t s = 0; s < plates.envelope.surfaces.size(); ++s) {
        const BrightPart& part = bright.of_surface[s];
        if (!part.part.valid()) continue;
        double worst = 0, brightest = 0;
        for (std::size_t row = 0; row < hours.hours.size(); ++row) {
            double here = 0;
            for (std::size_t i = 0; i < hours.facets.size(); ++i) {
                const std::size_t f = hours.facets[i].index(), at = hours.at(row, i);
                const PartId of = sun.exchange.parts.of_facet[f];
                if (!of.valid() || !(of == part.part)) continue;
                here += facets.area_m2[f] / part.area_m2 *
                        static_cast<double>(hours.direct_w_m2[at] + hours.sky_w_m2[at] +
                                            hours.ground_w_m2[at] + hours.bounced_w_m2[at]);
            }
            const double told = light_w_m2(bright.exposure, hours.hours[row], s);
            worst = std::max(worst, std::abs(told - here));
            brightest = std::max(brightest, here);
        }
        // Parts and facets have shares of their own sampling.
        EXPECT_LT(worst, 0.01 * brightest + 8) << plates.envelope.surfaces[s].id;
        ++compared;
    }
    EXPECT_GT(compared, 12u);
}

// Half of the south wall lies behind a slab: the brightest part is in the other half and gets more
// than the wall's mean in its best hour; an open roof is even.
TEST(BrightParts, LieOutOfTheShadow) {
    const PlateEnvelope plates = shaded_box();
    const MadeSuns suns = sun_year(27, 12);
    const std::vector<double> reflectance(plates.envelope.surfaces.size(), 0.5);
    const SiteSun sun = find_sun(plates.envelope, site, suns.weather, suns.path, reflectance);
    const BrightParts bright =
        bright_parts(sun, site, suns.weather, suns.path, SkyModel::anisotropic);
    std::size_t walls = 0;
    for (std::size_t s = 0; s < plates.envelope.surfaces.size(); ++s) {
        const Surface& surface = plates.envelope.surfaces[s];
        const BrightPart& part = bright.of_surface[s];
        if (!part.part.valid()) continue;
        double own = 0, mean = 0;
        for (std::size_t h = 0; h < suns.weather.size(); ++h) {
            const double here = light_w_m2(bright.exposure, h, s);
            if (here <= own) continue;
            own = here;
            mean = light_w_m2(sun.exposure, h, s);
        }
        if (surface.id == "a/roof") {
            EXPECT_NEAR(own, mean, 0.03 * mean);
        } else if (surface.id == "a/wall-1") {
            EXPECT_GT(part.middle_m.x(), 0.5);
            EXPECT_GT(own, 1.15 * mean);
            ++walls;
        }
    }
    EXPECT_EQ(walls, 1u);
}

}  // namespace
}  // namespace noonshell
