// The sun's path over single days, for diagrams.
#pragma once

#include <string>
#include <vector>

#include "cli/run_analysis.hpp"

namespace noonshell {

/// Every sun step of one day, in order.
struct DayPath {
    std::string date;
    std::size_t month = 0;  ///< 0..11
    struct Sun {
        double azimuth_deg = 0, elevation_deg = 0;  ///< compass, apparent
        std::size_t hour = 0;                       ///< of the weather
    };
    std::vector<Sun> suns;
};

/// The day nearest to the middle of each month that the period has.
std::vector<DayPath> day_paths(const RunResult& result);

}  // namespace noonshell
