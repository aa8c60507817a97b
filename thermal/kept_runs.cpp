#include "thermal/kept_runs.hpp"

#include <array>
#include <cstring>
#include <utility>

namespace noonshell {

namespace {

// Hours and degree-hours of each unit.
constexpr std::size_t bytes_of_too_hot = 2 * sizeof(double);

}  // namespace

std::vector<TooHot> too_hot_of(const Response& free, std::span<const double> daily_limit_c) {
    std::vector<TooHot> too_hot;
    for (std::size_t u = 0; u < free.n_units; ++u)
        too_hot.push_back(time_too_hot(free.operative_c, free.n_units, u, daily_limit_c));
    return too_hot;
}

KeptRuns::KeptRuns(TrialStore* store, const HeatInputs& inputs, const Building& base,
                   const HeatOptions& options, std::string_view what,
                   std::span<const double> daily_limit_c)
    : store_(store), n_units_(base.rooms.size()), with_too_hot_(!daily_limit_c.empty()) {
    if (store == nullptr) return;
    question_.add(what);
    add_to(question_, inputs);
    add_to(question_, base);
    add_to(question_, options);
    question_.add(std::vector<double>(daily_limit_c.begin(), daily_limit_c.end()));
}

std::string KeptRuns::key_of(std::span<const Change> changes) const {
    ContentKey key = question_;
    for (const Change& change : changes) {
        key.add(change.surface.index());
        add_to(key, *change.construction);
    }
    return key.hex();
}

std::string KeptRuns::bytes_of_run(const PlanRun& run) const {
    std::string bytes = bytes_of(run.response);
    for (const TooHot& unit : run.too_hot) {
        std::array<char, bytes_of_too_hot> both{};
        std::memcpy(both.data(), &unit.hours_h, sizeof(double));
        std::memcpy(both.data() + sizeof(double), &unit.degree_hours_kh, sizeof(double));
        bytes.append(both.data(), both.size());
    }
    return bytes;
}

std::optional<PlanRun> KeptRuns::run_of(const std::string& bytes) const {
    const std::size_t behind = with_too_hot_ ? n_units_ * bytes_of_too_hot : 0;
    if (bytes.size() < behind) return std::nullopt;
    const std::size_t n = bytes.size() - behind;
    auto response = response_of(bytes.substr(0, n));
    if (!response) return std::nullopt;
    PlanRun run{*std::move(response)};
    for (std::size_t at = n; at < bytes.size(); at += bytes_of_too_hot) {
        TooHot& unit = run.too_hot.emplace_back();
        std::memcpy(&unit.hours_h, bytes.data() + at, sizeof(double));
        std::memcpy(&unit.degree_hours_kh, bytes.data() + at + sizeof(double), sizeof(double));
    }
    return run;
}

PlanRun KeptRuns::whole(std::span<const Change> changes,
                        const std::function<PlanRun()>& run) const {
    if (store_ == nullptr) return run();
    const std::string key = key_of(changes);
    if (const auto bytes = store_->find(key)) {
        if (auto kept = run_of(*bytes)) return *std::move(kept);
    }
    PlanRun made = run();
    store_->keep(key, bytes_of_run(made));
    return made;
}

KeptRuns::Outcome KeptRuns::outcome(const Change& change,
                                    const std::function<Outcome()>& run) const {
    if (store_ == nullptr) return run();
    const std::string key = key_of(std::span(&change, 1));
    if (const auto bytes = store_->find(key)) {
        // The part's units stand behind the run, one byte each.
        if (bytes->size() >= n_units_) {
            const std::size_t n = bytes->size() - n_units_;
            if (auto kept = run_of(bytes->substr(0, n))) {
                Outcome outcome{{}, *std::move(kept)};
                outcome.active.units.assign(bytes->begin() + static_cast<std::ptrdiff_t>(n),
                                            bytes->end());
                return outcome;
            }
        }
    }
    Outcome outcome = run();
    std::string bytes = bytes_of_run(outcome.run);
    bytes.append(outcome.active.units.begin(), outcome.active.units.end());
    store_->keep(key, bytes);
    return outcome;
}

}  // namespace noonshell
