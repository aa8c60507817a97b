#include "cli/run_page.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>

#include "cli/constructions_told.hpp"
#include "cli/defence_told.hpp"
#include "cli/local_time.hpp"
#include "cli/page_parts.hpp"
#include "cli/result_units.hpp"
#include "cli/run_page_parts.hpp"
#include "cli/small_plants.hpp"
#include "cli/surface_effects.hpp"
#include "cli/table.hpp"
#include "cli/utf8.hpp"
#include "thermal/heat_account.hpp"
#include "thermal/touch.hpp"

namespace noonshell {

namespace {

std::string when(const RunResult& result, const ToldCalendar& calendar, const Peak& peak) {
    return calendar.short_text(calendar.end_of_step(peak.step, result.response.steps_per_hour));
}

/// Ranked surfaces first, then the rest in the order of the model. Where none is ranked, the
/// hottest first and those wholly covered last.
std::vector<SurfaceId> display_order(const RunResult& result) {
    std::vector<SurfaceId> order = result.ranking.order;
    for (std::size_t s = 0; s < result.ranking.rank.size(); ++s) {
        if (result.ranking.rank[s] == 0) order.emplace_back(s);
    }
    if (!result.ranking.order.empty()) return order;
    const auto peak_c = [&result](SurfaceId id) {
        const bool open = result.envelope().surfaces[id.index()].exposed_area_m2 > 0;
        return open ? result.response.peak_outside_c[id.index()].value
                    : -std::numeric_limits<double>::infinity();
    };
    std::stable_sort(order.begin(), order.end(),
                     [&peak_c](SurfaceId a, SurfaceId b) { return peak_c(a) > peak_c(b); });
    return order;
}

std::vector<std::string> surface_row(const RunResult& result, const ToldCalendar& calendar,
                                     SurfaceId id) {
    const std::size_t s = id.index();
    const Response& response = result.response;
    const Surface& surface = result.envelope().surfaces[s];
    const Effect* best = best_effect_on(result.ranking, id);
    const bool open = surface.exposed_area_m2 > 0;
    const std::string none = "-";
    return {result.ranking.rank[s] == 0 ? none : std::to_string(result.ranking.rank[s]),
            surface.id,
            number(surface.exposed_area_m2, 1),
            three_digits(kwh_of_watt_hours(result.sun().total_wh_m2(id))),
            open ? number(response.peak_outside_c[s].value, 1) : none,
            open ? when(result, calendar, response.peak_outside_c[s]) : none,
            surface.unit.valid() ? three_digits(kwh_of_joules(response.inward_j[s])) : none,
            best ? result.settings.treatments[best->treatment].name : none,
            best ? number(best->cost) : none,
            best ? three_digits(kwh_of_joules(best->saves_cooling_j)) : none,
            best ? three_digits(best->saves_kwh_per_cost()) : none,
            best ? three_digits(kwh_of_joules(best->adds_heating_j)) : none,
            best ? number(best->saves_peak_w) : none,
            best ? number(best->lowers_peak_steel_k, 1) : none};
}

bool above(const Peak& a, const Peak& b) {
    return a.value > b.value || std::isnan(b.value);
}

/// The purchase to start with; nothing where nothing was tried or nothing is cooled.
std::string best_purchase(const RunResult& result) {
    if (result.ranking.order.empty())
        return result.ranking.effects.empty() || !result.is_cooled()
                   ? ""
                   : "  None of the treatments saves cooling here.\n";
    const SurfaceId first = result.ranking.order.front();
    const Effect* best = best_effect_on(result.ranking, first);
    return fmt::format("  Most cooling saved for the money: {} on {}, {} kWh for {} {}.\n",
                       printable(result.settings.treatments[best->treatment].name),
                       printable(result.envelope().surfaces[first.index()].id),
                       three_digits(kwh_of_joules(best->saves_cooling_j)), number(best->cost),
                       printable(result.settings.plan.currency));
}

/// How long bare steel there would burn a hand in ten seconds.
std::string touch_words(const RunResult& result, std::size_t surface) {
    if (!is_metal_outside(result.building.exposed[surface])) return {};
    constexpr double contact_s = 10;
    const auto thresholds = bare_metal_touch_thresholds();
    for (std::size_t t = 0; t < thresholds.size(); ++t) {
        if (thresholds[t].contact_s < contact_s) continue;
        const double hours = result.touch_h(surface, t);
        if (hours <= 0) return {};
        return fmt::format("; {} h at {} C or more, where bare steel burns skin in {} s",
                           number(hours), number(thresholds[t].threshold_c),
                           number(thresholds[t].contact_s));
    }
    return {};
}

/// The unit surface with the largest of these; none: nothing to look at.
std::optional<std::size_t> hottest_of(const RunResult& result, const std::vector<Peak>& peaks) {
    std::optional<std::size_t> hottest;
    for (std::size_t s = 0; s < peaks.size(); ++s) {
        if (!result.envelope().surfaces[s].unit.valid()) continue;
        if (!hottest || above(peaks[s], peaks[*hottest])) hottest = s;
    }
    return hottest;
}

std::string hottest_face(const RunResult& result, const ToldCalendar& calendar) {
    const std::vector<Peak>& peaks = result.response.peak_outside_c;
    const std::size_t face = *hottest_of(result, peaks);
    const std::string told = fmt::format(
        "  Hottest outside face: {}, {} C on {}", printable(result.envelope().surfaces[face].id),
        number(peaks[face].value, 1), when(result, calendar, peaks[face]));
    const auto spot = hottest_of(result, result.hot_spots.outside_c);
    if (!spot || !result.has_hot_spot(*spot)) return told + touch_words(result, face) + ".\n";
    if (!above(result.hot_spots.outside_c[*spot], peaks[face]))
        return told + ", no part of it comes out hotter" + touch_words(result, face) + ".\n";
    const Surface& surface = result.envelope().surfaces[*spot];
    const BrightPart& part = result.bright_parts[*spot];
    const Peak& peak = result.hot_spots.outside_c[*spot];
    return told + fmt::format(".\n  Hottest part: {}, {} m2 about facet {}, {} C on {}{}.\n",
                              printable(surface.id), number(part.area_m2, 1),
                              part.facet.index() - surface.first_facet + 1, number(peak.value, 1),
                              when(result, calendar, peak), touch_words(result, *spot));
}

/// ", 0.67 kW of it vapour"; nothing where that would read 0.00.
std::string vapour_in(double latent_w) {
    constexpr double least_told_w = 5;
    return latent_w < least_told_w
               ? std::string()
               : fmt::format(", {} kW of it vapour", number(kilowatts(latent_w), 2));
}

/// The largest load, or where nothing is cooled the room that gets hottest.
std::string hardest_unit(const RunResult& result, const ToldCalendar& calendar) {
    const std::vector<Peak>& loads = result.response.peak_load_w;
    std::size_t largest = 0, hottest = 0;
    for (std::size_t u = 0; u < loads.size(); ++u) {
        if (above(loads[u], loads[largest])) largest = u;
        if (above(result.units[u].peak_free_air_c, result.units[hottest].peak_free_air_c))
            hottest = u;
    }
    if (loads[largest].value > 0)
        return fmt::format("  Largest cooling load: {}, {} kW on {}{}.\n",
                           printable(result.envelope().units[largest].id),
                           number(kilowatts(loads[largest].value), 2),
                           when(result, calendar, loads[largest]),
                           vapour_in(result.response.latent_at_peak_w[largest]));
    const UnitFigures& unit = result.units[hottest];
    return fmt::format(
        "  Hottest unit without cooling: {}, {} C in the room on {}, too hot for {} h.\n",
        printable(result.envelope().units[hottest].id), number(unit.peak_free_air_c.value, 1),
        when(result, calendar, unit.peak_free_air_c), number(unit.hours_too_hot_h));
}

/// The room in which people would suffer most if cooling failed; nothing where none would.
std::string worst_heat_stress(const RunResult& result) {
    std::size_t worst = 0, stressed = 0;
    for (std::size_t u = 0; u < result.units.size(); ++u) {
        if (result.units[u].heat_stress.hours_above_h > 0) ++stressed;
        if (result.units[u].heat_stress.peak_c > result.units[worst].heat_stress.peak_c) worst = u;
    }
    if (stressed == 0) return {};
    const HeatStress& stress = result.units[worst].heat_stress;
    return fmt::format(
        "  Heat stress without cooling, as an indication: WBGT indoors up to {} C ({}), above {} C "
        "(light work,\n    people used to heat) for {} h there{}. Local "
        "health advice comes first.\n",
        number(stress.peak_c, 1), printable(result.envelope().units[worst].id),
        number(HeatStress::limit_c), number(stress.hours_above_h),
        result.units.size() == 1 ? ""
                                 : fmt::format("; it passes that limit in {} of {} units", stressed,
                                               result.units.size()));
}

/// Where water condenses on the inside for longest; nothing where it never does.
std::string wettest_face(const RunResult& result) {
    const std::vector<double>& hours = result.response.condensation_h;
    const auto most = std::max_element(hours.begin(), hours.end());
    if (most == hours.end() || *most <= 0) return {};
    const auto wet = std::count_if(hours.begin(), hours.end(), [](double h) { return h > 0; });
    return fmt::format(
        "  Water condenses on the inside of {} surfaces, for longest on {}: {} h.\n", wet,
        printable(result.envelope().surfaces[static_cast<std::size_t>(most - hours.begin())].id),
        number(*most));
}

/// Two to four lines that answer the question before the tables do.
std::string heat_findings_of(const RunResult& result) {
    const ToldCalendar calendar = result.calendar();
    return "\nFindings\n" + best_purchase(result) + hottest_face(result, calendar) +
           hardest_unit(result, calendar) + worst_heat_stress(result) + wettest_face(result);
}

/// What the order of the surfaces means.
std::string surfaces_title(const RunResult& result) {
    if (!result.ranked())
        return "\nSurfaces, the hottest outside first; a preview tries no treatment\n";
    if (result.ranking.order.empty())
        return fmt::format("\nSurfaces, the hottest outside first; without a rank, as {}\n",
                           !result.is_cooled()              ? "there is no cooling to save"
                           : result.ranking.effects.empty() ? "no treatment fits any of them"
                                                            : "no treatment saves cooling");
    const bool too_small = std::ranges::any_of(
        result.warnings, [](const Warning& w) { return w.code == small_plant_code; });
    return fmt::format(
        "\nSurfaces, those first where money saves most cooling (sensible; costs in {}){}\n",
        printable(result.settings.plan.currency),
        too_small ? "\n  (of rooms with plant-too-small, see Warnings, only what the plant takes "
                    "out counts)"
                  : "");
}

/// Of claddings whose openings do nothing on some surfaces.
std::string still_gaps(const RunResult& result) {
    std::string text;
    for (const Treatment& treatment : result.settings.treatments) {
        const auto still = std::ranges::count_if(
            result.envelope().surfaces,
            [&](const Surface& surface) { return leaves_air_still(treatment, surface); });
        if (still == 0) continue;
        text += fmt::format(
            "  {} on level surfaces ({}): the air behind it stands still whatever its openings, as "
            "warmth\n  does not lift it there; gap_wind_coefficient lets the wind through\n",
            printable(treatment.name), still);
    }
    return text;
}

constexpr std::size_t ranked_shown = 20;

std::string ranking_table(const RunResult& result, bool every_surface) {
    TextTable table({{"rank", Align::right},
                     {"surface"},
                     {"open m2", Align::right},
                     {"sun kWh/m2", Align::right},
                     {"peak C", Align::right},
                     {"when", Align::right},
                     {"inward kWh", Align::right},
                     {"best treatment"},
                     {"cost", Align::right},
                     {"saves kWh", Align::right},
                     {"per cost", Align::right},
                     {"heating +kWh", Align::right},
                     {"peak less W", Align::right},
                     {"steel cooler K", Align::right}});
    std::vector<SurfaceId> order = display_order(result);
    const std::size_t left =
        every_surface || order.size() <= ranked_shown ? 0 : order.size() - ranked_shown;
    order.resize(order.size() - left);
    const ToldCalendar calendar = result.calendar();
    for (const SurfaceId id : order) table.add_row(surface_row(result, calendar, id));
    const std::string more =
        left == 0
            ? ""
            : fmt::format("  and {} more: surfaces.csv has all, --verbose prints them\n", left);
    return surfaces_title(result) + table.text() + more + still_gaps(result);
}

/// "8.8", or of several "2 x 14.0 + 2.0".
std::string plants_in_words(const std::vector<double>& plants_w) {
    if (plants_w.empty()) return number(0, 1);
    const auto of_largest = std::count(plants_w.begin(), plants_w.end(), plants_w.front());
    std::string text = number(kilowatts(plants_w.front()), 1);
    if (of_largest > 1) text = fmt::format("{} x {}", of_largest, text);
    if (plants_w.back() < plants_w.front()) text += " + " + number(kilowatts(plants_w.back()), 1);
    return text;
}

/// Sizes of plant by the year and by the handbook's day; nothing where nothing is cooled or the
/// period is no year.
std::string plants_table(const RunResult& result) {
    const Response& response = result.response;
    const auto cools = [](const Peak& load) { return load.value > 0; };
    if (!result.design_day || std::ranges::none_of(response.peak_cooling_w, cools)) return {};
    TextTable table({{"unit"},
                     {"year: load kW", Align::right},
                     {"latent kW", Align::right},
                     {"rated kW", Align::right},
                     {"day: load kW", Align::right},
                     {"latent kW", Align::right},
                     {"rated kW", Align::right},
                     {"to buy kW", Align::right}});
    for (std::size_t u = 0; u < result.envelope().units.size(); ++u) {
        const DesignLoad& day = result.design_loads[u];
        const auto kw = [](double w) { return number(kilowatts(w), 2); };
        table.add_row({result.envelope().units[u].id, kw(response.peak_load_w[u].value),
                       kw(response.latent_at_peak_w[u]),
                       kw(result.units[u].needed_capacity_w.value), kw(day.total_w),
                       kw(day.latent_w), kw(day.needed_capacity_w),
                       plants_in_words(plants_to_buy_w(result.needed_in_all_w(u)))});
    }
    const HandbookDay& day = *result.design_day;
    return fmt::format(
               "\nPlant sizes by the year's largest load and by the handbook's design day ({} C, "
               "which 0.4 % of\n  the hours pass, range {} K, dew point {} C, sun of {}); load: "
               "air and vapour together at their\n  largest, latent: the vapour in it; rated: at "
               "35 "
               "C outdoors; to buy: the next common size for the\n  larger one, above 14 kW "
               "several. "
               "A licensed engineer confirms sizes before anything is bought.\n",
               number(day.peak_dry_bulb_c, 1), number(day.daily_range_k, 1),
               number(day.dew_point_c, 1), result.calendar().date(day.first_hour)) +
           table.text();
}

std::string rooms_table(const RunResult& result) {
    const Response& response = result.response;
    TextTable table({{"unit"},
                     {"floor m2", Align::right},
                     {"sensible kWh", Align::right},
                     {"latent kWh", Align::right},
                     {"heating kWh", Align::right},
                     {"electricity kWh", Align::right},
                     {"bill", Align::right},
                     {"peak load kW", Align::right},
                     {"when", Align::right},
                     {"plant kW", Align::right},
                     {"not met h", Align::right},
                     {"free peak C", Align::right},
                     {"too hot h", Align::right}});
    const ToldCalendar calendar = result.calendar();
    for (std::size_t u = 0; u < result.envelope().units.size(); ++u) {
        const Unit& unit = result.envelope().units[u];
        const Peak& load = response.peak_load_w[u];
        table.add_row(
            {unit.id, number(unit.floor_area_m2, 1),
             three_digits(kwh_of_joules(response.cooling_j[u])),
             three_digits(kwh_of_joules(response.latent_j[u])),
             three_digits(kwh_of_joules(response.heating_j[u])),
             three_digits(kwh_of_joules(result.units[u].electricity_j)),
             number(result.bill_of(result.units[u].priced_electricity_j)),
             number(kilowatts(load.value), 2), load.value > 0 ? when(result, calendar, load) : "-",
             number(kilowatts(result.units[u].needed_capacity_w.value), 2),
             result.building.rooms[u].plant.is_limited() ? number(result.units[u].hours_not_met_h)
                                                         : "-",
             number(result.units[u].peak_free_air_c.value, 1),
             number(result.units[u].hours_too_hot_h)});
    }
    return fmt::format(
               "\nUnits (cooling: sensible, heat taken out of the air, and latent, its vapour; "
               "peak "
               "load: both\n  together; bill in {}; plant: rated cooling capacity, at 35 C "
               "outdoors, "
               "that meets every hour;\n  the last two columns: without cooling)\n",
               printable(result.settings.plan.currency)) +
           table.text();
}

/// Where every room's heat came from and went.
std::string accounts_table(const RunResult& result) {
    TextTable table({{"unit"},
                     {"roof", Align::right},
                     {"walls", Align::right},
                     {"floor", Align::right},
                     {"panes", Align::right},
                     {"sun", Align::right},
                     {"leaks", Align::right},
                     {"ventilation", Align::right},
                     {"doorways", Align::right},
                     {"gains", Align::right},
                     {"heating", Align::right},
                     {"cooling", Align::right},
                     {"stored", Align::right},
                     {"peak heating kW", Align::right},
                     {"when", Align::right},
                     {"fan kWh", Align::right}});
    const Response& response = result.response;
    const ToldCalendar calendar = result.calendar();
    const auto kwh = [](double joules) { return three_digits(kwh_of_joules(joules)); };
    for (std::size_t u = 0; u < result.envelope().units.size(); ++u) {
        const HeatAccount account = heat_account(response, result.envelope(), UnitId(u));
        const Peak& heating = response.peak_heating_w[u];
        table.add_row({result.envelope().units[u].id, kwh(account.roof_j), kwh(account.walls_j),
                       kwh(account.floor_j), kwh(account.panes_j), kwh(account.pane_sun_j),
                       kwh(account.leaks_j), kwh(account.ventilation_j), kwh(account.doorways_j),
                       kwh(account.gains_j), kwh(account.heating_j), kwh(-account.cooling_j),
                       kwh(account.stored_j), number(kilowatts(heating.value), 2),
                       heating.value > 0 ? when(result, calendar, heating) : "-",
                       kwh(response.fan_electricity_j[u])});
    }
    return "\nHeat into every room over the period, kWh, below 0 out of it (sun: through panes, "
           "whose\n"
           "  own column is what the glass conducts; sides that touch a neighbour are in them;\n"
           "  all but stored adds up to what air and furniture store)\n" +
           table.text();
}

}  // namespace

std::string run_page(const RunResult& result, bool every_surface) {
    return head_of(result) + losses_of(result.warnings) + heat_findings_of(result) +
           ranking_table(result, every_surface) + rooms_table(result) +
           (every_surface ? accounts_table(result) : std::string()) + plants_table(result) +
           defence_page(result, every_surface) +
           (every_surface ? constructions_page(result) : std::string()) +
           carried_over_of(result, every_surface) + accuracy_of(result) + balance_of(result) +
           defaults_of(result) + warnings_page(result.warnings, every_surface) +
           cautions_page(result.offers_film());
}

}  // namespace noonshell
