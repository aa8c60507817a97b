#include "geometry/colours.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <map>

#include "geometry/roles.hpp"

namespace noonshell {

namespace {

double squared_distance(const Rgb& a, const Rgb& b) {
    double sum = 0;
    for (std::size_t k = 0; k < 3; ++k) {
        const auto step = static_cast<double>(a[k] - b[k]);
        sum += step * step;
    }
    return sum;
}

/// Each colour of bodies and faces once, by hex.
std::vector<Rgb> all_colours(const Model& model) {
    std::map<std::string, Rgb> found;
    const auto add = [&](const std::optional<Rgb>& colour) {
        if (colour) found.try_emplace(hex_of(*colour), *colour);
    };
    for (const Body& body : model.bodies) add(body.colour);
    for (const Face& face : model.faces) add(face.colour);
    std::vector<Rgb> colours;
    for (const auto& [hex, colour] : found) colours.push_back(colour);
    return colours;
}

}  // namespace

std::string hex_of(const Rgb& colour) {
    const auto step = [](float channel) {
        return static_cast<int>(std::lround(std::clamp(channel, 0.0F, 1.0F) * 255.0F));
    };
    std::array<char, 8> text{};
    std::snprintf(text.data(), text.size(), "#%02x%02x%02x", step(colour[0]) & 0xFF,
                  step(colour[1]) & 0xFF, step(colour[2]) & 0xFF);
    return text.data();
}

std::vector<ColourCount> face_colours(const Model& model, const Body& body) {
    std::map<std::string, std::uint32_t> counts;
    for (std::uint32_t f = 0; f < body.n_faces; ++f) {
        const Face& face = model.faces[body.first_face + f];
        const auto& colour = face.colour ? face.colour : body.colour;
        if (colour) ++counts[hex_of(*colour)];
    }
    std::vector<ColourCount> list;
    for (const auto& [hex, n_faces] : counts) list.push_back({hex, n_faces});
    return list;
}

void warn_of_idle_colours(const Model& model, const std::vector<Rgb>& panes,
                          const std::vector<OwnSurface>& surfaces, std::vector<Warning>& warnings) {
    bool any_asked = !panes.empty();
    for (const OwnSurface& own : surfaces) any_asked = any_asked || !own.colours.empty();
    if (!any_asked) return;
    const std::vector<Rgb> present = all_colours(model);
    const auto check = [&](const std::vector<Rgb>& asked, const std::string& of) {
        for (const Rgb& colour : asked) {
            const auto is_it = [&](const Rgb& other) { return same_colour(colour, other); };
            if (std::ranges::any_of(present, is_it)) continue;
            std::string text = "the colour \"" + hex_of(colour) + "\" of " + of +
                               " is that of no body and no face of the model";
            if (present.empty()) {
                text += "; the file has no colours";
            } else {
                const auto nearest = std::ranges::min_element(
                    present, {}, [&](const Rgb& other) { return squared_distance(colour, other); });
                text += "; the nearest there is \"" + hex_of(*nearest) + "\"";
            }
            warnings.push_back({"colour-matches-nothing", text, model.file});
        }
    };
    check(panes, "pane_colours");
    for (const OwnSurface& own : surfaces) check(own.colours, "surface " + own.name);
}

}  // namespace noonshell
