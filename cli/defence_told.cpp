#include "cli/defence_told.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "cli/result_units.hpp"
#include "cli/run_page_parts.hpp"
#include "cli/table.hpp"
#include "cli/utf8.hpp"

namespace noonshell {

namespace {

struct StageSums {
    double cooling_j = 0, heating_j = 0, electricity_j = 0, priced_electricity_j = 0, peaks_w = 0,
           plants_w = 0;
    double worst_hours_h = 0;  ///< too hot, of the unit that has most

    explicit StageSums(const DefenceStage& stage) {
        for (std::size_t u = 0; u < stage.units.size(); ++u) {
            cooling_j += stage.cooling_j[u];
            heating_j += stage.heating_j[u];
            electricity_j += stage.units[u].electricity_j;
            priced_electricity_j += stage.units[u].priced_electricity_j;
            peaks_w += stage.peak_cooling_w[u].value;
            plants_w += stage.units[u].needed_capacity_w.value;
            worst_hours_h = std::max(worst_hours_h, stage.units[u].hours_too_hot_h);
        }
    }
};

/// The layer that a stage adds; null for the building as it stands.
const Treatment* added_by(const RunResult& result, const DefenceStage& stage) {
    return stage.treatments.empty() ? nullptr
                                    : &result.settings.treatments[stage.treatments.back()];
}

std::string title_of(const RunResult& result, const DefenceStage& stage) {
    const Treatment* added = added_by(result, stage);
    return added == nullptr ? "as it stands" : "+ " + added->name;
}

std::string with_place(const Peak& peak, const std::string& id) {
    return id.empty() ? "-" : number(peak.value, 1) + " " + id;
}

std::string id_of(const RunResult& result, SurfaceId surface) {
    return surface.valid() ? result.envelope().surfaces[surface.index()].id : std::string();
}

std::string id_of(const RunResult& result, UnitId unit) {
    return unit.valid() ? result.envelope().units[unit.index()].id : std::string();
}

std::string stages_of(const RunResult& result) {
    TextTable table({{"layer"},
                     {"open m2", Align::right},
                     {"cost so far", Align::right},
                     {"hottest steel C"},
                     {"hottest room C"},
                     {"too hot h", Align::right},
                     {"sensible kWh", Align::right},
                     {"heating kWh", Align::right},
                     {"electricity kWh", Align::right},
                     {"bill", Align::right},
                     {"peaks kW", Align::right},
                     {"plants kW", Align::right}});
    for (const DefenceStage& stage : result.defence) {
        const StageSums sums(stage);
        table.add_row({title_of(result, stage), number(stage.treated_area_m2), number(stage.cost),
                       with_place(stage.peak_steel_c, id_of(result, stage.hottest_surface)),
                       with_place(stage.peak_free_air_c, id_of(result, stage.hottest_unit)),
                       number(sums.worst_hours_h), three_digits(kwh_of_joules(sums.cooling_j)),
                       three_digits(kwh_of_joules(sums.heating_j)),
                       three_digits(kwh_of_joules(sums.electricity_j)),
                       number(result.bill_of(sums.priced_electricity_j)),
                       number(kilowatts(sums.peaks_w), 1), number(kilowatts(sums.plants_w), 1)});
    }
    return table.text();
}

std::string gaps_of(const RunResult& result) {
    const GapFigures& air = result.defence.back().gaps;
    if (!air.there || !(air.air_speed_m_s.value > 0)) return {};
    return fmt::format(
        "  air behind the cladding: up to {} m/s, leaves at up to {} C, carries up to {} kW away, "
        "in all {} kWh{}\n",
        number(air.air_speed_m_s.value, 2), number(air.outlet_c.value, 1),
        number(kilowatts(air.carried_w.value), 1), three_digits(kwh_of_joules(air.carried_away_j)),
        air.carried_away_j < 0
            ? ":\n  it warmed the faces by more than it cooled them, as air does on clear nights"
            : "");
}

Json json_gaps(const GapFigures& air) {
    if (!air.there) return nullptr;
    const bool moves = air.air_speed_m_s.value > 0;
    return {{"peak_air_speed_m_s", air.air_speed_m_s.value},
            {"peak_outlet_c", moves ? Json(air.outlet_c.value) : Json(nullptr)},
            {"peak_carried_w", air.carried_w.value},
            {"carried_away_kwh", kwh_of_joules(air.carried_away_j)}};
}

std::string units_gains_of(const RunResult& result) {
    TextTable table({{"unit"},
                     {"layer"},
                     {"sensible kWh", Align::right},
                     {"heating kWh", Align::right},
                     {"sensible peak kW", Align::right},
                     {"plant kW", Align::right},
                     {"free peak C", Align::right},
                     {"too hot h", Align::right}});
    for (std::size_t u = 0; u < result.envelope().units.size(); ++u) {
        for (const DefenceStage& stage : result.defence) {
            table.add_row({result.envelope().units[u].id, title_of(result, stage),
                           three_digits(kwh_of_joules(stage.cooling_j[u])),
                           three_digits(kwh_of_joules(stage.heating_j[u])),
                           number(kilowatts(stage.peak_cooling_w[u].value), 2),
                           number(kilowatts(stage.units[u].needed_capacity_w.value), 2),
                           number(stage.units[u].peak_free_air_c.value, 1),
                           number(stage.units[u].hours_too_hot_h)});
        }
    }
    return "\n" + table.text();
}

Json json_peak(const char* value_key, const char* place_key, const Peak& peak,
               const std::string& id) {
    return {{value_key, id.empty() ? Json(nullptr) : Json(peak.value)},
            {place_key, id.empty() ? Json(nullptr) : json_text(id)}};
}

Json json_units(const RunResult& result, const DefenceStage& stage) {
    Json list = Json::array();
    for (std::size_t u = 0; u < stage.units.size(); ++u) {
        list.push_back({{"id", json_text(result.envelope().units[u].id)},
                        {"cooling_kwh", kwh_of_joules(stage.cooling_j[u])},
                        {"heating_kwh", kwh_of_joules(stage.heating_j[u])},
                        {"electricity_kwh", kwh_of_joules(stage.units[u].electricity_j)},
                        {"peak_cooling_w", stage.peak_cooling_w[u].value},
                        {"needed_capacity_w", stage.units[u].needed_capacity_w.value},
                        {"peak_air_c", stage.units[u].peak_free_air_c.value},
                        {"hours_too_hot_h", stage.units[u].hours_too_hot_h}});
    }
    return list;
}

}  // namespace

std::string defence_page(const RunResult& result, bool every_unit) {
    if (result.defence.size() < 2) return {};
    return fmt::format(
               "\nLayers of defence, each added to those before wherever it fits (costs in {};\n"
               "  hottest room and the most hours too hot: without cooling; sensible: cooling "
               "without "
               "the\n  vapour's; peaks: sensible, of all units, each at its own time; plants: with "
               "vapour)\n",
               printable(result.settings.plan.currency)) +
           stages_of(result) + gaps_of(result) + (every_unit ? units_gains_of(result) : "");
}

Json json_defence(const RunResult& result) {
    Json list = Json::array();
    for (const DefenceStage& stage : result.defence) {
        const StageSums sums(stage);
        const Treatment* added = added_by(result, stage);
        Json entry = {{"added", added == nullptr ? Json(nullptr) : json_text(added->name)},
                      {"treated_area_m2", stage.treated_area_m2},
                      {"cost", stage.cost},
                      {"cooling_kwh", kwh_of_joules(sums.cooling_j)},
                      {"heating_kwh", kwh_of_joules(sums.heating_j)},
                      {"electricity_kwh", kwh_of_joules(sums.electricity_j)},
                      {"electricity_cost", result.bill_of(sums.priced_electricity_j)},
                      {"peak_cooling_w", sums.peaks_w},
                      {"needed_capacity_w", sums.plants_w}};
        entry.update(json_peak("peak_steel_c", "peak_steel_surface", stage.peak_steel_c,
                               id_of(result, stage.hottest_surface)));
        entry.update(json_peak("peak_air_c", "peak_air_unit", stage.peak_free_air_c,
                               id_of(result, stage.hottest_unit)));
        entry["cladding_air"] = json_gaps(stage.gaps);
        entry["units"] = json_units(result, stage);
        list.push_back(std::move(entry));
    }
    return list;
}

}  // namespace noonshell
