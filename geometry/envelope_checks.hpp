// What the user should know about how bodies stand: run into each other, below the ground.
#pragma once

#include <span>
#include <vector>

#include "geometry/envelope.hpp"
#include "geometry/facets.hpp"
#include "geometry/patches.hpp"

namespace noonshell {

/// Patches of one body that has surfaces, and the facets cut from them; consecutive ranges.
struct BodyParts {
    BodyId body;
    std::span<const Patch> patches;
    std::span<const PatchFacet> facets;
    std::span<const Patch> all_patches;  ///< what PatchFacet::patch counts in
};

/// Throws InputError that names the key of the site file.
void validate(const EnvelopeOptions& options);

/// "bodies-overlap" for each pair in which the middle of a facet of one lies inside the other by
/// more than contact_overlap_m. Only convex bodies are tested for what lies inside them.
std::vector<Warning> overlap_warnings(const Model& model, std::span<const BodyParts> parts);

/// "below-ground" for each body that reaches more than contact_overlap_m below the ground.
std::vector<Warning> below_ground_warnings(const Model& model, std::span<const BodyParts> parts,
                                           double ground_z_m);

}  // namespace noonshell
