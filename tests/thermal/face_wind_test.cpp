// The wind that every face in the open meets, by its height and its roughness.
#include <gtest/gtest.h>

#include <cmath>
#include <vector>

#include "tests/support/hand_building.hpp"
#include "thermal/outside_conditions.hpp"
#include "thermal/simulate.hpp"

namespace noonshell {
namespace {

using namespace test_models;

constexpr std::size_t two_days_h = 48;
constexpr double wind_m_s = 4, ground_m = 1.5;
constexpr std::size_t roof = 0, north = 1, south = 3, floor_below = 5, high = 6;
constexpr std::size_t sheet_top = 12, sheet_below = 13;

double roof_in_the_sun_w_m2(std::size_t hour, const Surface& s) {
    const double sun = std::sin(std::numbers::pi * (static_cast<double>(hour % 24) - 5.5) / 12);
    return s.tilt_deg < 10 ? 950 * std::max(0.0, sun) : 0.0;
}

/// Two equal units, one on the ground and one 30 m up, and a sheet level with the upper one's
/// roof; wind from the south.
struct Tower {
    Envelope envelope;
    ExchangeMatrix exchange;
    Exposure light;
    Surroundings around;
    Building building;

    Tower() {
        envelope.ground_z_m = ground_m;
        for (const char* id : {"low", "high"}) add_free_unit(envelope, id, {6, 2.4, 2.6});
        for (const double tilt_deg : {0.0, 180.0}) {
            Surface s;
            s.id = tilt_deg > 90 ? "sheet/underside" : "sheet/top";
            s.body = BodyId(2);
            s.kind = SurfaceKind::shade;
            s.tilt_deg = tilt_deg;
            s.area_m2 = s.exposed_area_m2 = 10;
            envelope.surfaces.push_back(s);
        }
        for (std::size_t s = 0; s < envelope.surfaces.size(); ++s) {
            const double up_m = s % 6 == 0 ? 2.6 : (s % 6 == 5 ? 0 : 1.3);
            const double foot_m = ground_m + (s >= high ? 30 : 0);
            envelope.surfaces[s].centroid_m = Vec3(0, 0, foot_m + (s >= sheet_top ? 2.6 : up_m));
        }
        exchange = free_exchange(envelope);
        light = exposure_of(envelope, two_days_h, roof_in_the_sun_w_m2);
        around = surroundings_of(
            two_days_h, 600, 0, [](double) { return 34.0; }, 15, 5);
        around.wind_m_s.assign(two_days_h, wind_m_s);
        around.wind_from_deg.assign(two_days_h, 180.0);
        take_wind_at_10_m();
        building = bare_building(envelope, sheet_of(0.002, 50, 7800, 450));
    }

    void take_wind_at_10_m() {
        const auto fill = [&](std::vector<double>& forced, WindSide side) {
            forced.assign(two_days_h, forced_convection_w_m2k(around.convection, wind_m_s, side));
        };
        fill(around.forced_windward_w_m2k, WindSide::windward);
        fill(around.forced_leeward_w_m2k, WindSide::leeward);
        fill(around.forced_unknown_w_m2k, WindSide::unknown);
    }

    HeatInputs inputs() const { return {envelope, exchange, light, around}; }

    /// By surface [W/(m2 K)].
    std::vector<double> forced() const {
        const Patches patches =
            make_patches(envelope, {exchange.surfaces, light.sunlit_ground_share}, building,
                         around.step_s, 1, nullptr);
        const HeatInputs in = inputs();
        OutsideConditions outside(in, patches, nullptr);
        outside.set(70, {});
        std::vector<double> found(envelope.surfaces.size());
        for (std::size_t p = 0; p < patches.open.size(); ++p)
            found[patches.open[p].outside.surface.index()] = outside.of_patches()[p].forced_w_m2k;
        for (std::size_t f = 0; f < patches.shades[0].faces.size(); ++f)
            found[patches.shades[0].faces[f].surface.index()] = outside.of_shade(0)[f].forced_w_m2k;
        return found;
    }

