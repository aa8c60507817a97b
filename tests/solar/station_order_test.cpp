// The demo's unshaded surfaces in July take sun in the handbook's order.
#include <gtest/gtest.h>

#include <algorithm>
#include <map>
#include <vector>

#include "geometry/envelope.hpp"
#include "geometry/step_reader.hpp"
#include "solar/exposure.hpp"

namespace noonshell {
namespace {

/// [ashrae2021] ch. 17 tables 9-10, peak irradiance at 25 to 30 degrees north: horizontal 958 to
/// 960, east and west 702 to 719, then the diagonals, south and north. The demo stands at 27.4
/// degrees with its walls 14 degrees off the compass.
TEST(StationOrder, RoofThenEastAndWestThenTheRest) {
    const Model model = read_step(NOONSHELL_SOURCE_DIR "/models/station.step");
    std::vector<Warning> warnings;
    const auto roles = choose_roles(model, {}, {}, warnings);
    EnvelopeOptions options;
    options.north_deg = 14;
    options.ground_z_m = 0;
    const Envelope envelope = build_envelope(model, roles, options);
    const Site site{.latitude_deg = 27.4,
                    .longitude_deg = 29.6,
                    .elevation_m = 160,
                    .utc_offset_h = 2,
                    .north_deg = 14,
                    .ground_albedo = 0.4};
    const Weather weather = design_day_weather(site, {}, 2023);
    const SunPath path = sun_path(site, weather);
    const RayScene scene(envelope.blockers);
    const ExchangeMatrix exchange = trace_exchange(envelope, scene);
    const Sunlight sunlight = trace_sunlight(envelope, scene, path, weather);
    const std::vector<double> dark(envelope.surfaces.size(), 0.0);
    const Exposure light = expose(envelope, site, weather, path, sunlight, exchange, dark);
    // Unshaded: wholly exposed, 98 % of the free sun and of the free sky.
    std::map<char, std::vector<double>> peaks;  // by 'r', 'e', 'w', 'n', 's'
    for (std::size_t s = 0; s < envelope.surfaces.size(); ++s) {
        const Surface& surface = envelope.surfaces[s];
        if (!surface.unit.valid() || surface.exposed_area_m2 < 0.999 * surface.area_m2) continue;
        const double free_sky = surface.kind == SurfaceKind::roof ? 1.0 : 0.5;
        if (exchange.surfaces.sky_share[s] < 0.95 * free_sky) continue;
        double direct = 0, free = 0;
        for (auto f = surface.first_facet; f < surface.first_facet + surface.n_facets; ++f) {
            direct += envelope.facets.area_m2[f] * sunlight.direct_wh_m2[f];
            free += envelope.facets.area_m2[f] * sunlight.unshaded_direct_wh_m2[f];
        }
        if (direct < 0.98 * free) continue;
        double peak = 0;
        for (std::size_t h = 0; h < light.n_hours; ++h) {
            const std::size_t at = light.at(h, SurfaceId(s));
            peak = std::max(peak, light.direct_w_m2[at] + light.sky_w_m2[at] +
                                      light.ground_w_m2[at] + light.bounced_w_m2[at]);
        }
        peaks[surface.kind == SurfaceKind::roof ? 'r' : surface.id.back()].push_back(peak);
    }
    ASSERT_FALSE(peaks['r'].empty());
    ASSERT_FALSE(peaks['e'].empty());
    ASSERT_FALSE(peaks['w'].empty());
    ASSERT_FALSE(peaks['s'].empty());
    const auto least = [&](char side) { return *std::ranges::min_element(peaks[side]); };
    const auto most = [&](char side) {
        return peaks[side].empty() ? 0.0 : *std::ranges::max_element(peaks[side]);
    };
    EXPECT_GT(least('r'), std::max(most('e'), most('w')));
    EXPECT_GT(std::min(least('e'), least('w')), std::max(most('s'), most('n')));
}

}  // namespace
}  // namespace noonshell
