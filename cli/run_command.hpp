// noonshell run SITE.toml
#pragma once

#include <filesystem>
#include <optional>

#include "cli/console.hpp"
#include "cli/run_choices.hpp"

namespace noonshell {

struct RunRequest {
    std::filesystem::path site_file;
    std::optional<std::filesystem::path> output;  ///< else [run] output, else beside the site file
    unsigned threads = 0;                         ///< 0: all
    RunChoices choices;
};

/// Runs the site, writes its files together and prints the page or the JSON document.
void run(const RunRequest& request, const Console& console);

}  // namespace noonshell
