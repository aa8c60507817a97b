// The whole heat run against a second integrator, closed forms, conservation and symmetry.
#include "thermal/simulate.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "tests/support/row_of_units.hpp"
#include "thermal/heat_patches.hpp"

namespace noonshell {
namespace {

using namespace test_models;

constexpr double sigma = 5.670374419e-8;

/// One bare steel box without plant, written as plain differential equations and integrated by the
/// classical fourth-order Runge-Kutta method with a step far below the steel's settling time: no
/// part of the program's solver is used.
class ReferenceBox {
  public:
    ReferenceBox(const Envelope& envelope, const Surroundings& around, double steel_j_m2k,
                 double air_j_k)
        : envelope_(envelope), around_(around), steel_j_m2k_(steel_j_m2k), air_j_k_(air_j_k) {
        // [carroll1980], by plain iteration: F = 1 / (1 - A F / sum A F), (1 - e) / e + 1 / F.
        std::array<double, 6> f{1, 1, 1, 1, 1, 1};
        for (int round = 0; round < 100; ++round) {
            double sum = 0;
            for (std::size_t n = 0; n < 6; ++n) sum += envelope.surfaces[n].area_m2 * f[n];
            for (std::size_t n = 0; n < 6; ++n)
                f[n] = 1 / (1 - envelope.surfaces[n].area_m2 * f[n] / sum);
        }
        for (std::size_t n = 0; n < 6; ++n) tie_[n] = 1 / (0.1 / 0.9 + 1 / f[n]);
    }

    using State = std::array<double, 7>;  // six sheets, room air [C]

    /// Hourly means of the room's air after warm-up; `roof` receives those of the roof sheet.
    std::vector<double> run(double warm_up_h, std::vector<double>& roof) const {
        State x;
        x.fill(around_.air_c.back());
        const double dt = 5;
        std::vector<double> air;
        const auto per_hour = static_cast<int>(3600 / dt);
        const int first = -static_cast<int>(warm_up_h);
        for (int hour = first; hour < static_cast<int>(n_hours); ++hour) {
            double air_sum = 0, roof_sum = 0;
            for (int i = 0; i < per_hour; ++i) {
                const double t = hour + i * dt / 3600;
                const State k1 = rate(x, t, hour);
                const State k2 = rate(moved(x, k1, dt / 2), t + dt / 7200, hour);
                const State k3 = rate(moved(x, k2, dt / 2), t + dt / 7200, hour);
                const State k4 = rate(moved(x, k3, dt), t + dt / 3600, hour);
                for (std::size_t n = 0; n < 7; ++n) {
                    x[n] += dt / 6 * (k1[n] + 2 * k2[n] + 2 * k3[n] + k4[n]);
                }
                air_sum += x[6];
                roof_sum += x[0];
            }
            if (hour >= 0) {
                air.push_back(air_sum / per_hour);
                roof.push_back(roof_sum / per_hour);
            }
        }
        return air;
    }

  private:
    static State moved(const State& x, const State& k, double dt) {
        State y;
        for (std::size_t n = 0; n < 7; ++n) y[n] = x[n] + dt * k[n];
        return y;
    }

    State rate(const State& x, double t, int hour) const {
        const double air_c = air_at(t);
        const auto h = static_cast<std::size_t>((hour + 48) % 48);
        // Radiant node: sum of A tie (T_i^4 - T_m^4) = 0.
        double top = 0, bottom = 0;
        for (std::size_t n = 0; n < 6; ++n) {
            top += envelope_.surfaces[n].area_m2 * tie_[n] * sigma * std::pow(x[n] + 273.15, 4);
            bottom += envelope_.surfaces[n].area_m2 * tie_[n];
        }
        const double field = top / bottom;
        State k{};
        double into_air = 0;
        for (std::size_t n = 0; n < 6; ++n) {
            const Surface& s = envelope_.surfaces[n];
            const double warm = std::clamp(0.5 + 0.5 * (x[n] - x[6]) / 0.5, 0.0, 1.0);
            const double hot = n == 0 ? 0.7 : (n == 5 ? 5.0 : 2.5);
            const double cold = n == 0 ? 5.0 : (n == 5 ? 0.7 : 2.5);
            // Free convection: 1.26 vertical, 1.81 where heat rises, 0.60 where it lies still.
            const bool rises = (n == 0) == (x[n] < x[6]);
            const double c = n == 0 || n == 5 ? (rises ? 1.81 : 0.60) : 1.26;
            const double natural = c * std::cbrt(std::abs(x[n] - x[6]));
            const double inside = std::max(cold + warm * (hot - cold), natural) * (x[n] - x[6]);
            const double sky = (1 + std::cos(s.tilt_deg * std::numbers::pi / 180)) / 2;
            const double longwave = sky * sigma * std::pow(air_c - 20 + 273.15, 4) +
                                    (1 - sky) * sigma * std::pow(air_c + 5 + 273.15, 4);
            const double outside = 0.7 * light_at(h, s) +
                                   0.9 * (longwave - sigma * std::pow(x[n] + 273.15, 4)) +
                                   (4 + 4 * 1.5) * (air_c - x[n]);
            k[n] = (outside - inside - tie_[n] * (sigma * std::pow(x[n] + 273.15, 4) - field)) /
                   steel_j_m2k_;
            into_air += s.area_m2 * inside;
        }
        k[6] = into_air / air_j_k_;
        return k;
    }

