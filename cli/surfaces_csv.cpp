#include "cli/surfaces_csv.hpp"

#include <fmt/format.h>

#include <array>
#include <cmath>
#include <vector>

#include "cli/csv_text.hpp"
#include "cli/local_time.hpp"
#include "cli/result_units.hpp"
#include "cli/surface_effects.hpp"
#include "cli/utf8.hpp"

namespace noonshell {

namespace {

using Fields = std::vector<std::string>;

// What is told of each treatment on each surface, its name in brackets.
constexpr std::array<std::string_view, 5> effect_heads = {
    "cost", "saves_cooling_kwh", "adds_heating_kwh", "saves_peak_w", "lowers_peak_outside_k"};

std::array<double, 5> effect_values(const Effect& e) {
    return {e.cost, kwh_of_joules(e.saves_cooling_j), kwh_of_joules(e.adds_heating_j),
            e.saves_peak_w, e.lowers_peak_steel_k};
}

Fields heads(const RunResult& result) {
    Fields names = {"surface", "unit", "kind", "construction"};
    if (result.ranked()) names.emplace_back("rank");
    const auto append = [&names](std::initializer_list<const char*> more) {
        names.insert(names.end(), more.begin(), more.end());
    };
    append({
        "azimuth_deg",
        "tilt_deg",
        "area_m2",
        "exposed_area_m2",
        "direct_kwh_m2",
        "sky_kwh_m2",
        "ground_kwh_m2",
        "bounced_kwh_m2",
        "total_kwh_m2",
        "unshaded_direct_kwh_m2",
        "sun_hours_h",
        "standard_error_kwh_m2",
        "direct_standard_error_kwh_m2",
        "sky_standard_error_kwh_m2",
        "ground_standard_error_kwh_m2",
        "bounced_standard_error_kwh_m2",
        "earliest_sun",
        "latest_sun",
        "worst_hour_w_m2",
        "worst_hour_end",
        "worst_day_kwh_m2",
        "worst_day",
        "shaded_by",
        "shaded_by_kwh_m2",
    });
    if (!result.with_heat()) return names;
    append({
        "absorbed_kwh_m2",
        "inward_kwh",
        "peak_inward_w",
        "peak_inward_time",
        "peak_outside_c",
        "peak_outside_time",
        "mean_outside_c",
        "hottest_part_c",
        "hottest_part_time",
        "hottest_part_facet",
    });
    if (!result.ranked()) return names;
    append({"best_treatment", "saves_kwh_per_cost"});
    names.insert(names.end(), effect_heads.begin(), effect_heads.end());
    for (const Treatment& treatment : result.settings.treatments) {
        for (const std::string_view head : effect_heads)
            names.push_back(fmt::format("{}[{}]", head, treatment.name));
    }
    return names;
}

/// Seven digits are more than any input is good for, and spreadsheets stay readable.
std::string number(double value) {
    return std::isfinite(value) ? fmt::format("{:.7g}", value + 0.0) : "";  // no -0
}

void add_place(const RunResult& result, std::size_t s, Fields& fields) {
    const Surface& surface = result.envelope().surfaces[s];
    fields.push_back(surface.id);
    fields.push_back(surface.unit.valid() ? result.envelope().units[surface.unit.index()].id : "");
    fields.emplace_back(to_string(surface.kind));
    fields.push_back(result.building.exposed[s].name);
    if (result.ranked()) {
        const std::uint32_t rank = result.ranking.rank[s];
        fields.push_back(rank == 0 ? "" : std::to_string(rank));
    }
    for (const double value :
         {surface.azimuth_deg, surface.tilt_deg, surface.area_m2, surface.exposed_area_m2})
        fields.push_back(number(value));
}

void add_sun(const SurfaceSun& sun, SurfaceId id, Fields& fields) {
    const std::size_t s = id.index();
    const auto kwh = [&fields](double wh) { fields.push_back(number(kwh_of_watt_hours(wh))); };
    kwh(sun.direct_wh_m2[s]);
    kwh(sun.sky_wh_m2[s]);
    kwh(sun.ground_wh_m2[s]);
    kwh(sun.bounced_wh_m2[s]);
    kwh(sun.total_wh_m2(id));
    kwh(sun.unshaded_direct_wh_m2[s]);
    fields.push_back(number(sun.sun_time_h[s]));
    kwh(sun.standard_error_wh_m2(id));
    kwh(sun.direct_standard_error_wh_m2[s]);
    kwh(sun.sky_standard_error_wh_m2[s]);
    kwh(sun.ground_standard_error_wh_m2[s]);
    kwh(sun.bounced_standard_error_wh_m2[s]);
}

void add_sun_details(const RunResult& result, const ToldCalendar& calendar, std::size_t s,
                     Fields& fields) {
    const SunTimes& times = result.sun_details.times[s];
    const bool lit = times.worst_hour_w_m2 > 0;
    fields.push_back(times.earliest_sun_s ? clock_text(*times.earliest_sun_s) : "");
    fields.push_back(times.latest_sun_s ? clock_text(*times.latest_sun_s) : "");
    fields.push_back(number(times.worst_hour_w_m2));
    fields.push_back(lit ? calendar.text(calendar.end_of_step(times.worst_hour, 1)) : "");
    fields.push_back(number(kwh_of_watt_hours(times.worst_day_wh_m2)));
    fields.push_back(lit ? calendar.date(times.worst_day_begin) : "");
    const std::vector<Shader>& shaders = result.sun_details.shaders[s];
    fields.push_back(shaders.empty() ? "" : shaders[0].name);
    fields.push_back(shaders.empty() ? "" : number(kwh_of_watt_hours(shaders[0].wh_m2)));
}

void add_heat(const RunResult& result, const ToldCalendar& calendar, std::size_t s,
              Fields& fields) {
    const Response& response = result.response;
    const Surface& surface = result.envelope().surfaces[s];
    const bool open = surface.exposed_area_m2 > 0, room = surface.unit.valid();
    const auto time = [&](const Peak& peak) { return result.time_of(peak, calendar); };
    fields.push_back(number(kwh_of_joules(response.absorbed_j_m2[s]) * surface.exposed_area_m2 /
                            surface.area_m2));
    fields.push_back(room ? number(kwh_of_joules(response.inward_j[s])) : "");
    fields.push_back(room ? number(response.peak_inward_w[s].value) : "");
    fields.push_back(room ? time(response.peak_inward_w[s]) : "");
    fields.push_back(open ? number(response.peak_outside_c[s].value) : "");
    fields.push_back(open ? time(response.peak_outside_c[s]) : "");
    fields.push_back(open ? number(response.mean_outside_c[s]) : "");
    if (!result.has_hot_spot(s)) {
        fields.resize(fields.size() + 3);
        return;
    }
    const std::size_t facet = result.bright_parts[s].facet.index() - surface.first_facet + 1;
    fields.push_back(number(result.hot_spots.outside_c[s].value));
    fields.push_back(time(result.hot_spots.outside_c[s]));
    fields.push_back(std::to_string(facet));
}

void add_best(const RunResult& result, SurfaceId id, Fields& fields) {
    const Effect* best = best_effect_on(result.ranking, id);
    fields.push_back(best ? result.settings.treatments[best->treatment].name : "");
    fields.push_back(best ? number(best->saves_kwh_per_cost()) : "");
    if (!best) {
        fields.resize(fields.size() + effect_heads.size());
        return;
    }
    for (const double value : effect_values(*best)) fields.push_back(number(value));
}

/// Every treatment in the order of the site file; empty where one does not fit the surface.
void add_effects(const RunResult& result, SurfaceId id, Fields& fields) {
    const std::size_t first = fields.size(), n = effect_heads.size();
    fields.resize(first + n * result.settings.treatments.size());
    for (const Effect& effect : effects_on(result.ranking, id)) {
        const auto values = effect_values(effect);
        for (std::size_t i = 0; i < n; ++i)
            fields[first + n * effect.treatment + i] = number(values[i]);
    }
}

std::string line_of(const Fields& fields) {
    std::string line;
    for (const std::string& field : fields) {
        if (!line.empty()) line += ',';
        line += csv_field(field);
    }
    return line + "\r\n";
}

}  // namespace

std::string surfaces_csv(const RunResult& result) {
    const Fields names = heads(result);
    const ToldCalendar calendar = result.calendar();
    std::string text = line_of(names);
    for (std::size_t s = 0; s < result.envelope().surfaces.size(); ++s) {
        Fields fields;
        add_place(result, s, fields);
        add_sun(result.sun(), SurfaceId(s), fields);
        add_sun_details(result, calendar, s, fields);
        if (result.with_heat()) add_heat(result, calendar, s, fields);
        if (result.ranked()) {
            add_best(result, SurfaceId(s), fields);
            add_effects(result, SurfaceId(s), fields);
        }
        NOONSHELL_CHECK_EQ(fields.size(), names.size());
        text += line_of(fields);
    }
    return text;
}

}  // namespace noonshell
