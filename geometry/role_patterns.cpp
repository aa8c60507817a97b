#include "geometry/role_patterns.hpp"

namespace noonshell {

namespace {

std::string quoted(const RolePattern& pattern) {
    return "\"" + pattern.text + "\" (" + std::string(to_string(pattern.role)) + ")";
}

}  // namespace

std::string_view to_string(Role role) {
    switch (role) {
        case Role::unit:
            return "unit";
        case Role::shade:
            return "shade";
        case Role::pane:
            return "pane";
        case Role::context:
            return "context";
        case Role::ignore:
            break;
    }
    return "ignore";
}

std::vector<RolePattern> listed(const RolePatterns& patterns) {
    std::vector<RolePattern> list;
    const auto add = [&](Role role, const std::vector<std::string>& texts) {
        for (const auto& text : texts) list.push_back({role, text});
    };
    add(Role::unit, patterns.units);
    add(Role::shade, patterns.shades);
    add(Role::pane, patterns.panes);
    add(Role::context, patterns.contexts);
    add(Role::ignore, patterns.ignores);
    return list;
}

const RolePattern* pattern_of(const NameList& names, const std::string& what,
                              std::vector<RolePattern>& patterns) {
    const RolePattern* first = nullptr;
    for (RolePattern& pattern : patterns) {
        if (!any_matches(pattern.text, names)) continue;
        pattern.matched = true;
        if (first == nullptr) first = &pattern;
        if (pattern.role != first->role) {
            throw InputError({.file = {}, .line = {}, .column = {}, .entity = what},
                             "patterns of one role",
                             quoted(*first) + " and " + quoted(pattern) + " that both match it");
        }
    }
    return first;
}

}  // namespace noonshell
