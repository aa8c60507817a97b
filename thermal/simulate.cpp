#include "thermal/simulate.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <memory>
#include <span>
#include <sstream>
#include <string>
#include <utility>
#include <vector>

#include "geometry/diagnostics.hpp"
#include "solar/common_year.hpp"
#include "solar/parallel.hpp"
#include "thermal/cycle_extrapolation.hpp"
#include "thermal/heat_run.hpp"
#include "thermal/passages.hpp"
#include "thermal/recorder.hpp"
#include "thermal/response_join.hpp"

namespace noonshell {

namespace {

constexpr std::size_t steps_between_polls = 256;

constexpr double walls_settled_k = 0.01;  // change of any wall from day to day or period to period
constexpr double walls_left_k = 0.03;     // what may be left of all changes to come
constexpr double unsettled_k = 0.5;       // between the two ends of a long period

/// A run of steps of the period, [begin, end).
struct StepRange {
    std::size_t begin = 0, end = 0;
};

/// Steps of the period's whole days, after which it is as late in the day as at its start: what a
/// run passes through before its first step. A period of less than a day is taken whole.
std::size_t steps_of_whole_days(std::size_t n_steps, std::size_t steps_per_day) {
    return n_steps < steps_per_day ? n_steps : n_steps - n_steps % steps_per_day;
}

/// Repeats the whole days of a short period until the walls no longer change. Heavy walls, which
/// change little from day to day but for weeks, are moved to where their changes lead: after two
/// rounds in which all that is light follows, four states tell the way. Returns how far they may
/// still be from where they settle [K].
double repeat_days(HeatRun& run, std::size_t whole, int most_repeats,
                   const std::function<void()>& poll) {
    constexpr int first_move = 8, calm_rounds = 2;
    constexpr std::size_t followed = 2, states_that_tell = 4;
    std::vector<std::vector<double>> states{run.wall_temperatures()};  // since the last move
    double left_k = 0;
    int calm = 0;  // rounds in turn with nothing to speak of left
    for (int repeat = 1; repeat <= most_repeats; ++repeat) {
        poll();
        for (std::size_t i = 0; i < whole; ++i) run.advance(i, false);
        states.push_back(run.wall_temperatures());
        const std::size_t n = states.size();
        const double change_k = largest_change_k(states[n - 2], states[n - 1]);
        left_k = n < 3 ? change_k : left_to_settle_k(states[n - 3], states[n - 2], states[n - 1]);
        calm = change_k < walls_settled_k && left_k < walls_left_k ? calm + 1 : 0;
        if (calm == calm_rounds) return left_k;
        if (repeat < first_move || n < followed + states_that_tell) continue;
        const std::vector<double> to_c = extrapolated_c(std::span(states).last(states_that_tell));
        run.shift_walls(states.back(), to_c);
        states = {to_c};
        calm = 0;
    }
    return left_k;
}

/// Runs up to the range's start: over the days before it, with those at the period's end before
/// its first, or, where the period is shorter than that, over all its days again and again until
/// the walls no longer change. Returns how far walls of a short period may still be from where they
/// settle [K].
double warm_up(HeatRun& run, const StepRange& range, std::size_t n_steps, std::size_t steps_per_day,
               const HeatOptions& options) {
    const auto steps = static_cast<std::size_t>(
        std::lround(options.warm_up_days * static_cast<double>(steps_per_day)));
    const auto poll = [&options] {
        if (options.stop != nullptr && options.stop->load()) throw Interrupted();
    };
    const std::size_t whole = steps_of_whole_days(n_steps, steps_per_day);
    if (steps > whole) return repeat_days(run, whole, options.most_repeats, poll);
    for (std::size_t i = 0; i < steps; ++i) {
        if (i % steps_between_polls == 0) poll();
        run.advance((range.begin + whole - steps + i) % whole, false);
    }
    return 0;
}

void warn_of_drift(const std::string& drift, Response& response) {
    response.warnings.push_back(
        {"start-not-settled", "some wall or ground is " + drift + ": heavy parts had not settled",
         ""});
}

void add_warnings(Response& response, double left_k, std::size_t n_steps,
                  std::size_t steps_per_day) {
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
    std::ostringstream drift;
    if (comes_round && response.worst_change_k > unsettled_k) {
        drift << response.worst_change_k << " K from where it began when the period ends";
        warn_of_drift(drift.str(), response);
    } else if (left_k > walls_left_k) {
        drift << "about " << left_k << " K from where more rounds of the period would bring it";
        warn_of_drift(drift.str(), response);
    }
}

/// Conditions that a part run takes as given; null in a whole run.
struct Given {
    const ActivePart* active = nullptr;
    const Trace* trace = nullptr;
    const ReflectanceChange* change = nullptr;
};

/// A range of the period and the run that went through it last.
struct RangeRun {
    StepRange range;
    std::unique_ptr<HeatRun> run;
    Response response;
    std::vector<double> start_c, end_c;  ///< wall temperatures
    double left_k = 0;                   ///< see warm_up()
};

struct PeriodRun {
    const HeatInputs& inputs;
    const Building& building;
    const HeatOptions& options;
    const Given& given;
    Trace* trace;

