#include "cli/against.hpp"

#include <utility>

namespace noonshell {

void compare_bodies(const Inspection& former, Inspection& inspection) {
    Comparison comparison{former.model.file, {}};
    comparison.matches.bodies = match_bodies(former.model, inspection.model);
    if (comparison.matches.bodies.move.scale != 1) {
        inspection.warnings.push_back(
            {"scale-differs",
             "against the earlier version, " + describe(comparison.matches.bodies.move),
             former.model.file});
    }
    inspection.against = std::move(comparison);
}

void compare_surfaces(const Inspection& former, Inspection& inspection) {
    ModelMatches& matches = inspection.against->matches;
    // The shades that a site file adds came after the first look.
    if (!former.added.empty() || !inspection.added.empty() || !matches.surfaces.empty())
        matches.bodies = match_bodies(former.model, inspection.model);
    matches = match_surfaces(std::move(matches.bodies), former.model, former.envelope,
                             inspection.model, inspection.envelope);
}

}  // namespace noonshell
