#include "geometry/step_styles.hpp"

#include <algorithm>
#include <array>
#include <cstdio>

namespace noonshell {

namespace {

double channel(float value) {
    return std::clamp(static_cast<double>(value), 0.0, 1.0);
}

std::string colour_text(const Rgb& colour) {
    std::array<char, 96> text{};
    std::snprintf(text.data(), text.size(), "COLOUR_RGB('',%.7f,%.7f,%.7f)", channel(colour[0]),
                  channel(colour[1]), channel(colour[2]));
    return text.data();
}

bool over_rides(std::string_view body) {
    return body.find("OVER_RIDING_STYLED_ITEM") != body.npos;
}

}  // namespace

std::uint32_t StepStyles::style_of(const Rgb& colour) {
    const std::string text = colour_text(colour);
    if (const auto found = styles_.find(text); found != styles_.end()) return found->second;
    std::uint32_t at = edit_.add(text);
    at = edit_.add("FILL_AREA_STYLE_COLOUR(''," + link(at) + ")");
    at = edit_.add("FILL_AREA_STYLE('',(" + link(at) + "))");
    at = edit_.add("SURFACE_STYLE_FILL_AREA(" + link(at) + ")");
    at = edit_.add("SURFACE_SIDE_STYLE('',(" + link(at) + "))");
    at = edit_.add("SURFACE_STYLE_USAGE(.BOTH.," + link(at) + ")");
    at = edit_.add("PRESENTATION_STYLE_ASSIGNMENT((" + link(at) + "))");
    return styles_.emplace(text, at).first->second;
}

void StepStyles::colour(std::uint32_t face, const Rgb& colour, std::uint32_t context) {
    const auto known = styled_.find(face);
    if (known == styled_.end()) return colour_new(face, colour, context);
    const std::string styles = "(" + link(style_of(colour)) + ")";
    for (const std::uint32_t item : known->second) {
        const std::string_view body = edit_.body(item);
        if (over_rides(body)) {
            const std::uint32_t below = references(body).back();
            edit_.replace(item, "OVER_RIDING_STYLED_ITEM('result'," + styles + "," + link(face) +
                                    "," + link(below) + ")");
        } else {
            edit_.replace(item, "STYLED_ITEM('result'," + styles + "," + link(face) + ")");
        }
    }
}

void StepStyles::colour_new(std::uint32_t face, const Rgb& colour, std::uint32_t context) {
    by_context_[context].push_back(
        edit_.add("STYLED_ITEM('result',(" + link(style_of(colour)) + ")," + link(face) + ")"));
}

void StepStyles::list(const std::vector<std::uint32_t>& items, std::uint32_t context) {
    auto& all = by_context_[context];
    all.insert(all.end(), items.begin(), items.end());
}

void StepStyles::finish() {
    for (const auto& [context, items] : by_context_) {
        std::string list;
        for (const std::uint32_t item : items) list += (list.empty() ? "" : ",\n ") + link(item);
        edit_.add("MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION('',(" + list + ")," +
                  link(context) + ")");
    }
    by_context_.clear();
}

}  // namespace noonshell
