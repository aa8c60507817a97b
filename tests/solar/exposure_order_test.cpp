// Which free-standing surface takes most sun in July at 25 to 30 degrees north, against the
// handbook's peak irradiances by exposure.
#include <gtest/gtest.h>

#include <algorithm>
#include <map>
#include <string>
#include <vector>

#include "geometry/envelope.hpp"
#include "solar/exposure.hpp"
#include "tests/support/box_model.hpp"

namespace noonshell {
namespace {

using namespace test_models;

/// Highest hourly irradiance of one clear July day by side: a box along the compass and one turned
/// by 45 degrees, a kilometre apart.
std::map<std::string, double> peaks(double latitude_deg, double tau_b, double tau_d) {
    const BoxModel model = box_model({{"a", {0, 0, 0}, {6.058, 2.438, 2.591}, 0, Role::unit},
                                      {"b", {1000, 0, 0}, {6.058, 2.438, 2.591}, 45, Role::unit}});
    const Envelope envelope = build_envelope(model.model, model.roles, {});
    const Site site{.latitude_deg = latitude_deg, .ground_albedo = 0.2};
    DesignDay day;
    day.tau_b = tau_b;
    day.tau_d = tau_d;
    const Weather weather = design_day_weather(site, day, 2023);
    const SunPath path = sun_path(site, weather);
    const RayScene scene(envelope.blockers);
    const ExchangeMatrix exchange = trace_exchange(envelope, scene);
    const Sunlight sunlight = trace_sunlight(envelope, scene, path, weather);
    const std::vector<double> dark(envelope.surfaces.size(), 0.0);
    const Exposure light = expose(envelope, site, weather, path, sunlight, exchange, dark);
    std::map<std::string, double> highest;
    for (std::size_t s = 0; s < envelope.surfaces.size(); ++s) {
        const std::string& id = envelope.surfaces[s].id;
        double& peak = highest[id.substr(id.find('/') + 1)];
        for (std::size_t h = 0; h < light.n_hours; ++h) {
            const std::size_t at = light.at(h, SurfaceId(s));
            peak = std::max(peak, light.direct_w_m2[at] + light.sky_w_m2[at] +
                                      light.ground_w_m2[at] + light.bounced_w_m2[at]);
        }
    }
    return highest;
}

/// [ashrae2021] ch. 17 tables 9-10, 25 and 30 degrees: horizontal 958 and 960, E/W 702 and 719,
/// NE/NW 590 and 582, SE/SW 492 and 542, S 218 and 306, N 203 and 183 W/m2.
TEST(ExposureOrder, JulyPeaksFollowTheHandbooksOrder) {
    for (const double latitude_deg : {25.0, 27.5, 30.0}) {
        for (const auto& [tau_b, tau_d] : {std::pair{0.40, 2.3}, {0.55, 1.95}}) {
            std::map<std::string, double> p = peaks(latitude_deg, tau_b, tau_d);
            ASSERT_EQ(p.size(), 10u);
            const double east_west = std::min(p["wall-e"], p["wall-w"]);
            const double north_diagonals = std::max(p["wall-ne"], p["wall-nw"]);
            const double south_diagonals = std::max(p["wall-se"], p["wall-sw"]);
            EXPECT_GT(p["roof"], std::max(p["wall-e"], p["wall-w"]));
            EXPECT_GT(east_west, north_diagonals);
            EXPECT_GT(std::min(p["wall-ne"], p["wall-nw"]), south_diagonals);
            EXPECT_GT(std::min(p["wall-se"], p["wall-sw"]), std::max(p["wall-s"], p["wall-n"]));
        }
    }
}

/// The same table as numbers, for a clear sky near the one behind it (its own optical depths are
/// not printed): horizontal, east and west within 10 %.
TEST(ExposureOrder, HorizontalAndEastWestPeaksAreNearTheHandbooks) {
    std::map<std::string, double> p = peaks(25, 0.40, 2.3);
    EXPECT_NEAR(p["roof"], 958, 96);
    EXPECT_NEAR(p["wall-e"], 702, 70);
    EXPECT_NEAR(p["wall-w"], 702, 70);
}

}  // namespace
}  // namespace noonshell
