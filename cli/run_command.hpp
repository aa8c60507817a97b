// noonshell run SITE.toml
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <utility>

#include "cli/console.hpp"
#include "cli/run_analysis.hpp"
#include "cli/run_choices.hpp"

namespace noonshell {

struct RunRequest {
    std::filesystem::path site_file;
    std::optional<std::filesystem::path> output;  ///< else [run] output, else beside the site file
    unsigned threads = 0;                         ///< 0: all
    RunChoices choices;
};

/// The folder asked for, else [run] output, else SITE-results beside the site file.
std::filesystem::path results_folder(const std::optional<std::filesystem::path>& asked,
                                     const SiteFile& settings);

/// With --verbose: every input that was taken.
void note_inputs(const SiteFile& settings, const Console& console);

/// The report page is a file of the build: without npm there is none. Adds the warning, and tells
/// it.
void tell_of_left_out_report(RunResult& result, const Console& console,
                             std::string_view page = "report.html");

/// The libraries check once more what the site file brought; their messages lack its name.
template <class Work>
auto naming_the_site_file(const std::string& name, const Work& work) {
    try {
        return work();
    } catch (const InputError& error) {
        if (!error.place().file.empty()) throw;
        InputPlace place = error.place();
        place.file = name;
        throw InputError(std::move(place), error.expected(), error.seen());
    }
}

/// Runs the site, writes its files together and prints the page or the JSON document.
void run(const RunRequest& request, const Console& console);

}  // namespace noonshell