    const Envelope& envelope_;
    const Surroundings& around_;
    double steel_j_m2k_, air_j_k_;
    std::array<double, 6> tie_{};
};

struct Worst {
    double air_k = 0, roof_k = 0;
};

Worst against_reference(double step_s) {
    Envelope envelope;
    add_free_unit(envelope, "box", {6.058, 2.438, 2.591});
    const ExchangeMatrix exchange = free_exchange(envelope);
    const Exposure exposure = exposure_of(envelope, n_hours, light_at);
    Surroundings around = surroundings_of(n_hours, step_s, 4 + 4 * 1.5, air_at, 20, 5);
    around.convection = OutsideConvection::iso_6946;
    Building building = bare_building(envelope, sheet_of(0.002, 50, 7800, 450));
    HeatOptions options;
    options.warm_up_days = 4;
    const Response response = simulate({envelope, exchange, exposure, around}, building, options);

    const double air_j_k = 1.2 * 1006 * envelope.units[0].volume_m3 +
                           building.rooms[0].furniture_j_m2k * envelope.units[0].floor_area_m2;
    std::vector<double> roof;
    const std::vector<double> air =
        ReferenceBox(envelope, around, 0.002 * 7800 * 450, air_j_k).run(96, roof);
    Worst worst;
    for (std::size_t h = 0; h < n_hours; ++h) {
        worst.air_k =
            std::max(worst.air_k, std::abs(static_cast<double>(response.air_c[h]) - air[h]));
        worst.roof_k = std::max(worst.roof_k,
                                std::abs(static_cast<double>(response.outside_c[h * 6]) - roof[h]));
    }
    return worst;
}

TEST(Simulate, BareBoxAgreesWithAFineRungeKuttaRun) {
    const Worst coarse = against_reference(600);
    const Worst fine = against_reference(100);
    // Hourly means, worst of two days; the steel settles in five minutes and the sun jumps from
    // hour to hour, so the worst hour is harsher than any smooth problem.
    EXPECT_LT(coarse.air_k, 0.10);
    EXPECT_LT(coarse.roof_k, 0.11);
    EXPECT_LT(fine.air_k, coarse.air_k / 4);
    EXPECT_LT(fine.roof_k, coarse.roof_k / 5);
}

TEST(Simulate, EveryJouleIsAccountedFor) {
    const Row row;
    const Response r = simulate(row.inputs(), row.building);
    EXPECT_LT(r.outside_residual, 1e-3);
    for (const RoomBalance& room : r.room_balance) {
        EXPECT_GT(room.passed_j, 1e6);
        EXPECT_LT(room.residual(), 1e-6);
    }
    EXPECT_LT(r.heat_residual(), 1e-3);
    // What the surfaces send in is what the rooms receive.
    double by_surface = 0, by_room = 0;
    for (const double j : r.inward_j) by_surface += j;
    for (const RoomBalance& room : r.room_balance) by_room += room.through_envelope_j;
    EXPECT_NEAR(by_surface, by_room, 1e-6 * std::abs(by_room));
}

TEST(Simulate, MirroredUnitsAnswerAlike) {
    Row row;
    // Without the ground contact and with the same light on east and west, left mirrors right.
    row.envelope.contacts.pop_back();
    row.envelope.surfaces[5].exposed_area_m2 = row.envelope.surfaces[5].area_m2;
    row.exposure = exposure_of(row.envelope, n_hours, [](std::size_t h, const Surface& s) {
        Surface turned = s;
        turned.azimuth_deg = 0;
        return light_at(h, turned);
    });
    const Response r = simulate(row.inputs(), row.building);
    EXPECT_GT(r.cooling_j[0], 1e6);
    EXPECT_NEAR(r.cooling_j[0], r.cooling_j[2], 1e-6 * r.cooling_j[0]);
    EXPECT_NE(r.cooling_j[0], r.cooling_j[1]);
}

TEST(Simulate, PlantHoldsItsSetPoints) {
    Row row;
    const Response r = simulate(row.inputs(), row.building);
    for (const float air : r.air_c) {
        EXPECT_LE(air, 26.0f + 1e-4f);
        EXPECT_GE(air, 20.0f - 1e-4f);
    }
    for (RoomSettings& room : row.building.rooms) room.cooled = false;
    const Response hot = simulate(row.inputs(), row.building);
    EXPECT_EQ(hot.cooling_j[0], 0);
    EXPECT_GT(hot.peak_air_c[0].value, 30);
}

TEST(Simulate, APartWithNothingChangedRepeatsTheWhole) {
    const Row row;
    Trace trace;
    const Response whole = simulate(row.inputs(), row.building, {}, &trace);
    const ActivePart only_middle{{0, 1, 0}, std::vector<std::uint8_t>(18, 0)};
    const ReflectanceChange none{SurfaceId::none(), 0, std::vector<double>(18, 0.0)};
    const Response part = simulate_part(row.inputs(), row.building, {}, only_middle, trace, none);
    // The trace is kept in single precision.
    EXPECT_NEAR(part.cooling_j[1], whole.cooling_j[1], 1e-5 * whole.cooling_j[1]);
    for (std::size_t h = 0; h < n_hours; ++h) {
        EXPECT_NEAR(part.outside_c[h * 18 + 6], whole.outside_c[h * 18 + 6], 2e-3);
    }
}

TEST(Simulate, ReflectanceChangeIsTheSameAsMoreOrLessLight) {
    const Row row;
    Trace trace;
    simulate(row.inputs(), row.building, {}, &trace);
    // Surface 6 (middle roof) turns brighter by 0.3 and lights surface 12 (right roof) with a
    // coupling of 0.2: the same as adding that light by hand.
    ReflectanceChange change{SurfaceId(6), 0.3, std::vector<double>(18, 0.0)};
    change.coupling[12] = 0.2;
    const ActivePart all{{1, 1, 1}, std::vector<std::uint8_t>(18, 0)};
    const Response a = simulate_part(row.inputs(), row.building, {}, all, trace, change);
    Row by_hand;
    for (std::size_t h = 0; h < n_hours; ++h) {
        by_hand.exposure.bounced_w_m2[h * 18 + 12] +=
            0.2 * 0.3 * by_hand.exposure.direct_w_m2[h * 18 + 6];
    }
    const Response b = simulate_part(by_hand.inputs(), by_hand.building, {}, all, trace,
                                     {SurfaceId::none(), 0, std::vector<double>(18, 0.0)});
    EXPECT_NEAR(a.cooling_j[2], b.cooling_j[2], 1e-9 * b.cooling_j[2]);
    EXPECT_GT(a.cooling_j[2], 0);
}

/// Common physics of signs (common practice): white is cooler by day, insulation lowers the heat
/// that comes in, wind cools hot steel.
TEST(Simulate, SignsOfTheRemedies) {
    Row row;
    const Response bare = simulate(row.inputs(), row.building);
    Building white = row.building;
    for (Construction& c : white.exposed) c.outside_absorptance = 0.4;
    const Response w = simulate(row.inputs(), white);
    EXPECT_LT(w.peak_outside_c[6].value, bare.peak_outside_c[6].value - 10);
    EXPECT_LT(w.cooling_j[1], bare.cooling_j[1]);
    EXPECT_GE(w.heating_j[1], bare.heating_j[1]);

    Building wrapped = row.building;
    const Material foam{"test foam", 0.03, 30, 1400, "test"};
    for (Construction& c : wrapped.exposed) {
        c.layers.insert(c.layers.begin(), {foam, 0.05, std::nullopt});
    }
    const Response i = simulate(row.inputs(), wrapped);
    EXPECT_LT(i.cooling_j[1], 0.6 * bare.cooling_j[1]);
    EXPECT_LT(i.peak_steel_c[6].value, bare.peak_steel_c[6].value - 10);  // steel is inside now
    EXPECT_GT(i.peak_outside_c[6].value, bare.peak_outside_c[6].value);   // the new face is not

    Row windy;
    windy.around = surroundings_of(n_hours, 600, 30, air_at, 18, 8);
    const Response blown = simulate(windy.inputs(), windy.building);
    EXPECT_LT(blown.peak_outside_c[6].value, bare.peak_outside_c[6].value - 3);
}

/// A vented cladding in front of a wall: its sheet runs hotter than the bare steel did, the steel
/// behind it cooler, and the outside balance still closes.
TEST(Simulate, VentedCladdingShadesTheSteel) {
    Row row;
    const Response bare = simulate(row.inputs(), row.building);
    Building clad = row.building;
    VentedCladding cladding;
    cladding.sheet = {{"test sheet", 160, 2800, 880, "test"}, 0.001, std::nullopt};
    clad.exposed[6 + 3].cladding = cladding;  // south wall of the middle unit
    const Response c = simulate(row.inputs(), clad);
    EXPECT_LT(c.peak_steel_c[6 + 3].value, bare.peak_steel_c[6 + 3].value);
    EXPECT_LT(c.inward_j[6 + 3], bare.inward_j[6 + 3]);
    EXPECT_LT(c.cooling_j[1], bare.cooling_j[1]);
    EXPECT_LT(c.heat_residual(), 1e-3);
}

/// Of one cladding the most heat at one time is the building's; of two that peak at other hours
/// the building's lies between the larger and the sum, and no peak lies below its mean.
TEST(Simulate, PeaksOfHeatCarriedBehindCladdings) {
    Row row;
    // Where the gaps run: up the walls.
    row.envelope.facets.triangle_begin = {0, 1};
    row.envelope.facets.triangles_m = {{Vec3(0, 0, 0), Vec3(1, 1, 0), Vec3(0, 0, 2.591)}};
    for (const std::size_t s : {std::size_t{4}, std::size_t{6 + 3}}) {
        row.envelope.surfaces[s].normal = s == 4 ? Vec3(-1, 0, 0) : Vec3(0, -1, 0);
        row.envelope.surfaces[s].n_facets = 1;
    }
    VentedCladding cladding;
    cladding.sheet = {{"test sheet", 160, 2800, 880, "test"}, 0.001, std::nullopt};
    row.building.exposed[6 + 3].cladding = cladding;  // south wall of the middle unit
    const Response one = simulate(row.inputs(), row.building);
    const GapFigures& south = one.gaps[6 + 3];
    EXPECT_EQ(one.gaps_carried_w.value, south.carried_w.value);
    EXPECT_EQ(one.gaps_carried_w.step, south.carried_w.step);
    EXPECT_GT(south.carried_w.value, south.carried_away_j / (3600.0 * n_hours));
    EXPECT_FALSE(one.gaps[4].there);

    // All light on the left unit's west wall in one hour of the morning.
    row.building.exposed[4].cladding = cladding;
    for (std::size_t h = 0; h < n_hours; ++h)
        row.exposure.direct_w_m2[row.exposure.at(h, SurfaceId(4))] = h % 24 == 9 ? 900.0F : 0.0F;
    const Response two = simulate(row.inputs(), row.building);
    const double west_w = two.gaps[4].carried_w.value, south_w = two.gaps[6 + 3].carried_w.value;
    ASSERT_NE(two.gaps[4].carried_w.step, two.gaps[6 + 3].carried_w.step);
    EXPECT_GT(two.gaps_carried_w.value, std::max(west_w, south_w));
    EXPECT_LT(two.gaps_carried_w.value, west_w + south_w);
}

/// Hot sunlit ground warms a floor in the open; ground in the building's own shade does not.
TEST(Simulate, ShadedGroundDoesNotGlow) {
    Row row;
    row.around = surroundings_of(n_hours, 600, 8, air_at, 18, 25);
    const Response lit = simulate(row.inputs(), row.building);
    row.exposure.sunlit_ground_share[6 + 5] = 0.1;  // middle floor
    const Response shaded = simulate(row.inputs(), row.building);
    EXPECT_LT(shaded.peak_outside_c[6 + 5].value, lit.peak_outside_c[6 + 5].value - 3);
    EXPECT_LT(shaded.cooling_j[1], lit.cooling_j[1]);
    EXPECT_LT(shaded.heat_residual(), 1e-3);
}

/// Walls in contact are made of one unit's layers turned round, the gap and the other's: with
/// unlike walls the heavy slab stands on its own side. Closed form: the steady face temperature
/// next to the insulation differs from that next to the slab.
TEST(Simulate, ContactLayersStandOnTheirOwnSides) {
    Row row;
    const Material foam{"test foam", 0.03, 30, 1400, "test"};
    const Material slab{"test slab", 2.0, 2400, 1000, "test"};
    // Left's east wall: steel outside, foam inside; middle's west wall: a slab alone.
    row.building.covered[2].layers.push_back({foam, 0.05, std::nullopt});
    row.building.covered[6 + 4].layers = {{slab, 0.20, std::nullopt}};
    const Patches parts =
        make_patches(row.envelope, {row.exchange.surfaces, row.exposure.sunlit_ground_share},
                     row.building, 600, 1, nullptr);
    const auto shared = std::find_if(parts.shared.begin(), parts.shared.end(),
                                     [](const auto& p) { return p.a.surface == SurfaceId(2); });
    ASSERT_NE(shared, parts.shared.end());
    const LayeredWall& wall = parts.walls[shared->wall];
    // From the left room: foam, steel, air gap, slab.
    ASSERT_EQ(wall.first_cell_of_layer(0), 0u);
    EXPECT_NEAR(wall.resistance_behind_m2k_w(1), wall.resistance_m2k_w() - 0.05 / 0.03, 1e-9);
    EXPECT_NEAR(wall.resistance_behind_m2k_w(3), 0.20 / 2.0, 1e-9);
    // A jump of the left room is felt at the left face through the foam only slowly by the slab.
    WallState state = wall.uniform_state(20);
    std::vector<double> particular(wall.n_cells());
    const TwoPort port = wall.prepare(state, particular);
    EXPECT_LT(port.aa, 5);   // foam takes in little
    EXPECT_GT(port.bb, 30);  // the slab much
}

/// A wall without mass under an insulation has a temperature all the same, between both sides.
// One wall of foam between two rooms, drawn with one of them: as its two halves drawn with each.
TEST(Simulate, AWallLentByTheNeighbourIsThereOnce) {
    const auto foam = [](double thickness_m) {
        return std::vector<Layer>{
            {{"foam", 0.035, 30, 1400, "invented"}, thickness_m, std::nullopt}};
    };
    constexpr std::size_t a = 2, b = 6 + 4;
    Row halves, lent;
    for (Row* row : {&halves, &lent}) {
        row->envelope.contacts.front().gap_m = 0;
        for (RoomSettings& room : row->building.rooms) room.cooled = room.heated = false;
    }
    halves.building.covered[a].layers = halves.building.covered[b].layers = foam(0.05);
    lent.building.covered[a].layers = foam(0.1);
    lent.building.covered[b].layers = foam(0.3);  // of no account
    lent.envelope.surfaces[b].of_neighbour = true;
    const Response expected = simulate(halves.inputs(), halves.building, {});
    const Response seen = simulate(lent.inputs(), lent.building, {});
    ASSERT_EQ(seen.air_c.size(), expected.air_c.size());
    for (std::size_t k = 0; k < seen.air_c.size(); ++k)
        ASSERT_NEAR(seen.air_c[k], expected.air_c[k], 0.01) << k;
    lent.envelope.surfaces[b].of_neighbour = false;
    const Response twice = simulate(lent.inputs(), lent.building, {});
    double differs = 0;
    for (std::size_t k = 0; k < seen.air_c.size(); ++k)
        differs = std::max(differs, std::abs(double{twice.air_c[k]} - double{seen.air_c[k]}));
    EXPECT_GT(differs, 0.05);
}

TEST(Simulate, SteelTemperatureOfAWallWithoutMass) {
    Row row;
    Layer plain;
    plain.resistance_m2k_w = 0.5;
    const Material foam{"test foam", 0.03, 30, 1400, "test"};
    for (Construction& c : row.building.covered) c.layers = {plain};
    for (Construction& c : row.building.exposed) c.layers = {{foam, 0.05, std::nullopt}, plain};
    const Response r = simulate(row.inputs(), row.building);
    EXPECT_GT(r.peak_steel_c[6].value, 26);
    EXPECT_LT(r.peak_steel_c[6].value, r.peak_outside_c[6].value);
}

/// A short period is repeated until heavy walls no longer change, whatever their start.
// Forty days cut in the middle: after five days to settle nothing tells the halves from the whole.
TEST(Simulate, HalvesSideBySideAreTheWhole) {
    constexpr std::size_t hours = 40 * 24;
    Row row;
    row.exposure = exposure_of(row.envelope, hours, light_at);
    row.around = surroundings_of(hours, 600, 8, [](double hour) {
        return air_at(hour) +
               6 * std::sin(2 * std::numbers::pi * hour / static_cast<double>(hours));
    });
    HeatOptions options;
    options.warm_up_days = 5;
    Trace whole_trace, halves_trace;
    const Response whole = simulate(row.inputs(), row.building, options, &whole_trace);
    options.in_halves = true;
    const Response halves = simulate(row.inputs(), row.building, options, &halves_trace);
    ASSERT_EQ(halves.air_c.size(), whole.air_c.size());
    for (std::size_t i = 0; i < whole.air_c.size(); ++i)
        ASSERT_NEAR(halves.air_c[i], whole.air_c[i], 0.01f) << i;
    for (std::size_t i = 0; i < whole_trace.room_air_c.size(); ++i)
        ASSERT_NEAR(halves_trace.room_air_c[i], whole_trace.room_air_c[i], 0.01f) << i;
    for (std::size_t u = 0; u < whole.n_units; ++u) {
        EXPECT_NEAR(halves.cooling_j[u], whole.cooling_j[u], 1e-4 * whole.cooling_j[1]);
        EXPECT_NEAR(halves.peak_air_c[u].value, whole.peak_air_c[u].value, 0.01);
        EXPECT_NEAR(halves.room_balance[u].passed_j, whole.room_balance[u].passed_j,
                    1e-4 * whole.room_balance[u].passed_j);
        EXPECT_EQ(halves.outdoor_air_m3[u] > 0, whole.outdoor_air_m3[u] > 0);
    }
    for (std::size_t s = 0; s < whole.n_surfaces; ++s) {
        if (std::isnan(whole.peak_outside_c[s].value)) continue;
        EXPECT_NEAR(halves.peak_outside_c[s].value, whole.peak_outside_c[s].value, 0.01);
        EXPECT_NEAR(halves.mean_outside_c[s], whole.mean_outside_c[s], 0.001);
        EXPECT_NEAR(halves.absorbed_j_m2[s], whole.absorbed_j_m2[s], 1);
    }
    EXPECT_LT(halves.heat_residual(), 1e-5);
    EXPECT_LT(halves.worst_change_k, 1);
}

TEST(Simulate, ShortPeriodsAreRepeatedUntilTheySettle) {
    Row row;
    const Material slab{"test slab", 2.0, 2400, 1000, "test"};
    const Material foam{"test foam", 0.025, 30, 1400, "test"};
    for (auto* list : {&row.building.exposed, &row.building.covered}) {
        for (Construction& c : *list) {
            c.layers = {{foam, 0.10, std::nullopt}, {slab, 0.20, std::nullopt}};
        }
    }
    for (RoomSettings& room : row.building.rooms) room.cooled = room.heated = false;
    const Response r = simulate(row.inputs(), row.building);
    EXPECT_LT(r.worst_change_k, 0.02);
    EXPECT_TRUE(r.warnings.empty());
}

// A period that ends at another time of day than it began starts as its whole days leave it: with
// days alike, the first day is that of one day alone.
TEST(Simulate, PartDaysStartAtTheirOwnTimeOfDay) {
    Envelope envelope;
    add_free_unit(envelope, "box", {6.058, 2.438, 2.591});
    const ExchangeMatrix exchange = free_exchange(envelope);
    Building building = bare_building(envelope, sheet_of(0.002, 50, 7800, 450));
    const auto run = [&](std::size_t hours) {
        const Exposure exposure = exposure_of(envelope, hours, light_at);
        const Surroundings around = surroundings_of(hours, 600, 10, air_at, 20, 5);
        return simulate({envelope, exchange, exposure, around}, building);
    };
    const Response day = run(24), more = run(39);
    double swing_k = 0;
    for (std::size_t h = 0; h < 24; ++h) {
        EXPECT_NEAR(static_cast<double>(more.air_c[h]), static_cast<double>(day.air_c[h]), 0.02)
            << h;
        swing_k = std::max(swing_k, static_cast<double>(day.air_c[h] - day.air_c[0]));
    }
    EXPECT_GT(swing_k, 5);  // else the test shows nothing
    EXPECT_TRUE(more.warnings.empty());
}

}  // namespace
}  // namespace noonshell