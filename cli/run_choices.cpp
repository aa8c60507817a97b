#include "cli/run_choices.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

namespace noonshell {

namespace {

constexpr double preview_facet_m = 1.0, preview_ground_cell_m = 2.0, preview_finest_ground_m = 1.0;
constexpr double preview_sun_step_s = 1800, preview_heat_step_s = 900;
constexpr std::uint32_t preview_points = 2, preview_rays = 64;
constexpr double most_percent = 50;

/// An option counts before the site file and the default.
void record(SiteFile& settings, const std::string& key, InputValue value,
            const std::string& option) {
    const InputRecord record{key, std::move(value), InputOrigin::command_line, option};
    const auto same = std::find_if(settings.inputs.begin(), settings.inputs.end(),
                                   [&key](const InputRecord& r) { return r.key == key; });
    if (same != settings.inputs.end())
        *same = record;
    else
        settings.inputs.push_back(record);
}

void apply_preview(SiteFile& settings) {
    RunSettings& run = settings.run;
    double& facet_m = settings.model.envelope.facet_size_m;
    facet_m = std::max(facet_m, preview_facet_m);
    settings.site.ground.cell_m = std::max(settings.site.ground.cell_m, preview_ground_cell_m);
    settings.site.ground.finest_cell_m =
        std::max(settings.site.ground.finest_cell_m, preview_finest_ground_m);
    run.sun_step_s = std::max(run.sun_step_s, preview_sun_step_s);
    run.heat_step_s = std::max(run.heat_step_s, preview_heat_step_s);
    run.points_per_facet = preview_points;
    run.rays_per_facet = preview_rays;
    run.accuracy = 0;
    const std::string option = "--fast";
    record(settings, "model.facet_size_m", facet_m, option);
    record(settings, "run.sun_step_min", run.sun_step_s / 60, option);
    record(settings, "run.heat_step_min", run.heat_step_s / 60, option);
    record(settings, "run.points_per_facet", static_cast<double>(preview_points), option);
    record(settings, "run.rays_per_facet", static_cast<double>(preview_rays), option);
    record(settings, "run.accuracy_percent", 0.0, option);
}

}  // namespace

std::optional<double> accuracy_from(const std::string& text) {
    double percent = 0;
    const char* const end = text.data() + text.size();
    const auto [rest, fault] = std::from_chars(text.data(), end, percent);
    const std::string_view unit(rest, static_cast<std::size_t>(end - rest));
    if (fault != std::errc() || !(unit.empty() || unit == "%" || unit == " %")) return std::nullopt;
    if (!(percent > 0 && percent <= most_percent)) return std::nullopt;
    return 0.01 * percent;
}

std::string_view view_word(ColourBy by) {
    constexpr std::array<std::string_view, 4> words = {"sun", "peak-outside", "inward", "rank"};
    return words[static_cast<std::size_t>(by)];
}

std::optional<ColourBy> view_of_word(std::string_view word) {
    for (const ColourBy by :
         {ColourBy::sun, ColourBy::peak_outside, ColourBy::inward, ColourBy::rank}) {
        if (view_word(by) == word) return by;
    }
    return std::nullopt;
}

bool has_result(const RunChoices& choices, ColourBy by) {
    if (by == ColourBy::sun) return true;
    return !choices.only_sun && !(by == ColourBy::rank && (choices.preview || choices.unranked));
}

bool is_of_heat_alone(std::string_view key) {
    constexpr std::array<std::string_view, 6> tables = {
        "room.", "treatment[", "plan.", "run.heat_step_min", "material[", "weather.yearly_mean_c"};
    return std::any_of(tables.begin(), tables.end(),
                       [key](std::string_view table) { return key.starts_with(table); });
}

void apply(const RunChoices& choices, SiteFile& settings) {
    if (choices.accuracy) {
        settings.run.accuracy = *choices.accuracy;
        record(settings, "run.accuracy_percent", 100 * *choices.accuracy, "--accuracy");
    }
    if (choices.preview) apply_preview(settings);
    if (choices.every_sun) record(settings, "run.suns", std::string("every step"), "--every-sun");
    if (choices.only_sun && settings.run.colour_by != ColourBy::sun) {
        settings.run.colour_by = ColourBy::sun;
        record(settings, "run.colour_by", std::string("sun"), "--only sun");
    }
}

}  // namespace noonshell
