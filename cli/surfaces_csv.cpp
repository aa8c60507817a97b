#include "cli/surfaces_csv.hpp"

#include <fmt/format.h>

#include <cmath>
#include <vector>

#include "cli/local_time.hpp"
#include "cli/result_units.hpp"
#include "cli/surface_effects.hpp"
#include "cli/utf8.hpp"

namespace noonshell {

namespace {

using Fields = std::vector<std::string>;

const Fields& heads() {
    static const Fields names = {
        "surface",
        "unit",
        "kind",
        "construction",
        "rank",
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
        "absorbed_kwh_m2",
        "inward_kwh",
        "peak_inward_w",
        "peak_inward_time",
        "peak_outside_c",
        "peak_outside_time",
        "mean_outside_c",
        "best_treatment",
        "cost",
        "saves_cooling_kwh",
        "saves_peak_w",
        "lowers_peak_outside_k",
        "saves_kwh_per_cost",
    };
    return names;
}

std::string number(double value) {
    return std::isfinite(value) ? fmt::format("{}", value) : "";
}

void add_place(const RunResult& result, std::size_t s, Fields& fields) {
    const Surface& surface = result.envelope().surfaces[s];
    const std::uint32_t rank = result.ranking.rank[s];
    fields.push_back(surface.id);
    fields.push_back(surface.unit.valid() ? result.envelope().units[surface.unit.index()].id : "");
    fields.emplace_back(to_string(surface.kind));
    fields.push_back(result.building.exposed[s].name);
    fields.push_back(rank == 0 ? "" : std::to_string(rank));
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
    kwh(sun.direct_standard_error_wh_m2[s]);
}

void add_heat(const RunResult& result, std::size_t s, Fields& fields) {
    const Response& response = result.response;
    const Surface& surface = result.envelope().surfaces[s];
    const bool open = surface.exposed_area_m2 > 0;
    const auto time = [&result, &response](const Peak& peak) {
        return local_time_text(
            end_of_step(result.place.weather, peak.step, response.steps_per_hour),
            result.place.site.utc_offset_h);
    };
    fields.push_back(number(kwh_of_joules(response.absorbed_j_m2[s]) * surface.exposed_area_m2 /
                            surface.area_m2));
    fields.push_back(number(kwh_of_joules(response.inward_j[s])));
    fields.push_back(number(response.peak_inward_w[s].value));
    fields.push_back(time(response.peak_inward_w[s]));
    fields.push_back(open ? number(response.peak_outside_c[s].value) : "");
    fields.push_back(open ? time(response.peak_outside_c[s]) : "");
    fields.push_back(open ? number(response.mean_outside_c[s]) : "");
}

void add_best(const RunResult& result, SurfaceId id, Fields& fields) {
    const Effect* best = best_effect_on(result.ranking, id);
    fields.push_back(best ? result.settings.treatments[best->treatment].name : "");
    if (!best) {
        fields.resize(heads().size());
        return;
    }
    for (const double value : {best->cost, kwh_of_joules(best->saves_cooling_j), best->saves_peak_w,
                               best->lowers_peak_steel_k, best->saves_kwh_per_cost()})
        fields.push_back(number(value));
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

std::string csv_field(std::string_view text) {
    std::string safe = printable(text);
    if (safe.find_first_of(",\"") == std::string::npos) return safe;
    std::string quoted = "\"";
    for (const char c : safe) quoted += c == '"' ? std::string("\"\"") : std::string(1, c);
    return quoted + '"';
}

std::string surfaces_csv(const RunResult& result) {
    std::string text = line_of(heads());
    for (std::size_t s = 0; s < result.envelope().surfaces.size(); ++s) {
        Fields fields;
        add_place(result, s, fields);
        add_sun(result.sun, SurfaceId(s), fields);
        add_heat(result, s, fields);
        add_best(result, SurfaceId(s), fields);
        NOONSHELL_CHECK_EQ(fields.size(), heads().size());
        text += line_of(fields);
    }
    return text;
}

}  // namespace noonshell
