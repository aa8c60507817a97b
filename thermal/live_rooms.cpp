#include "thermal/live_rooms.hpp"

namespace noonshell {

LiveRooms live_rooms(const Patches& patches, const Building& building, const ActivePart* active) {
    const std::size_t n_units = building.rooms.size();
    const auto is_run = [active](std::size_t unit) {
        return active == nullptr || active->units[unit] != 0;
    };
    std::vector<std::uint8_t> met(n_units, 0);
    for (const SharedPatch& p : patches.shared) met[p.a.unit.index()] = met[p.b.unit.index()] = 1;
    LiveRooms live;
    for (std::size_t d = 0; d < building.doorways.size(); ++d) {
        const std::size_t a = building.doorways[d].a.index(), b = building.doorways[d].b.index();
        if (!is_run(a) && !is_run(b)) continue;
        met[a] = met[b] = 1;
        live.doorways.push_back(static_cast<std::uint32_t>(d));
    }
    for (std::size_t u = 0; u < n_units; ++u) {
        if (is_run(u))
            live.run.push_back(static_cast<std::uint32_t>(u));
        else if (met[u] != 0)
            live.beside.push_back(static_cast<std::uint32_t>(u));
    }
    return live;
}

}  // namespace noonshell
