#include "cli/plan_painted.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "cli/coloured_model.hpp"
#include "cli/plan_parts.hpp"
#include "cli/plan_yard.hpp"
#include "cli/utf8.hpp"
#include "geometry/colour_scale.hpp"

namespace noonshell {

std::vector<PlanColour> plan_colours(const PlanResult& result) {
    std::vector<PlanColour> colours;
    for (const PlanStep& step : result.plan.steps) {
        if (step.shade) continue;
        const std::string finish = finish_text(result, result.finish_of(step));
        if (std::ranges::find(colours, finish, &PlanColour::finish) == colours.end())
            colours.push_back({finish, {}});
    }
    // The ends of the scale, violet and yellow, are told apart most easily.
    for (std::size_t i = 0; i < colours.size(); ++i) {
        const double share = static_cast<double>(i + 1) / static_cast<double>(colours.size());
        colours[i].colour = scale_colour(share);
    }
    return colours;
}

std::string painted_legend(const PlanResult& result) {
    std::string text;
    for (const PlanColour& one : plan_colours(result)) {
        const auto level = [](float share) { return std::lround(255 * share); };
        text += fmt::format("{} #{:02x}{:02x}{:02x}, ", printable(one.finish), level(one.colour[0]),
                            level(one.colour[1]), level(one.colour[2]));
    }
    return text + "other faces as they were";
}

std::string painted_plan_bytes(PlanResult& result, const std::filesystem::path& folder) {
    const std::vector<PlanColour> colours = plan_colours(result);
    std::vector<FaceColour> faces;
    for (const PlanStep& step : result.plan.steps) {
        if (step.shade) continue;
        const std::string finish = finish_text(result, result.finish_of(step));
        const Rgb colour = std::ranges::find(colours, finish, &PlanColour::finish)->colour;
        for (const FaceId face : result.surface_of(step).faces) faces.push_back({face, colour});
    }
    const ShadeSettings shades = shades_of(result.plan, result.run.settings.planned_shades);
    const std::filesystem::path& source = result.run.settings.model.file;
    std::vector<Warning>& warnings = result.run.warnings;
    if (shades.empty())
        return coloured_step_bytes({source, result.run.inspection, std::move(faces)}, folder,
                                   warnings);
    const Inspection built = built_with(result.run.inspection, shades);
    return coloured_step_bytes({source, built, std::move(faces)}, folder, warnings);
}

}  // namespace noonshell
