#include "thermal/kept_runs.hpp"

#include <utility>

namespace noonshell {

KeptRuns::KeptRuns(TrialStore* store, const HeatInputs& inputs, const Building& base,
                   const HeatOptions& options, std::string_view what)
    : store_(store), n_units_(base.rooms.size()) {
    if (store == nullptr) return;
    question_.add(what);
    add_to(question_, inputs);
    add_to(question_, base);
    add_to(question_, options);
}

std::string KeptRuns::key_of(std::span<const Change> changes) const {
    ContentKey key = question_;
    for (const Change& change : changes) {
        key.add(change.surface.index());
        add_to(key, *change.construction);
    }
    return key.hex();
}

Response KeptRuns::response(std::span<const Change> changes,
                            const std::function<Response()>& run) const {
    if (store_ == nullptr) return run();
    const std::string key = key_of(changes);
    if (const auto bytes = store_->find(key)) {
        if (auto response = response_of(*bytes)) return *std::move(response);
    }
    Response response = run();
    store_->keep(key, bytes_of(response));
    return response;
}

SurfaceTrials::Outcome KeptRuns::outcome(const Change& change,
                                         const std::function<SurfaceTrials::Outcome()>& run) const {
    if (store_ == nullptr) return run();
    const std::string key = key_of(std::span(&change, 1));
    if (const auto bytes = store_->find(key)) {
        // The part's units stand behind the response, one byte each.
        if (bytes->size() >= n_units_) {
            const std::size_t n = bytes->size() - n_units_;
            SurfaceTrials::Outcome kept;
            kept.active.units.assign(bytes->begin() + static_cast<std::ptrdiff_t>(n), bytes->end());
            if (auto response = response_of(bytes->substr(0, n))) {
                kept.response = *std::move(response);
                return kept;
            }
        }
    }
    SurfaceTrials::Outcome outcome = run();
    std::string bytes = bytes_of(outcome.response);
    bytes.append(outcome.active.units.begin(), outcome.active.units.end());
    store_->keep(key, bytes);
    return outcome;
}

}  // namespace noonshell
