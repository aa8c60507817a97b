#include "cli/cautions.hpp"

#include <array>

namespace noonshell {

std::span<const std::string_view> cautions() {
    static constexpr std::array<std::string_view, 5> lines = {
        "These numbers inform a design; they do not replace a licensed engineer or local codes.",
        "Shade roofs and cladding need structural design and design against wind uplift.",
        "Foam and vented cavities need fire-stopping to local rules.",
        "Steel in the sun burns skin.",
        "Work on hot roofs and in closed units carries a risk of heat stroke and of falls."};
    return lines;
}

}  // namespace noonshell
