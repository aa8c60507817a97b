// How hot the brightest part of a wall gets: against the whole run where the part is as bright as
// the wall, and against the same wall cut into surfaces of their own.
#include "thermal/hot_spots.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "tests/support/row_of_units.hpp"
#include "thermal/construction.hpp"
#include "thermal/touch.hpp"

namespace noonshell {
namespace {

using namespace test_models;

void clad(Construction& construction) {
    construction.cladding = VentedCladding{};
    construction.cladding->sheet = construction.layers.front();
}

// The two runs share no loop: rooms and longwave around come from the trace in single precision.
TEST(HotSpots, UnderTheWallsOwnLightAreTheWall) {
    for (const bool with_cladding : {false, true}) {
        Row row;
        if (with_cladding) {
            for (const std::size_t s : {0u, 3u, 9u}) clad(row.building.exposed[s]);
        }
        Trace trace;
        const Response whole = simulate(row.inputs(), row.building, {}, &trace);
        const HotSpots spots = hot_spots(row.inputs(), row.building, row.exposure, trace);
        const auto thresholds = bare_metal_touch_thresholds();
        double touched_h = 0;
        for (std::size_t s = 0; s < row.envelope.surfaces.size(); ++s) {
            const Peak &outside = whole.peak_outside_c[s], &steel = whole.peak_steel_c[s];
            if (row.envelope.surfaces[s].exposed_area_m2 <= 0) {
                EXPECT_TRUE(std::isnan(spots.outside_c[s].value));
                continue;
            }
            EXPECT_NEAR(spots.outside_c[s].value, outside.value, 0.02) << s;
            EXPECT_NEAR(spots.steel_c[s].value, steel.value, 0.02) << s;
            for (std::size_t t = 0; t < thresholds.size(); ++t) {
                const double here_h = spots.touch_h[s * thresholds.size() + t];
                EXPECT_EQ(here_h, hours_at_or_above_h(whole.outside_c, whole.n_surfaces, s,
                                                      thresholds[t].threshold_c));
                touched_h += here_h;
            }
        }
        EXPECT_GT(touched_h, 10);
    }
}

// A part with a little less light than its face is no hottest part, one with more light is.
TEST(HotSpots, PartsNoHotterThanTheirFaceAreLeftOut) {
    const Row row;
    Trace trace;
    const Response whole = simulate(row.inputs(), row.building, {}, &trace);
    const auto with_share = [&](double share) {
        Exposure light = row.exposure;
        for (auto* part :
             {&light.direct_w_m2, &light.sky_w_m2, &light.ground_w_m2, &light.bounced_w_m2})
            for (auto& value : *part) value = static_cast<float>(share * value);
        return hot_spots(row.inputs(), row.building, light, trace);
    };
    HotSpots dimmer = with_share(0.98), brighter = with_share(1.05);
    ASSERT_FALSE(std::isnan(dimmer.outside_c[0].value));
    leave_out_even_faces(whole, dimmer);
    leave_out_even_faces(whole, brighter);
    std::size_t kept = 0;
    for (std::size_t s = 0; s < row.envelope.surfaces.size(); ++s) {
        const double face_c = whole.peak_outside_c[s].value;
        if (std::isnan(brighter.outside_c[s].value)) continue;
        ++kept;
        EXPECT_GT(brighter.outside_c[s].value, face_c);
        EXPECT_TRUE(std::isnan(dimmer.outside_c[s].value) || dimmer.outside_c[s].value > face_c);
    }
    EXPECT_GT(kept, 4u);
    EXPECT_TRUE(std::isnan(dimmer.outside_c[0].value));
    EXPECT_TRUE(std::isnan(dimmer.steel_c[0].value));
}

/// One unit whose south wall is one surface under the mean light of its halves, or two surfaces
/// each under its own.
struct HalfShaded {
    Envelope envelope;
    ExchangeMatrix exchange;
    Exposure exposure;
    Surroundings around;
    Building building;

    static double light(std::size_t hour, const Surface& s) {
        const double even = light_at(hour, s);
        return s.id == "room/lit" ? 1.9 * even : s.id == "room/dark" ? 0.1 * even : even;
    }

    HalfShaded(bool cut, const Construction& construction) {
        add_free_unit(envelope, "room", {6, 2.4, 2.6});
        if (cut) {
            Surface& lit = envelope.surfaces[3];
            lit.area_m2 = lit.exposed_area_m2 = lit.area_m2 / 2;
            lit.id = "room/lit";
            Surface dark = lit;
            dark.id = "room/dark";
            envelope.units[0].surfaces.emplace_back(envelope.surfaces.size());
            envelope.surfaces.push_back(dark);
        }
        exchange = free_exchange(envelope);
        exposure = exposure_of(envelope, n_hours, light);
        around = surroundings_of(n_hours, 600, 8, air_at, 18, 8);
        building = bare_building(envelope, construction);
    }
    HeatInputs inputs() const { return {envelope, exchange, exposure, around}; }
};

// A thin sheet stores nothing to speak of and foam behind it little more: the lit half is as hot as
// the same half reckoned as a wall of its own; the mean of both halves is not.
TEST(HotSpots, ALitHalfIsAsHotAsAWallOfItsOwn) {
    const Construction steel = sheet_of(0.002, 50, 7800, 450);
    Construction insulated = steel;
    insulated.layers.push_back({{"foam", 0.03, 30, 1400, "test"}, 0.05, std::nullopt});
    for (const Construction& construction : {steel, insulated}) {
        const HalfShaded cut(true, construction), whole(false, construction);
        const Response truth = simulate(cut.inputs(), cut.building);
        Trace trace;
        const Response mean = simulate(whole.inputs(), whole.building, {}, &trace);
        Exposure light = whole.exposure;
        for (std::size_t h = 0; h < n_hours; ++h) {
            light.direct_w_m2[light.at(h, SurfaceId(3))] =
                cut.exposure.direct_w_m2[cut.exposure.at(h, SurfaceId(3))];
        }
        const HotSpots spots = hot_spots(whole.inputs(), whole.building, light, trace);
        EXPECT_NEAR(spots.outside_c[3].value, truth.peak_outside_c[3].value, 0.3);
        // Both days are alike.
        const std::size_t day = 24 * whole.around.steps_per_hour;
        EXPECT_EQ(spots.outside_c[3].step % day, truth.peak_outside_c[3].step % day);
        EXPECT_GT(spots.outside_c[3].value, mean.peak_outside_c[3].value + 5);
    }
}

}  // namespace
}  // namespace noonshell
