#include "cli/plan_command.hpp"

#include <string>
#include <utility>

#include "cli/interrupt.hpp"
#include "cli/output_folder.hpp"
#include "cli/plan_told.hpp"
#include "cli/run_command.hpp"
#include "cli/utf8.hpp"

namespace noonshell {

void plan(const PlanRequest& request, const Console& console) {
    SiteFile settings = read_site_file(request.site_file);
    const std::filesystem::path folder = results_folder(request.output, settings);
    // Better to fail now than after the computation.
    require_writable(folder);
    const std::string name = printable(settings.file.string());
    const PlanResult result = naming_the_site_file(name, [&] {
        return analyse_plan(std::move(settings), request.choices, request.threads, console);
    });
    note_inputs(result.run.settings, console);

    OutputFolder output(folder);
    const std::string document = plan_json(result);
    output.add("plan.json", document);
    output.add("plan.csv", plan_csv(result));
    output.add("frontier.csv", frontier_csv(result));
    throw_if_interrupted();
    output.commit();
    if (console.json) {
        console.out << document;
        return;
    }
    console.out << plan_page(result, console.verbose) << "\nFiles\n";
    for (const char* file : {"plan.json", "plan.csv", "frontier.csv"})
        console.out << "  " << printable((folder / file).string()) << '\n';
}

}  // namespace noonshell
