// Measures of the planner on the demo, each a ratio taken in one run of this program:
//   plan_benchmark [plan|resume|sure|threads]... [--site FILE] [--quick] [--check]
//
//   plan      the demo's plan over one bare year's run, and its gap
//   resume    the same question again, its runs in the store, over the first time
//   sure      how sure the plan is, by 256 samples, over the plan
//   threads   the plan on one thread over two
//   --site    another site file than the demo's
//   --quick   light of a preview, roofs and south walls alone, fewer other budgets and samples
//   --check   ends with 1 where a measure misses its limit
// Ratios are of processor time, which other programs disturb least, but for `threads`.
#include <algorithm>
#include <chrono>
#include <cstdio>
#include <ctime>
#include <filesystem>
#include <iostream>
#include <optional>
#include <set>
#include <string>
#include <utility>

#include "cli/console.hpp"
#include "cli/results_store.hpp"
#include "cli/run_analysis.hpp"
#include "cli/site_file.hpp"
#include "solar/exposure.hpp"
#include "thermal/pane_light.hpp"
#include "thermal/planner.hpp"
#include "thermal/surroundings.hpp"

namespace noonshell {
namespace {

/// By the clock, and by the processor, all threads together.
struct Took {
    double wall_s = 0, processor_s = 0;
};

template <class Work>
Took time_of(Work&& work) {
    const auto begin = std::chrono::steady_clock::now();
    const std::clock_t processor = std::clock();
    work();
    return {std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count(),
            static_cast<double>(std::clock() - processor) / CLOCKS_PER_SEC};
}

Surroundings outdoors(const RunResult& run, double least_step_s) {
    SurroundingsOptions options = outdoors_of(run.settings, run.light);
    options.step_s = std::max(options.step_s, least_step_s);
    return make_surroundings(run.place.site, run.place.weather, options);
}

/// A site with its light found, ready for plans.
class PlanCase {
  public:
    PlanCase(const std::string& site_file, bool quick)
        : run_(light_of(site_file, quick)),
          around_(outdoors(run_, 0)),
          trial_around_(outdoors(run_, trial_step_s)),
          panes_(run_.envelope(), run_.building.exposed, run_.path),
          quick_(quick) {}

    /// One run of the building as it stands, as the plan makes them.
    Took a_year() const {
        HeatOptions options;
        options.keep_hours = options.account = false;
        return time_of([&] { simulate(inputs(), run_.building, options); });
    }

    Plan plan(TrialStore* store, std::size_t samples, unsigned threads) const {
        PlanOptions options;
        options.trial_surroundings = &trial_around_;
        options.goal = PlanGoal::cooling_energy;
        options.budget = 5000;  // as in README.md
        options.electricity_price_per_kwh = run_.settings.plan.electricity_price_per_kwh;
        if (quick_) {
            options.frontier_points = 4;
            options.untouched = {"*/wall-n", "*/wall-e", "*/wall-w"};
        }
        options.samples = samples;
        options.store = store;
        options.threads = threads;
        const auto relight = [this](std::span<const double> reflectance) {
            return relit(run_.light, run_.place.site, run_.place.weather, run_.path, reflectance,
                         run_.settings.run.sky, 1);
        };
        return make_plan(inputs(), run_.building, run_.settings.treatments, relight, options);
    }

  private:
    static RunResult light_of(const std::string& site_file, bool quick) {
        RunChoices choices;
        choices.preview = quick;
        choices.unranked = true;
        const Console console{
            .out = std::cout, .err = std::cerr, .json = false, .quiet = true, .verbose = false};
        return analyse_light(read_site_file(site_file), choices, 0, console);
    }
    HeatInputs inputs() const {
        return {run_.envelope(), run_.light.exchange, run_.light.exposure, around_, &panes_};
    }

    RunResult run_;
    Surroundings around_, trial_around_;
    PaneLight panes_;
    bool quick_;
};

/// An empty store in a folder of its own.
class FreshStore {
  public:
    FreshStore()
        : folder_(std::filesystem::temp_directory_path() /
                  ("plan-benchmark-" +
                   std::to_string(std::chrono::steady_clock::now().time_since_epoch().count()))) {
        std::filesystem::create_directory(folder_);
        store_.emplace(folder_ / "plan-store.sqlite");
    }
    FreshStore(const FreshStore&) = delete;
    FreshStore& operator=(const FreshStore&) = delete;
    ~FreshStore() {
        store_.reset();
        std::error_code ignored;
        std::filesystem::remove_all(folder_, ignored);
    }
    ResultsStore* get() { return &*store_; }

