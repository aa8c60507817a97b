// What a STEP file turns into: bodies with roles, units, surfaces and contacts.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "geometry/envelope.hpp"
#include "geometry/model.hpp"
#include "geometry/roles.hpp"

namespace noonshell {

struct Inspection {
    Model model;
    std::vector<RoleChoice> roles;       ///< one per body
    Envelope envelope;                   ///< empty when there is no unit
    std::optional<std::string> no_unit;  ///< why there is none
    bool north_given = false;
    std::vector<Warning> warnings;  ///< of the model, the roles and the envelope, in this order
};

/// Reads a model and cuts it into surfaces. A model without a unit is no error here: `no_unit` says
/// so and bodies and roles are there to be looked at.
Inspection inspect_model(const std::filesystem::path& file, const RolePatterns& patterns,
                         const EnvelopeOptions& options);

/// inspect_model for a run: throws NoUnitError when there is no unit.
Inspection require_units(Inspection inspection);

/// The page for the terminal.
std::string inspection_page(const Inspection& inspection);

/// The document of `inspect --json`.
std::string inspection_json(const Inspection& inspection);

}  // namespace noonshell
