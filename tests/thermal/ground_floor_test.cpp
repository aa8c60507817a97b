#include "thermal/ground_floor.hpp"

#include <gtest/gtest.h>

#include "tests/support/hand_building.hpp"
#include "thermal/air_layers.hpp"

namespace noonshell {
namespace {

using namespace test_models;

// U-values of uninsulated slabs on clay (1.5 W/(m K)), walls 0.3 m, by perimeter over area: the
// table that [iso13370] and the building guides after it print, from memory.
TEST(GroundFloor, TableOfSlabsOnClay) {
    const double thickness = 0.3 + 1.5 * (0.17 + 0 + 0.04);
    for (const auto& [perimeter_per_area, u] :
         {std::pair{0.10, 0.22}, {0.20, 0.37}, {0.30, 0.49}, {0.50, 0.70}, {1.00, 1.05}}) {
        EXPECT_NEAR(ground_slab_u_w_m2k(2 / perimeter_per_area, thickness, 1.5), u, 0.0051);
    }
}

// Both branches meet where the equivalent thickness is B', within the standard's own rounding.
TEST(GroundFloor, WellInsulatedSlabsJoin) {
    EXPECT_NEAR(ground_slab_u_w_m2k(3, 3 - 1e-9, 2), ground_slab_u_w_m2k(3, 3, 2), 0.005);
    EXPECT_LT(ground_slab_u_w_m2k(3, 5, 2), ground_slab_u_w_m2k(3, 3, 2));
}

// The layers add up to the standard's resistance.
TEST(GroundFloor, LayersHaveTheResistance) {
    const Construction floor = bare_floor();
    const double own = layers_resistance_m2k_w(floor);
    for (const double b : {1.0, 2.03, 4.6, 12.0}) {
        double sum = 0.17;
        for (const Layer& layer : layers_on_ground(floor, b)) sum += layer.resistance();
        EXPECT_NEAR(1 / sum, ground_slab_u_w_m2k(b, 1.5 * (0.17 + own + 0.04), 1.5), 1e-12);
    }
}

// A 40 ft unit alone: 29.7 / (0.5 * 29.26) = 2.03 m; two along their long sides are one slab of
// 12.19 by 4.876 m, 59.4 / (0.5 * 34.1).
TEST(GroundFloor, UnitsThatTouchMakeOneFloor) {
    const auto row_of = [](std::size_t n) {
        Envelope envelope;
        for (std::size_t u = 0; u < n; ++u)
            add_free_unit(envelope, "unit-" + std::to_string(u), {12.19, 2.438, 2.591});
        for (std::size_t u = 0; u < n; ++u) {
            Surface& floor = envelope.surfaces[6 * u + 5];
            envelope.contacts.push_back(
                {SurfaceId(6 * u + 5), SurfaceId::none(), floor.area_m2, 0});
            floor.first_facet = static_cast<std::uint32_t>(u);
            floor.n_facets = 1;
            const double x = 12.19, y = 2.438;
            envelope.facets.triangle_begin.push_back(
                static_cast<std::uint32_t>(envelope.facets.triangles_m.size()));
            envelope.facets.triangles_m.push_back({Vec3(0, 0, 0), Vec3(x, 0, 0), Vec3(x, y, 0)});
            envelope.facets.triangles_m.push_back({Vec3(0, 0, 0), Vec3(x, y, 0), Vec3(0, y, 0)});
        }
        envelope.facets.triangle_begin.push_back(
            static_cast<std::uint32_t>(envelope.facets.triangles_m.size()));
        return envelope;
    };
    const Envelope one = row_of(1);
    EXPECT_NEAR(characteristic_dimensions_m(one)[0], 12.19 * 2.438 / (12.19 + 2.438), 1e-6);
    Envelope two = row_of(2);
    touch(two, SurfaceId(3), SurfaceId(6 + 1), 0);
    const auto both = characteristic_dimensions_m(two);
    EXPECT_NEAR(both[0], 12.19 * 4.876 / (12.19 + 4.876), 1e-6);
    EXPECT_EQ(both[0], both[1]);
    Envelope raised = row_of(1);
    raised.contacts.clear();
    EXPECT_EQ(characteristic_dimensions_m(raised)[0], 0);
}

}  // namespace
}  // namespace noonshell
