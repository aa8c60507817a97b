// Sun through panes: every joule that a pane lets in is taken out again by the plant or goes out
// through the walls; and the larger area of folded sheet, against its closed form.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <numeric>

#include "tests/support/row_of_units.hpp"
#include "thermal/construction.hpp"
#include "thermal/outside_face.hpp"
#include "thermal/simulate.hpp"
#include "thermal/treatment.hpp"

namespace noonshell {
namespace {

using namespace test_models;

/// One free unit whose south wall (surface 3) is a pane that neither takes in light nor conducts.
struct GlassRoom {
    Envelope envelope;
    ExchangeMatrix exchange;
    Exposure exposure;
    Surroundings around;
    Building building;

    explicit GlassRoom(double transmittance) {
        add_free_unit(envelope, "room", {6, 2.4, 2.6});
        envelope.surfaces[3].kind = SurfaceKind::pane;
        exchange = free_exchange(envelope);
        exposure = exposure_of(envelope, n_hours, light_at);
        around = surroundings_of(n_hours, 600, 8, [](double) { return 23.0; });
        // Nothing passes: half a metre of what conducts a hundred times worse than foam.
        Construction tight = sheet_of(0.5, 0.0003, 30, 10);
        tight.outside_absorptance = 0;
        building = bare_building(envelope, tight);
        building.exposed[3].solar_transmittance = transmittance;
        building.rooms[0].cooled = building.rooms[0].heated = true;
        building.rooms[0].cooling_set_point_c = 23.0;
        building.rooms[0].heating_set_point_c = 22.9;
    }
    double light_on_pane_j() const {
        double sum = 0;
        for (std::size_t h = 0; h < n_hours; ++h) {
            sum += 3600 * exposure.direct_w_m2[exposure.at(h, SurfaceId(3))] *
                   envelope.surfaces[3].area_m2;
        }
        return sum;
    }
    HeatInputs inputs() const { return {envelope, exchange, exposure, around}; }
};

TEST(Pane, WhatItLetsInThePlantTakesOut) {
    for (const double transmittance : {0.0, 0.4, 0.8}) {
        const GlassRoom room(transmittance);
        const Response r = simulate(room.inputs(), room.building);
        const double let_in_j = transmittance * room.light_on_pane_j();
        EXPECT_NEAR(r.cooling_j[0] - r.heating_j[0], let_in_j, 0.01 * room.light_on_pane_j());
    }
}

TEST(Pane, SunThroughItCountsAsHeatInward) {
    const GlassRoom room(0.8);
    const Response r = simulate(room.inputs(), room.building);
    EXPECT_NEAR(r.inward_j[3], 0.8 * room.light_on_pane_j(), 0.01 * room.light_on_pane_j());
    EXPECT_LT(r.heat_residual(), 1e-6);
}

// The floor takes its part of the direct sun first, whatever it stands on: the energy comes out the
// same, the floor is the warmer for it, and the balance closes.
TEST(Pane, SunOnTheFloorKeepsTheEnergy) {
    for (const bool on_ground : {false, true}) {
        GlassRoom room(0.8);
        if (on_ground) {
            room.envelope.contacts.push_back(
                {SurfaceId(5), SurfaceId::none(), room.envelope.surfaces[5].area_m2, 0});
            room.envelope.surfaces[5].exposed_area_m2 = 0;
        }
        // A slab inside, foam below it.
        const Layer foam{{"foam", 0.002, 30, 1400, ""}, 0.5, std::nullopt};
        const Layer slab{{"slab", 2.0, 2400, 1000, ""}, 0.1, std::nullopt};
        for (auto* list : {&room.building.exposed, &room.building.covered})
            (*list)[5].layers = {foam, slab};
        room.building.rooms[0].sun_on_floor_share = 0;
        const Response spread = simulate(room.inputs(), room.building);
        room.building.rooms[0].sun_on_floor_share = 1;
        const Response on_floor = simulate(room.inputs(), room.building);
        EXPECT_LT(on_floor.heat_residual(), 1e-6) << on_ground;
        EXPECT_LT(on_floor.heat_residual_of_a_day(), 1e-3) << on_ground;
        EXPECT_NEAR(on_floor.cooling_j[0] - on_floor.heating_j[0],
                    spread.cooling_j[0] - spread.heating_j[0], 0.02 * room.light_on_pane_j())
            << on_ground;
        // Into the slab by day, out by night: the plant's peak comes lower.
        EXPECT_LT(on_floor.peak_cooling_w[0].value, spread.peak_cooling_w[0].value) << on_ground;
        EXPECT_NEAR(on_floor.room_balance[0].gains_j, 0.8 * room.light_on_pane_j(),
                    0.01 * room.light_on_pane_j());
    }
}

// Glass at an angle: all direct sun of an hour scaled as PaneLight says, nothing else changed.
TEST(Pane, LetsInByTheAngle) {
    GlassRoom room(0.8);
    const Vec3 south(0, -1, 0);
    room.envelope.surfaces[3].normal = south;
    SunPath path;
    for (std::uint32_t h = 0; h <= n_hours; ++h) path.hour_begin.push_back(h);
    path.direction.assign(n_hours, Vec3(std::sqrt(0.75), -0.5, 0));  // 60 degrees off the pane
    const PaneLight panes(room.envelope, room.building.exposed, path);
    HeatInputs inputs = room.inputs();
    const Response straight = simulate(inputs, room.building);
    const HeatInputs slanting{inputs.envelope, inputs.exchange, inputs.exposure,
                              inputs.surroundings, &panes};
    const Response through = simulate(slanting, room.building);
    const double share = glass_transmittance(1, 60) / glass_transmittance(1, 0);
    EXPECT_NEAR(through.room_balance[0].gains_j / straight.room_balance[0].gains_j, share, 1e-6);
}

TEST(Pane, WhatIsNeitherTakenInNorLetThroughIsReflected) {
    const GlassRoom room(0.8);
    const auto reflectance = outside_reflectance(room.building);
    EXPECT_DOUBLE_EQ(reflectance[3], 1 - 0.8);
    EXPECT_DOUBLE_EQ(reflectance[0], 1.0);
    Construction glass = clear_pane();
    EXPECT_NO_THROW(validate(glass));
    EXPECT_NEAR(solar_reflectance(glass), 0.10, 1e-12);
    glass.solar_transmittance = 0.9;
    EXPECT_THROW(validate(glass), InputError);
}

TEST(Pane, NoTreatmentOfWallsFitsIt) {
    const GlassRoom room(0.8);
    Treatment white;
    white.surfaces = {"*"};
    EXPECT_TRUE(fits(white, room.envelope.surfaces[0]));
    EXPECT_FALSE(fits(white, room.envelope.surfaces[3]));
}

TEST(Relief, SheetSettlesWhereItsWholeAreaGivesTheHeatOff) {
    // A sheet without longwave exchange, 600 W/m2 taken in, h = 4 + 4 v of ISO 6946 at 3 m/s:
    // T = T_air + a G / (r h).
    for (const double ratio : {1.0, 1.065, 1.5}) {
        const OutsideFace face = outside_face(90, 0.0, ratio);
        FaceConditions around;
        around.absorbed_w_m2 = 600;
        around.air_c = 30;
        around.forced_w_m2k =
            forced_convection_w_m2k(OutsideConvection::iso_6946, 3, WindSide::unknown);
        const double settles_c = 30 + 600 / (ratio * (4 + 4 * 3));
        EXPECT_NEAR(net_heat_w_m2(face, OutsideConvection::iso_6946, around, settles_c), 0, 1e-9);
        const FaceLine line = linearise(face, OutsideConvection::iso_6946, around, 50);
        EXPECT_NEAR(line.q_w_m2 / line.h_w_m2k, settles_c, 1e-9);
    }
}

TEST(Relief, FoldedWallsStayCoolerUntilATreatmentCoversThem) {
    Row flat, folded;
    for (Surface& s : folded.envelope.surfaces) s.developed_area_m2 = 1.2 * s.area_m2;
    const Response f = simulate(flat.inputs(), flat.building);
    const Response c = simulate(folded.inputs(), folded.building);
    EXPECT_LT(c.peak_outside_c[6].value, f.peak_outside_c[6].value - 0.5);
    const Layer foam{{"test foam", 0.03, 30, 1400, "test"}, 0.05, std::nullopt};
    for (Row* row : {&flat, &folded}) {
        for (Construction& made : row->building.exposed) {
            made.layers.insert(made.layers.begin(), foam);
        }
    }
    const Response wrapped_flat = simulate(flat.inputs(), flat.building);
    const Response wrapped_folded = simulate(folded.inputs(), folded.building);
    EXPECT_EQ(wrapped_flat.peak_outside_c[6].value, wrapped_folded.peak_outside_c[6].value);
}

}  // namespace
}  // namespace noonshell
