// What the outermost face of a wall or roof is like: paint, coating, bare metal, stone.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace noonshell {

struct OutsideFinish {
    std::string name;
    double new_reflectance = 0;   ///< of the sun
    double aged_reflectance = 0;  ///< of the sun, after some years in the open
    double emittance = 0.9;       ///< of longwave
    std::string source;
};

/// Shipped finishes, each with its source.
const std::vector<OutsideFinish>& shipped_finishes();

/// Of those given, else of the shipped; null when unknown.
const OutsideFinish* find_finish(std::string_view name, const std::vector<OutsideFinish>& own);

}  // namespace noonshell
