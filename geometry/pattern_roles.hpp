// Private to geometry/: the roles that the name patterns and pane colours of the user give.
#pragma once

#include <optional>
#include <vector>

#include "geometry/body_rooms.hpp"
#include "geometry/known_names.hpp"
#include "geometry/model.hpp"
#include "geometry/roles.hpp"

namespace noonshell {

struct PatternChoices {
    std::vector<std::optional<RoleChoice>> of_body;  ///< nothing: no pattern names it
    bool names_units = false;                        ///< a pattern for units matched something
};

/// See choose_roles(). Warning: "pattern-matches-nothing". A body matched by patterns of two roles,
/// or named for two units, is an InputError.
PatternChoices choose_by_patterns(const Model& model, const RolePatterns& patterns,
                                  const KnownNames& names, const BodyRooms& rooms,
                                  std::vector<Warning>& warnings);

}  // namespace noonshell
