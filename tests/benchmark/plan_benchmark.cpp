// Measures of the planner on the demo, each a ratio taken in one run of this program:
//   plan_benchmark [plan|resume|sure|threads|hundred]... [--site FILE] [--quick] [--check]
//
//   plan      the demo's plan over one bare year's run, and its gap
//   resume    the same question again, its runs in the store, over the first time
//   sure      how sure the plan is, by 256 samples, over the plan
//   threads   the plan on one thread over two
//   hundred   the plan of a made settlement of 100 units with the demo's treatments, its gap, time
//             and memory; only where asked for, for it takes minutes
//   --site    another site file than the demo's
//   --quick   light of a preview, roofs and south walls alone, fewer other budgets and samples
//   --check   ends with 1 where a measure misses its limit
// Ratios are of processor time, which other programs disturb least, but for `threads`.
#include <sys/resource.h>

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <ctime>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <iterator>
#include <optional>
#include <set>
#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

#include "cli/console.hpp"
#include "cli/results_store.hpp"
#include "cli/run_analysis.hpp"
#include "cli/site_file.hpp"
#include "geometry/block_writer.hpp"
#include "solar/exposure.hpp"
#include "tests/support/settlement.hpp"
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
    PlanCase(const std::string& site_file, bool quick, double budget)
        : run_(light_of(site_file, quick)),
          around_(outdoors(run_, 0)),
          trial_around_(outdoors(run_, trial_step_s)),
          panes_(run_.envelope(), run_.building.exposed, run_.path),
          quick_(quick),
          budget_(budget) {}

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
        options.budget = budget_;
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
    double budget_;
};

/// A folder of its own, gone with it.
class ScratchFolder {
  public:
    ScratchFolder()
        : path_(std::filesystem::temp_directory_path() /
                ("plan-benchmark-" +
                 std::to_string(std::chrono::steady_clock::now().time_since_epoch().count()))) {
        std::filesystem::create_directory(path_);
    }
    ScratchFolder(const ScratchFolder&) = delete;
    ScratchFolder& operator=(const ScratchFolder&) = delete;
    ~ScratchFolder() {
        std::error_code ignored;
        std::filesystem::remove_all(path_, ignored);
    }
    const std::filesystem::path& path() const { return path_; }

  private:
    std::filesystem::path path_;
};

/// An empty store in a folder of its own.
class FreshStore {
  public:
    FreshStore() { store_.emplace(folder_.path() / "plan-store.sqlite"); }
    FreshStore(const FreshStore&) = delete;
    FreshStore& operator=(const FreshStore&) = delete;
    ~FreshStore() { store_.reset(); }
    ResultsStore* get() { return &*store_; }

  private:
    ScratchFolder folder_;
    std::optional<ResultsStore> store_;
};

constexpr std::size_t units_of_demo = 12, units_of_settlement = 100;
constexpr double budget_of_demo = 5000;  // as in README.md

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
    const PlanCase demo(wanted.site_file, wanted.quick, budget_of_demo);
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

/// The first hundred units of two pairs of rows and all shades, with the demo's place,
/// constructions and treatments.
std::filesystem::path write_settlement(const std::filesystem::path& folder) {
    std::vector<Block> blocks;
    std::size_t units = 0;
    for (const test_models::Box& box : test_models::SettlementMaker({.pairs = 2}).make()) {
        if (box.role == Role::unit && ++units > units_of_settlement) continue;
        Block block;
        block.name = box.name;
        block.corner_m = box.corner_m;
        block.size_m = box.size_m;
        blocks.push_back(block);
    }
    write_blocks(blocks, folder / "settlement.step");
    std::ifstream demo(NOONSHELL_DEMO_SITE);
    std::string text{std::istreambuf_iterator<char>(demo), {}};
    const auto replace = [&text](const std::string& from, const std::string& to,
                                 const std::string& with) {
        const std::size_t begin = text.find(from);
        const std::size_t end = text.find(to, begin);
        if (begin == std::string::npos || end == std::string::npos)
            throw std::runtime_error("the demo's site file has no " + from);
        text.replace(begin, end - begin, with);
    };
    replace("file = \"station.step\"", "ground_z_m",
            "file = \"settlement.step\"\nunits = [\"unit-*\"]\nshades = [\"shade-*\"]\n");
    replace("[\"canopy-*\"", "\n", "[\"shade-*\"]");
    for (const char* part : {"roof", "wall"})  // half of them dark, as in the demo
        replace("[\"bunk-*/" + std::string(part), "\n",
                "[\"unit-*[13579]/" + std::string(part) + "*\"]");
    const std::filesystem::path site = folder / "settlement.toml";
    std::ofstream(site) << text;
    return site;
}

double peak_memory_gib() {
    rusage usage{};
    getrusage(RUSAGE_SELF, &usage);
    constexpr double kib_in_gib = 1024.0 * 1024.0;
    return static_cast<double>(usage.ru_maxrss) / kib_in_gib;
}

bool measure_hundred(const Wanted& wanted) {
    const ScratchFolder folder;
    const PlanCase settlement(write_settlement(folder.path()).string(), wanted.quick,
                              budget_of_demo * units_of_settlement / units_of_demo);
    settlement.a_year();
    const Took year = settlement.a_year();
    Plan plan;
    const Took took = time_of([&] { plan = settlement.plan(nullptr, 0, 0); });
    std::printf(
        "100 units: a bare year's run %.3f s; plan of %zu purchases from %zu candidates, %zu plans "
        "run, %.0f s (%.0f s of processor time)\n",
        year.wall_s, plan.steps.size(), plan.finishes.size(), plan.plans_run, took.wall_s,
        took.processor_s);
    bool holds = told("plan of 100 units, s", took.wall_s, Limit::at_most, 600);
    holds = told("its gap", plan.gap(), Limit::at_most, 0.03) && holds;
    return told("peak memory, GiB", peak_memory_gib(), Limit::at_most, 4) && holds;
}

}  // namespace
}  // namespace noonshell

int main(int argc, char** argv) {
    const std::set<std::string> of_one_site = {"plan", "resume", "sure", "threads"};
    noonshell::Wanted wanted;
    for (int i = 1; i < argc; ++i) {
        const std::string word = argv[i];
        if (word == "--quick")
            wanted.quick = true;
        else if (word == "--check")
            wanted.check = true;
        else if (word == "--site" && i + 1 < argc)
            wanted.site_file = argv[++i];
        else if (of_one_site.contains(word) || word == "hundred")
            wanted.measures.insert(word);
        else {
            std::fprintf(stderr,
                         "plan_benchmark: expected plan, resume, sure, threads, hundred, --site "
                         "FILE, --quick or --check, saw %s\n",
                         word.c_str());
            return 2;
        }
    }
    if (wanted.measures.empty()) wanted.measures = of_one_site;
    bool holds = true;
    if (wanted.measures.contains("hundred")) holds = noonshell::measure_hundred(wanted);
    if (wanted.measures.size() > wanted.measures.count("hundred"))
        holds = noonshell::measure(wanted) && holds;
    return wanted.check && !holds ? 1 : 0;
}
