#include "cli/carpet_picture.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <vector>

#include "cli/day_table.hpp"
#include "cli/picture_scale.hpp"
#include "cli/result_units.hpp"
#include "cli/svg.hpp"

namespace noonshell {

namespace {

constexpr double panel_width = 420, panel_gap = 50, edge = 30;
constexpr double clock_width = 44, carpet_top = 100, row_height = 12;
constexpr std::size_t day_hours = 24, year_months = 12;
constexpr const char* month_letters = "JFMAMJJASOND";

struct Carpet {
    std::string title, unit;
    std::function<double(std::size_t hour)> value;  ///< of the weather's hours
};

/// [month * 24 + hour], January first; NaN where the period has no such hour.
std::vector<float> mean_days_of(const DayTable& days, const Carpet& carpet) {
    std::vector<float> year(year_months * day_hours, std::numeric_limits<float>::quiet_NaN());
    const std::vector<float> table = days.table(carpet.value);
    for (std::size_t day = 0; day < days.days().size(); ++day) {
        for (std::size_t hour = 0; hour < day_hours; ++hour)
            year[days.days()[day].month * day_hours + hour] = table[day * day_hours + hour];
    }
    return year;
}

PictureScale scale_of(const std::vector<float>& values, const std::string& unit) {
    double low = std::numeric_limits<double>::max(), high = -low;
    for (const float value : values) {
        if (std::isnan(value)) continue;
        low = std::min(low, static_cast<double>(value));
        high = std::max(high, static_cast<double>(value));
    }
    return low <= high ? PictureScale{low, high, unit} : PictureScale{0, 1, unit};
}

void draw_carpet(SvgPage& page, const DayTable& days, const Carpet& carpet, double x) {
    const std::vector<float> year = mean_days_of(days, carpet);
    const PictureScale scale = scale_of(year, carpet.unit);
    const double left = x + clock_width, column = (panel_width - clock_width) / year_months;
    const double bottom = carpet_top + day_hours * row_height;
    page.text(x, carpet_top - 12, fmt::format("{}, {}", carpet.title, carpet.unit),
              {.size = 13, .bold = true});
    page.open(R"(shape-rendering="crispEdges")", carpet.title);
    for (std::size_t month = 0; month < year_months; ++month) {
        for (std::size_t hour = 0; hour < day_hours; ++hour) {
            const float value = year[month * day_hours + hour];
            if (std::isnan(value)) continue;
            page.rectangle(left + static_cast<double>(month) * column,
                           carpet_top + static_cast<double>(hour) * row_height, column, row_height,
                           fmt::format(R"(fill="{}")", scale.colour(value)));
        }
    }
    page.close();
    page.rectangle(
        left, carpet_top, panel_width - clock_width, day_hours * row_height,
        fmt::format(R"(fill="none" stroke="{}" stroke-width="0.7")", picture_colour::ink));
    for (std::size_t month = 0; month < year_months; ++month)
        page.text(left + (static_cast<double>(month) + 0.5) * column, bottom + 15,
                  std::string_view(month_letters).substr(month, 1),
                  {.size = 11, .anchor = "middle"});
    for (const int hour : {0, 6, 12, 18, 24}) {
        const double y = carpet_top + hour * row_height;
        page.line(left - 4, y, left, y,
                  fmt::format(R"(stroke="{}" stroke-width="0.7")", picture_colour::ink));
        const int minute = hour < 24 ? days.first_minute() : 0;
        page.text(left - 7, y + 4, fmt::format("{:02}:{:02}", hour, minute),
                  {.size = 11, .anchor = "end"});
    }
    draw_scale(page, scale, left, bottom + 34, panel_width - clock_width);
}

/// "every month", "July", "the 3 months with weather".
std::string months_told(const DayTable& days) {
    const std::size_t n = days.days().size();
    if (n == year_months) return "every month";
    if (n == 1) return std::string(month_names[days.days().front().month]);
    return fmt::format("the {} months with weather", n);
}

std::string carpets_svg(const RunResult& result, const std::string& name,
                        const std::vector<Carpet>& carpets) {
    const DayTable days(result.place.site, result.place.weather, result.calendar(),
                        DayTable::Days::mean_of_months);
    const auto n = static_cast<double>(carpets.size());
    SvgPage page(2 * edge + n * panel_width + (n - 1) * panel_gap,
                 carpet_top + day_hours * row_height + 90,
                 fmt::format("{}: hours and months", name),
                 "Months from left to right, hours of the day from top to bottom; every field is "
                 "the mean of its hour over the days of its month.");
    define_ramp(page);
    page.text(edge, 34, name, {.size = 19, .bold = true});
    page.text(edge, 52,
              fmt::format("{}; mean day of {}, standard time of the site",
                          result.settings.model.file.filename().string(), months_told(days)),
              {.size = 12, .fill = picture_colour::quiet});
    double x = edge;
    for (const Carpet& carpet : carpets) {
        draw_carpet(page, days, carpet, x);
        x += panel_width + panel_gap;
    }
    return page.document();
}

}  // namespace

std::string carpet_svg(const RunResult& result, SurfaceId surface) {
    const Surface& of = result.envelope().surfaces[surface.index()];
    const Exposure& exposure = result.light.exposure;
    std::vector<Carpet> carpets = {{"Sun on the surface", "W/m\u00B2", [&](std::size_t hour) {
                                        const std::size_t i = exposure.at(hour, surface);
                                        return exposure.direct_w_m2[i] + exposure.sky_w_m2[i] +
                                               exposure.ground_w_m2[i] + exposure.bounced_w_m2[i];
                                    }}};
    if (result.with_heat() && of.unit.valid()) {
        const Response& response = result.response;
        carpets.push_back({"Heat inward", "W/m\u00B2", [&](std::size_t hour) {
                               const std::size_t i = hour * response.n_surfaces + surface.index();
                               return static_cast<double>(response.inward_w[i]) / of.area_m2;
                           }});
    }
    return carpets_svg(result, of.id, carpets);
}

std::string carpet_svg(const RunResult& result, UnitId unit) {
    const auto from = [&result, unit](const std::vector<float>& values) {
        return [&values, n = result.response.n_units, unit](std::size_t hour) {
            return static_cast<double>(values[hour * n + unit.index()]);
        };
    };
    const auto cooling = from(result.response.cooling_w);
    return carpets_svg(
        result, result.envelope().units[unit.index()].id,
        {{"Cooling", "kW", [cooling](std::size_t hour) { return kilowatts(cooling(hour)); }},
         {"Air without cooling", "\u00B0C", from(result.free_response.air_c)}});
}

}  // namespace noonshell
