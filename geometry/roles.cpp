#include "geometry/roles.hpp"

#include <algorithm>
#include <array>
#include <cstdio>
#include <limits>
#include <optional>

#include "geometry/body_measure.hpp"

namespace noonshell {

namespace {

/// A flat body is taken for the ground when its plan is at least this many times that of the rest.
constexpr double ground_plan_ratio = 1.5;
/// How far the rest may be sunk into a body that is taken for the ground.
constexpr double ground_overlap_m = 0.5;
/// Height over width up to which a body is flat enough to be the ground.
constexpr double ground_flatness = 0.1;

/// Thickness 2 V / A over least extent, below which a closed body is a bent or folded sheet.
/// Compact bodies lie above it: a sphere or cube has 0.33, a regular tetrahedron 0.17.
constexpr double bent_sheet_ratio = 0.15;

char lower(char c) {
    return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
}

bool continues_code_point(char c) {
    return (static_cast<unsigned char>(c) & 0xC0u) == 0x80u;
}

std::string number(double value, const char* unit) {
    std::array<char, 48> text{};
    std::snprintf(text.data(), text.size(), "%.3g %s", value, unit);
    return text.data();
}

bool matches_body(std::string_view pattern, const Body& body) {
    return matches_pattern(pattern, body.name) || matches_pattern(pattern, body.id) ||
           matches_pattern(pattern, body.path);
}

struct RolePattern {
    Role role;
    std::string text;
    bool matched = false;
};

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

std::string quoted(const RolePattern& pattern) {
    return "\"" + pattern.text + "\" (" + std::string(to_string(pattern.role)) + ")";
}

/// The choice that the user's patterns make for a body, if any of them names it.
std::optional<RoleChoice> named_choice(const Body& body, std::vector<RolePattern>& patterns) {
    const RolePattern* first = nullptr;
    for (RolePattern& pattern : patterns) {
        if (!matches_body(pattern.text, body)) continue;
        pattern.matched = true;
        if (first == nullptr) first = &pattern;
        if (pattern.role != first->role) {
            throw InputError({.file = {}, .line = {}, .column = {}, .entity = "body " + body.id},
                             "patterns of one role",
                             quoted(*first) + " and " + quoted(pattern) + " that both match it");
        }
    }
    if (first == nullptr) return std::nullopt;
    return RoleChoice{first->role, false, "matched by the pattern \"" + first->text + "\""};
}

/// The body that lies under all others and is wider than they are together, if there is one.
std::optional<std::size_t> ground_body(const std::vector<BodyBounds>& bodies) {
    if (bodies.size() < 2) return std::nullopt;
    const auto plan = [](const Vec3& low, const Vec3& high) {
        return (high.x() - low.x()) * (high.y() - low.y());
    };
    const auto widest = std::ranges::max_element(
        bodies, {}, [&](const BodyBounds& b) { return plan(b.low_m, b.high_m); });
    Vec3 low = Vec3::Constant(std::numeric_limits<double>::infinity());
    Vec3 high = -low;
    for (auto it = bodies.begin(); it != bodies.end(); ++it) {
        if (it == widest) continue;
        low = low.cwiseMin(it->low_m);
        high = high.cwiseMax(it->high_m);
    }
    const Vec3 size = widest->high_m - widest->low_m;
    const bool wide = plan(widest->low_m, widest->high_m) >= ground_plan_ratio * plan(low, high) &&
                      (widest->low_m.head<2>().array() <= low.head<2>().array()).all() &&
                      (widest->high_m.head<2>().array() >= high.head<2>().array()).all();
    const bool flat = size.z() <= ground_flatness * std::min(size.x(), size.y());
    const bool under = widest->high_m.z() <= low.z() + ground_overlap_m;
    if (!wide || !flat || !under) return std::nullopt;
    return static_cast<std::size_t>(widest - bodies.begin());
}

RoleChoice guessed_choice(const Body& body, const BodyMeasure& measure,
                          const RoleGuessLimits& limits) {
    const double side_m2 = body.solid ? measure.outer_area_m2 / 2 : measure.outer_area_m2;
    const bool closed = body.solid;
    const bool bent_sheet =
        closed && measure.thickness_m < bent_sheet_ratio * measure.least_extent_m;
    const double thin_m = bent_sheet ? measure.thickness_m : measure.least_extent_m;
    const std::string side = number(side_m2, "m2");
    if (side_m2 < limits.least_plate_area_m2) {
        return {Role::ignore, true, "small fitting of " + side};
    }
    if (thin_m < limits.thin_plate_m) {
        return {Role::shade, true, "thin plate, " + number(thin_m, "m") + " thick, of " + side};
    }
    if (!closed) {
        return {Role::shade, true, "open shell of " + side + " that encloses no room"};
    }
    const std::string volume = number(measure.enclosed_volume_m3, "m3");
    if (measure.enclosed_volume_m3 >= limits.least_unit_volume_m3) {
        return {Role::unit, true, "closed body that encloses " + volume};
    }
    return {Role::context, true,
            "closed body of " + volume + ", too small for a room: it only casts shade"};
}

RoleChoice ground_choice(const BodyBounds& bounds) {
    const Vec3 size = bounds.high_m - bounds.low_m;
    return {Role::context, true,
            "flat body of " + number(size.x(), "m") + " by " + number(size.y(), "m") +
                " that lies under all the rest and is wider: taken for the ground"};
}

void warn_of_unit_guess(const Body& body, std::vector<Warning>& warnings) {
    warnings.push_back({"unit-guessed",
                        "no pattern names this body; taken for a unit although units are named by "
                        "pattern: name it a unit, shade, context or ignore",
                        body.id});
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

bool matches_pattern(std::string_view pattern, std::string_view text) {
    // Greedy match with one point to go back to: the last '*' and what it has taken so far.
    std::size_t p = 0, t = 0;
    std::size_t star = pattern.npos, taken = 0;
    while (t < text.size()) {
        if (p < pattern.size() && pattern[p] == '*') {
            star = p++;
            taken = t;
        } else if (p < pattern.size() && pattern[p] == '?') {
            ++p;
            do ++t;
            while (t < text.size() && continues_code_point(text[t]));
        } else if (p < pattern.size() && lower(pattern[p]) == lower(text[t])) {
            ++p;
            ++t;
        } else if (star != pattern.npos) {
            p = star + 1;
            do ++taken;
            while (taken < text.size() && continues_code_point(text[taken]));
            t = taken;
        } else {
            return false;
        }
    }
    while (p < pattern.size() && pattern[p] == '*') ++p;
    return p == pattern.size();
}

std::vector<RoleChoice> choose_roles(const Model& model, const RolePatterns& patterns,
                                     const RoleGuessLimits& limits,
                                     std::vector<Warning>& warnings) {
    std::vector<RolePattern> list = listed(patterns);
    std::vector<BodyBounds> bounds;
    for (std::size_t i = 0; i < model.bodies.size(); ++i) {
        bounds.push_back(bounds_of_body(model, BodyId(i)));
    }
    const auto ground = ground_body(bounds);
    std::vector<RoleChoice> choices;
    for (std::size_t i = 0; i < model.bodies.size(); ++i) {
        const Body& body = model.bodies[i];
        if (auto named = named_choice(body, list)) {
            choices.push_back(std::move(*named));
            continue;
        }
        choices.push_back(ground == i
                              ? ground_choice(bounds[i])
                              : guessed_choice(body, measure_body(model, BodyId(i)), limits));
        if (choices.back().role == Role::unit && !patterns.units.empty()) {
            warn_of_unit_guess(body, warnings);
        }
    }
    for (const RolePattern& pattern : list) {
        if (pattern.matched) continue;
        warnings.push_back({"pattern-matches-nothing",
                            "the " + std::string(to_string(pattern.role)) + " pattern \"" +
                                pattern.text + "\" matches no body",
                            pattern.text});
    }
    return choices;
}

}  // namespace noonshell
