#include "thermal/unlimited_loads.hpp"

#include <algorithm>

namespace noonshell {

Building without_limits(const Building& building) {
    Building unlimited = building;
    for (RoomSettings& room : unlimited.rooms)
        room.plant.rated_capacity_w = CoolingPlant{}.rated_capacity_w;
    return unlimited;
}

bool has_limits(const Building& building) {
    return std::ranges::any_of(building.rooms, [](const RoomSettings& room) {
        return room.cooled && room.plant.is_limited();
    });
}

bool reached_limits(const Response& run) {
    return std::ranges::any_of(run.at_limit_h, [](double hours_h) { return hours_h > 0; });
}

std::optional<UnlimitedRun> unlimited_run(const HeatInputs& inputs, const Building& building,
                                          const Response& run, const HeatOptions& options,
                                          bool with_trace) {
    if (!reached_limits(run)) return std::nullopt;
    HeatOptions own = options;
    own.keep_hours = own.account = false;
    own.progress = {};
    UnlimitedRun unlimited{without_limits(building), {}, {}};
    unlimited.response =
        simulate(inputs, unlimited.building, own, with_trace ? &unlimited.trace : nullptr);
    return unlimited;
}

void put_loads(const Response& unlimited, Response& run) {
    run.peak_cooling_w = unlimited.peak_cooling_w;
    run.peak_load_w = unlimited.peak_load_w;
    run.needed_capacity_w = unlimited.needed_capacity_w;
    run.latent_at_peak_w = unlimited.latent_at_peak_w;
}

void put_loads(const std::optional<UnlimitedRun>& unlimited, Response& run) {
    if (unlimited) put_loads(unlimited->response, run);
}

}  // namespace noonshell
