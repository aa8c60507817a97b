#include "cli/inspection.hpp"

#include <utility>

#include "cli/against.hpp"
#include "geometry/shade_builder.hpp"
#include "geometry/step_reader.hpp"

namespace noonshell {

namespace {

void append(std::vector<Warning>& all, const std::vector<Warning>& more) {
    all.insert(all.end(), more.begin(), more.end());
}

}  // namespace

Inspection inspect_model(const std::filesystem::path& file, const ModelSettings& settings,
                         const Inspection* former) {
    Inspection inspection;
    StepReadOptions reading;
    reading.up = settings.up;
    reading.lost_area_limit = settings.lost_area_limit;
    inspection.model = read_step(file, reading);
    append(inspection.warnings, inspection.model.warnings);
    inspection.roles = choose_roles(inspection.model, settings.patterns, {}, inspection.warnings);
    if (former != nullptr) compare_bodies(*former, inspection);
    inspection.envelope.north_deg = settings.envelope.north_deg;
    try {
        inspection.envelope = build_envelope(inspection.model, inspection.roles, settings.envelope);
        if (!settings.shades.empty()) {
            BuiltShades built = add_shades(inspection.model, inspection.roles, inspection.envelope,
                                           settings.shades);
            inspection.added = std::move(built.bodies);
            append(inspection.warnings, built.warnings);
            inspection.envelope =
                build_envelope(inspection.model, inspection.roles, settings.envelope);
        }
    } catch (const NoUnitError& error) {
        inspection.no_unit = error.what();
    }
    append(inspection.warnings, inspection.envelope.warnings);
    if (former != nullptr) compare_surfaces(*former, inspection);
    return inspection;
}

Inspection require_units(Inspection inspection) {
    if (inspection.no_unit) throw NoUnitError(*inspection.no_unit);
    return inspection;
}

}  // namespace noonshell
