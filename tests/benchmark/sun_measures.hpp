// The measures of the sun's speed and error; each prints what it saw and gives rows for the table.
#pragma once

#include <string>
#include <vector>

namespace noonshell::benchmark {

/// One line of the table: a value held against a target and against what a check lets pass, which
/// is wider where other work on the machine moves the value.
struct Measured {
    enum class Wanted { at_least, at_most };

    std::string name;
    double value = 0;
    Wanted wanted = Wanted::at_least;
    double target = 0, limit = 0;

    bool within(double bound) const {
        return wanted == Wanted::at_least ? value >= bound : value <= bound;
    }
};

struct MeasureOptions {
    bool quick = false;  ///< fewer suns and seeds, coarser settlement
    int repeat = 3;      ///< by turns; the smallest time of each counts
};

using Measure = std::vector<Measured> (*)(const MeasureOptions&);

std::vector<Measured> measure_ray_rate(const MeasureOptions& options);
std::vector<Measured> measure_year(const MeasureOptions& options);
std::vector<Measured> measure_settlement(const MeasureOptions& options);
std::vector<Measured> measure_threads(const MeasureOptions& options);
std::vector<Measured> measure_brute_force(const MeasureOptions& options);
std::vector<Measured> measure_coverage(const MeasureOptions& options);
std::vector<Measured> measure_preview(const MeasureOptions& options);
std::vector<Measured> measure_parts(const MeasureOptions& options);
std::vector<Measured> measure_sun_step(const MeasureOptions& options);

}  // namespace noonshell::benchmark
