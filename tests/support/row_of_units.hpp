// Three container-sized units side by side under two invented clear days.
#pragma once

#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstddef>
#include <numbers>

#include "solar/weather.hpp"
#include "tests/support/hand_building.hpp"
#include "thermal/simulate.hpp"

namespace noonshell::test_models {

inline constexpr std::size_t n_hours = 48;

inline double air_at(double hour) {
    return 33 - 8 * std::cos(2 * std::numbers::pi * (hour - 4) / 24);
}

inline double light_at(std::size_t hour, const Surface& s) {
    const double day_hour = static_cast<double>(hour % 24) + 0.5;
    const double sun = std::max(0.0, std::sin(std::numbers::pi * (day_hour - 6) / 12));
    const double share = s.kind == SurfaceKind::roof    ? 1.0
                         : s.kind == SurfaceKind::floor ? 0.15
                                                        : 0.35 + 0.15 * (s.azimuth_deg == 270);
    return 1000 * sun * share;
}

/// Three units in a row, the middle one warmed by gains; walls between neighbours touch.
struct Row {
    Envelope envelope;
    ExchangeMatrix exchange;
    Exposure exposure;
    Surroundings around, around_in_long_steps;
    Building building;

    explicit Row(double step_s = 600) {
        for (const char* id : {"left", "middle", "right"}) {
            add_free_unit(envelope, id, {6.058, 2.438, 2.591});
        }
        // Surfaces by unit: roof, n, e, s, w, floor.
        touch(envelope, SurfaceId(2), SurfaceId(6 + 4), 0.02);
        touch(envelope, SurfaceId(6 + 2), SurfaceId(12 + 4), 0.02);
        envelope.contacts.push_back(
            {SurfaceId(5), SurfaceId::none(), envelope.surfaces[5].area_m2, 0});
        envelope.surfaces[5].exposed_area_m2 = 0;
        exchange = free_exchange(envelope);
        exposure = exposure_of(envelope, n_hours, light_at);
        around = surroundings_of(n_hours, step_s, 8, air_at, 18, 8);
        around_in_long_steps = surroundings_of(n_hours, 1800, 8, air_at, 18, 8);
        building = bare_building(envelope, sheet_of(0.002, 50, 7800, 450));
        for (RoomSettings& room : building.rooms) {
            room.cooled = room.heated = true;
            room.leakage.air_change_per_h = 0.5;
            room.gains_w_m2.fill(5);
        }
    }
    HeatInputs inputs() const { return {envelope, exchange, exposure, around}; }
};

/// The hours and outdoor air of those two days.
inline Weather weather_of_row() {
    Weather w;
    const std::chrono::sys_seconds first{std::chrono::sys_days{std::chrono::year{2023} / 7 / 1}};
    for (std::size_t h = 0; h < n_hours; ++h) {
        w.hour_start_utc.push_back(first + std::chrono::hours(h));
        w.dry_bulb_c.push_back(air_at(static_cast<double>(h + 1)));
        w.pressure_pa.push_back(101325);
    }
    return w;
}

}  // namespace noonshell::test_models
