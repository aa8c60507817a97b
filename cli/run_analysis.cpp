#include "cli/run_analysis.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "cli/building_choice.hpp"
#include "cli/interrupt.hpp"
#include "cli/pictures.hpp"
#include "cli/progress.hpp"
#include "cli/result_units.hpp"
#include "cli/small_plants.hpp"
#include "cli/utf8.hpp"
#include "geometry/quartered_facets.hpp"
#include "solar/site_sun.hpp"
#include "solar/sun_path.hpp"
#include "thermal/simulate.hpp"
#include "thermal/surroundings.hpp"
#include "thermal/touch.hpp"
#include "thermal/unlimited_loads.hpp"

namespace noonshell {

namespace {

/// Appends those that are not there yet: a library may hand on what it was given.
void append_new(std::vector<Warning>& all, const std::vector<Warning>& more) {
    for (const Warning& warning : more) {
        const auto same = [&warning](const Warning& seen) {
            return seen.code == warning.code && seen.text == warning.text &&
                   seen.where == warning.where;
        };
        if (std::none_of(all.begin(), all.end(), same)) all.push_back(warning);
    }
}

void find_light(RunResult& result, const std::vector<FacetId>& by_hour, unsigned threads,
                const Console& console) {
    const Envelope& envelope = result.envelope();
    const RunSettings& run = result.settings.run;
    result.path = sun_path(result.place.site, result.place.weather, run.sun_step_s);
    Stage stage(console, "sun");
    SiteSunOptions options = sun_options(result.settings, result.choices);
    options.hours_of = by_hour;
    options.threads = threads;
    options.progress = stage.callback();
    options.stop = &interrupt_flag();
    result.light = find_sun(envelope, result.place.site, result.place.weather, result.path,
                            outside_reflectance(result.building), options);
    // An accuracy that is asked for may take finer facets.
    if (run.accuracy > 0) take_facets(result.inspection.envelope, result.light.scenery);
    append_new(result.warnings, result.light.warnings);
}

void find_sun_details(RunResult& result, const std::vector<MaskedFacet>& masked, unsigned threads,
                      const Console& console) {
    const Stage stage(console, "shade");
    result.sun_details =
        sun_details(result.inspection, result.place, result.path, result.light, masked,
                    result.settings.run.sky, result.choices.preview, threads);
}

void find_heat(RunResult& result, unsigned threads, const Console& console) {
    const SiteSun& light = result.light;
    const Surroundings surroundings = make_surroundings(result.place.site, result.place.weather,
                                                        outdoors_of(result.settings, result.light));
    const PaneLight panes(result.envelope(), result.building.exposed, result.path);
    const HeatInputs inputs{result.envelope(), light.exchange, light.exposure, surroundings,
                            &panes};
    HeatOptions heat;
    heat.stop = &interrupt_flag();
    heat.in_halves = true;
    Trace trace;
    {
        Stage stage(console, "heat");
        heat.progress = stage.callback();
        result.response = simulate(inputs, result.building, heat, &trace);
    }
    throw_if_interrupted();
    {
        Stage stage(console, "heat without cooling");
        heat.progress = stage.callback();
        result.free_response = simulate(inputs, free_running(result.building), heat);
    }
    throw_if_interrupted();
    if (!result.choices.preview) {
        const Stage stage(console, "hot spots");
        BrightParts bright = bright_parts(light, result.place.site, result.place.weather,
                                          result.path, result.settings.run.sky, threads);
        result.hot_spots = hot_spots(inputs, result.building, bright.exposure, trace, heat);
        leave_out_even_faces(result.response, result.hot_spots);
        result.bright_parts = std::move(bright.of_surface);
    }
    throw_if_interrupted();
    result.design_day = handbook_day(result.place.site, result.place.weather,
                                     month_of_hour(result.place.site, result.place.weather));
    if (result.design_day)
        result.design_loads =
            design_loads(inputs, result.building, result.place.site, *result.design_day,
                         outdoors_of(result.settings, result.light), heat);
    const std::optional<UnlimitedRun> unlimited =
        unlimited_run(inputs, result.building, result.response, heat, result.ranked());
    put_loads(unlimited, result.response);
    throw_if_interrupted();
    heat.in_halves = false;  // from here on runs go side by side
    append_new(result.warnings, result.response.warnings);
    if (!result.ranked()) {
        result.ranking.rank.assign(result.envelope().surfaces.size(), 0);
        return;
    }
    {
        Stage stage(console, "ranking");
        heat.progress = {};
        result.ranking = rank_surfaces(inputs, result.building, result.settings.treatments,
                                       result.response, trace,
                                       {.heat = heat,
                                        .unlimited = unlimited ? &*unlimited : nullptr,
                                        .threads = threads,
                                        .progress = stage.callback(),
                                        .stop = &interrupt_flag()});
    }
    throw_if_interrupted();
    Stage stage(console, "layers of defence");
    heat.progress = stage.callback();
    result.defence = defence_in_turn(
        inputs, {result.building, result.response, result.free_response},
        result.settings.treatments, result.place.weather, result.settings.room.comfort,
        [&](std::span<const double> reflectance) {
            return relit(light, result.place.site, result.place.weather, result.path, reflectance,
                         result.settings.run.sky, threads);
        },
        heat, threads);
}

/// Says what to do where no treatment saves cooling.
void warn_if_nothing_to_rank(RunResult& result) {
    if (!result.ranking.order.empty() || result.ranking.effects.empty()) return;
    const std::string file = printable(result.settings.file.filename().string());
    if (result.is_cooled()) {
        result.warnings.push_back(
            {"nothing-saved",
             "none of the treatments saves cooling on any surface: surfaces have no rank and stand "
             "in the order of their peak outside temperature; try others, a paint that reflects "
             "more than what is there, say",
             file});
        return;
    }
    const auto& rooms = result.building.rooms;
    const bool any_cooled = std::any_of(rooms.begin(), rooms.end(),
                                        [](const RoomSettings& room) { return room.cooled; });
    const char* remedy =
        any_cooled ? "run a hotter period or lower [room] cooling_set_point_c"
                   : "set [room] cooling = \"ideal\" to rank by the cooling that they would need";
    result.warnings.push_back(
        {"nothing-to-rank",
         fmt::format("no unit is cooled at any time of this period, so that no treatment can save "
                     "cooling: surfaces have no rank and stand in the order of their peak "
                     "outside temperature; {}",
                     remedy),
         file});
}

/// A lone design day stands for a day of work, whatever the weekday of its date: the first that no
/// room has off.
std::optional<std::size_t> first_weekday_of(const SiteFile& settings) {
    const RoomChoice& rooms = settings.room;
    if (rooms.first_weekday || !std::holds_alternative<DesignDay>(settings.weather.kind))
        return rooms.first_weekday;
    constexpr std::size_t days_per_week = 7;
    for (std::size_t day = 0; day < days_per_week; ++day) {
        if (std::ranges::find(rooms.days_off, day) == rooms.days_off.end()) return day;
    }
    return 0;
}

bool follows_the_week(const SiteFile& settings) {
    const auto varies = [](const RoomSettings& room) {
        return !is_same_every_day(room.gains_w_m2) || !is_same_every_day(room.moisture_kg_hm2) ||
               !is_same_every_day(room.ventilation.air_change_per_h) ||
               !is_same_every_day(room.ventilation.fresh_air_per_h) ||
               (room.cooling_set_points_c && !is_same_every_day(*room.cooling_set_points_c)) ||
               (room.heating_set_points_c && !is_same_every_day(*room.heating_set_points_c));
    };
    const RoomChoice& rooms = settings.room;
    return varies(rooms.settings) ||
           std::ranges::any_of(rooms.own,
                               [&](const OwnRoom& own) { return varies(own.settings); }) ||
           std::ranges::any_of(rooms.doorways, [](const DoorwayRule& rule) {
               return !is_same_every_day(rule.doorway.open_share);
           });
}

/// The weekday that a lone design day is taken for, where that matters.
void record_weekday(SiteFile& settings) {
    const std::optional<std::size_t> day = first_weekday_of(settings);
    if (settings.room.first_weekday || !day || !follows_the_week(settings)) return;
    settings.inputs.push_back({"room.first_weekday", std::string(weekday_names.at(*day)),
                               InputOrigin::by_default,
                               "own choice: a lone design day is the first weekday that no room "
                               "has off"});
}

void warn_of_small_plants(RunResult& result) {
    for (std::size_t u = 0; u < result.units.size(); ++u) {
        if (auto warning = small_plant_warning(result, u, result.units[u].hours_not_met_h,
                                               result.needed_in_all_w(u), result.ranked()))
            result.warnings.push_back(std::move(*warning));
    }
}

/// The ground under a floor is as warm as the year's mean air, not as that of its hottest day.
void warn_of_ground_by_the_day(RunResult& result) {
    if (!result.with_heat() || !lacks_yearly_mean(result.settings.weather, result.place.weather))
        return;
    const Envelope& envelope = result.envelope();
    const auto carries_floor = [&envelope](const Contact& contact) {
        return contact.on_ground() && envelope.surfaces[contact.a.index()].unit.valid();
    };
    if (std::ranges::none_of(envelope.contacts, carries_floor)) return;
    result.warnings.push_back(
        {"ground-without-yearly-mean",
         "floors lie on the ground, which is as warm as the outdoor air in the mean of the year: "
         "the weather tells less than a year, whose mean stands in; set [weather] yearly_mean_c",
         printable(result.settings.file.filename().string())});
}

void require_model_file(const SiteFile& settings) {
    if (!settings.model.file.empty()) return;
    InputPlace place = settings.model.place;
    place.entity = "model.file";
    throw InputError(std::move(place), "the STEP file of the model", "nothing");
}

}  // namespace

SurroundingsOptions outdoors_of(const SiteFile& settings, const SiteSun& light) {
    SurroundingsOptions outdoors{.step_s = settings.run.heat_step_s,
                                 .convection = settings.run.outside_convection,
                                 .terrain = settings.run.terrain,
                                 .wind_by_height = settings.run.wind_by_height,
                                 .yearly_mean_c = settings.weather.yearly_mean_c,
                                 .first_weekday = first_weekday_of(settings)};
    if (!settings.site.ground.regions.empty())
        outdoors.ground_albedo =
            mean_ground_albedo(light.scenery, light.exchange, light.exposure.far_albedo,
                               light.exposure.reflectance, light.exposure.n_surfaces);
    return outdoors;
}

bool RunResult::is_cooled() const {
    return std::ranges::any_of(response.cooling_j, [](double joules) { return joules > 0; });
}

double RunResult::needed_in_all_w(std::size_t unit) const {
    const double of_period_w = units[unit].needed_capacity_w.value;
    return design_loads.empty() ? of_period_w
                                : std::max(of_period_w, design_loads[unit].needed_capacity_w);
}

double RunResult::touch_h(std::size_t surface, std::size_t threshold) const {
    const auto thresholds = bare_metal_touch_thresholds();
    if (has_hot_spot(surface)) return hot_spots.touch_h[surface * thresholds.size() + threshold];
    return hours_at_or_above_h(response.outside_c, response.n_surfaces, surface,
                               thresholds[threshold].threshold_c);
}

bool RunResult::offers_film() const {
    return std::ranges::any_of(settings.treatments, [&](const Treatment& treatment) {
        return treatment.is_of_panes() &&
               std::ranges::any_of(envelope().surfaces, [&](const Surface& surface) {
                   return fits(treatment, surface);
               });
    });
}

double RunResult::bill_of(double priced_electricity_j) const {
    return kwh_of_joules(priced_electricity_j) * settings.plan.electricity_price_per_kwh;
}

SiteSunOptions sun_options(const SiteFile& settings, const RunChoices& choices) {
    const SiteSunOptions usual;
    return {
        .ground = settings.site.ground,
        .region_albedo = settings.site.region_albedo,
        .context_reflectance = settings.site.context_reflectance,
        .points_per_facet = settings.run.points_per_facet,
        .rays_per_facet = settings.run.rays_per_facet,
        .part_size_m = choices.preview ? preview_part_size_m : usual.part_size_m,
        .surface_tolerance = choices.preview ? 0 : usual.surface_tolerance,
        .sky = settings.run.sky,
        .every_sun = choices.every_sun,
        .seed = settings.run.seed,
        .accuracy = settings.run.accuracy,
    };
}

RunResult analyse_light(SiteFile settings, const RunChoices& choices, unsigned threads,
                        const Console& console) {
    require_model_file(settings);
    RunResult result;
    result.choices = choices;
    result.settings = std::move(settings);
    apply(choices, result.settings);
    // Place and weather are quick to read: what is wrong with them shows before the model is read.
    result.place = resolve_place_and_weather(result.settings);
    const ModelSettings& model = result.settings.model;
    {
        const Stage stage(console, "reading the model");
        std::optional<Inspection> former;
        if (model.against) former = inspect_former_model(*model.against, model);
        result.inspection =
            require_units(inspect_model(model.file, model, former ? &*former : nullptr));
        if (former) result.carried = follow_former_names(result.inspection, result.settings);
    }
    throw_if_interrupted();
    append_new(result.warnings, result.inspection.warnings);
    append_new(result.warnings, result.place.warnings);
    result.building = choose_building(result.envelope(), result.settings, result.warnings);
    record_weekday(result.settings);
    warn_of_ground_by_the_day(result);
    const ChosenFacets chosen = choose_facets(result.envelope(), choices);
    require_picture_matches(result.envelope(), choices);
    find_light(result, chosen.by_hour, threads, console);
    throw_if_interrupted();
    return result;
}

RunResult analyse(SiteFile settings, const RunChoices& choices, unsigned threads,
                  const Console& console) {
    RunResult result = analyse_light(std::move(settings), choices, threads, console);
    const ChosenFacets chosen = choose_facets(result.envelope(), choices);
    find_sun_details(result, chosen.masked, threads, console);
    throw_if_interrupted();
    if (!result.with_heat()) return result;
    find_heat(result, threads, console);
    throw_if_interrupted();
    warn_if_nothing_to_rank(result);
    result.units = unit_figures(result.response, result.free_response, result.place.weather,
                                result.settings.room.comfort);
    warn_of_small_plants(result);
    return result;
}

}  // namespace noonshell
