// Shades as plates: which faces belong together, and what their layers do, against closed forms,
// ISO 13786 and conservation.
#include "thermal/shade_plates.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "tests/support/hand_building.hpp"
#include "tests/support/plate_envelope.hpp"
#include "thermal/heat_patches.hpp"
#include "thermal/periodic_transfer.hpp"
#include "thermal/simulate.hpp"

namespace noonshell {
namespace {

using namespace test_models;

constexpr std::size_t a_day_h = 24;
constexpr double film_w_m2k = 9, warm_air_c = 35;

/// A box of surfaces, all shades of one body; roof, four walls, floor.
SurfaceId add_shade_box(PlateEnvelope& made, const Vec3& size_m) {
    const SurfaceId top = made.add_box("shade", {1, 2, 5}, size_m, 30, 100);
    for (std::size_t s = top.index(); s < top.index() + 6; ++s)
        made.envelope.surfaces[s].kind = SurfaceKind::shade;
    return top;
}

std::vector<SurfaceId> all_of(const PlateEnvelope& made) {
    std::vector<SurfaceId> all;
    for (std::size_t s = 0; s < made.envelope.surfaces.size(); ++s) all.emplace_back(s);
    return all;
}

TEST(ShadePlates, TopAndUndersideOfARoofBelongTogether) {
    PlateEnvelope made;
    const SurfaceId top = add_shade_box(made, {6, 2.5, 0.1});
    const auto plates = find_plates(made.envelope, all_of(made));
    ASSERT_EQ(plates.size(), 1u);
    EXPECT_EQ(plates[0].front, top);
    EXPECT_EQ(plates[0].back, SurfaceId(top.index() + 5));
    EXPECT_NEAR(plates[0].thickness_m, 0.1, 1e-12);
}

/// Its edges are 0.3 m apart and are none, though long and narrow.
TEST(ShadePlates, EdgesOfANarrowPlateAreNoPlate) {
    PlateEnvelope made;
    add_shade_box(made, {12, 0.3, 0.1});
    ASSERT_EQ(find_plates(made.envelope, all_of(made)).size(), 1u);
}

TEST(ShadePlates, UprightPlatesAndSheetsTooButNoRooms) {
    PlateEnvelope fin;
    add_shade_box(fin, {0.06, 1.2, 2.6});
    const auto plates = find_plates(fin.envelope, all_of(fin));
    ASSERT_EQ(plates.size(), 1u);
    EXPECT_NEAR(plates[0].thickness_m, 0.06, 1e-12);
    PlateEnvelope sheet;
    sheet.add_sheet("sheet", {0, 0, 3}, {4, 0, 0}, {0, 2, 0}, 1, 1);
    ASSERT_EQ(find_plates(sheet.envelope, all_of(sheet)).size(), 1u);
    PlateEnvelope tank;
    add_shade_box(tank, {2, 2, 2});
    EXPECT_TRUE(find_plates(tank.envelope, all_of(tank)).empty());
}

/// The underside of one roof and the top of another have air between them.
TEST(ShadePlates, FacesThatLookAtEachOtherAreNoPlate) {
    PlateEnvelope made;
    made.add_plate("below/top", {0, 0, 3.0}, {4, 0, 0}, {0, 2, 0}, 1, 1, BodyId(0));
    made.add_plate("above/underside", {0, 0, 3.2}, {0, 2, 0}, {4, 0, 0}, 1, 1, BodyId(0));
    EXPECT_TRUE(find_plates(made.envelope, all_of(made)).empty());
    made.add_plate("far/underside", {9, 0, 2.9}, {0, 2, 0}, {4, 0, 0}, 1, 1, BodyId(0));
    EXPECT_TRUE(find_plates(made.envelope, all_of(made)).empty());
}

/// Two slopes, each with its own underside.
TEST(ShadePlates, AFoldedRoofIsTwoPlates) {
    PlateEnvelope made;
    const Vec3 along(6, 0, 0), up(0, 2, 1), down(0, 2, -1);
    const Vec3 thin(0, 0, -0.1);
    made.add_plate("top-s", {0, 0, 3}, along, up, 1, 1, BodyId(0));
    made.add_plate("top-n", {0, 2, 4}, along, down, 1, 1, BodyId(0));
    made.add_plate("under-s", Vec3(0, 0, 3) + thin, up, along, 1, 1, BodyId(0));
    made.add_plate("under-n", Vec3(0, 2, 4) + thin, down, along, 1, 1, BodyId(0));
    const auto plates = find_plates(made.envelope, all_of(made));
    ASSERT_EQ(plates.size(), 2u);
    for (const ShadePlate& plate : plates) {
        EXPECT_EQ(plate.back.index(), plate.front.index() + 2);
        EXPECT_NEAR(plate.thickness_m, 0.1 * 2 / std::sqrt(5.0), 1e-12);
    }
}

/// One shade of 6 m x 2.5 m in air of 35 C that sees nothing warmer or cooler than itself by
/// longwave (emittance 0): only films of 9 W/(m2 K) on every face, and sun.
struct Canopy {
    PlateEnvelope made;
    ExchangeMatrix exchange;
    Exposure light;
    Surroundings around;
    Building building;
    std::size_t top = 0, underside = 5;

