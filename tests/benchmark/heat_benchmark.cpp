// Measures of the heat run, each a ratio taken in one run of this program:
//   heat_benchmark [general|units|threads|change]... [--quick] [--check]
//
//   general   the demo's year against IDA of SUNDIALS on the same equations (building_dae.hpp) at
//             the loosest tolerance at which that is as exact, errors of both beside it
//   units     time per wall and step, 400 units over 12
//   threads   single trials of every surface on one thread over two
//   change    a year with another coating and set-point in halves over whole, and what longer
//             steps give away for their speed
//   --quick   fewer days
//   --check   ends with 1 where a measure misses its limit
#include <algorithm>
#include <cmath>
#include <cstdio>
#include <set>
#include <string>
#include <vector>

#include "solar/parallel.hpp"
#include "tests/benchmark/sun_case.hpp"
#include "tests/support/building_dae.hpp"
#include "thermal/surface_trials.hpp"

namespace noonshell {
namespace {

using benchmark::seconds_of;
using benchmark::SunCase;

/// A building in bare steel with its sun (coarse: only heat is measured) and outdoors.
struct HeatCase {
    SunCase place;
    SiteSun sun;
    Surroundings around;
    Building building;

    HeatCase(SunCase made, double heat_step_s, bool plant) : place(std::move(made)) {
        SiteSunOptions coarse;
        coarse.part_size_m = coarse.least_part_size_m = 4;
        coarse.points_per_facet = 2;
        sun = benchmark::find(place, coarse);
        around = make_surroundings(place.site, place.weather, {.step_s = heat_step_s});
        std::vector<Construction> constructions;
        for (const Surface& surface : place.building.surfaces) {
            const bool floor =
                surface.kind == SurfaceKind::floor || surface.kind == SurfaceKind::soffit;
            constructions.push_back(floor                               ? bare_floor()
                                    : surface.kind == SurfaceKind::wall ? bare_wall()
                                                                        : bare_roof());
        }
        RoomSettings room;
        room.cooled = room.heated = plant;
        building = plain_building(constructions,
                                  std::vector<RoomSettings>(place.building.units.size(), room));
    }
    HeatInputs inputs() const { return {place.building, sun.exchange, sun.exposure, around}; }
};

bool told(const char* what, double value, double limit, bool at_least) {
    const bool holds = at_least ? value >= limit : value <= limit;
    std::printf("%s: %.3g (%s %.3g)%s\n", what, value, at_least ? "at least" : "at most", limit,
                holds ? "" : "  MISSED");
    return holds;
}

bool general(bool quick) {
    const std::size_t n_hours = quick ? 12 : 72;
    const HeatCase demo(benchmark::demo_case(1, 2.0, 3600), 600, false);
    const HeatInputs inputs = demo.inputs();
    HeatOptions from_even;  // as IDA begins: one temperature everywhere
    from_even.warm_up_days = 0;
    Response response;
    const double year_s =
        seconds_of([&] { response = simulate(inputs, demo.building, from_even); });
    const auto by_dae = [&](double tolerance, std::vector<double>& air_c) {
        test_models::BuildingDae dae(inputs, demo.building);
        return seconds_of([&] {
            dae.run(n_hours, tolerance, [&](std::size_t, std::span<const double> means) {
                air_c.insert(air_c.end(), means.begin(), means.end());
            });
        });
    };
    std::vector<double> exact_c;
    by_dae(1e-4, exact_c);
    const std::size_t first = (quick ? 2 : 24) * demo.place.building.units.size();
    const auto worst_k = [&](const auto& air_c) {
        double worst = 0;
        for (std::size_t i = first; i < exact_c.size(); ++i)
            worst = std::max(worst, std::abs(static_cast<double>(air_c[i]) - exact_c[i]));
        return worst;
    };
    const double worst_heat_run_k = worst_k(response.air_c);
    // The loosest of these at which IDA is no less exact.
    double dae_s = 0, worst_dae_k = 0, tolerance = 0;
    for (const double loose : {1.0, 0.3, 0.1, 0.03, 0.01}) {
        std::vector<double> rough_c;
        tolerance = loose;
        dae_s = by_dae(tolerance, rough_c);
        worst_dae_k = worst_k(rough_c);
        if (worst_dae_k <= worst_heat_run_k) break;
    }
    std::printf("year of the heat run %.3f s; IDA %.3f s for %zu hours at a tolerance of %g\n",
                year_s, dae_s, n_hours, tolerance);
    std::printf("worst hour of a room's air: heat run %.3f K, IDA %.3f K\n", worst_heat_run_k,
                worst_dae_k);
    return told(
        "IDA over heat run, per hour of the year",
        dae_s / static_cast<double>(n_hours) / (year_s / static_cast<double>(response.n_hours)), 50,
        true);
}

double seconds_per_wall_step(const HeatCase& heat) {
    HeatOptions options;
    options.keep_hours = options.account = false;
    Response response;
    const double s =
        seconds_of([&] { response = simulate(heat.inputs(), heat.building, options); });
    return s / static_cast<double>(response.n_hours) / static_cast<double>(response.n_surfaces);
}

bool units(bool quick) {
    const int stride = quick ? 60 : 10;
    const HeatCase few(benchmark::demo_case(stride, 2.0), 900, true);
    const HeatCase many(benchmark::settlement_case(stride, 2.0), 900, true);
    seconds_per_wall_step(few);  // once to warm up
    return told("time per surface and step, 400 units over 12",
                seconds_per_wall_step(many) / seconds_per_wall_step(few), 1.3, false);
}

bool threads(bool quick) {
    const HeatCase demo(benchmark::demo_case(10, 2.0, 3600), 1800, true);
    const HeatInputs inputs = demo.inputs();
    Trace trace;
    simulate(inputs, demo.building, {}, &trace);
    std::vector<SurfaceId> changed;
    for (std::size_t s = 0; s < demo.place.building.surfaces.size(); ++s) {
        const Surface& surface = demo.place.building.surfaces[s];
        if (surface.unit.valid() && surface.exposed_area_m2 > 0) changed.emplace_back(s);
    }
    if (quick) changed.resize(std::min<std::size_t>(changed.size(), 24));
    const SurfaceTrials trials(inputs, demo.building, trace, changed);
    HeatOptions heat;
    heat.keep_hours = heat.account = false;
    const auto all_on = [&](unsigned n) {
        return seconds_of([&] {
            for_each_task(n, changed.size(), [&](std::size_t i) {
                Construction white = demo.building.exposed[changed[i].index()];
                white.outside_absorptance = 0.3;
                trials.run(changed[i], white, heat);
            });
        });
    };
    all_on(2);
    return told("one thread over two", all_on(1) / all_on(2), 1.7, true);
}

/// What a changed coating and set-point cost: one year from the stored sun, in halves on two cores.
bool change(bool quick) {
    HeatCase demo(benchmark::demo_case(quick ? 10 : 1, 2.0, 3600), 900, true);
    const HeatInputs inputs = demo.inputs();
    Building white = demo.building;
    for (Construction& c : white.exposed) c.outside_absorptance = 0.3;
    for (RoomSettings& room : white.rooms) room.cooling_set_point_c += 1;
    HeatOptions options;
    options.keep_hours = options.account = false;
    const auto best_of = [&](bool halves) {
        double best = 1e9;
        options.in_halves = halves;
        for (int i = 0; i < (quick ? 2 : 5); ++i)
            best = std::min(best, seconds_of([&] { simulate(inputs, white, options); }));
        return best;
    };
    const double whole_s = best_of(false), halves_s = best_of(true);
    std::printf("what-if of %zu hours: %.3f s in halves, %.3f s whole\n", demo.around.n_hours,
                halves_s, whole_s);
    const Response fine = simulate(inputs, white, options);
    for (const int minutes : {30, 60}) {
        demo.around =
            make_surroundings(demo.place.site, demo.place.weather, {.step_s = 60.0 * minutes});
        const double coarse_s = best_of(true);
        const Response coarse = simulate(inputs, white, options);
        double worst_cooling = 0, worst_peak = 0;
        for (std::size_t u = 0; u < fine.n_units; ++u) {
            const auto apart = [](double a, double b) { return b > 0 ? std::abs(a / b - 1) : 0.0; };
            worst_cooling = std::max(worst_cooling, apart(coarse.cooling_j[u], fine.cooling_j[u]));
            worst_peak = std::max(
                worst_peak, apart(coarse.peak_cooling_w[u].value, fine.peak_cooling_w[u].value));
        }
        std::printf(
            "in steps of %d minutes: %.3f s; of the worst unit, cooling %.2f %% and peak "
            "load %.2f %% from steps of 15\n",
            minutes, coarse_s, 100 * worst_cooling, 100 * worst_peak);
    }
    return told("whole over halves", whole_s / halves_s, 1.5, true);
}

}  // namespace
}  // namespace noonshell

int main(int argc, char** argv) {
    std::set<std::string> wanted;
    bool quick = false, check = false;
    for (int i = 1; i < argc; ++i) {
        const std::string word = argv[i];
        if (word == "--quick")
            quick = true;
        else if (word == "--check")
            check = true;
        else if (word == "general" || word == "units" || word == "threads" || word == "change")
            wanted.insert(word);
        else {
            std::fprintf(stderr,
                         "heat_benchmark: expected general, units, threads, change, --quick or "
                         "--check, saw %s\n",
                         word.c_str());
            return 2;
        }
    }
    if (wanted.empty()) wanted = {"general", "units", "threads", "change"};
    bool holds = true;
    if (wanted.contains("general")) holds = noonshell::general(quick) && holds;
    if (wanted.contains("units")) holds = noonshell::units(quick) && holds;
    if (wanted.contains("threads")) holds = noonshell::threads(quick) && holds;
    if (wanted.contains("change")) holds = noonshell::change(quick) && holds;
    return check && !holds ? 1 : 0;
}
