// Sums and peaks of a run against what the constant weather of a settled box makes them by hand.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "tests/support/hand_building.hpp"
#include "thermal/heat_account.hpp"
#include "thermal/response_join.hpp"
#include "thermal/room_moisture.hpp"
#include "thermal/simulate.hpp"
#include "thermal/unit_figures.hpp"
#include "thermal/vented_gap.hpp"

namespace noonshell {
namespace {

using namespace test_models;

constexpr double air_c = 38, light_w_m2 = 500;
constexpr std::size_t steady_hours = 48;
constexpr double period_s = 3600.0 * steady_hours;

/// One steel box under air, sun and sky that never change, outside film 10 W/(m2 K), kept at 26 C.
struct SteadyBox {
    Envelope envelope;
    ExchangeMatrix exchange;
    Exposure exposure;
    Surroundings around;
    Building building;

    SteadyBox() {
        add_free_unit(envelope, "box", {6, 2.4, 2.6});
        exchange = free_exchange(envelope);
        exposure = exposure_of(envelope, steady_hours,
                               [](std::size_t, const Surface&) { return light_w_m2; });
        around = surroundings_of(
            steady_hours, 600, 10, [](double) { return air_c; }, 15, 5);
        around.convection = OutsideConvection::iso_6946;
        building = bare_building(envelope, sheet_of(0.002, 50, 7800, 450));
        building.rooms[0].cooled = true;
        building.rooms[0].cooling_set_point_c = 26;
    }
    Response run() const {
        HeatOptions options;
        options.warm_up_days = 8;
        return simulate({envelope, exchange, exposure, around}, building, options);
    }
    double volume_m3() const { return envelope.units[0].volume_m3; }
    double floor_m2() const { return envelope.units[0].floor_area_m2; }
};

/// A cladding on the south wall: what its air carries away is the sun, sky and ground taken in less
/// what the sheet gives back and what goes indoors, all from temperatures told.
TEST(RunSums, HeatCarriedAwayClosesTheSheetsBalance) {
    SteadyBox box;
    const std::size_t south = 3;
    box.envelope.facets.triangle_begin = {0, 1};
    box.envelope.facets.triangles_m = {{Vec3(0, 0, 0), Vec3(6, 0, 0), Vec3(0, 0, 2.6)}};
    box.envelope.surfaces[south].normal = Vec3(0, -1, 0);
    box.envelope.surfaces[south].n_facets = 1;
    VentedCladding cladding;
    cladding.sheet = {{"test sheet", 160, 2800, 880, "test"}, 0.001, std::nullopt};
    box.building.exposed[south].cladding = cladding;
    const Response run = box.run();
    const GapFigures& gap = run.gaps[south];
    const double area_m2 = box.envelope.surfaces[south].area_m2;

    const auto black = [](double c) { return 5.670374419e-8 * std::pow(c + 273.15, 4); };
    const double outside_c = run.mean_outside_c[south];
    const double taken_in_w_m2 =
        0.7 * light_w_m2 + 0.9 * (black(air_c - 15) + black(air_c + 5)) / 2;
    const double given_back_w_m2 = 0.9 * black(outside_c) + 10 * (outside_c - air_c);
    const double carried_w =
        area_m2 * (taken_in_w_m2 - given_back_w_m2) - run.inward_j[south] / period_s;
    ASSERT_GT(carried_w, 100);
    EXPECT_NEAR(gap.carried_away_j / period_s, carried_w, 0.005 * carried_w);
    EXPECT_NEAR(gap.carried_w.value, carried_w, 0.005 * carried_w);
    EXPECT_NEAR(run.gaps_carried_w.value, carried_w, 0.005 * carried_w);

    // The same heat leaves with the air: its flow times its warming, ideal gas at the mean of faces
    // and outdoor air, specific heat of [iso15099] (from memory). The faces' mean is not told; 6 K
    // of it are 1 % of the density.
    const double kelvin = (outside_c + 26) / 4 + air_c / 2 + 273.15;
    const double heat_j_m3k = 101325 / (287.055 * kelvin) * (1002.737 + 1.2324e-2 * kelvin);
    EXPECT_NEAR(heat_j_m3k * cladding.gap_depth_m * gap.air_speed_m_s.value *
                    (gap.outlet_c.value - air_c) * area_m2 / 2.6,
                carried_w, 0.03 * carried_w);
}

/// Wet for the whole period or not at all: by saturation at the inside face's temperature, which a
/// thin sheet has from its outside.
TEST(RunSums, CondensationCountsEveryHourOnce) {
    SteadyBox box;
    box.exposure =
        exposure_of(box.envelope, steady_hours, [](std::size_t, const Surface&) { return 0.0; });
    box.building.rooms[0].cooled = false;
    box.building.rooms[0].leakage.air_change_per_h = 2;
    const double roof_c = box.run().mean_outside_c[0];
    ASSERT_LT(roof_c, air_c - 1);
    for (const double above_k : {0.3, -0.3}) {
        box.around.humidity_kg_kg.assign(steady_hours,
                                         saturated_humidity_kg_kg(roof_c + above_k, 101325));
        const Response run = box.run();
        EXPECT_NEAR(run.condensation_h[0], above_k > 0 ? steady_hours : 0, 1e-9) << above_k;
        EXPECT_EQ(run.condensation_h[5], 0);  // ground warmer than the air warms the floor
    }
}

/// Vapour that outdoor air brings and the coil takes out, times 2501 kJ/kg ([ashrae2021] ch. 1): by
/// the flow and the two humidities told. The largest load is sensible and latent at once.
TEST(RunSums, LatentHeatIsTheVapourThatStaysOnTheCoil) {
    SteadyBox box;
    box.around.humidity_kg_kg.assign(steady_hours, 0.016);
    box.building.rooms[0].leakage.air_change_per_h = 3;
    box.building.rooms[0].plant.rated_efficiency = 4;
    box.building.rooms[0].plant.efficiency_falls_per_k = 0;
    box.building.rooms[0].plant.capacity_falls_per_k = 0;
    const Response run = box.run();
    const double kg_s = 1150.0 / 1006 * 3 * box.volume_m3() / 3600;  // surroundings_of()
    const double room_kg_kg = static_cast<double>(run.humidity_kg_kg.back());
    const double latent_w = kg_s * (0.016 - room_kg_kg) * 2.501e6;
    ASSERT_GT(latent_w, 100);
    EXPECT_NEAR(run.latent_j[0] / period_s, latent_w, 0.002 * latent_w);
    EXPECT_NEAR(run.latent_at_peak_w[0], latent_w, 0.002 * latent_w);
    const double sensible_w = run.peak_cooling_w[0].value;
    EXPECT_NEAR(run.peak_load_w[0].value, sensible_w + latent_w, 0.002 * sensible_w);
    EXPECT_NEAR(run.needed_capacity_w[0].value, run.peak_load_w[0].value, 1e-6 * sensible_w);
    EXPECT_NEAR(run.cooling_electricity_j[0], (run.cooling_j[0] + run.latent_j[0]) / 4,
                1e-9 * run.cooling_j[0]);
}

/// The largest total load need not come with the largest sensible one: at noon the air is hot and
/// dry, in the evening moist. What is told of the vapour belongs to the total.
TEST(RunSums, ThePeakOfTheTotalHasItsOwnVapour) {
    SteadyBox box;
    box.building.rooms[0].leakage.air_change_per_h = 6;
    for (std::size_t h = 0; h < steady_hours; ++h) {
        box.around.humidity_kg_kg.push_back(h % 24 >= 18 && h % 24 < 21 ? 0.022 : 0.006);
        for (std::size_t s = 0; s < 6; ++s)
            box.exposure.direct_w_m2[box.exposure.at(h, SurfaceId(s))] =
                h % 24 == 12 ? 560.0F : 500.0F;
    }
    const Response run = box.run();
    EXPECT_EQ(run.peak_cooling_w[0].step / 6 % 24, 12u);
    const std::size_t hour = run.peak_load_w[0].step / 6 % 24;
    EXPECT_GE(hour, 18u);
    EXPECT_LT(hour, 21u);
    EXPECT_GT(run.latent_at_peak_w[0], 300);
    EXPECT_GT(run.peak_load_w[0].value, run.peak_cooling_w[0].value + 200);
    EXPECT_LE(run.peak_load_w[0].value, run.peak_cooling_w[0].value + run.latent_at_peak_w[0]);

    // Of two parts of a period the larger total brings its vapour along.
    Response a = run, b = run;
    b.peak_load_w[0].value = 2 * run.peak_load_w[0].value;
    b.latent_at_peak_w[0] = 77;
    b.peak_cooling_w[0].value = 0;
    join(b, a);
    EXPECT_EQ(a.peak_load_w[0].value, b.peak_load_w[0].value);
    EXPECT_EQ(a.latent_at_peak_w[0], 77);
}

/// A plant far too small leaves the room too warm for the whole period, an ample one never.
TEST(RunSums, HoursNotMetCountEveryHourOnce) {
    SteadyBox box;
    box.building.rooms[0].plant.rated_capacity_w = 500;
    const Response weak = box.run();
    EXPECT_NEAR(weak.hours_not_met_h[0], steady_hours, 1e-9);
    EXPECT_NEAR(weak.at_limit_h[0], steady_hours, 1e-9);
    box.building.rooms[0].plant.rated_capacity_w = 50000;
    const Response ample = box.run();
    EXPECT_EQ(ample.hours_not_met_h[0], 0);
    EXPECT_EQ(ample.at_limit_h[0], 0);
}

/// The fan's electricity: flow times what the site file says, for as long as it blows, and in the
/// unit's bill with that of the plant.
TEST(RunSums, TheFanIsInTheBill) {
    SteadyBox box;
    RoomSettings& room = box.building.rooms[0];
    room.cooled = false;
    room.leakage.air_change_per_h = 0.5;
    room.ventilation.air_change_per_h.fill(8);
    room.ventilation.fan_w_per_m3_s = 900;
    const Response run = box.run();
    ASSERT_GT(run.air_c.back(), air_c + 4) << "ventilation must be wanted in full";
    const double ventilation_m3 = 8 * box.volume_m3() * steady_hours;
    EXPECT_NEAR(run.outdoor_air_m3[0], ventilation_m3 * 8.5 / 8, 1e-6 * ventilation_m3);
    EXPECT_NEAR(run.fan_electricity_j[0], 900 * ventilation_m3, 1e-6 * 900 * ventilation_m3);
    Weather weather;
    weather.dry_bulb_c.assign(steady_hours, air_c);
    weather.pressure_pa.assign(steady_hours, 101325);
    weather.hour_start_utc.resize(steady_hours);
    const auto figures = unit_figures(run, run, weather, AdaptiveModel::en_16798_category_2);
    EXPECT_DOUBLE_EQ(figures[0].electricity_j, run.fan_electricity_j[0]);
}

/// Where every part of the account can be had by hand: gains by floor area, outdoor air by flow and
/// difference, sides by what surfaces pass; and all of it adds up to what is stored.
TEST(RunSums, TheAccountOfARoomByHand) {
    SteadyBox box;
    RoomSettings& room = box.building.rooms[0];
    room.cooled = false;
    room.gains_w_m2.fill(12);
    room.leakage.air_change_per_h = 1;
    room.ventilation.air_change_per_h.fill(5);
    const Response run = box.run();
    const double room_c = static_cast<double>(run.air_c.back());
    ASSERT_GT(room_c, air_c + 4);
    const HeatAccount account = heat_account(run, box.envelope, UnitId(std::size_t{0}));
    const double per_change_j =
        1150 * box.volume_m3() * (air_c - room_c) * static_cast<double>(steady_hours);
    EXPECT_NEAR(account.leaks_j, per_change_j, 0.002 * -per_change_j);
    EXPECT_NEAR(account.ventilation_j, 5 * per_change_j, 0.002 * -5 * per_change_j);
    EXPECT_NEAR(account.gains_j, 12 * box.floor_m2() * period_s, 1.0);
    EXPECT_NEAR(account.roof_j, run.inward_j[0], 1e-9 * std::abs(run.inward_j[0]));
    EXPECT_NEAR(account.floor_j, run.inward_j[5], 1e-9 * std::abs(run.inward_j[5]));
    EXPECT_EQ(account.doorways_j, 0);
    EXPECT_EQ(account.pane_sun_j, 0);
    const double in_j = account.roof_j + account.walls_j + account.floor_j + account.panes_j +
                        account.pane_sun_j + account.leaks_j + account.ventilation_j +
                        account.doorways_j + account.gains_j + account.heating_j -
                        account.cooling_j;
    EXPECT_NEAR(in_j, account.stored_j, 1e-6 * account.gains_j);
    EXPECT_NEAR(account.stored_j, 0, 1e-3 * account.gains_j);
}

/// Sun through a pane stands apart from what its glass conducts, and the account still adds up.
TEST(RunSums, TheSunThroughAPaneStandsApart) {
    SteadyBox box;
    Surface& pane = box.envelope.surfaces[3];
    pane.kind = SurfaceKind::pane;
    box.building.exposed[3] = clear_pane();
    const Response run = box.run();
    const HeatAccount account = heat_account(run, box.envelope, UnitId(std::size_t{0}));
    const double sun_j = clear_pane().solar_transmittance * light_w_m2 * pane.area_m2 * period_s;
    EXPECT_NEAR(account.pane_sun_j, sun_j, 1e-6 * sun_j);
    EXPECT_NEAR(account.panes_j + account.pane_sun_j, run.inward_j[3], 1e-9 * sun_j);
    EXPECT_NEAR(account.gains_j, 0, 1e-9 * sun_j);
    const double in_j =
        account.roof_j + account.walls_j + account.floor_j + account.panes_j + account.pane_sun_j;
    EXPECT_NEAR(in_j - account.cooling_j, account.stored_j, 1e-6 * sun_j);
}

}  // namespace
}  // namespace noonshell
