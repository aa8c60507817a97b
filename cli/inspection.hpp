// What a STEP file turns into: bodies with roles, units, surfaces and contacts.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "cli/site_file.hpp"
#include "geometry/envelope.hpp"
#include "geometry/matching.hpp"
#include "geometry/model.hpp"
#include "geometry/prism.hpp"
#include "geometry/roles.hpp"

namespace noonshell {

/// What was done to an earlier version of the model.
struct Comparison {
    std::string file;  ///< of the earlier version
    ModelMatches matches;
};

struct Inspection {
    Model model;
    std::vector<RoleChoice> roles;       ///< one per body
    Envelope envelope;                   ///< empty when there is no unit
    EnvelopeOptions cut;                 ///< that it was cut by
    std::optional<std::string> no_unit;  ///< why there is none
    bool north_given = false;
    bool up_given = false;
    std::vector<PrismBody> added;  ///< shades that the site file adds: the model's last bodies
    std::optional<Comparison> against;
    /// Area lost and patterns that match nothing, then the rest of the model, the roles and the
    /// envelope, in this order.
    std::vector<Warning> warnings;
};

/// Reads a model, adds the shades of the settings and cuts it into surfaces. A model without a unit
/// is no error here: `no_unit` says so and bodies and roles are there to be looked at. Compared
/// with `former`, an earlier version of the model read with the same settings, if there is one:
/// roles follow renamed bodies, added shades and unit figures follow renamed units and walls.
Inspection inspect_model(const std::filesystem::path& file, const ModelSettings& settings,
                         const Inspection* former = nullptr);

/// inspect_model for the `former` of another: shades that the settings add to units and walls which
/// this version does not have yet are left out.
Inspection inspect_former_model(const std::filesystem::path& file, const ModelSettings& settings);

/// inspect_model for a run: throws NoUnitError when there is no unit.
Inspection require_units(Inspection inspection);

/// The page for the terminal; with `more`, no table is shortened.
std::string inspection_page(const Inspection& inspection, bool more = false);

/// The document of `inspect --json`.
std::string inspection_json(const Inspection& inspection);

}  // namespace noonshell
