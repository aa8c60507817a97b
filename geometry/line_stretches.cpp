#include "geometry/line_stretches.hpp"

#include <algorithm>
#include <map>

namespace noonshell {

std::vector<LineStretch> matter_stretches(std::span<const RayMesh::Crossing> crossings) {
    // Where a line meets an edge it crosses two triangles: the second changes nothing.
    std::map<std::uint32_t, double> entered;
    std::vector<LineStretch> matter;
    for (const RayMesh::Crossing& crossing : crossings) {
        if (!crossing.of_solid) continue;
        if (crossing.into_solid) {
            entered.try_emplace(crossing.body, crossing.distance_m);
            continue;
        }
        const auto found = entered.find(crossing.body);
        if (found == entered.end()) continue;
        matter.push_back({found->second, crossing.distance_m});
        entered.erase(found);
    }
    return matter;
}

std::vector<LineStretch> free_stretches(std::span<const RayMesh::Crossing> crossings,
                                        double least_m) {
    const std::vector<LineStretch> matter = matter_stretches(crossings);
    std::vector<LineStretch> free;
    for (std::size_t k = 1; k < crossings.size(); ++k) {
        const LineStretch stretch{crossings[k - 1].distance_m, crossings[k].distance_m};
        if (stretch.high_m - stretch.low_m < least_m) continue;
        const bool filled = std::ranges::any_of(matter, [&](const LineStretch& part) {
            return part.low_m <= stretch.low_m && part.high_m >= stretch.high_m;
        });
        if (!filled) free.push_back(stretch);
    }
    return free;
}

}  // namespace noonshell
