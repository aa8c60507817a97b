// coloured.step: a result painted on the faces of the user's model.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "cli/run_analysis.hpp"
#include "geometry/coloured_step.hpp"

namespace noonshell {

/// The colour of every face whose surface has a value: from the least value of all surfaces, dark,
/// to the largest, light. With ranks the first is light.
std::vector<FaceColour> face_colours(const RunResult& result);

/// What the ends of the colour scale stand for, e.g. "sun 120 to 2226 kWh/m2".
std::string colour_legend(const RunResult& result);

/// The bytes of coloured.step, made beside `folder`; warnings are added to those of the result.
std::string coloured_step_bytes(RunResult& result, const std::filesystem::path& folder);

}  // namespace noonshell
