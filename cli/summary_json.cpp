#include "cli/summary_json.hpp"

#include <cmath>

#include "cli/cautions.hpp"
#include "cli/constructions_told.hpp"
#include "cli/defence_told.hpp"
#include "cli/json_parts.hpp"
#include "cli/local_time.hpp"
#include "cli/result_units.hpp"
#include "cli/surface_effects.hpp"
#include "thermal/heat_account.hpp"
#include "thermal/touch.hpp"

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
    Json period = {
        {"from", calendar.text(calendar.begin())},
        {"to", calendar.text(calendar.end())},
        {"months_of_years", years ? Json::array({years->first, years->second}) : Json(nullptr)},
        {"hours", weather.size()},
        {"sun_step_s", result.settings.run.sun_step_s}};
    if (result.with_heat()) period["heat_step_s"] = result.settings.run.heat_step_s;
    period["weather"] = json_text(weather.source);
    return period;
}

Json parts_of(const RunResult& result) {
    Json parts = Json::array({"sun"});
    if (result.with_heat()) parts.push_back("heat");
    if (result.ranked()) parts.push_back("ranking");
    return parts;
}

/// Half width of the 95 % range of a surface's sun over that sun; null where none was asked for.
Json accuracy_reached(const RunResult& result) {
    const double asked = result.settings.run.accuracy;
    const SurfaceId least_sure = result.light.least_sure;
    return {{"reached_percent", 100 * result.light.accuracy},
            {"least_sure", least_sure.valid()
                               ? json_text(result.envelope().surfaces[least_sure.index()].id)
                               : Json(nullptr)},
            {"asked_percent", asked > 0 ? Json(100 * asked) : Json(nullptr)}};
}

Json shaders_of(const std::vector<Shader>& shaders) {
    Json list = Json::array();
    for (const Shader& shader : shaders) {
        list.push_back({{"body", json_text(shader.name)},
                        {"own", shader.own},
                        {"kwh_m2", kwh_of_watt_hours(shader.wh_m2)}});
    }
    return list;
}

/// Null where there is no light, or no direct sun.
void add_times(const SunTimes& times, const ToldCalendar& calendar, Json& sun) {
    const auto clock = [](const std::optional<double>& time_s) {
        return time_s ? Json(clock_text(*time_s)) : Json(nullptr);
    };
    const bool lit = times.worst_hour_w_m2 > 0;
    sun["earliest_sun"] = clock(times.earliest_sun_s);
    sun["latest_sun"] = clock(times.latest_sun_s);
    sun["worst_hour_w_m2"] = times.worst_hour_w_m2;
    sun["worst_hour_end"] =
        lit ? Json(calendar.text(calendar.end_of_step(times.worst_hour, 1))) : Json(nullptr);
    sun["worst_day_kwh_m2"] = kwh_of_watt_hours(times.worst_day_wh_m2);
    sun["worst_day"] = lit ? Json(calendar.date(times.worst_day_begin)) : Json(nullptr);
}

Json sun_of(const RunResult& result, const ToldCalendar& calendar, SurfaceId id) {
    const std::size_t s = id.index();
    const SurfaceSun& sun = result.sun();
    Json all = {
        {"direct_kwh_m2", kwh_of_watt_hours(sun.direct_wh_m2[s])},
        {"sky_kwh_m2", kwh_of_watt_hours(sun.sky_wh_m2[s])},
        {"ground_kwh_m2", kwh_of_watt_hours(sun.ground_wh_m2[s])},
        {"bounced_kwh_m2", kwh_of_watt_hours(sun.bounced_wh_m2[s])},
        {"total_kwh_m2", kwh_of_watt_hours(sun.total_wh_m2(id))},
        {"unshaded_direct_kwh_m2", kwh_of_watt_hours(sun.unshaded_direct_wh_m2[s])},
        {"sun_hours_h", sun.sun_time_h[s]},
        {"standard_error_kwh_m2", kwh_of_watt_hours(sun.standard_error_wh_m2(id))},
        {"direct_standard_error_kwh_m2", kwh_of_watt_hours(sun.direct_standard_error_wh_m2[s])},
        {"sky_standard_error_kwh_m2", kwh_of_watt_hours(sun.sky_standard_error_wh_m2[s])},
        {"ground_standard_error_kwh_m2", kwh_of_watt_hours(sun.ground_standard_error_wh_m2[s])},
        {"bounced_standard_error_kwh_m2", kwh_of_watt_hours(sun.bounced_standard_error_wh_m2[s])}};
    add_times(result.sun_details.times[s], calendar, all);
    all["shaded_by"] = shaders_of(result.sun_details.shaders[s]);
    return all;
}

