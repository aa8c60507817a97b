// STEP (AP203, AP214, AP242) to Model, through Open CASCADE's XDE reader.
#pragma once

#include <filesystem>

#include "geometry/model.hpp"

namespace noonshell {

struct StepReadOptions {
    double chord_tolerance_m = 0.002;     ///< largest distance between a curved face and its triangles
    double angle_tolerance_deg = 15.0;    ///< largest turn between neighbouring triangles
};

/// Reads every solid, shell and loose face with names, colours, assembly placements and units.
/// Orientation is mended so that triangles run counter-clockwise seen from outside.
/// Throws InputError when the file is missing, empty, cut short, not STEP, or holds no solid or
/// shell. Silent on stdout and stderr.
Model read_step(const std::filesystem::path& file, const StepReadOptions& options = {});

}  // namespace noonshell
