// What the user should know about how bodies stand: run into each other, below the ground.
#pragma once

#include <span>
#include <vector>

#include "geometry/envelope.hpp"
#include "geometry/patches.hpp"

namespace noonshell {

/// Patches of one body that has surfaces.
struct BodyParts {
    BodyId body;
    std::span<const Patch> patches;
};

/// Throws InputError that names the key of the site file.
void validate(const EnvelopeOptions& options);

/// "bodies-overlap" for each two units or shades whose bodies run into each other by their matter
/// (body_overlap.hpp); "body-inside" for each unit with those that stand in its room, context too
/// where it was guessed.
std::vector<Warning> overlap_warnings(const Model& model, const std::vector<RoleChoice>& roles,
                                      const Envelope& envelope);

/// "below-ground" for each body that reaches more than contact_overlap_m below the ground.
std::vector<Warning> below_ground_warnings(const Model& model, std::span<const BodyParts> parts,
                                           double ground_z_m);

}  // namespace noonshell