    /// Highest temperature of a surface [C].
    double peak_c(std::size_t surface) const {
        return simulate(inputs(), building).peak_outside_c[surface].value;
    }
};

// [ashrae2021] ch. 24: over open country wind goes with (z / 10)^0.14, and the forced convection
// of [yazdanian1994] with the wind to 0.89 on windward and to 0.617 on leeward faces.
TEST(FaceWind, ForcedConvectionFollowsThePowerLaw) {
    Tower tower;
    const std::vector<double> at_10_m = tower.forced();
    tower.around.wind_by_height = Terrain::open;
    const std::vector<double> by_height = tower.forced();
    const auto wind = [](double height_m) { return std::pow(height_m / 10, 0.14); };
    const auto ratio = [&](std::size_t s) { return by_height[s] / at_10_m[s]; };
    EXPECT_NEAR(ratio(south), std::pow(wind(1.3), 0.89), 1e-9);
    EXPECT_NEAR(ratio(north), std::pow(wind(1.3), 0.617), 1e-9);
    EXPECT_NEAR(ratio(high + south), std::pow(wind(31.3), 0.89), 1e-9);
    EXPECT_NEAR(ratio(high + north), std::pow(wind(31.3), 0.617), 1e-9);
    for (const auto& [s, height_m] :
         {std::pair(roof, 2.6), std::pair(floor_below, 1.0), std::pair(high + roof, 32.6),
          std::pair(high + floor_below, 30.0), std::pair(sheet_top, 32.6),
          std::pair(sheet_below, 32.6)}) {
        const double v = wind_m_s * wind(height_m);
        EXPECT_NEAR(by_height[s], (3.26 * std::pow(v, 0.89) + 3.55 * std::pow(v, 0.617)) / 2, 1e-9)
            << s;
    }
}

// 4 + 4 v by [iso6946], with the wind by the face.
TEST(FaceWind, OfTheStandardsLineIsThatByTheFace) {
    Tower tower;
    tower.around.convection = OutsideConvection::iso_6946;
    tower.around.wind_by_height = Terrain::open;
    EXPECT_NEAR(tower.forced()[high + south], 4 + 4 * wind_m_s * std::pow(3.13, 0.14), 1e-9);
}

TEST(FaceWind, OfAFaceAtTenMetresIsThatOfTheStation) {
    Tower tower;
    for (Surface& s : tower.envelope.surfaces) s.centroid_m = Vec3(0, 0, ground_m + 10);
    const std::vector<double> at_10_m = tower.forced();
    tower.around.wind_by_height = Terrain::open;
    EXPECT_EQ(tower.forced(), at_10_m);
    const Response with = simulate(tower.inputs(), tower.building);
    tower.around.wind_by_height.reset();
    const Response without = simulate(tower.inputs(), tower.building);
    EXPECT_EQ(with.air_c, without.air_c);
    EXPECT_EQ(with.outside_c, without.outside_c);
}

TEST(FaceWind, AHigherRoofInTheSunIsCooler) {
    Tower tower;
    EXPECT_EQ(tower.peak_c(roof), tower.peak_c(high + roof));
    const double sheet_c = tower.peak_c(sheet_top), either_c = tower.peak_c(roof);
    tower.around.wind_by_height = Terrain::open;
    EXPECT_GT(tower.peak_c(roof), either_c + 0.5);
    EXPECT_LT(tower.peak_c(high + roof), either_c - 0.5);
    EXPECT_LT(tower.peak_c(sheet_top), sheet_c - 0.3);
}

// Measured ratios to glass [rowley1930], from memory.
TEST(FaceWind, RoughFacesHaveSoManyTimesTheForcedConvectionOfGlass) {
    constexpr std::array<double, 6> of_glass{1.00, 1.11, 1.13, 1.52, 1.67, 2.17};
    Tower tower;
    const std::vector<double> smooth = tower.forced();
    for (std::size_t s = 0; s < smooth.size(); ++s)
        tower.building.exposed[s].roughness = static_cast<Roughness>(s % of_glass.size());
    const std::vector<double> rough = tower.forced();
    for (std::size_t s = 0; s < smooth.size(); ++s)
        EXPECT_NEAR(rough[s] / smooth[s], of_glass[s % of_glass.size()], 1e-12) << s;
    for (const OutsideConvection other :
         {OutsideConvection::iso_6946, OutsideConvection::mcadams}) {
        tower.around.convection = other;
        tower.take_wind_at_10_m();
        EXPECT_EQ(tower.forced()[sheet_below], tower.forced()[sheet_top]);
        EXPECT_EQ(tower.forced()[south],
                  forced_convection_w_m2k(other, wind_m_s, WindSide::windward));
    }
}

// In so strong a wind that free convection does not count, what a face without emittance is hotter
// than the air is E / h: half as much where h is 2.17 times.
TEST(FaceWind, ARoughRoofInTheSunIsCoolerByTheRatioWhereWindIsAll) {
    Tower tower;
    for (Construction& c : tower.building.exposed) c.outside_emittance = 0;
    for (auto* forced : {&tower.around.forced_windward_w_m2k, &tower.around.forced_leeward_w_m2k,
                         &tower.around.forced_unknown_w_m2k})
        forced->assign(two_days_h, 400.0);
    const double smooth_k = tower.peak_c(sheet_top) - 34;
    for (const std::size_t s : {sheet_top, sheet_below})
        tower.building.exposed[s].roughness = Roughness::very_rough;
    EXPECT_NEAR(smooth_k / (tower.peak_c(sheet_top) - 34), 2.17, 0.02);
}

TEST(FaceWind, ARoughRoofInTheSunIsCooler) {
    Tower tower;
    const double smooth_c = tower.peak_c(roof);
    tower.building.exposed[roof].roughness = Roughness::very_rough;
    const double rough_c = tower.peak_c(roof);
    EXPECT_LT(rough_c, smooth_c - 3);
    EXPECT_GT(rough_c, 34 + 5);
}

TEST(FaceWind, IsScaledAsAWholeHoweverItIsFound) {
    for (const bool by_height : {false, true}) {
        Tower tower;
        if (by_height) tower.around.wind_by_height = Terrain::suburban;
        const std::vector<double> once = tower.forced();
        tower.around.forced_scale = 1.3;
        const std::vector<double> more = tower.forced();
        for (std::size_t s = 0; s < once.size(); ++s) EXPECT_NEAR(more[s], 1.3 * once[s], 1e-12);
    }
}

}  // namespace
}  // namespace noonshell
