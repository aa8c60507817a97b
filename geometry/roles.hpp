// What each body is for: the user's name patterns first, otherwise a stated guess.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "geometry/model.hpp"

namespace noonshell {

enum class Role { unit, shade, pane, context, ignore };

std::string_view to_string(Role role);

/// A unit that the user puts together from bodies.
struct NamedUnit {
    std::string name;
    std::vector<std::string> bodies;  ///< patterns, as in RolePatterns
};

/// Name patterns by role; '*' stands for any text, '?' for one character; matched without regard to
/// case against the body's name, its id and its path, and against the names, ids and paths of the
/// assemblies that hold it. The body's own match counts before that of an assembly, an inner
/// assembly before an outer one.
struct RolePatterns {
    std::vector<std::string> units, shades, panes, contexts, ignores;
    std::vector<NamedUnit> named_units;  ///< these come before all patterns
    std::vector<Rgb> pane_colours;       ///< bodies of these colours are panes
};

struct KnownNames;  // geometry/known_names.hpp

struct RoleGuessLimits {
    double least_unit_volume_m3 = 5.0;  ///< a closed box below this is no room
    double thin_plate_m = 0.30;         ///< a body whose least extent is below this is a plate
    double least_plate_area_m2 = 0.5;   ///< of one side; smaller bodies are fittings
    double least_unit_rise_m = 1.2;     ///< a lower closed body is a slab, a plinth, a kerb
    double least_unit_width_m = 0.8;    ///< a closed body thinner than this is a wall or a pillar
};

struct RoleChoice {
    Role role = Role::ignore;
    bool guessed = true;
    std::string why;  ///< the pattern that matched, or the reason of the guess, in plain words
    /// Bodies with the same text enclose one room together, or are slats of one shade; empty: the
    /// body is a unit or a shade by itself and lends it its id.
    std::string unit{};
    /// Of a shade: the units that it is the roof of, each of its part; what is over none of them is
    /// a shade in the open.
    std::vector<std::string> roof_of{};
};

/// One choice per body. What no pattern names is guessed, in this order: a flat closed body that
/// is wider than all the rest and lies under it is context (the ground); a closed body that
/// encloses `least_unit_volume_m3` and is neither too low nor too narrow, or a hollow body or open
/// shell with such a room inside, is a unit, together with the linings that lie within it; the
/// bodies of the innermost assembly that enclose such a room together are one unit; a body thinner
/// than `thin_plate_m` is a shade if one side reaches `least_plate_area_m2`, else ignored; an open
/// shell is a shade; the rest, closed but too small for a room, is context and only casts shade.
/// Slats that an assembly or a part holds side by side are one shade (geometry/slats.hpp).
///
/// Where a unit pattern names an assembly, its bodies are one unit, unless two or more of them are
/// rooms by themselves, linings aside: then each of those is a unit. A unit of several bodies that
/// stand in pieces apart, each about a room, is as many units (geometry/apart_units.hpp).
///
/// Warnings: "pattern-matches-nothing", with the nearest name, before all others; "unit-guessed"
/// when a unit pattern names something, yet a further body was guessed to be a unit;
/// "pane-unnamed" for bodies of a unit that may be glass (geometry/glass_like.hpp). A body
/// matched by patterns of two roles is an InputError naming both patterns.
std::vector<RoleChoice> choose_roles(const Model& model, const RolePatterns& patterns,
                                     const RoleGuessLimits& limits, std::vector<Warning>& warnings);

/// With the names that an earlier version gave to the same bodies: what no pattern names as it is
/// called now is looked up as it was called then.
std::vector<RoleChoice> choose_roles(const Model& model, const RolePatterns& patterns,
                                     const RoleGuessLimits& limits, const KnownNames& names,
                                     std::vector<Warning>& warnings);

/// Whether two colours are the same to the step of 8-bit colour.
bool same_colour(const Rgb& a, const Rgb& b);

/// Case-insensitive glob match: '*' any text, '?' one character (one code point of UTF-8). Case is
/// folded for ASCII letters only.
bool matches_pattern(std::string_view pattern, std::string_view text);

}  // namespace noonshell
