#include "cli/summary_json.hpp"

#include "cli/cautions.hpp"
#include "cli/json_parts.hpp"
#include "cli/local_time.hpp"
#include "cli/result_units.hpp"
#include "cli/surface_effects.hpp"

namespace noonshell {

namespace {

Json site_of(const Site& site) {
    return {{"latitude_deg", site.latitude_deg}, {"longitude_deg", site.longitude_deg},
            {"elevation_m", site.elevation_m},   {"utc_offset_h", site.utc_offset_h},
            {"north_deg", site.north_deg},       {"ground_albedo", site.ground_albedo}};
}

Json period_of(const RunResult& result) {
    const Weather& weather = result.place.weather;
    const ToldCalendar calendar = result.calendar();
    const auto& years = calendar.month_years();
    return {{"from", calendar.text(calendar.begin())},
            {"to", calendar.text(calendar.end())},
            {"months_of_years", years ? Json::array({years->first, years->second}) : Json(nullptr)},
            {"hours", weather.size()},
            {"sun_step_s", result.settings.run.sun_step_s},
            {"heat_step_s", result.settings.run.heat_step_s},
            {"weather", json_text(weather.source)}};
}

Json sun_of(const SurfaceSun& sun, SurfaceId id) {
    const std::size_t s = id.index();
    return {{"direct_kwh_m2", kwh_of_watt_hours(sun.direct_wh_m2[s])},
            {"sky_kwh_m2", kwh_of_watt_hours(sun.sky_wh_m2[s])},
            {"ground_kwh_m2", kwh_of_watt_hours(sun.ground_wh_m2[s])},
            {"bounced_kwh_m2", kwh_of_watt_hours(sun.bounced_wh_m2[s])},
            {"total_kwh_m2", kwh_of_watt_hours(sun.total_wh_m2(id))},
            {"unshaded_direct_kwh_m2", kwh_of_watt_hours(sun.unshaded_direct_wh_m2[s])},
            {"sun_hours_h", sun.sun_time_h[s]},
            {"standard_error_kwh_m2", kwh_of_watt_hours(sun.direct_standard_error_wh_m2[s])}};
}

/// Null: outside temperatures of a surface without a part in the open, and heat into a room of one
/// that has no room behind it.
Json heat_of(const RunResult& result, const ToldCalendar& calendar, const Surface& surface,
             std::size_t s) {
    const Response& response = result.response;
    const bool open = surface.exposed_area_m2 > 0, room = surface.unit.valid();
    const auto number = [](bool there, double value) {
        return there ? Json(value) : Json(nullptr);
    };
    const auto time = [&](bool there, const Peak& peak) {
        return there ? Json(result.time_of(peak, calendar)) : Json(nullptr);
    };
    const double open_share = surface.exposed_area_m2 / surface.area_m2;
    Json heat;
    // Like all figures per m2: over the whole surface, covered parts included.
    heat["absorbed_kwh_m2"] = kwh_of_joules(response.absorbed_j_m2[s]) * open_share;
    heat["inward_kwh"] = number(room, kwh_of_joules(response.inward_j[s]));
    heat["peak_inward_w"] = number(room, response.peak_inward_w[s].value);
    heat["peak_inward_time"] = time(room, response.peak_inward_w[s]);
    heat["peak_outside_c"] = number(open, response.peak_outside_c[s].value);
    heat["peak_outside_time"] = time(open, response.peak_outside_c[s]);
    heat["mean_outside_c"] = number(open, response.mean_outside_c[s]);
    return heat;
}

Json treatments_of(const RunResult& result, SurfaceId id) {
    Json list = Json::array();
    for (const Effect& effect : effects_on(result.ranking, id)) {
        list.push_back({{"treatment", json_text(result.settings.treatments[effect.treatment].name)},
                        {"cost", effect.cost},
                        {"saves_cooling_kwh", kwh_of_joules(effect.saves_cooling_j)},
                        {"adds_heating_kwh", kwh_of_joules(effect.adds_heating_j)},
                        {"saves_peak_w", effect.saves_peak_w},
                        {"lowers_peak_outside_k", effect.lowers_peak_steel_k},
                        {"saves_kwh_per_cost", effect.saves_kwh_per_cost()}});
    }
    return list;
}

Json surfaces_of(const RunResult& result) {
    const ToldCalendar calendar = result.calendar();
    Json list = Json::array();
    for (std::size_t s = 0; s < result.envelope().surfaces.size(); ++s) {
        const Surface& surface = result.envelope().surfaces[s];
        const std::uint32_t rank = result.ranking.rank[s];
        Json entry = json_surface(result.envelope(), surface);
        entry["construction"] = json_text(result.building.exposed[s].name);
        entry["rank"] = rank == 0 ? Json(nullptr) : Json(rank);
        entry["sun"] = sun_of(result.sun, SurfaceId(s));
        entry["heat"] = heat_of(result, calendar, surface, s);
        entry["treatments"] = treatments_of(result, SurfaceId(s));
        list.push_back(std::move(entry));
    }
    return list;
}

Json units_of(const RunResult& result) {
    const Response& response = result.response;
    const ToldCalendar calendar = result.calendar();
    Json list = Json::array();
    for (std::size_t u = 0; u < result.envelope().units.size(); ++u) {
        const Unit& unit = result.envelope().units[u];
        const Peak &cooling = response.peak_cooling_w[u], &free = result.units[u].peak_free_air_c;
        list.push_back(
            {{"id", json_text(unit.id)},
             {"floor_area_m2", unit.floor_area_m2},
             {"volume_m3", unit.volume_m3},
             {"cooling_kwh", kwh_of_joules(response.cooling_j[u])},
             {"heating_kwh", kwh_of_joules(response.heating_j[u])},
             {"electricity_kwh", kwh_of_joules(result.units[u].electricity_j)},
             {"peak_cooling_w", cooling.value},
             {"peak_cooling_time",
              cooling.value > 0 ? Json(result.time_of(cooling, calendar)) : Json(nullptr)},
             {"peak_air_c", free.value},
             {"peak_air_time", result.time_of(free, calendar)},
             {"hours_too_hot_h", result.units[u].hours_too_hot_h},
             {"too_hot_kh", result.units[u].too_hot_kh}});
    }
    return list;
}

Json inputs_of(const RunResult& result) {
    Json list = Json::array();
    for (const InputRecord& record : result.settings.inputs) {
        Json value = std::visit([](const auto& held) { return Json(held); }, record.value);
        if (const auto* text = std::get_if<std::string>(&record.value)) value = json_text(*text);
        list.push_back({{"key", json_text(record.key)},
                        {"value", std::move(value)},
                        {"from", to_string(record.origin)},
                        {"source", json_text(record.source)}});
    }
    return list;
}

}  // namespace

std::string summary_json(const RunResult& result) {
    Json document;
    document["version"] = NOONSHELL_VERSION;
    document["model"] = json_text(result.settings.model.file.filename().string());
    document["site"] = site_of(result.place.site);
    document["period"] = period_of(result);
    document["currency"] = json_text(result.settings.plan.currency);
    document["surfaces"] = surfaces_of(result);
    document["units"] = units_of(result);
    document["balance"] = {{"solar_residual", result.solar_residual},
                           {"heat_residual", result.response.heat_residual()}};
    document["inputs"] = inputs_of(result);
    document["warnings"] = json_warnings(result.warnings);
    document["cautions"] = Json(cautions());
    return document_text(document);
}

}  // namespace noonshell
