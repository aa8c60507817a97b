// Private to geometry/: a look at every entity of a parsed STEP file before it is translated.
#pragma once

#include <string>
#include <vector>

class StepData_StepModel;

namespace noonshell {

struct FileSurvey {
    int n_annotations = 0;  ///< drawn notes, callouts and their planes
    int n_tolerances = 0;   ///< dimensions, tolerances and datums
    bool styles_by_occurrence = false;
    std::vector<std::string> other_files;  ///< named by the file, each once
};

/// Coordinates beyond this are no building in any length unit.
inline constexpr double largest_coordinate = 1e12;

/// Throws InputError where a point's coordinates are no numbers, not finite or beyond
/// `largest_coordinate`: one such point can keep the kernel busy for hours.
FileSurvey survey(const StepData_StepModel& model, const std::string& file);

}  // namespace noonshell
