// Private to geometry/: the user's name patterns with the roles that they give.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "geometry/known_names.hpp"
#include "geometry/roles.hpp"

namespace noonshell {

struct RolePattern {
    Role role;
    std::string text;
    bool matched = false;
};

/// All patterns of all roles, units first.
std::vector<RolePattern> listed(const RolePatterns& patterns);

/// The first pattern that matches one of the names of a body or an assembly, none if no pattern
/// does; marks all that match. Patterns of two roles that match the same thing are an InputError.
/// `what` names the thing: "body hut".
const RolePattern* pattern_of(const NameList& names, const std::string& what,
                              std::vector<RolePattern>& patterns);

}  // namespace noonshell
