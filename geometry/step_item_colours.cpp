#include "geometry/step_item_colours.hpp"

#include <algorithm>
#include <array>
#include <optional>
#include <string_view>
#include <utility>

namespace noonshell {

namespace {

/// Assignment, usage, side, fill area, style, style of colour, colour; some exporters nest more.
constexpr int deepest_style = 12;

float channel(const StepValue& value) {
    return static_cast<float>(std::clamp(value.number, 0.0, 1.0));
}

std::optional<Rgb> predefined(std::string_view name) {
    static constexpr std::array<std::pair<std::string_view, Rgb>, 8> known{{{"red", {1, 0, 0}},
                                                                            {"green", {0, 1, 0}},
                                                                            {"blue", {0, 0, 1}},
                                                                            {"yellow", {1, 1, 0}},
                                                                            {"magenta", {1, 0, 1}},
                                                                            {"cyan", {0, 1, 1}},
                                                                            {"black", {0, 0, 0}},
                                                                            {"white", {1, 1, 1}}}};
    for (const auto& [word, colour] : known) {
        if (word == name) return colour;
    }
    return std::nullopt;
}

/// The first colour of a surface along the references of a style.
class ColourSearch {
  public:
    explicit ColourSearch(const StepRecords& records) : records_(records) {}

    std::optional<Rgb> in(const StepValue& value, int depth = 0) const {
        if (depth > deepest_style) return std::nullopt;
        if (value.kind == StepValue::Kind::reference) {
            return in(records_.read(value.reference), depth + 1);
        }
        if (value.is("CURVE_STYLE") || value.is("POINT_STYLE") || value.is("TEXT_STYLE") ||
            value.is("SURFACE_STYLE_BOUNDARY") || value.is("SURFACE_STYLE_PARAMETER_LINE")) {
            return std::nullopt;
        }
        if (value.is("COLOUR_RGB")) {
            return Rgb{channel(value.at(1)), channel(value.at(2)), channel(value.at(3))};
        }
        if (value.is("DRAUGHTING_PRE_DEFINED_COLOUR") || value.is("PRE_DEFINED_COLOUR")) {
            return predefined(value.at(0).text);
        }
        for (const StepValue& item : value.items) {
            if (const auto colour = in(item, depth)) return colour;
        }
        return std::nullopt;
    }

  private:
    const StepRecords& records_;
};

}  // namespace

std::unordered_map<std::uint32_t, Rgb> item_colours(const StepRecords& records) {
    const ColourSearch search(records);
    std::unordered_map<std::uint32_t, Rgb> colours;
    for (const std::string_view keyword : {"OVER_RIDING_STYLED_ITEM", "STYLED_ITEM"}) {
        for (const std::uint32_t number : records.with(keyword)) {
            const StepValue styled = records.read(number).entity(keyword);
            const std::uint32_t item = styled.at(2).reference;
            if (item == 0 || colours.contains(item)) continue;
            if (const auto colour = search.in(styled.at(1))) colours.emplace(item, *colour);
        }
    }
    return colours;
}

}  // namespace noonshell
