#include "thermal/unlimited_loads.hpp"

#include <algorithm>
#include <utility>

namespace noonshell {

Building without_limits(const Building& building) {
    Building unlimited = building;
    for (RoomSettings& room : unlimited.rooms)
        room.plant.rated_capacity_w = CoolingPlant{}.rated_capacity_w;
    return unlimited;
}

std::optional<RoomLoads> unlimited_loads(const HeatInputs& inputs, const Building& building,
                                         const HeatOptions& options) {
    const auto limited = [](const RoomSettings& room) {
        return room.cooled && room.plant.is_limited();
    };
    if (std::ranges::none_of(building.rooms, limited)) return std::nullopt;
    HeatOptions own = options;
    own.keep_hours = own.account = false;
    own.progress = {};
    Response run = simulate(inputs, without_limits(building), own);
    return RoomLoads{.peak_cooling_w = std::move(run.peak_cooling_w),
                     .needed_capacity_w = std::move(run.needed_capacity_w),
                     .latent_at_peak_w = std::move(run.latent_at_peak_w)};
}

void put_loads(const std::optional<RoomLoads>& loads, Response& run) {
    if (!loads) return;
    run.peak_cooling_w = loads->peak_cooling_w;
    run.needed_capacity_w = loads->needed_capacity_w;
    run.latent_at_peak_w = loads->latent_at_peak_w;
}

}  // namespace noonshell
