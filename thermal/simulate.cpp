#include "thermal/simulate.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <sstream>
#include <string>
#include <vector>

#include "geometry/diagnostics.hpp"
#include "solar/common_year.hpp"
#include "solar/parallel.hpp"
#include "thermal/heat_run.hpp"
#include "thermal/passages.hpp"
#include "thermal/recorder.hpp"
#include "thermal/response_join.hpp"

namespace noonshell {

namespace {

constexpr std::size_t steps_between_polls = 256;

constexpr double walls_settled_k = 0.01;  // change of any wall from day to day or period to period
constexpr double unsettled_k = 0.5;       // worth a warning where the period is not repeated
constexpr int most_repeats = 400;

double largest_change_k(const std::vector<double>& a, const std::vector<double>& b) {
    double largest = 0;
    for (std::size_t i = 0; i < a.size(); ++i) largest = std::max(largest, std::abs(a[i] - b[i]));
    return largest;
}

/// A run of steps of the period, [begin, end).
struct StepRange {
    std::size_t begin = 0, end = 0;
};

/// Steps of the period's whole days, after which it is as late in the day as at its start: what a
/// run passes through before its first step. A period of less than a day is taken whole.
std::size_t steps_of_whole_days(std::size_t n_steps, std::size_t steps_per_day) {
    return n_steps < steps_per_day ? n_steps : n_steps - n_steps % steps_per_day;
}

/// Runs up to the range's start: over the days before it, with those at the period's end before
/// its first, or, where the period is shorter than that, over all its days again and again until
/// the walls no longer change.
void warm_up(HeatRun& run, const StepRange& range, std::size_t n_steps, std::size_t steps_per_day,
             const HeatOptions& options) {
    const auto steps = static_cast<std::size_t>(
        std::lround(options.warm_up_days * static_cast<double>(steps_per_day)));
    const auto poll = [&options] {
        if (options.stop != nullptr && options.stop->load()) throw Interrupted();
    };
    const std::size_t whole = steps_of_whole_days(n_steps, steps_per_day);
    if (steps <= whole) {
        for (std::size_t i = 0; i < steps; ++i) {
            if (i % steps_between_polls == 0) poll();
            run.advance((range.begin + whole - steps + i) % whole, false);
        }
        return;
    }
    std::vector<double> before = run.wall_temperatures();
    for (int repeat = 0; repeat < most_repeats; ++repeat) {
        poll();
        for (std::size_t i = 0; i < whole; ++i) run.advance(i, false);
        const std::vector<double> now = run.wall_temperatures();
        if (largest_change_k(before, now) < walls_settled_k) return;
        before = now;
    }
}

void add_warnings(Response& response, std::size_t n_steps, std::size_t steps_per_day) {
    if (response.steps_not_settled > n_steps / 100) {
        throw ConvergenceError("outside and room temperatures did not settle in " +
                               std::to_string(response.steps_not_settled) + " of " +
                               std::to_string(n_steps) + " steps");
    }
    if (response.steps_not_settled > 0) {
        response.warnings.push_back({"steps-not-settled",
                                     std::to_string(response.steps_not_settled) +
                                         " heat steps ended above the inner loop's tolerance",
                                     ""});
    }
    // At another time of day walls are not as they began, settled or not.
    const bool comes_round = steps_of_whole_days(n_steps, steps_per_day) == n_steps;
    if (comes_round && response.worst_change_k > unsettled_k) {
        std::ostringstream text;
        text << "some wall or ground is " << response.worst_change_k
             << " K from where it began when the period ends: heavy parts had not settled";
        response.warnings.push_back({"start-not-settled", text.str(), ""});
    }
}

/// Conditions that a part run takes as given; null in a whole run.
struct Given {
    const ActivePart* active = nullptr;
    const Trace* trace = nullptr;
    const ReflectanceChange* change = nullptr;
};

struct RangeRun {
    Response response;
    std::vector<double> start_c, end_c;  ///< wall temperatures
};

RangeRun run_range(const HeatInputs& inputs, const Building& building, const HeatOptions& options,
                   const Given& given, const StepRange& range, Trace* trace) {
    const Surroundings& around = inputs.surroundings;
    HeatRun run(inputs, building, options, given.active, given.trace, given.change);
    Recorder recorder(inputs, building, options, run, trace);
    warm_up(run, range, around.n_steps(), hours_per_day * around.steps_per_hour, options);
    recorder.before_period(run);
    RangeRun out;
    out.start_c = run.wall_temperatures();
    for (std::size_t i = range.begin; i < range.end; ++i) {
        if (i % steps_between_polls == 0) {
            if (options.stop != nullptr && options.stop->load()) throw Interrupted();
            if (options.progress)
                options.progress(static_cast<double>(i - range.begin) /
                                 static_cast<double>(range.end - range.begin));
        }
        run.advance(i, options.account);
        recorder.record(run, i);
    }
    out.end_c = run.wall_temperatures();
    out.response = recorder.finish(run);
    return out;
}

/// Where a long period is cut: at midnight of its middle day.
std::size_t middle_step(const Surroundings& around) {
    return around.n_hours / (2 * hours_per_day) * hours_per_day * around.steps_per_hour;
}

bool is_long(const Surroundings& around, const HeatOptions& options) {
    constexpr double worth_it = 4;  // the second half warms up a second time
    return static_cast<double>(around.n_hours) >
           worth_it * options.warm_up_days * static_cast<double>(hours_per_day);
}

Response run_halves(const HeatInputs& inputs, const Building& building, const HeatOptions& options,
                    Trace* trace) {
    const std::size_t middle = middle_step(inputs.surroundings);
    const std::array<StepRange, 2> ranges{{{0, middle}, {middle, inputs.surroundings.n_steps()}}};
    std::array<RangeRun, 2> runs;
    for_each_task(2, ranges.size(), [&](std::size_t i) {
        HeatOptions own = options;
        if (i > 0) own.progress = {};
        runs[i] = run_range(inputs, building, own, {}, ranges[i], trace);
    });
    Response response = std::move(runs[0].response);
    join(runs[1].response, response);
    response.worst_change_k = std::max(largest_change_k(runs[0].start_c, runs[1].end_c),
                                       largest_change_k(runs[0].end_c, runs[1].start_c));
    if (options.progress) options.progress(1.0);
    return response;
}

Response run_period(const HeatInputs& inputs, const Building& building, const HeatOptions& options,
                    const Given& given, Trace* trace) {
    validate(building, inputs.envelope);
    const Surroundings& around = inputs.surroundings;
    NOONSHELL_CHECK_GT(around.n_steps(), 0u);
    NOONSHELL_CHECK_EQ(inputs.exposure.n_hours, around.n_hours);
    if (trace != nullptr)
        trace->resize(around.n_steps(), inputs.envelope.surfaces.size(),
                      faces_of_passages(inputs.envelope, inputs.exchange).size(),
                      inputs.envelope.units.size());
    Response response;
    if (options.in_halves && given.active == nullptr && is_long(around, options)) {
        response = run_halves(inputs, building, options, trace);
    } else {
        response =
            run_range(inputs, building, options, given, {0, around.n_steps()}, trace).response;
        if (options.progress) options.progress(1.0);
    }
    add_warnings(response, around.n_steps(), hours_per_day * around.steps_per_hour);
    return response;
}

}  // namespace

Response simulate(const HeatInputs& inputs, const Building& building, const HeatOptions& options,
                  Trace* trace) {
    return run_period(inputs, building, options, {}, trace);
}

Response simulate_part(const HeatInputs& inputs, const Building& building,
                       const HeatOptions& options, const ActivePart& active, const Trace& trace,
                       const ReflectanceChange& change) {
    NOONSHELL_CHECK_EQ(active.units.size(), inputs.envelope.units.size());
    NOONSHELL_CHECK_EQ(active.surfaces.size(), inputs.envelope.surfaces.size());
    return run_period(inputs, building, options, {&active, &trace, &change}, nullptr);
}

}  // namespace noonshell
