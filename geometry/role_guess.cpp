#include "geometry/role_guess.hpp"

#include <algorithm>
#include <array>
#include <limits>

#include "geometry/plain_text.hpp"

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

constexpr const char* window_hint = "; if it is a window, name it in panes or pane_colours";

}  // namespace

bool is_called_window(const std::string& name) {
    std::string lower = name;
    std::ranges::transform(lower, lower.begin(), [](char c) {
        return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
    });
    constexpr std::array words = {"window", "glass", "glazing", "pane", "skylight"};
    return std::ranges::any_of(words, [&](const char* word) {
        // Panels are no panes.
        const auto at = lower.find(word);
        return at != std::string::npos && lower.compare(at, 5, "panel") != 0;
    });
}

std::string figure_text(double value, const char* unit) {
    return plain_figure(value) + " " + unit;
}

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

std::string too_slight(const BodyMeasure& measure, const BodyBounds& bounds,
                       const RoleGuessLimits& limits) {
    const double rise_m = bounds.high_m.z() - bounds.low_m.z();
    if (rise_m < limits.least_unit_rise_m) return "only " + figure_text(rise_m, "m") + " high";
    if (measure.least_extent_m < limits.least_unit_width_m)
        return "only " + figure_text(measure.least_extent_m, "m") + " across";
    return {};
}

RoleChoice guessed_choice(const Body& body, const BodyMeasure& measure, const BodyBounds& bounds,
                          const RoleGuessLimits& limits) {
    const double side_m2 = body.solid ? measure.outer_area_m2 / 2 : measure.outer_area_m2;
    const bool closed = body.solid;
    const bool bent_sheet =
        closed && measure.thickness_m < bent_sheet_ratio * measure.least_extent_m;
    const double thin_m = bent_sheet ? measure.thickness_m : measure.least_extent_m;
    const std::string side = figure_text(side_m2, "m2");
    if (side_m2 < limits.least_plate_area_m2) {
        return {Role::ignore, true, "small fitting of " + side};
    }
    if (thin_m < limits.thin_plate_m) {
        constexpr double least_told_m = 1e-6;
        const std::string plate = !closed && thin_m < least_told_m
                                      ? "single sheet"
                                      : "thin plate, " + figure_text(thin_m, "m") + " thick,";
        return {Role::shade, true,
                plate + " of " + side + (is_called_window(body.name) ? window_hint : "")};
    }
    if (!closed) {
        return {Role::shade, true,
                "open shell of " + side + " that encloses no room" +
                    (measure.open_side.empty() ? "" : ": open " + std::string(measure.open_side))};
    }
    std::string what = "closed body of " + figure_text(measure.enclosed_volume_m3, "m3");
    const std::string slight = too_slight(measure, bounds, limits);
    if (measure.enclosed_volume_m3 < limits.least_unit_volume_m3) {
        what += ", too small for a room";
    } else if (!slight.empty()) {
        what += ", " + slight + ": no room";
    } else {
        what += " that encloses no room";
    }
    return {Role::context, true, what + "; it only casts shade"};
}

RoleChoice ground_choice(const BodyBounds& bounds) {
    const Vec3 size = bounds.high_m - bounds.low_m;
    return {Role::context, true,
            "flat body of " + figure_text(size.x(), "m") + " by " + figure_text(size.y(), "m") +
                " that lies under all the rest and is wider: taken for the ground"};
}

}  // namespace noonshell