/// A sum of heat steps, freed of what adding them up in hours left behind the point.
double whole_steps_h(const RunResult& result, double hours) {
    const auto per_hour = static_cast<double>(result.response.steps_per_hour);
    return std::nearbyint(hours * per_hour) / per_hour;
}

/// Hours at or above the burn threshold of bare metal, by time of contact; null of what is none.
Json touch_of(const RunResult& result, std::size_t s) {
    if (!is_metal_outside(result.building.exposed[s])) return nullptr;
    Json list = Json::array();
    const auto thresholds = bare_metal_touch_thresholds();
    for (std::size_t t = 0; t < thresholds.size(); ++t) {
        list.push_back({{"contact_s", thresholds[t].contact_s},
                        {"threshold_c", thresholds[t].threshold_c},
                        {"hours_h", whole_steps_h(result, result.touch_h(s, t))}});
    }
    return list;
}

/// Null where the brightest part was not looked at.
Json hottest_part_of(const RunResult& result, const ToldCalendar& calendar, std::size_t s) {
    if (!result.has_hot_spot(s)) return nullptr;
    const BrightPart& part = result.bright_parts[s];
    const Peak& outside = result.hot_spots.outside_c[s];
    return {{"facet", part.facet.index() - result.envelope().surfaces[s].first_facet + 1},
            {"middle_m", {part.middle_m.x(), part.middle_m.y(), part.middle_m.z()}},
            {"area_m2", part.area_m2},
            {"peak_outside_c", outside.value},
            {"peak_outside_time", result.time_of(outside, calendar)},
            {"peak_steel_c", result.hot_spots.steel_c[s].value}};
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
    heat["condensation_h"] = number(room, whole_steps_h(result, response.condensation_h[s]));
    heat["hottest_part"] = hottest_part_of(result, calendar, s);
    heat["hot_to_touch"] = open ? touch_of(result, s) : Json(nullptr);
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
        Json entry = json_surface(result.envelope(), surface);
        entry["construction"] = json_text(result.building.exposed[s].name);
        if (result.ranked()) {
            const std::uint32_t rank = result.ranking.rank[s];
            entry["rank"] = rank == 0 ? Json(nullptr) : Json(rank);
        }
        entry["sun"] = sun_of(result, calendar, SurfaceId(s));
        if (result.with_heat()) entry["heat"] = heat_of(result, calendar, surface, s);
        if (result.ranked()) entry["treatments"] = treatments_of(result, SurfaceId(s));
        list.push_back(std::move(entry));
    }
    return list;
}

Json design_load(const DesignLoad& load) {
    return {{"total_w", load.total_w},
            {"sensible_w", load.total_w - load.latent_w},
            {"latent_w", load.latent_w},
            {"needed_capacity_w", load.needed_capacity_w}};
}

Json design_day_of(const RunResult& result) {
    if (!result.design_day) return nullptr;
    const HandbookDay& day = *result.design_day;
    return {{"peak_dry_bulb_c", day.peak_dry_bulb_c},
            {"daily_range_k", day.daily_range_k},
            {"dew_point_c", day.dew_point_c},
            {"wind_m_s", day.wind_m_s},
            {"sun_of", result.calendar().text(result.calendar().hour_start(day.first_hour))}};
}

/// Into the room, below 0 out of it; all but `stored_kwh` adds up to that.
Json account_of(const RunResult& result, UnitId unit) {
    const HeatAccount account = heat_account(result.response, result.envelope(), unit);
    return {{"roof_kwh", kwh_of_joules(account.roof_j)},
            {"walls_kwh", kwh_of_joules(account.walls_j)},
            {"floor_kwh", kwh_of_joules(account.floor_j)},
            {"panes_kwh", kwh_of_joules(account.panes_j)},
            {"sun_through_panes_kwh", kwh_of_joules(account.pane_sun_j)},
            {"leaks_kwh", kwh_of_joules(account.leaks_j)},
            {"ventilation_kwh", kwh_of_joules(account.ventilation_j)},
            {"doorways_kwh", kwh_of_joules(account.doorways_j)},
            {"gains_kwh", kwh_of_joules(account.gains_j)},
            {"heating_kwh", kwh_of_joules(account.heating_j)},
            {"cooling_kwh", kwh_of_joules(0 - account.cooling_j)},
            {"stored_kwh", kwh_of_joules(account.stored_j)}};
}

