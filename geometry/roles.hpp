// What each body is for: the user's name patterns first, otherwise a stated guess.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "geometry/model.hpp"

namespace noonshell {

enum class Role { unit, shade, pane, context, ignore };

std::string_view to_string(Role role);

/// Name patterns by role; '*' stands for any text, '?' for one character; matched without regard to
/// case against the body's name, its id and its path.
struct RolePatterns {
    std::vector<std::string> units, shades, panes, contexts, ignores;
};

struct RoleGuessLimits {
    double least_unit_volume_m3 = 5.0;  ///< a closed box below this is no room
    double thin_plate_m = 0.30;         ///< a body whose least extent is below this is a plate
    double least_plate_area_m2 = 0.5;   ///< of one side; smaller bodies are fittings
};

struct RoleChoice {
    Role role = Role::ignore;
    bool guessed = true;
    std::string why;  ///< the pattern that matched, or the reason of the guess, in plain words
};

/// One choice per body. What no pattern names is guessed, in this order: a flat closed body that
/// is wider than all the rest and lies under it is context (the ground); a body thinner than
/// `thin_plate_m` is a shade if one side reaches `least_plate_area_m2`, else ignored; a closed body
/// that encloses `least_unit_volume_m3` is a unit; an open shell is a shade; the rest, closed but
/// too small for a room, is context and only casts shade.
///
/// Warnings: "pattern-matches-nothing"; "unit-guessed" when the user named units, yet a further
/// body was guessed to be one. A body matched by patterns of two roles is an InputError naming
/// both patterns.
std::vector<RoleChoice> choose_roles(const Model& model, const RolePatterns& patterns,
                                     const RoleGuessLimits& limits, std::vector<Warning>& warnings);

/// Case-insensitive glob match: '*' any text, '?' one character (one code point of UTF-8). Case is
/// folded for ASCII letters only.
bool matches_pattern(std::string_view pattern, std::string_view text);

}  // namespace noonshell
