#include "cli/inspect_command.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <string>
#include <utility>

#include "cli/inspection.hpp"
#include "cli/interrupt.hpp"
#include "cli/progress.hpp"
#include "cli/site_file.hpp"

namespace noonshell {

namespace {

/// Whether the model was refused for the number of its facets.
bool asks_for_larger_facets(const InputError& error) {
    return error.place().entity == "length unit" || error.place().entity == "[model] facet_size_m";
}

/// What `run` takes is no model.
void refuse_site_file(const std::filesystem::path& model) {
    if (model.extension() != ".toml" || !std::filesystem::is_regular_file(model)) return;
    throw InputError({.file = model.string(), .line = {}, .column = {}, .entity = {}},
                     "a STEP file, and a site file as --site SITE.toml beside it", "a .toml file");
}

/// A model with too many facets is looked at all the same: sides and contacts keep their areas at
/// any facet size. `look` is given the settings.
template <class Look>
Inspection inspect_at_any_size(ModelSettings settings, const Look& look) {
    constexpr double largest_facet_size_m = 100;  // that the settings allow
    try {
        return look(settings);
    } catch (const InputError& error) {
        if (!asks_for_larger_facets(error)) throw;
        const double size_m = settings.envelope.facet_size_m;
        if (size_m >= largest_facet_size_m) throw;
        settings.envelope.facet_size_m = largest_facet_size_m;
        Inspection inspection = look(settings);
        std::string text = fmt::format("too many facets at [model] facet_size_m = {:g}", size_m);
        text += ": a run refuses this model; check its length unit, or take larger facets";
        const std::string& where = inspection.model.file;
        // What was lost stands first in every report.
        const auto after_losses = std::ranges::find_if(
            inspection.warnings,
            [](const Warning& warning) { return warning.code != "lost-area"; });
        inspection.warnings.insert(after_losses, {"too-many-facets", text, where});
        return inspection;
    }
}

}  // namespace

void inspect(const InspectRequest& request, const Console& console) {
    refuse_site_file(request.model);
    ModelSettings settings;
    if (request.site_file) settings = read_site_file(*request.site_file).model;
    Inspection inspection;
    {
        const Stage stage(console, "reading the model");
        const auto& against = request.against ? request.against : settings.against;
        std::optional<Inspection> former;
        if (against) {
            former = inspect_at_any_size(settings, [&](const ModelSettings& s) {
                return inspect_former_model(*against, s);
            });
        }
        inspection = inspect_at_any_size(settings, [&](const ModelSettings& s) {
            return inspect_model(request.model, s, former ? &*former : nullptr);
        });
    }
    throw_if_interrupted();
    inspection.north_given = request.site_file.has_value();
    inspection.up_given = settings.up_given;
    console.out << (console.json ? inspection_json(inspection)
                                 : inspection_page(inspection, console.verbose));
    if (inspection.no_unit) throw NoUnitError(*inspection.no_unit);
}

}  // namespace noonshell
