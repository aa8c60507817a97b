// Private to geometry/: the user's name patterns with the roles that they give.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "geometry/roles.hpp"

namespace noonshell {

/// Whether a pattern matches the name, id or path of a body or an assembly.
template <class Named>
bool matches_named(std::string_view pattern, const Named& named) {
    return matches_pattern(pattern, named.name) || matches_pattern(pattern, named.id) ||
           matches_pattern(pattern, named.path);
}

struct RolePattern {
    Role role;
    std::string text;
    bool matched = false;
};

/// All patterns of all roles, units first.
std::vector<RolePattern> listed(const RolePatterns& patterns);

/// The first pattern that names a body or an assembly, none if no pattern does; marks all that
/// match. Patterns of two roles that match the same thing are an InputError. `kind` is the word for
/// the thing.
const RolePattern* pattern_of(const Body& named, const std::string& kind,
                              std::vector<RolePattern>& patterns);
const RolePattern* pattern_of(const Assembly& named, const std::string& kind,
                              std::vector<RolePattern>& patterns);

}  // namespace noonshell
