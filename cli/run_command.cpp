#include "cli/run_command.hpp"

#include <fmt/format.h>

#include <string>
#include <utility>
#include <vector>

#include "cli/coloured_model.hpp"
#include "cli/hourly_nc.hpp"
#include "cli/interrupt.hpp"
#include "cli/model_glb.hpp"
#include "cli/output_folder.hpp"
#include "cli/pictures.hpp"
#include "cli/report.hpp"
#include "cli/run_analysis.hpp"
#include "cli/run_page.hpp"
#include "cli/summary_json.hpp"
#include "cli/sun_files.hpp"
#include "cli/sun_page.hpp"
#include "cli/surfaces_csv.hpp"
#include "cli/utf8.hpp"

namespace noonshell {

std::filesystem::path results_folder(const std::optional<std::filesystem::path>& asked,
                                     const SiteFile& settings) {
    if (asked) return *asked;
    if (settings.run.output) return *settings.run.output;
    return settings.file.parent_path() / (settings.file.stem().string() + "-results");
}

void note_inputs(const SiteFile& settings, const Console& console) {
    for (const InputRecord& record : settings.inputs)
        console.note(printable(fmt::format("{} = {} ({}: {})", record.key, to_text(record.value),
                                           to_string(record.origin), record.source)));
}

void tell_of_left_out_report(RunResult& result, const Console& console, std::string_view page) {
    result.warnings.push_back(
        {"report-left-out",
         fmt::format("{} is left out: the program was built where npm is not installed", page),
         ""});
    console.warn(result.warnings.back().text);
}

void run(const RunRequest& request, const Console& console) {
    SiteFile settings = read_site_file(request.site_file);
    const std::filesystem::path folder = results_folder(request.output, settings);
    // Better to fail now than after the computation.
    require_writable(folder);
    const std::string name = printable(settings.file.string());
    RunResult result = naming_the_site_file(name, [&] {
        return analyse(std::move(settings), request.choices, request.threads, console);
    });
    note_inputs(result.settings, console);
    const bool with_report = !report_page().empty();
    if (!with_report) tell_of_left_out_report(result, console);

    OutputFolder output(folder);
    const std::string coloured = coloured_step_bytes(result, folder);
    const std::string summary = summary_json(result);
    std::vector<std::string> files;
    if (with_report) {
        output.add("report.html", report_html(result));
        files.emplace_back("report.html");
    }
    files.insert(files.end(), {"summary.json", "surfaces.csv"});
    output.add("summary.json", summary);
    output.add("surfaces.csv", surfaces_csv(result));
    for (const SunFile& file : sun_files(result)) {
        output.add(file.name, file.next);
        files.push_back(file.name);
    }
    if (result.choices.with_netcdf()) {
        output.add_made("hourly.nc", [&](const std::filesystem::path& file) {
            write_hourly_nc(result, file, printable((folder / "hourly.nc").string()));
        });
        files.emplace_back("hourly.nc");
    }
    for (const Picture& picture : pictures(result)) {
        throw_if_interrupted();
        output.add(picture.name, picture.svg);
        files.push_back(picture.name);
    }
    output.add("model.glb", model_glb(result));
    files.emplace_back("model.glb");
    output.add("coloured.step", coloured);
    throw_if_interrupted();
    output.commit();
    if (console.json) {
        console.out << summary;
    } else {
        console.out << (result.with_heat() ? run_page(result, console.verbose)
                                           : sun_page(result, console.verbose))
                    << "\nFiles\n";
        for (const std::string& file : files) {
            console.out << "  " << printable((folder / file).string()) << '\n';
        }
        console.out << fmt::format("  {} ({})\n", printable((folder / "coloured.step").string()),
                                   colour_legend(result));
    }
}

}  // namespace noonshell
