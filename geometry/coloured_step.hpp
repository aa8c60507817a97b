// The user's own STEP file with faces coloured by a result and with the shades that were added.
#pragma once

#include <filesystem>
#include <vector>

#include "geometry/diagnostics.hpp"
#include "geometry/model.hpp"
#include "geometry/prism.hpp"

namespace noonshell {

struct FaceColour {
    FaceId face;  ///< of the model, faces of added shades included
    Rgb colour{};
};

struct ColouredStepOptions {
    /// The assembly, beside the model's own root, that holds the added bodies.
    std::string added_name = "added shades";
    double match_tolerance_m = 0.001;  ///< between a face of the model and one of the file
};

struct ColouredStepReport {
    std::size_t n_coloured = 0;      ///< faces of the model
    std::size_t n_copied_parts = 0;  ///< parts that got a copy of their own because their places
                                     ///< differ in colour
    std::vector<Warning> warnings;   ///< "face-not-coloured", "colour-shared", "shades-not-written"
};

/// Writes `target`: the text of `source` as it stands, with a style for each face that has a colour
/// (its earlier one is given up; what has none keeps its own), and the bodies of `added`. Names,
/// structure, units, geometry and what this program does not read stay as the user's CAD wrote
/// them. A part that stands at several places in different colours gets one copy per colouring,
/// under its name; so do the assemblies above it that are placed more than once.
///
/// `model` is what read_step() made of `source`, then append_bodies() with `added`: the last bodies
/// of the model. The same input gives the same bytes.
///
/// Throws InputError when `source` cannot be read any more, std::runtime_error when `target` cannot
/// be written.
ColouredStepReport write_coloured_step(const std::filesystem::path& source,
                                       const std::filesystem::path& target, const Model& model,
                                       const std::vector<FaceColour>& colours,
                                       const std::vector<PrismBody>& added,
                                       const ColouredStepOptions& options = {});

}  // namespace noonshell