Json units_of(const RunResult& result) {
    const Response& response = result.response;
    const ToldCalendar calendar = result.calendar();
    Json list = Json::array();
    for (std::size_t u = 0; u < result.envelope().units.size(); ++u) {
        const Unit& unit = result.envelope().units[u];
        const Peak &cooling = response.peak_cooling_w[u], &load = response.peak_load_w[u];
        const Peak &heating = response.peak_heating_w[u], &free = result.units[u].peak_free_air_c;
        const auto time_of_load = [&](const Peak& peak) {
            return peak.value > 0 ? Json(result.time_of(peak, calendar)) : Json(nullptr);
        };
        list.push_back(
            {{"id", json_text(unit.id)},
             {"floor_area_m2", unit.floor_area_m2},
             {"volume_m3", unit.volume_m3},
             {"cooling_kwh", kwh_of_joules(response.cooling_j[u])},
             {"latent_kwh", kwh_of_joules(response.latent_j[u])},
             {"heating_kwh", kwh_of_joules(response.heating_j[u])},
             {"electricity_kwh", kwh_of_joules(result.units[u].electricity_j)},
             {"electricity_cost", result.bill_of(result.units[u].priced_electricity_j)},
             {"peak_cooling_w", cooling.value},
             {"needed_capacity_w", result.units[u].needed_capacity_w.value},
             {"peak_load_w", load.value},
             {"peak_load_time", time_of_load(load)},
             {"peak_latent_w", response.latent_at_peak_w[u]},
             {"peak_heating_w", heating.value},
             {"peak_heating_time", time_of_load(heating)},
             {"fan_electricity_kwh", kwh_of_joules(response.fan_electricity_j[u])},
             {"heat_account", account_of(result, UnitId(u))},
             {"design_day",
              result.design_loads.empty() ? Json(nullptr) : design_load(result.design_loads[u])},
             {"plant_to_buy_w", plant_to_buy_w(result.needed_in_all_w(u))},
             {"plants_to_buy_w", plants_to_buy_w(result.needed_in_all_w(u))},
             {"hours_not_met_h", result.building.rooms[u].plant.is_limited()
                                     ? Json(whole_steps_h(result, result.units[u].hours_not_met_h))
                                     : Json(nullptr)},
             {"peak_cooling_time", time_of_load(cooling)},
             {"peak_air_c", free.value},
             {"peak_air_time", result.time_of(free, calendar)},
             {"hours_too_hot_h", result.units[u].hours_too_hot_h},
             {"too_hot_kh", result.units[u].too_hot_kh},
             {"peak_wbgt_c", result.units[u].heat_stress.peak_c},
             {"hours_above_30_wbgt_h", result.units[u].heat_stress.hours_above_h}});
    }
    return list;
}

Json sizes_of_units(const RunResult& result) {
    Json list = Json::array();
    for (const Unit& unit : result.envelope().units) {
        list.push_back({{"id", json_text(unit.id)},
                        {"floor_area_m2", unit.floor_area_m2},
                        {"volume_m3", unit.volume_m3}});
    }
    return list;
}

Json carried_of(const RunResult& result) {
    Json list = Json::array();
    for (const CarriedChoice& carried : result.carried) {
        list.push_back({{"surface", json_text(carried.surface)},
                        {"former", json_text(carried.former)},
                        {"choice", json_text(carried.choice)}});
    }
    return list;
}

Json inputs_of(const RunResult& result) {
    Json list = Json::array();
    for (const InputRecord& record : result.settings.inputs) {
        if (!result.with_heat() && is_of_heat_alone(record.key)) continue;
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

Json summary_document(const RunResult& result) {
    Json document;
    document["version"] = NOONSHELL_VERSION;
    document["model"] = json_text(result.settings.model.file.filename().string());
    document["site"] = site_of(result.place.site);
    document["parts"] = parts_of(result);
    document["preview"] = result.choices.preview;
    document["period"] = period_of(result);
    document["accuracy"] = accuracy_reached(result);
    if (result.ranked()) document["currency"] = json_text(result.settings.plan.currency);
    document["surfaces"] = surfaces_of(result);
    if (result.with_heat()) document["design_day"] = design_day_of(result);
    document["units"] = result.with_heat() ? units_of(result) : sizes_of_units(result);
    if (result.with_heat()) document["constructions"] = json_constructions(result);
    if (result.ranked()) document["defence"] = json_defence(result);
    document["balance"] = {{"solar_residual", result.light.exposure.solar_residual}};
    if (result.with_heat()) {
        document["balance"]["heat_residual"] = result.response.heat_residual();
        document["balance"]["heat_residual_of_a_day"] = result.response.heat_residual_of_a_day();
    }
    document["inputs"] = inputs_of(result);
    if (result.settings.model.against) document["carried_over"] = carried_of(result);
    document["warnings"] = json_warnings(result.warnings);
    document["cautions"] = Json(cautions(result.with_heat() && result.offers_film()));
    return document;
}

std::string summary_json(const RunResult& result) {
    return document_text(summary_document(result));
}

}  // namespace noonshell
