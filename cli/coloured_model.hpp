// coloured.step: a result painted on the faces of the user's model.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "cli/run_analysis.hpp"
#include "geometry/coloured_step.hpp"

namespace noonshell {

/// The least and the largest value of any surface that has one: dark and light. Of ranks the values
/// are negative, so that the first is the largest.
struct ColourEnds {
    double low = 0, high = 0;
    /// Where a value lies from low, 0, to high, 1.
    double share_of(double value) const { return (value - low) / (high > low ? high - low : 1); }
};
ColourEnds colour_ends(const RunResult& result, ColourBy by);

/// The result that a surface is coloured by: sun and heat inward in kWh/m2, temperature in C, the
/// rank below 0; none where it has none.
std::optional<double> colour_value(const RunResult& result, SurfaceId surface, ColourBy by);

/// The colour of every face whose surface has a value: from the least value of all surfaces, dark,
/// to the largest, light. With ranks the first is light.
std::vector<FaceColour> face_colours(const RunResult& result);

/// What the ends of the colour scale stand for, e.g. "sun 120 to 2226 kWh/m2".
std::string colour_legend(const RunResult& result);

/// The same of any colours, `added` the last bodies of the model; `source` is the user's file.
struct ColouredFile {
    const std::filesystem::path& source;
    const Inspection& inspection;
    std::vector<FaceColour> colours;
};
std::string coloured_step_bytes(const ColouredFile& file, const std::filesystem::path& folder,
                                std::vector<Warning>& warnings);

/// The bytes of coloured.step, made beside `folder`; warnings are added to those of the result.
std::string coloured_step_bytes(RunResult& result, const std::filesystem::path& folder);

}  // namespace noonshell
