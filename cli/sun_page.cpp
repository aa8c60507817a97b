#include "cli/sun_page.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <string_view>

#include "cli/page_parts.hpp"
#include "cli/result_units.hpp"
#include "cli/run_page_parts.hpp"
#include "cli/table.hpp"
#include "cli/utf8.hpp"

namespace noonshell {

namespace {

constexpr double least_shade = 1e-3;
constexpr double deviations_of_95_percent = 1.96;
constexpr std::size_t surfaces_shown = 20;
constexpr std::size_t date_length = 6;  // "21 Jul" of "21 Jul 15:15"
constexpr std::array<std::string_view, 12> short_months = {
    "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"};

std::vector<SurfaceId> brightest_first(const RunResult& result) {
    std::vector<SurfaceId> order;
    for (std::size_t s = 0; s < result.envelope().surfaces.size(); ++s) order.emplace_back(s);
    std::stable_sort(order.begin(), order.end(), [&result](SurfaceId a, SurfaceId b) {
        return result.sun().total_wh_m2(a) > result.sun().total_wh_m2(b);
    });
    return order;
}

std::string kwh(double wh) {
    return three_digits(kwh_of_watt_hours(wh));
}

std::string shader_text(const Shader& shader) {
    return fmt::format("{} {}", shader.own ? "itself" : shader.name, kwh(shader.wh_m2));
}

/// Those that take a share worth naming of the sun that the surface would have.
std::string shaders_text(const std::vector<Shader>& shaders, double unshaded_wh_m2,
                         std::size_t most) {
    std::string text;
    for (std::size_t i = 0; i < std::min(most, shaders.size()); ++i) {
        if (shaders[i].wh_m2 < least_shade * unshaded_wh_m2) break;
        text += (i == 0 ? "" : ", ") + shader_text(shaders[i]);
    }
    return text.empty() ? "-" : text;
}

std::string hour_text(const ToldCalendar& calendar, std::size_t hour) {
    return calendar.short_text(calendar.end_of_step(hour, 1));
}

/// "21 Jul"
std::string day_text(const ToldCalendar& calendar, std::size_t first_hour) {
    // The middle of the hour: its end may be the next day's beginning.
    return calendar.short_text(calendar.end_of_step(2 * first_hour, 2)).substr(0, date_length);
}

std::vector<std::string> row_of(const RunResult& result, const ToldCalendar& calendar, SurfaceId id,
                                std::size_t most_shaders) {
    const std::size_t s = id.index();
    const SurfaceSun& sun = result.sun();
    const SunTimes& times = result.sun_details.times[s];
    const bool lit = times.worst_hour_w_m2 > 0;
    const std::string none = "-";
    return {
        result.envelope().surfaces[s].id,
        number(result.envelope().surfaces[s].exposed_area_m2, 1),
        kwh(sun.total_wh_m2(id)),
        kwh(deviations_of_95_percent * sun.standard_error_wh_m2(id)),
        kwh(sun.direct_wh_m2[s]),
        kwh(sun.sky_wh_m2[s]),
        kwh(sun.ground_wh_m2[s]),
        kwh(sun.bounced_wh_m2[s]),
        number(sun.sun_time_h[s]),
        times.earliest_sun_s ? clock_text(*times.earliest_sun_s) : none,
        times.latest_sun_s ? clock_text(*times.latest_sun_s) : none,
        number(times.worst_hour_w_m2),
        lit ? hour_text(calendar, times.worst_hour) : none,
        number(kwh_of_watt_hours(times.worst_day_wh_m2), 2),
        lit ? day_text(calendar, times.worst_day_begin) : none,
        shaders_text(result.sun_details.shaders[s], sun.unshaded_direct_wh_m2[s], most_shaders)};
}

std::string sunlit_table(const RunResult& result, bool more) {
    TextTable table({{"surface"},
                     {"open m2", Align::right},
                     {"sun kWh/m2", Align::right},
                     {"+-", Align::right},
                     {"direct", Align::right},
                     {"sky", Align::right},
                     {"ground", Align::right},
                     {"bounced", Align::right},
                     {"sun h", Align::right},
                     {"from", Align::right},
                     {"to", Align::right},
                     {"W/m2", Align::right},
                     {"worst hour", Align::right},
                     {"kWh/m2", Align::right},
                     {"worst day", Align::right},
                     {"shaded by, kWh/m2"}});
    std::vector<SurfaceId> order = brightest_first(result);
    const std::size_t left =
        more || order.size() <= surfaces_shown ? 0 : order.size() - surfaces_shown;
    order.resize(order.size() - left);
    const ToldCalendar calendar = result.calendar();
    for (const SurfaceId id : order) {
        table.add_row(row_of(result, calendar, id, more ? 3 : 1));
    }
    std::string text =
        "\nSurfaces, those with the most sun first (shade by sample points: who keeps off direct "
        "sun)\n" +
        table.text();
    if (left > 0)
        text += fmt::format("  and {} more: surfaces.csv has all, --verbose prints them\n", left);
    return text;
}

std::string months_of(const RunResult& result) {
    const SunDetails& details = result.sun_details;
    std::vector<TextTable::Column> columns{{"surface"}};
    for (std::size_t m = 0; m < short_months.size(); ++m) {
        if (details.month_there[m]) columns.push_back({std::string(short_months[m]), Align::right});
    }
    TextTable table(columns);
    for (const SurfaceId id : brightest_first(result)) {
        std::vector<std::string> row{result.envelope().surfaces[id.index()].id};
        for (std::size_t m = 0; m < short_months.size(); ++m) {
            if (details.month_there[m])
                row.push_back(kwh(details.months.total_wh_m2(details.months.at(m, id))));
        }
        table.add_row(row);
    }
    return "\nMonths, kWh/m2\n" + table.text();
}

std::string sun_findings_of(const RunResult& result) {
    const SurfaceId brightest = brightest_first(result).front();
    const SunDetails& details = result.sun_details;
    std::size_t fiercest = 0, most_shaded = 0;
    for (std::size_t s = 0; s < details.times.size(); ++s) {
        if (details.times[s].worst_hour_w_m2 > details.times[fiercest].worst_hour_w_m2)
            fiercest = s;
        const auto taken = [&details](std::size_t i) {
            return details.shaders[i].empty() ? 0 : details.shaders[i].front().wh_m2;
        };
        if (taken(s) > taken(most_shaded)) most_shaded = s;
    }
    const auto id = [&result](std::size_t s) {
        return printable(result.envelope().surfaces[s].id);
    };
    std::string text = fmt::format(
        "\nFindings\n  Most sun: {}, {} kWh/m2.\n  Fiercest hour: {}, {} W/m2 in the hour to {}.\n",
        id(brightest.index()), kwh(result.sun().total_wh_m2(brightest)), id(fiercest),
        number(details.times[fiercest].worst_hour_w_m2),
        hour_text(result.calendar(), details.times[fiercest].worst_hour));
    if (details.shaders[most_shaded].empty()) return text;
    const Shader& shader = details.shaders[most_shaded].front();
    return text + fmt::format("  Most shade: {} keeps {} kWh/m2 of direct sun off {}.\n",
                              printable(shader.name), kwh(shader.wh_m2), id(most_shaded));
}

}  // namespace

std::string sun_page(const RunResult& result, bool more) {
    return head_of(result) + losses_of(result.warnings) + sun_findings_of(result) +
           sunlit_table(result, more) + (more ? months_of(result) : "") +
           carried_over_of(result, more) + accuracy_of(result) + balance_of(result) +
           defaults_of(result) + warnings_page(result.warnings, more) + cautions_page(false);
}

}  // namespace noonshell
