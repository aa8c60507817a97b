// STEP (AP203, AP214, AP242) to Model, through Open CASCADE's XDE reader.
#pragma once

#include <filesystem>

#include "geometry/model.hpp"

namespace noonshell {

struct StepReadOptions {
    double chord_tolerance_m = 0.002;  ///< largest distance between a curved face and its triangles
    double angle_tolerance_deg = 15.0;  ///< largest turn between neighbouring triangles
    double time_limit_s = 900;          ///< a file that takes the CAD kernel longer is given up
};

/// Reads every solid, shell and loose face with names, colours, assembly placements and units.
/// Orientation is mended so that triangles run counter-clockwise seen from outside; what was mended
/// stands in Body::repaired. Names: an occurrence's own name, else its part's, else its solid's;
/// the solids of a part that holds several go by their own names, else "<part>-solid-1", -2...
/// The CAD kernel works in a child process, so that a file on which it crashes is an error like any
/// other; it is silent on stdout and stderr.
/// Warnings: "model-size", "far-from-origin", "schema-unknown", "text-encoding", "mixed-units",
/// "solid-not-closed", "placement-not-kept", "faulty-entities".
/// Throws InputError when the file is missing, empty, cut short, not STEP, cannot be translated, or
/// holds no solid or shell.
Model read_step(const std::filesystem::path& file, const StepReadOptions& options = {});

}  // namespace noonshell
