#include "cli/report_data.hpp"

#include <cmath>
#include <fstream>
#include <functional>
#include <limits>
#include <string>
#include <vector>

#include "cli/day_paths.hpp"
#include "cli/day_table.hpp"
#include "cli/packed_numbers.hpp"
#include "cli/report_masks.hpp"
#include "cli/report_scene.hpp"
#include "cli/result_units.hpp"
#include "cli/summary_json.hpp"

namespace noonshell {

namespace {

constexpr std::size_t months_of_year = 12;
constexpr double step_w_m2 = 0.1, step_w = 0.1, step_k = 0.01, step_deg = 0.01;
/// Above so many numbers in one table of surfaces, mean days stand for days.
constexpr std::size_t most_numbers = 1'500'000;

DayTable days_of(const RunResult& result, DayTable::Days days) {
    return {result.place.site, result.place.weather, result.calendar(), days};
}

using HourOf = std::function<double(std::size_t hour, std::size_t item)>;

/// Item after item, each with all its days.
Json hours_of(const DayTable& days, std::size_t items, double step, const HourOf& value) {
    std::vector<float> all;
    for (std::size_t i = 0; i < items; ++i) {
        const auto table = days.table([&](std::size_t hour) { return value(hour, i); });
        all.insert(all.end(), table.begin(), table.end());
    }
    return packed_steps(all, step);
}

Json days_told(const DayTable& days) {
    Json dates = Json::array(), month = Json::array();
    for (const DayTable::Day& day : days.days()) {
        dates.push_back(day.date);
        month.push_back(day.month);
    }
    return {{"dates", std::move(dates)},
            {"months", std::move(month)},
            {"means_of_months", days.of_months()},
            {"first_minute", days.first_minute()}};
}

Json paths_of(const RunResult& result) {
    const auto rounded = [](double degrees) { return std::round(degrees / step_deg) * step_deg; };
    Json list = Json::array();
    for (const DayPath& path : day_paths(result)) {
        Json azimuths = Json::array(), elevations = Json::array();
        for (const DayPath::Sun& sun : path.suns) {
            azimuths.push_back(rounded(sun.azimuth_deg));
            elevations.push_back(rounded(sun.elevation_deg));
        }
        list.push_back({{"date", path.date},
                        {"month", path.month},
                        {"azimuth_deg", std::move(azimuths)},
                        {"elevation_deg", std::move(elevations)}});
    }
    return list;
}

Json sun_of(const RunResult& result, const DayTable& days) {
    const SunPath& path = result.path;
    const auto middle = [&path](const std::vector<double>& values) {
        return [&](std::size_t hour) {
            const std::size_t begin = path.hour_begin[hour], end = path.hour_begin[hour + 1];
            return begin == end ? std::numeric_limits<double>::quiet_NaN()
                                : values[(begin + end) / 2];
        };
    };
    return {{"azimuth_deg", packed_steps(days.sample(middle(path.azimuth_deg)), step_deg)},
            {"elevation_deg", packed_steps(days.sample(middle(path.elevation_deg)), step_deg)},
            {"paths", paths_of(result)}};
}

Json hours_of(const RunResult& result, const DayTable& days) {
    const std::size_t n_surfaces = result.envelope().surfaces.size();
    const std::size_t n_units = result.envelope().units.size();
    const Exposure& exposure = result.light.exposure;
    const Weather& weather = result.place.weather;
    Json hours;
    hours["outdoor_c"] = packed_steps(
        days.table([&weather](std::size_t hour) { return weather.dry_bulb_c[hour]; }), step_k);
    hours["surface_sun_w_m2"] =
        hours_of(days, n_surfaces, step_w_m2, [&exposure](std::size_t hour, std::size_t s) {
            const std::size_t i = exposure.at(hour, SurfaceId(s));
            return exposure.direct_w_m2[i] + exposure.sky_w_m2[i] + exposure.ground_w_m2[i] +
                   exposure.bounced_w_m2[i];
        });
    if (!result.with_heat()) return hours;
    const auto from = [](const std::vector<float>& values, std::size_t n) {
        return [&values, n](std::size_t hour, std::size_t item) -> double {
            return values[hour * n + item];
        };
    };
    const Response &response = result.response, &free = result.free_response;
    hours["surface_outside_c"] =
        hours_of(days, n_surfaces, step_k, from(response.outside_c, n_surfaces));
    hours["surface_inward_w"] =
        hours_of(days, n_surfaces, step_w, from(response.inward_w, n_surfaces));
    hours["unit_cooling_w"] = hours_of(days, n_units, step_w, from(response.cooling_w, n_units));
    hours["unit_heating_w"] = hours_of(days, n_units, step_w, from(response.heating_w, n_units));
    hours["unit_air_c"] = hours_of(days, n_units, step_k, from(response.air_c, n_units));
    hours["unit_free_air_c"] = hours_of(days, n_units, step_k, from(free.air_c, n_units));
    return hours;
}

Json sums_of(const SurfaceBins& bins, const std::vector<double>& wh_m2) {
    std::vector<float> sums;
    for (std::size_t s = 0; s < bins.n_surfaces; ++s) {
        for (std::size_t m = 0; m < months_of_year; ++m)
            sums.push_back(static_cast<float>(kwh_of_watt_hours(wh_m2[bins.at(m, SurfaceId(s))])));
    }
    return packed_floats(sums);
}

/// Mean days of every month of the calendar, also of those that the period lacks.
Json mean_days(const DayTable& days, const Exposure& exposure, const std::vector<double>& w_m2) {
    std::vector<float> all;
    for (std::size_t s = 0; s < exposure.n_surfaces; ++s) {
        const auto table =
            days.table([&](std::size_t hour) { return w_m2[exposure.at(hour, SurfaceId(s))]; });
        std::vector<float> year(months_of_year * 24, std::numeric_limits<float>::quiet_NaN());
        for (std::size_t day = 0; day < days.days().size(); ++day) {
            for (std::size_t hour = 0; hour < 24; ++hour)
                year[days.days()[day].month * 24 + hour] = table[day * 24 + hour];
        }
        all.insert(all.end(), year.begin(), year.end());
    }
    return packed_steps(all, step_w_m2);
}

Json months_of(const RunResult& result, const DayTable& middles) {
    const Exposure& exposure = result.light.exposure;
    const SurfaceBins& bins = result.sun_details.months;
    Json there = Json::array();
    for (const bool month : result.sun_details.month_there) there.push_back(month);
    return {{"there", std::move(there)},
            {"direct_w_m2", mean_days(middles, exposure, exposure.direct_w_m2)},
            {"sky_w_m2", mean_days(middles, exposure, exposure.sky_w_m2)},
            {"ground_w_m2", mean_days(middles, exposure, exposure.ground_w_m2)},
            {"bounced_w_m2", mean_days(middles, exposure, exposure.bounced_w_m2)},
            {"direct_kwh_m2", sums_of(bins, bins.direct_wh_m2)},
            {"sky_kwh_m2", sums_of(bins, bins.sky_wh_m2)},
            {"ground_kwh_m2", sums_of(bins, bins.ground_wh_m2)},
            {"bounced_kwh_m2", sums_of(bins, bins.bounced_wh_m2)}};
}

Json bodies_of_page(const Inspection& inspection) {
    std::vector<std::string> unit_of(inspection.model.bodies.size());
    for (const Unit& unit : inspection.envelope.units) {
        for (const BodyId body : unit.bodies) unit_of[body.index()] = unit.id;
    }
    for (const Shade& shade : inspection.envelope.shades) {
        for (const BodyId body : shade.bodies) {
            std::string& of = unit_of[body.index()];
            if (of.empty()) of = shade.id;  // eaves are of their unit
        }
    }
    Json list = Json::array();
    for (std::size_t b = 0; b < inspection.model.bodies.size(); ++b) {
        const Body& body = inspection.model.bodies[b];
        Json repaired = Json::array();
        for (const std::string& what : body.repaired) repaired.push_back(json_text(what));
        list.push_back({{"id", json_text(body.id)},
                        {"path", json_text(body.path)},
                        {"role", to_string(inspection.roles[b].role)},
                        {"part_of", unit_of[b].empty() ? Json(nullptr) : json_text(unit_of[b])},
                        {"repaired", std::move(repaired)}});
    }
    return list;
}

Json treatments_of(const RunResult& result) {
    Json list = Json::array();
    for (const Treatment& treatment : result.settings.treatments) {
        const bool coats = treatment.recoat_years > 0;
        list.push_back(
            {{"name", json_text(treatment.name)},
             {"kind", to_string(treatment.kind)},
             {"cost_per_m2", treatment.cost_per_m2},
             {"fixed_cost", treatment.fixed_cost},
             {"life_years", treatment.life_years},
             {"recoat_per_m2", coats ? Json(treatment.recoat_per_m2) : Json(nullptr)},
             {"recoat_years", coats ? Json(treatment.recoat_years) : Json(nullptr)},
             {"upkeep_per_m2_year", treatment.upkeep_per_m2_year},
             {"call_out",
              treatment.call_out.empty() ? Json(nullptr) : json_text(treatment.call_out)},
             {"call_out_cost", treatment.call_out_cost},
             {"aged_reflectance",
              treatment.film ? Json(nullptr) : Json(treatment.aged_reflectance)},
             {"g_value", treatment.film ? Json(treatment.film->g_value) : Json(nullptr)}});
    }
    return list;
}

/// Line by line: a line break inside a text would be shown as a control character.
Json site_file_of(const RunResult& result) {
    Json lines = Json::array();
    std::ifstream file(result.settings.file, std::ios::binary);
    for (std::string line; std::getline(file, line);) {
        if (!line.empty() && line.back() == '\r') line.pop_back();
        lines.push_back(json_text(line));
    }
    return {{"name", json_text(result.settings.file.filename().string())},
            {"lines", std::move(lines)}};
}

}  // namespace

Json report_data(const RunResult& result) {
    const Model& model = result.inspection.model;
    const std::size_t n_surfaces = result.envelope().surfaces.size();
    const bool too_many = n_surfaces * result.place.weather.size() > most_numbers;
    const DayTable middles = days_of(result, DayTable::Days::mean_of_months);
    const DayTable days =
        days_of(result, too_many ? DayTable::Days::mean_of_months : DayTable::Days::each);
    Json data;
    data["form"] = 1;
    data["summary"] = summary_document(result);
    data["model"] = {{"schema", json_text(model.schema)},
                     {"length_unit", json_text(model.length_unit)},
                     {"bbox_m", model.bbox_m},
                     {"facets", result.envelope().facets.size()}};
    data["bodies"] = bodies_of_page(result.inspection);
    data["scene"] = report_scene(result.inspection, result.light.facets, result.sun());
    data["days"] = days_told(days);
    data["sun"] = sun_of(result, days);
    data["hours"] = hours_of(result, days);
    data["months"] = months_of(result, middles);
    data["treatments"] = treatments_of(result);
    data["masks"] = report_masks(result);
    data["site_file"] = site_file_of(result);
    return data;
}

}  // namespace noonshell