  private:
    std::filesystem::path folder_;
    std::optional<ResultsStore> store_;
};

enum class Limit { at_most, at_least };

bool told(const char* what, double value, Limit limit, double against) {
    const bool holds = limit == Limit::at_most ? value <= against : value >= against;
    std::printf("%s: %.3g (%s %.3g)%s\n", what, value,
                limit == Limit::at_most ? "at most" : "at least", against, holds ? "" : "  MISSED");
    return holds;
}

struct Wanted {
    std::set<std::string> measures;
    std::string site_file = NOONSHELL_DEMO_SITE;
    bool quick = false, check = false;
    bool measures_one(const char* name) const { return measures.contains(name); }
};

bool measure(const Wanted& wanted) {
    const PlanCase demo(wanted.site_file, wanted.quick);
    demo.a_year();  // once to warm up
    const Took year = demo.a_year();
    FreshStore store;
    Plan plan;
    const Took first = time_of([&] { plan = demo.plan(store.get(), 0, 0); });
    std::printf(
        "a bare year's run %.3f s; plan of %zu purchases from %zu candidates, %zu plans run, "
        "%.1f s (%.1f s of processor time)\n",
        year.wall_s, plan.steps.size(), plan.finishes.size(), plan.plans_run, first.wall_s,
        first.processor_s);
    bool holds = true;
    const auto tell = [&](const char* what, double value, Limit limit, double against) {
        holds = told(what, value, limit, against) && holds;
    };
    if (wanted.measures_one("plan")) {
        tell("plan over a bare year's run", first.processor_s / year.processor_s, Limit::at_most,
             wanted.quick ? 150 : 250);
        tell("gap of the plan", plan.gap(), Limit::at_most, 0.01);
    }
    if (wanted.measures_one("resume")) {
        Plan again;
        const Took second = time_of([&] { again = demo.plan(store.get(), 0, 0); });
        tell("the same question again over the first time", second.processor_s / first.processor_s,
             Limit::at_most, 0.1);
        if (again.cost != plan.cost || again.burden_after != plan.burden_after) {
            std::printf("the plan from the store is another one: %.17g for %.17g  MISSED\n",
                        again.burden_after, plan.burden_after);
            holds = false;
        }
    }
    if (wanted.measures_one("sure")) {
        const std::size_t samples = wanted.quick ? 64 : 256;
        const Took sure = time_of([&] { demo.plan(store.get(), samples, 0); });
        std::printf("how sure it is, %zu samples: %.1f s\n", samples, sure.wall_s);
        tell("how sure it is over the plan", sure.processor_s / first.processor_s, Limit::at_most,
             1.5);
    }
    if (wanted.measures_one("threads")) {
        const Took one = time_of([&] { demo.plan(nullptr, 0, 1); });
        const Took two = time_of([&] { demo.plan(nullptr, 0, 2); });
        tell("one thread over two", one.wall_s / two.wall_s, Limit::at_least, 1.6);
    }
    return holds;
}

}  // namespace
}  // namespace noonshell

int main(int argc, char** argv) {
    const std::set<std::string> known = {"plan", "resume", "sure", "threads"};
    noonshell::Wanted wanted;
    for (int i = 1; i < argc; ++i) {
        const std::string word = argv[i];
        if (word == "--quick")
            wanted.quick = true;
        else if (word == "--check")
            wanted.check = true;
        else if (word == "--site" && i + 1 < argc)
            wanted.site_file = argv[++i];
        else if (known.contains(word))
            wanted.measures.insert(word);
        else {
            std::fprintf(stderr,
                         "plan_benchmark: expected plan, resume, sure, threads, --site FILE, "
                         "--quick or --check, saw %s\n",
                         word.c_str());
            return 2;
        }
    }
    if (wanted.measures.empty()) wanted.measures = known;
    const bool holds = noonshell::measure(wanted);
    return wanted.check && !holds ? 1 : 0;
}
