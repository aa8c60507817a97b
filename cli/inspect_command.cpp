#include "cli/inspect_command.hpp"

#include "cli/inspection.hpp"
#include "cli/interrupt.hpp"
#include "cli/progress.hpp"
#include "cli/site_file.hpp"

namespace noonshell {

void inspect(const InspectRequest& request, const Console& console) {
    ModelSettings settings;
    if (request.site_file) settings = read_site_file(*request.site_file).model;
    Inspection inspection;
    {
        const Stage stage(console, "reading the model");
        std::optional<Inspection> former;
        if (request.against) former = inspect_model(*request.against, settings);
        inspection = inspect_model(request.model, settings, former ? &*former : nullptr);
    }
    throw_if_interrupted();
    inspection.north_given = request.site_file.has_value();
    console.out << (console.json ? inspection_json(inspection) : inspection_page(inspection));
    if (inspection.no_unit) throw NoUnitError(*inspection.no_unit);
}

}  // namespace noonshell
