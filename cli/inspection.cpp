#include "cli/inspection.hpp"

#include <utility>

#include "geometry/step_reader.hpp"

namespace noonshell {

namespace {

void append(std::vector<Warning>& all, const std::vector<Warning>& more) {
    all.insert(all.end(), more.begin(), more.end());
}

}  // namespace

Inspection inspect_model(const std::filesystem::path& file, const RolePatterns& patterns,
                         const EnvelopeOptions& options) {
    Inspection inspection;
    inspection.model = read_step(file);
    append(inspection.warnings, inspection.model.warnings);
    inspection.roles = choose_roles(inspection.model, patterns, {}, inspection.warnings);
    inspection.envelope.north_deg = options.north_deg;
    try {
        inspection.envelope = build_envelope(inspection.model, inspection.roles, options);
    } catch (const NoUnitError& error) {
        inspection.no_unit = error.what();
    }
    append(inspection.warnings, inspection.envelope.warnings);
    return inspection;
}

Inspection require_units(Inspection inspection) {
    if (inspection.no_unit) throw NoUnitError(*inspection.no_unit);
    return inspection;
}

}  // namespace noonshell
