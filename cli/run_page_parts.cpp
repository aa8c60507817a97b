#include "cli/run_page_parts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>
#include <string_view>

#include "cli/table.hpp"
#include "cli/utf8.hpp"
#include "geometry/plain_text.hpp"

namespace noonshell {

std::string number(double value, int decimals) {
    std::string text = fmt::format("{:.{}f}", value, decimals);
    // What rounds to nothing has no sign.
    if (text.front() == '-' && text.find_first_of("123456789") == std::string::npos &&
        std::isfinite(value))
        text.erase(0, 1);
    return text;
}

std::string three_digits(double value) {
    constexpr double shown = 0.5e-4;
    if (!std::isfinite(value) || std::abs(value) < shown) return number(value);
    const auto leading = static_cast<int>(std::floor(std::log10(std::abs(value))));
    return number(value, std::clamp(2 - leading, 0, 4));
}

namespace {

/// Real dates, or the years that the months of a typical year come from.
std::string period_of(const ToldCalendar& calendar) {
    if (const auto& years = calendar.month_years())
        return fmt::format("typical year (months of {} to {})", years->first, years->second);
    return calendar.text(calendar.begin()) + " to " + calendar.text(calendar.end());
}

}  // namespace

std::string head_of(const RunResult& result) {
    const Site& site = result.place.site;
    const Weather& weather = result.place.weather;
    const ToldCalendar calendar = result.calendar();
    std::string text = printable(result.inspection.model.file) + "\n";
    text += fmt::format(
        "  latitude {:g}, longitude {:g} degrees, {:g} m above the sea; +Y axis at "
        "azimuth {:g} degrees\n",
        site.latitude_deg, site.longitude_deg, site.elevation_m, site.north_deg);
    text += fmt::format("  {}; {}, {} hours\n", printable(weather.source), period_of(calendar),
                        weather.size());
    text += fmt::format("  {}, {}, {}\n", counted(result.envelope().units.size(), "unit"),
                        counted(result.envelope().surfaces.size(), "surface"),
                        counted(result.envelope().facets.size(), "facet"));
    if (result.choices.preview)
        text += fmt::format(
            "  PREVIEW: facets of {:g} m, {} points and {} rays each, suns every {:g} minutes\n",
            result.settings.model.envelope.facet_size_m, result.settings.run.points_per_facet,
            result.settings.run.rays_per_facet, result.settings.run.sun_step_s / 60);
    return text;
}

std::string accuracy_of(const RunResult& result) {
    const double asked = result.settings.run.accuracy;
    const SurfaceId least_sure = result.light.least_sure;
    const std::string of_surface =
        least_sure.valid()
            ? fmt::format(" ({})", printable(result.envelope().surfaces[least_sure.index()].id))
            : "";
    return fmt::format(
        "\nSure to: the 95 % range of the sun on a unit's surface is at most +-{:.2f} % of it{}{}\n"
        "  (from the sampling and from parts of a surface taken as evenly lit; surfaces with less\n"
        "  than a tenth of the brightest one's sun aside{})\n",
        100 * result.light.accuracy, of_surface,
        asked > 0 ? fmt::format(", asked for +-{:g} %", 100 * asked) : "",
        result.choices.preview
            ? ";\n  coarse facets and suns are in it in part: on the demo it holds for 93 of 100"
            : "");
}

std::string carried_over_of(const RunResult& result, bool every_one) {
    if (!result.settings.model.against) return {};
    return carried_over_page(result.carried, result.settings.model.against->filename().string(),
                             every_one);
}

std::string balance_of(const RunResult& result) {
    std::string text = fmt::format(
        "\nBalance: what does not add up, as a share of the energy that passed\n  light {:.1e}",
        result.light.exposure.solar_residual);
    if (result.with_heat()) {
        text +=
            fmt::format(", heat {:.1e} (worst room on its worst day {:.1e})",
                        result.response.heat_residual(), result.response.heat_residual_of_a_day());
    }
    return text + "\n";
}

namespace {

/// "construction[3].name" as "construction[*].name", so that equal defaults make one line.
std::string without_numbers(const std::string& key) {
    std::string general;
    bool inside = false;
    for (const char c : key) {
        if (c == ']') inside = false;
        if (!inside) general += c;
        if (c == '[') {
            inside = true;
            general += '*';
        }
    }
    return general;
}

}  // namespace

std::string defaults_of(const RunResult& result) {
    TextTable table({{"key"}, {"value"}, {"source"}});
    std::set<std::vector<std::string>> seen;
    for (const InputRecord& record : result.settings.inputs) {
        if (record.origin != InputOrigin::by_default) continue;
        if (!result.with_heat() && is_of_heat_alone(record.key)) continue;
        const std::vector<std::string> row{without_numbers(record.key), to_text(record.value),
                                           record.source};
        if (seen.insert(row).second) table.add_row(row);
    }
    return table.empty() ? ""
                         : "\nTaken by default, because no file says otherwise\n" + table.text();
}

}  // namespace noonshell
