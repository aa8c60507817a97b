#include "cli/plan_command.hpp"

#include <string>
#include <utility>
#include <vector>

#include "cli/interrupt.hpp"
#include "cli/output_folder.hpp"
#include "cli/plan_painted.hpp"
#include "cli/plan_told.hpp"
#include "cli/report.hpp"
#include "cli/results_store.hpp"
#include "cli/run_command.hpp"
#include "cli/utf8.hpp"

namespace noonshell {

void plan(const PlanRequest& request, const Console& console) {
    SiteFile settings = read_site_file(request.site_file);
    const std::filesystem::path folder = results_folder(request.output, settings);
    // Better to fail now than after the computation.
    require_writable(folder);
    const std::string name = printable(settings.file.string());
    PlanChoices choices = request.choices;
    choices.for_report = !report_page().empty();
    std::filesystem::create_directories(folder);
    ResultsStore store(folder / "plan-store.sqlite");
    choices.store = &store;
    PlanResult result = naming_the_site_file(
        name, [&] { return analyse_plan(std::move(settings), choices, request.threads, console); });
    note_inputs(result.run.settings, console);
    if (store.was_damaged())
        result.run.warnings.push_back({"store-damaged",
                                       "the store of earlier results was damaged and is made anew",
                                       printable((folder / "plan-store.sqlite").string())});
    if (!choices.for_report) tell_of_left_out_report(result.run, console, "plan.html");

    OutputFolder output(folder);
    const std::string painted = painted_plan_bytes(result, folder);
    const std::string document = plan_json(result);
    std::vector<std::string> files;
    const auto add = [&](const char* file, const std::string& content) {
        output.add(file, content);
        files.emplace_back(file);
    };
    if (choices.for_report) add("plan.html", report_html(result));
    add("plan.json", document);
    add("plan.csv", plan_csv(result));
    add("frontier.csv", frontier_csv(result));
    output.add("coloured-plan.step", painted);
    throw_if_interrupted();
    output.commit();
    if (console.json) {
        console.out << document;
        return;
    }
    console.out << plan_page(result, console.verbose) << "\nFiles\n";
    for (const std::string& file : files)
        console.out << "  " << printable((folder / file).string()) << '\n';
    console.out << "  " << printable((folder / "coloured-plan.step").string()) << " ("
                << painted_legend(result) << ")\n";
}

}  // namespace noonshell