    std::size_t n_steps() const { return inputs.surroundings.n_steps(); }
    std::size_t steps_per_day() const { return hours_per_day * inputs.surroundings.steps_per_hour; }
    /// Whether the period is run through once more where its ends do not meet: it is not repeated
    /// day by day, and ends at the time of day that it began.
    bool can_pass_again() const {
        return options.warm_up_days > 0 &&
               options.warm_up_days * static_cast<double>(steps_per_day()) <=
                   static_cast<double>(n_steps()) &&
               steps_of_whole_days(n_steps(), steps_per_day()) == n_steps();
    }
};

void record_range(const PeriodRun& period, RangeRun& part, bool tells_progress) {
    const HeatOptions& options = period.options;
    HeatRun& run = *part.run;
    const StepRange& range = part.range;
    Recorder recorder(period.inputs, period.building, options, run, period.trace);
    recorder.before_period(run);
    part.start_c = run.wall_temperatures();
    for (std::size_t i = range.begin; i < range.end; ++i) {
        if (i % steps_between_polls == 0) {
            if (options.stop != nullptr && options.stop->load()) throw Interrupted();
            if (tells_progress && options.progress)
                options.progress(static_cast<double>(i - range.begin) /
                                 static_cast<double>(range.end - range.begin));
        }
        run.advance(i, options.account);
        recorder.record(run, i);
    }
    part.end_c = run.wall_temperatures();
    part.response = recorder.finish(run);
}

void begin_range(const PeriodRun& period, RangeRun& part, bool tells_progress) {
    part.run =
        std::make_unique<HeatRun>(period.inputs, period.building, period.options,
                                  period.given.active, period.given.trace, period.given.change);
    part.left_k =
        warm_up(*part.run, part.range, period.n_steps(), period.steps_per_day(), period.options);
    record_range(period, part, tells_progress);
}

void each_range(std::vector<RangeRun>& parts, const std::function<void(std::size_t)>& work) {
    if (parts.size() == 1)
        work(0);
    else
        for_each_task(static_cast<unsigned>(parts.size()), parts.size(), work);
}

/// All ranges' walls in turn.
std::vector<double> joined(const std::vector<RangeRun>& parts,
                           std::vector<double> RangeRun::*walls_c) {
    std::vector<double> all;
    for (const RangeRun& part : parts)
        all.insert(all.end(), (part.*walls_c).begin(), (part.*walls_c).end());
    return all;
}

/// Each range goes on from where the one before it ended, the first from the last; the ends are
/// those at which the ranges will begin.
void hand_on(std::vector<RangeRun>& parts) {
    for (std::size_t i = parts.size() - 1; i > 0; --i) {
        std::swap(parts[i].run, parts[i - 1].run);
        std::swap(parts[i].end_c, parts[i - 1].end_c);
    }
}

/// Passes over the period again until its ranges begin where those before them end. From the second
/// time on heavy walls are moved to where their changes from pass to pass lead. Returns the largest
/// gap that is left [K].
double pass_until_settled(const PeriodRun& period, std::vector<RangeRun>& parts) {
    std::vector<std::vector<double>> starts_c{joined(parts, &RangeRun::start_c)};
    for (int pass = 1;; ++pass) {
        hand_on(parts);
        starts_c.push_back(joined(parts, &RangeRun::end_c));
        const double gap_k = largest_change_k(starts_c[starts_c.size() - 2], starts_c.back());
        if (gap_k <= unsettled_k || pass >= period.options.most_passes || !period.can_pass_again())
            return gap_k;
        if (starts_c.size() > 2) {
            const std::vector<double> to_c = extrapolated_c(starts_c);
            std::size_t at = 0;
            for (RangeRun& part : parts) {
                const std::size_t n = part.end_c.size();
                part.run->shift_walls(part.end_c, std::span(to_c).subspan(at, n));
                at += n;
            }
            starts_c = {to_c};
        }
        each_range(parts, [&](std::size_t i) { record_range(period, parts[i], false); });
    }
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
    const PeriodRun period{inputs, building, options, given, trace};
    std::vector<RangeRun> parts(1);
    parts[0].range = {0, around.n_steps()};
    if (options.in_halves && given.active == nullptr && is_long(around, options)) {
        parts.resize(2);
        parts[0].range.end = parts[1].range.begin = middle_step(around);
        parts[1].range.end = around.n_steps();
    }
    each_range(parts, [&](std::size_t i) { begin_range(period, parts[i], i == 0); });
    const double gap_k = pass_until_settled(period, parts);
    Response response = std::move(parts[0].response);
    for (std::size_t i = 1; i < parts.size(); ++i) join(parts[i].response, response);
    response.worst_change_k = gap_k;
    if (options.progress) options.progress(1.0);
    add_warnings(response, parts[0].left_k, period.n_steps(), period.steps_per_day());
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
