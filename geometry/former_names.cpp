// By which names a site file written for an earlier version knows what is there now.
#include <algorithm>
#include <map>

#include "geometry/matching.hpp"
#include "geometry/roles.hpp"

namespace noonshell {

namespace {

/// A name of the old model stays with what bore it there, as long as that is still there.
std::vector<std::vector<std::string>> names_by_item(const std::vector<Change>& changes,
                                                    std::size_t n_items) {
    std::map<std::string_view, std::uint32_t> new_of_old_id;
    for (const Change& change : changes) {
        if (!change.is_new()) new_of_old_id[change.old_id] = change.new_index;
    }
    std::vector<std::vector<std::string>> names(n_items);
    for (const Change& change : changes) {
        if (change.is_gone() || change.new_index >= n_items) continue;
        std::vector<std::string>& list = names[change.new_index];
        if (change.matched()) list.push_back(change.old_id);
        const auto bearer = new_of_old_id.find(change.new_id);
        // What took the name of something that is gone is not what the name was written for, unless
        // it is new itself and stands in for it.
        const bool stands_in =
            !change.matched() && bearer != new_of_old_id.end() && bearer->second == Change::none;
        if (bearer == new_of_old_id.end() || stands_in) list.push_back(change.new_id);
    }
    return names;
}

bool any_fits(std::string_view pattern, const std::vector<std::string>& names) {
    return std::any_of(names.begin(), names.end(), [pattern](const std::string& name) {
        return matches_pattern(pattern, name);
    });
}

}  // namespace

FormerNames former_names(const ModelMatches& matches, const Envelope& new_envelope) {
    return {names_by_item(matches.surfaces, new_envelope.surfaces.size()),
            names_by_item(matches.owners, new_envelope.units.size())};
}

bool FormerNames::surface_matches(std::string_view pattern, SurfaceId surface) const {
    return any_fits(pattern, surface_names[surface.index()]);
}

bool FormerNames::unit_matches(std::string_view pattern, UnitId unit) const {
    return any_fits(pattern, unit_names[unit.index()]);
}

}  // namespace noonshell
