#include "geometry/size_note.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <string_view>
#include <utility>

#include "geometry/body_measure.hpp"
#include "geometry/plain_text.hpp"

namespace noonshell {

namespace {

/// Outside this range the length unit of the file is more likely wrong than the model.
constexpr double least_model_size_m = 1.0;
constexpr double largest_model_size_m = 5000.0;
/// A cube of 1 m written in inches may come out a rounding below 1 m.
constexpr double size_slack = 1e-6;

/// Single-precision ray tracing keeps 1 mm up to about this distance from the origin.
constexpr double farthest_from_origin_m = 10000.0;

/// The inch and the foot are exact by the international agreement of 1959.
constexpr std::array<std::pair<const char*, double>, 5> common_units = {{{"metre", 1.0},
                                                                         {"millimetre", 0.001},
                                                                         {"inch", 0.0254},
                                                                         {"foot", 0.3048},
                                                                         {"centimetre", 0.01}}};

/// ISO 668 outside sizes [m]: lengths of 10, 20, 30, 40 and 45 ft, one width, heights with the high
/// cubes.
constexpr std::array container_lengths_m = {2.991, 6.058, 9.125, 12.192, 13.716};
constexpr double container_width_m = 2.438;
constexpr std::array container_heights_m = {2.438, 2.591, 2.896};
constexpr double size_of_container_share = 0.02;
constexpr double mm_per_inch = 25.4;

std::string metres(double length_m) {
    return plain_figure(length_m) + " m";
}

/// Size if the file's numbers were in `unit`.
double size_under(const std::string& unit, double size_m, double declared_m) {
    for (const auto& [name, length_m] : common_units) {
        if (unit == name) return size_m / declared_m * length_m;
    }
    return size_m;
}

/// `declared` is empty where the file declares no unit.
std::string cause(double size_m, double declared_m, const std::string& declared) {
    auto units = likelier_units(size_m, declared_m);
    if (units.empty()) {
        return "no common length unit makes it 2 to 500 m: check the scale of the export";
    }
    // Without a unit, the one that most CAD programs draw in comes first.
    const auto usual = std::ranges::find(units, "millimetre");
    if (declared.empty() && usual != units.end()) std::rotate(units.begin(), usual, usual + 1);
    std::string text = "likely cause: lengths in " + units.front() +
                       (declared.empty() ? ", taken for metres as the file declares no unit"
                                         : " declared as " + declared) +
                       " (read as " + units.front() + " the model would measure " +
                       metres(size_under(units.front(), size_m, declared_m)) + ")";
    for (std::size_t i = 1; i < units.size(); ++i) {
        text += (i == 1 ? "; also possible: " : ", ") + units[i] + " (" +
                metres(size_under(units[i], size_m, declared_m)) + ")";
    }
    return text;
}

bool is_container(const Vec3& size_m) {
    const auto near = [](double seen_m, double expected_m) {
        return std::abs(seen_m - expected_m) < size_of_container_share * expected_m;
    };
    const double length_m = std::max(size_m.x(), size_m.y());
    const double width_m = std::min(size_m.x(), size_m.y());
    return near(width_m, container_width_m) &&
           std::ranges::any_of(container_lengths_m,
                               [&](double expected_m) { return near(length_m, expected_m); }) &&
           std::ranges::any_of(container_heights_m,
                               [&](double expected_m) { return near(size_m.z(), expected_m); });
}

/// Names the body that lies farthest off, where the others make up a building without such bodies.
std::string stray_body(const Model& model) {
    if (model.bodies.size() < 3) return {};
    std::vector<Vec3> middles;
    for (std::size_t k = 0; k < model.bodies.size(); ++k) {
        const BodyBounds bounds = bounds_of_body(model, BodyId(k));
        middles.push_back((bounds.low_m + bounds.high_m) / 2);
    }
    Vec3 median;
    for (int axis = 0; axis < 3; ++axis) {
        std::vector<double> along;
        for (const Vec3& middle : middles) along.push_back(middle[axis]);
        std::ranges::nth_element(along,
                                 along.begin() + static_cast<std::ptrdiff_t>(along.size() / 2));
        median[axis] = along[along.size() / 2];
    }
    const auto is_near = [&](const Vec3& at) {
        return (at - median).norm() <= largest_likely_size_m;
    };
    const auto n_near = static_cast<std::size_t>(std::ranges::count_if(middles, is_near));
    if (n_near == middles.size() || 2 * n_near < middles.size()) return {};
    const auto far =
        std::ranges::max_element(middles, {}, [&](const Vec3& at) { return (at - median).norm(); });
    const std::size_t more = middles.size() - n_near - 1;
    return "body " + model.bodies[static_cast<std::size_t>(far - middles.begin())].id + " lies " +
           metres((*far - median).norm()) + " from the rest" +
           (more == 0 ? "" : ", and " + counted(more, "more body", "more bodies") + " far off") +
           ": is it placed where it belongs?";
}

/// Millimetres taken for inches, or the other way round, leave a size that may pass for a building.
bool warn_of_container_in_wrong_unit(Model& model, const std::string& what, const Vec3& size_m) {
    const bool too_large = is_container(size_m / mm_per_inch);
    if (!too_large && !is_container(size_m * mm_per_inch)) return false;
    const std::string text =
        what + " measures " + plain_figure(size_m.x()) + " x " + plain_figure(size_m.y()) + " x " +
        plain_figure(size_m.z()) + " m, " + (too_large ? "25.4 times" : "1/25.4 of") +
        " the size of a freight container (ISO 668): likely cause: lengths in " +
        (too_large ? "millimetre taken for inch" : "inch taken for millimetre") +
        "; the file declares " + model.length_unit;
    model.warnings.push_back({"model-size", text, model.file});
    return true;
}

/// The whole model, or else the first body of that size.
void warn_of_inches(Model& model) {
    const auto& b = model.bbox_m;
    if (warn_of_container_in_wrong_unit(model, "the whole model",
                                        {b[3] - b[0], b[4] - b[1], b[5] - b[2]})) {
        return;
    }
    for (std::size_t k = 0; k < model.bodies.size(); ++k) {
        const BodyBounds bounds = bounds_of_body(model, BodyId(k));
        const std::string what = "body " + model.bodies[k].id;
        if (warn_of_container_in_wrong_unit(model, what, bounds.high_m - bounds.low_m)) return;
    }
}

}  // namespace

std::vector<std::string> likelier_units(double size_m, double declared_m) {
    const double middle = std::sqrt(least_likely_size_m * largest_likely_size_m);
    std::vector<std::pair<double, std::string>> found;
    for (const auto& [name, length_m] : common_units) {
        const double size = size_m / declared_m * length_m;
        const bool same = std::abs(length_m / declared_m - 1) < 1e-6;
        if (same || size < least_likely_size_m || size > largest_likely_size_m) continue;
        const double rare = std::string_view(name) == "foot" ? 100.0 : 0.0;
        found.emplace_back(rare + std::abs(std::log(size / middle)), name);
    }
    std::ranges::stable_sort(found, {}, &std::pair<double, std::string>::first);
    std::vector<std::string> names;
    for (auto& [distance, name] : found) names.push_back(std::move(name));
    return names;
}

void warn_of_odd_size(Model& model, const std::vector<double>& unit_lengths_m) {
    const auto& b = model.bbox_m;
    const double size_m = std::max({b[3] - b[0], b[4] - b[1], b[5] - b[2]});
    if (size_m < least_model_size_m * (1 - size_slack) || size_m > largest_model_size_m) {
        const std::string stray = stray_body(model);
        const std::string why = !stray.empty()           ? stray
                                : unit_lengths_m.empty() ? cause(size_m, 1.0, {})
                                : unit_lengths_m.size() == 1
                                    ? cause(size_m, unit_lengths_m.front(), model.length_unit)
                                    : "check the length units (" + model.length_unit + ")";
        const char* other =
            size_m < least_model_size_m ? "; or this is a small part, not a building" : "";
        model.warnings.push_back({"model-size",
                                  "the whole model measures " + metres(size_m) + "; " + why + other,
                                  model.file});
    } else {
        warn_of_inches(model);
    }
    double farthest_m = 0;
    for (const double x : b) farthest_m = std::max(farthest_m, std::abs(x));
    if (farthest_m > farthest_from_origin_m && farthest_m > 10 * size_m) {
        model.warnings.push_back({"far-from-origin",
                                  "the model lies " + metres(farthest_m) +
                                      " from its origin; small gaps lose their meaning",
                                  model.file});
    }
}

}  // namespace noonshell
