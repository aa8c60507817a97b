#include "thermal/simulate.hpp"

#include <algorithm>
#include <cmath>
#include <sstream>
#include <string>
#include <vector>

#include "geometry/diagnostics.hpp"
#include "thermal/heat_run.hpp"
#include "thermal/recorder.hpp"

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

/// Runs up to the period's start: over its last days, or, where it is shorter than that, over the
/// whole of it again and again until the walls no longer change.
void warm_up(HeatRun& run, std::size_t n_steps, std::size_t steps_per_day,
             const HeatOptions& options) {
    const auto steps = static_cast<std::size_t>(
        std::lround(options.warm_up_days * static_cast<double>(steps_per_day)));
    const auto poll = [&options] {
        if (options.stop != nullptr && options.stop->load()) throw Interrupted();
    };
    if (steps <= n_steps) {
        for (std::size_t i = n_steps - steps; i < n_steps; ++i) {
            if (i % steps_between_polls == 0) poll();
            run.advance(i, false);
        }
        return;
    }
    std::vector<double> before = run.wall_temperatures();
    for (int repeat = 0; repeat < most_repeats; ++repeat) {
        poll();
        for (std::size_t i = 0; i < n_steps; ++i) run.advance(i, false);
        const std::vector<double> now = run.wall_temperatures();
        if (largest_change_k(before, now) < walls_settled_k) return;
        before = now;
    }
}

void add_warnings(Response& response, std::size_t n_steps) {
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
    if (response.worst_change_k > unsettled_k) {
        std::ostringstream text;
        text << "some wall or ground is " << response.worst_change_k
             << " K from where it began when the period ends: heavy parts had not settled";
        response.warnings.push_back({"start-not-settled", text.str(), ""});
    }
}

Response run_period(const HeatInputs& inputs, const Building& building, const HeatOptions& options,
                    const ActivePart* active, const Trace* given, const ReflectanceChange* change,
                    Trace* trace) {
    validate(building, inputs.envelope);
    const std::size_t n_steps = inputs.surroundings.n_steps();
    NOONSHELL_CHECK_GT(n_steps, 0u);
    NOONSHELL_CHECK_EQ(inputs.exposure.n_hours, inputs.surroundings.n_hours);
    HeatRun run(inputs, building, options, active, given, change);
    Recorder recorder(inputs, building, options, run, trace);
    warm_up(run, n_steps, 24 * inputs.surroundings.steps_per_hour, options);
    recorder.before_period(run);
    for (std::size_t i = 0; i < n_steps; ++i) {
        if (i % steps_between_polls == 0) {
            if (options.stop != nullptr && options.stop->load()) throw Interrupted();
            if (options.progress) {
                options.progress(static_cast<double>(i) / static_cast<double>(n_steps));
            }
        }
        run.advance(i, options.account);
        recorder.record(run, i);
    }
    if (options.progress) options.progress(1.0);
    Response response = recorder.finish(run);
    add_warnings(response, n_steps);
    return response;
}

}  // namespace

Response simulate(const HeatInputs& inputs, const Building& building, const HeatOptions& options,
                  Trace* trace) {
    return run_period(inputs, building, options, nullptr, nullptr, nullptr, trace);
}

Response simulate_part(const HeatInputs& inputs, const Building& building,
                       const HeatOptions& options, const ActivePart& active, const Trace& trace,
                       const ReflectanceChange& change) {
    NOONSHELL_CHECK_EQ(active.units.size(), inputs.envelope.units.size());
    NOONSHELL_CHECK_EQ(active.surfaces.size(), inputs.envelope.surfaces.size());
    return run_period(inputs, building, options, &active, &trace, &change, nullptr);
}

}  // namespace noonshell
