#include "thermal/simulate.hpp"

#include <cmath>
#include <string>

#include "geometry/diagnostics.hpp"
#include "thermal/heat_run.hpp"
#include "thermal/recorder.hpp"

namespace noonshell {

namespace {

constexpr std::size_t steps_between_polls = 256;

/// Steps of warm-up, taken from the end of the period so that its first step follows on.
std::size_t warm_up_steps(const Surroundings& around, const HeatOptions& options) {
    const double per_day = 24.0 * static_cast<double>(around.steps_per_hour);
    return static_cast<std::size_t>(std::lround(options.warm_up_days * per_day));
}

Response run_period(const HeatInputs& inputs, const Building& building, const HeatOptions& options,
                    std::span<const std::uint8_t> active, const Trace* given,
                    const ReflectanceChange* change, Trace* trace) {
    validate(building, inputs.envelope);
    const std::size_t n_steps = inputs.surroundings.n_steps();
    NOONSHELL_CHECK_GT(n_steps, 0u);
    NOONSHELL_CHECK_EQ(inputs.exposure.n_hours, inputs.surroundings.n_hours);
    HeatRun run(inputs, building, options, active, given, change);
    Recorder recorder(inputs, building, options, run, trace);

    const std::size_t warm_up = warm_up_steps(inputs.surroundings, options);
    const std::size_t total = warm_up + n_steps;
    for (std::size_t i = 0; i < total; ++i) {
        if (i % steps_between_polls == 0) {
            if (options.stop != nullptr && options.stop->load()) throw Interrupted();
            if (options.progress) {
                options.progress(static_cast<double>(i) / static_cast<double>(total));
            }
        }
        if (i < warm_up) {
            run.advance((n_steps * (1 + warm_up / n_steps) + i - warm_up) % n_steps, false);
            continue;
        }
        if (i == warm_up) recorder.before_period(run);
        run.advance(i - warm_up, options.account);
        recorder.record(run, i - warm_up);
    }
    if (options.progress) options.progress(1.0);
    Response response = recorder.finish(run);
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
    return response;
}

}  // namespace

Response simulate(const HeatInputs& inputs, const Building& building, const HeatOptions& options,
                  Trace* trace) {
    return run_period(inputs, building, options, {}, nullptr, nullptr, trace);
}

Response simulate_part(const HeatInputs& inputs, const Building& building,
                       const HeatOptions& options, std::span<const std::uint8_t> active,
                       const Trace& trace, const ReflectanceChange& change) {
    NOONSHELL_CHECK_EQ(active.size(), inputs.envelope.units.size());
    return run_period(inputs, building, options, active, &trace, &change, nullptr);
}

}  // namespace noonshell
