#include "cli/cautions.hpp"

namespace noonshell {

std::vector<std::string_view> cautions(bool of_films) {
    std::vector<std::string_view> lines = {
        "These numbers inform a design; they do not replace a licensed engineer or local codes.",
        "Shade roofs and cladding need structural design and design against wind uplift.",
        "Foam and vented cavities need fire-stopping to local rules.",
        "Steel in the sun burns skin.",
        "Work on hot roofs and in closed units carries a risk of heat stroke and of falls."};
    // Common practice: the glass with a film gets hotter than without, and unevenly so at its edge.
    if (of_films)
        lines.emplace_back(
            "Films on insulating, wired or tempered glass can crack it by heat stress: ask the "
            "glass "
            "maker.");
    return lines;
}

}  // namespace noonshell
