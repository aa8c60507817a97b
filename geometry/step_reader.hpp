// STEP (AP203, AP214, AP242) to Model, through Open CASCADE's XDE reader.
#pragma once

#include <filesystem>

#include "geometry/model.hpp"
#include "geometry/up_axis.hpp"

namespace noonshell {

struct StepReadOptions {
    /// Largest distance between a curved face and its triangles; 0.05 % of its size for a body
    /// larger than 200 m.
    double chord_tolerance_m = 0.002;
    double angle_tolerance_deg = 15.0;  ///< largest turn between neighbouring triangles
    double time_limit_s = 900;          ///< a file that takes the CAD kernel longer is given up
    UpAxis up =
        UpAxis::z;  ///< axis of the file that points up; turn_to_z_up() says how it is turned
    double lost_area_limit = 0.01;  ///< share of the file's area above which its loss stands first
    double memory_limit_gib = 8;    ///< what the CAD kernel may use beyond this process [GiB]
};

/// Reads every solid, shell and loose face with names, colours, assembly placements and units.
/// Orientation is mended so that triangles run counter-clockwise seen from outside; what was mended
/// stands in Body::repaired. Names: an occurrence's own name, else its part's, else its solid's;
/// the solids of a part that holds several go by their own names, else "<part>-solid-1", -2...
/// Colours: a style given to an occurrence from an assembly above it, else the occurrence's own,
/// else the part's; faces keep their own. Mirrored and scaled occurrences (transformation
/// operators) are built as such. Tessellated solids, shells and faces are used as they are, unless
/// the file has the same as a B-rep. A face or body that stands twice at one place is taken once.
/// The CAD kernel works in a child process, so that a file on which it crashes, hangs or takes too
/// much memory is an error like any other, which names the entity it was at; it is silent on stdout
/// and stderr. Faces that need a record which the file lacks, and up to five times what the kernel
/// was at when it crashed, are left out and listed.
/// Warnings: "lost-area" (always first; also for unknown areas), "placement-lost", "model-size",
/// "far-from-origin", "schema-unknown", "text-encoding", "name-encoding",
/// "mixed-units", "length-unit",
/// "solid-not-closed", "placement-not-kept", "faulty-entities", "wireframe", "annotations",
/// "other-files", "number-repeated", "reference-ring", "structure-lost". Throws InputError when the
/// file is missing, empty, cut short, not STEP, cannot be translated, or holds no solid or shell.
Model read_step(const std::filesystem::path& file, const StepReadOptions& options = {});

}  // namespace noonshell