    Canopy(std::vector<Layer> layers, const std::function<double(std::size_t)>& sun_on_top_w_m2,
           double thickness_m = 0.1) {
        add_shade_box(made, {6, 2.5, thickness_m});
        exchange = free_exchange(made.envelope);
        light = exposure_of(made.envelope, a_day_h, [&](std::size_t hour, const Surface& s) {
            return s.tilt_deg < 10 ? sun_on_top_w_m2(hour) : 0.0;
        });
        around = surroundings_of(a_day_h, 600, film_w_m2k, [](double) { return warm_air_c; });
        around.convection = OutsideConvection::iso_6946;  // nothing by warmth
        Construction construction = bare_roof();
        construction.layers = std::move(layers);
        construction.outside_absorptance = 1;
        construction.outside_emittance = 0;
        building = bare_building(made.envelope, construction);
    }

    Response run(Trace* trace = nullptr) const {
        return simulate({made.envelope, exchange, light, around}, building, {}, trace);
    }
};

std::vector<Layer> sandwich(double foam_m) {
    const Layer steel{*find_material("steel"), 0.0008, std::nullopt};
    return {steel, {*find_material("pir"), foam_m, std::nullopt}, steel};
}

// Sun S on the top alone, films h on both, R between (edges add h A_e / 2 A on each): what goes
// through is (T1 - T2) / R = h' (T2 - Ta), S = h' (T1 - Ta) + (T1 - T2) / R.
TEST(ShadePlates, SteadyTemperaturesAreThoseOfAResistance) {
    for (const double foam_m : {0.02, 0.1}) {
        const Canopy canopy(sandwich(foam_m), [](std::size_t) { return 800.0; });
        const Response r = canopy.run();
        const double r_m2k_w = foam_m / 0.025 + 2 * 0.0008 / 45.28;
        const double area_m2 = 6 * 2.5, edge_m2 = 2 * (6 + 2.5) * 0.1;
        // Edges are as warm as the mean of both faces: half of h A_e (T1 + T2 - 2 Ta) / 2 to each.
        const double e = film_w_m2k * edge_m2 / (4 * area_m2);
        const double aa = film_w_m2k + e + 1 / r_m2k_w, ab = 1 / r_m2k_w - e;
        const double top_k = 800 * aa / (aa * aa - ab * ab);
        const double underside_k = 800 * ab / (aa * aa - ab * ab);
        EXPECT_NEAR(r.mean_outside_c[canopy.top], warm_air_c + top_k, 0.01) << foam_m;
        EXPECT_NEAR(r.mean_outside_c[canopy.underside], warm_air_c + underside_k, 0.01) << foam_m;
        EXPECT_NEAR(r.mean_outside_c[1], warm_air_c + 0.5 * (top_k + underside_k), 0.01);
        EXPECT_GT(top_k, foam_m > 0.05 ? 80 : 70);
        EXPECT_LT(underside_k, foam_m > 0.05 ? 3 : 10);
        EXPECT_LT(r.outside_residual, 1e-6);
    }
}

/// Just above and just below the resistance that counts, the answers are the same to a tenth of a
/// kelvin; far below it the sheet is at S / (2 h), edges besides.
TEST(ShadePlates, ThinSheetsAreAtOneTemperature) {
    const auto sun = [](std::size_t hour) {
        return 900 *
               std::max(0.0, std::sin(std::numbers::pi * (static_cast<double>(hour) - 6) / 12));
    };
    const auto metal = [](double resistance_m2k_w) {
        Material steel = *find_material("steel");
        steel.conductivity_w_mk = 0.002 / resistance_m2k_w;
        return std::vector<Layer>{{steel, 0.002, std::nullopt}};
    };
    const Response sheet = Canopy(metal(0.99e-4), sun).run();
    const Response plate = Canopy(metal(1.01e-4), sun).run();
    EXPECT_EQ(sheet.mean_outside_c[0], sheet.mean_outside_c[5]);
    EXPECT_NE(plate.mean_outside_c[0], plate.mean_outside_c[5]);
    for (const std::size_t s : {0u, 1u, 5u}) {
        EXPECT_NEAR(plate.mean_outside_c[s], sheet.mean_outside_c[s], 0.03) << s;
        EXPECT_NEAR(plate.peak_outside_c[s].value, sheet.peak_outside_c[s].value, 0.1) << s;
    }
    const Response steady = Canopy(metal(1e-5), [](std::size_t) { return 800.0; }).run();
    const double share = 6 * 2.5 / (2 * 6 * 2.5 + 2 * (6 + 2.5) * 0.1);
    EXPECT_NEAR(steady.mean_outside_c[5], warm_air_c + 800 / film_w_m2k * share, 0.01);
}

/// The underside of a slab of concrete swings as ISO 13786 has it for a daily sine of sol-air
/// temperature on its top.
TEST(ShadePlates, AHeavySlabDelaysAndDampsAsIso13786) {
    const std::vector<Layer> slab{{*find_material("concrete"), 0.15, std::nullopt}};
    // Daily sine of 400 about 400 W/m2; no edges to speak of, so that all goes straight through.
    Canopy canopy(
        slab,
        [](std::size_t hour) {
            const double t_h = static_cast<double>(hour) + 0.5;
            return 400 + 400 * std::sin(2 * std::numbers::pi * t_h / 24);
        },
        0.001);
    const Response r = canopy.run();
    const PeriodicTransfer closed = periodic_transfer(slab, 1 / film_w_m2k, 1 / film_w_m2k);
    // Flux into the air below per sol-air swing of 400 / h, over the film.
    const double swing_k = closed.periodic_w_m2k * 400 / film_w_m2k / film_w_m2k;
    double sine = 0, cosine = 0;
    for (std::size_t h = 0; h < a_day_h; ++h) {
        const double angle = 2 * std::numbers::pi * (static_cast<double>(h) + 0.5) / 24;
        const double c = static_cast<double>(r.outside_c[h * r.n_surfaces + canopy.underside]);
        sine += c * std::sin(angle) / 12;
        cosine += c * std::cos(angle) / 12;
    }
    EXPECT_NEAR(std::hypot(sine, cosine) / swing_k, 1, 0.02);
    const double lag_h = -std::atan2(cosine, sine) * 12 / std::numbers::pi;
    EXPECT_NEAR(lag_h, -closed.shift_h, 0.15);
    EXPECT_GT(lag_h, 2);
    EXPECT_LT(r.outside_residual, 1e-6);
}

/// A part run in which nothing is changed is the whole run.
TEST(ShadePlates, PartRunsKeepThem) {
    const Canopy canopy(sandwich(0.05),
                        [](std::size_t hour) { return hour > 6 && hour < 18 ? 700.0 : 0.0; });
    Trace trace;
    const Response whole = canopy.run(&trace);
    const ActivePart part{{}, std::vector<std::uint8_t>(6, 1)};
    const Response found =
        simulate_part({canopy.made.envelope, canopy.exchange, canopy.light, canopy.around},
                      canopy.building, {}, part, trace, {});
    for (std::size_t s = 0; s < 6; ++s)
        EXPECT_NEAR(found.mean_outside_c[s], whole.mean_outside_c[s], 1e-4) << s;
}

/// The layers of whichever face has them lie between the two, turned where they are the back's.
TEST(ShadePlates, LayersAreThoseThatResistMore) {
    Canopy canopy(sandwich(0.05), [](std::size_t) { return 0.0; });
    const ShadePlate plate = find_plates(canopy.made.envelope, all_of(canopy.made)).at(0);
    EXPECT_TRUE(shade_plate_warnings(canopy.made.envelope, canopy.building).empty());
    std::vector<Layer> two = sandwich(0.1);
    two.pop_back();
    canopy.building.exposed[plate.back.index()].layers = two;
    const std::vector<Layer> between = layers_between(canopy.building, plate);
    ASSERT_EQ(between.size(), 2u);
    EXPECT_EQ(between[0].material.name, "pir");
    const auto warnings = shade_plate_warnings(canopy.made.envelope, canopy.building);
    ASSERT_EQ(warnings.size(), 1u);
    EXPECT_EQ(warnings[0].code, "shade-layers-differ");
    canopy.building.exposed[plate.back.index()].layers = bare_roof().layers;
    EXPECT_EQ(layers_between(canopy.building, plate).size(), 3u);
    EXPECT_TRUE(shade_plate_warnings(canopy.made.envelope, canopy.building).empty());
}

TEST(ShadePlates, LayersWithoutASecondFaceAreWarnedOf) {
    Canopy canopy(
        sandwich(0.05), [](std::size_t) { return 0.0; }, 1.0);
    const auto warnings = shade_plate_warnings(canopy.made.envelope, canopy.building);
    ASSERT_EQ(warnings.size(), 1u);
    EXPECT_EQ(warnings[0].code, "shade-layers-idle");
}

}  // namespace
}  // namespace noonshell
