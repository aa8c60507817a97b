// noonshell inspect MODEL.step
#pragma once

#include <filesystem>
#include <optional>

#include "cli/console.hpp"

namespace noonshell {

struct InspectRequest {
    std::filesystem::path model;
    std::optional<std::filesystem::path> site_file;  ///< for its patterns, north and facet size
    std::optional<std::filesystem::path> against;    ///< an earlier version of the model
};

/// Prints the page or the JSON document. Throws NoUnitError after printing when no body is a unit.
void inspect(const InspectRequest& request, const Console& console);

}  // namespace noonshell
