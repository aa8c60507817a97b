// Longwave between a roof and the shade above it: conservation and the closed form of two plates.
#include <gtest/gtest.h>

#include <cmath>

#include "tests/support/hand_building.hpp"
#include "thermal/longwave.hpp"
#include "thermal/simulate.hpp"

namespace noonshell {
namespace {

using namespace test_models;

constexpr double sun_w_m2 = 300;

/// A roof and the underside of a shade that see only each other. Nothing else lets heat through: no
/// convection outside, no emittance elsewhere. All sun that the shade's top takes in must cross.
struct RoofAndShade {
    Envelope envelope;
    ExchangeMatrix exchange;
    Exposure exposure;
    Surroundings around;
    Building building;
    std::size_t roof = 0, underside = 6, top = 7;

    RoofAndShade(double roof_emittance, double underside_emittance) {
        add_free_unit(envelope, "box", {6, 2.5, 2.6});
        for (const char* id : {"shade/underside", "shade/top"}) {
            Surface s = envelope.surfaces[roof];
            s.id = id;
            s.unit = UnitId::none();
            s.body = BodyId(1);
            s.kind = SurfaceKind::shade;
            s.tilt_deg = id == std::string("shade/top") ? 0 : 180;
            envelope.surfaces.push_back(s);
        }
        exchange = free_exchange(envelope);
        for (const std::size_t s : {roof, underside}) {
            exchange.surfaces.sky_share[s] = exchange.surfaces.ground_share[s] = 0;
        }
        exchange.surfaces.column = {static_cast<std::uint32_t>(underside),
                                    static_cast<std::uint32_t>(roof)};
        exchange.surfaces.share = {1, 1};
        exchange.surfaces.row_begin = {0, 1, 1, 1, 1, 1, 1, 2, 2};
        exposure = exposure_of(envelope, 24, [](std::size_t, const Surface& s) {
            return s.id == "shade/top" ? sun_w_m2 : 0.0;
        });
        exposure.sunlit_ground_share[roof] = exposure.sunlit_ground_share[underside] = 0;
        around = surroundings_of(24, 600, 0, [](double) { return 30.0; });
        around.convection = OutsideConvection::iso_6946;  // forced part 0: none at all
        building = bare_building(envelope, sheet_of(0.002, 50, 7800, 450));
        for (Construction& c : building.exposed) c.outside_emittance = 0;
        building.exposed[roof].outside_emittance = roof_emittance;
        building.exposed[underside].outside_emittance = underside_emittance;
        building.exposed[top].outside_absorptance = 1;
        building.rooms[0].cooled = true;
    }
};

TEST(LongwaveExchange, WhatTheShadeTakesInArrivesBelow) {
    for (const auto& [roof_e, shade_e] :
         {std::pair{0.9, 0.9}, {0.9, 0.25}, {0.9, 0.1}, {0.3, 0.3}}) {
        RoofAndShade made(roof_e, shade_e);
        const Response r =
            simulate({made.envelope, made.exchange, made.exposure, made.around}, made.building);
        const double area_m2 = made.envelope.surfaces[0].area_m2;
        EXPECT_NEAR(r.inward_j[made.roof], sun_w_m2 * area_m2 * 86400,
                    0.002 * r.inward_j[made.roof])
            << roof_e << " " << shade_e;
        // Two large grey plates (ASHRAE Handbook Fundamentals 2021, ch. 4).
        const auto fourth = [](double c) { return std::pow(c + kelvin_at_0_c, 4); };
        const double passed = plates_effective_emittance(roof_e, shade_e) *
                              stefan_boltzmann_w_m2k4 *
                              (fourth(r.peak_outside_c[made.underside].value) -
                               fourth(r.peak_outside_c[made.roof].value));
        EXPECT_NEAR(passed, sun_w_m2, 0.003 * sun_w_m2) << roof_e << " " << shade_e;
    }
}

/// A shinier underside sends less heat down to a cool roof under a hot shade, never more.
TEST(LongwaveExchange, LowEmittanceShadeMakesTheShadeHotter) {
    double last = 0;
    for (const double e : {0.9, 0.5, 0.25, 0.1}) {
        RoofAndShade made(0.9, e);
        const Response r =
            simulate({made.envelope, made.exchange, made.exposure, made.around}, made.building);
        EXPECT_GT(r.peak_outside_c[made.underside].value, last);
        last = r.peak_outside_c[made.underside].value;
    }
}

}  // namespace
}  // namespace noonshell
