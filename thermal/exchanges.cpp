#include "thermal/exchanges.hpp"

#include <algorithm>
#include <map>
#include <tuple>
#include <utility>

namespace noonshell {

namespace {

constexpr std::size_t nothing = static_cast<std::size_t>(-1);

/// One surface finished otherwise.
struct FinishChange {
    SurfaceId surface;
    std::size_t finish;  // nothing: bare
    double cost, worth;  // more than now, call-outs left out
};

struct Exchange {
    double worth;
    std::size_t a, b;  // of changes; b nothing: a alone
};

using FinishOn = std::map<SurfaceId, std::size_t>;

std::vector<FinishChange> changes_of(const FinishOn& now, std::span<const double> worth,
                                     const std::vector<Finish>& finishes) {
    std::map<SurfaceId, std::vector<std::size_t>> on;  // what each surface can have
    for (std::size_t f = 0; f < finishes.size(); ++f) {
        if (worth[f] > 0) on[finishes[f].surface].push_back(f);
    }
    std::vector<FinishChange> changes;
    for (const auto& [surface, list] : on) {
        const auto present = now.find(surface);
        const bool bare = present == now.end();
        const double cost = bare ? 0 : finishes[present->second].cost;
        const double has = bare ? 0 : worth[present->second];
        for (const std::size_t f : list) {
            if (bare || present->second != f)
                changes.push_back({surface, f, finishes[f].cost - cost, worth[f] - has});
        }
        if (!bare) changes.push_back({surface, nothing, -cost, -has});
    }
    return changes;
}

Choice changed_choice(FinishOn then, const std::vector<FinishChange>& changes,
                      const Exchange& exchange) {
    for (const std::size_t c : {exchange.a, exchange.b}) {
        if (c == nothing) continue;
        if (changes[c].finish == nothing)
            then.erase(changes[c].surface);
        else
            then[changes[c].surface] = changes[c].finish;
    }
    Choice choice;
    for (const auto& [surface, finish] : then) choice.push_back(finish);
    std::sort(choice.begin(), choice.end());
    return choice;
}

}  // namespace

std::vector<Choice> promising_exchanges(const Choice& choice, double budget,
                                        std::span<const double> worth,
                                        const std::vector<Finish>& finishes,
                                        const PurchaseCosts& costs, std::size_t most) {
    FinishOn now;
    for (const std::size_t f : choice) now[finishes[f].surface] = f;
    const std::vector<FinishChange> changes = changes_of(now, worth, finishes);
    // At best an exchange saves all call-outs; what it truly costs is seen when its turn comes.
    const double left = budget - costs.cost(choice) + costs.call_out_cost(choice);
    std::vector<Exchange> all;
    for (std::size_t a = 0; a < changes.size(); ++a) {
        if (changes[a].cost <= left) all.push_back({changes[a].worth, a, nothing});
        for (std::size_t b = a + 1; b < changes.size(); ++b) {
            if (changes[a].surface != changes[b].surface &&
                changes[a].cost + changes[b].cost <= left)
                all.push_back({changes[a].worth + changes[b].worth, a, b});
        }
    }
    std::sort(all.begin(), all.end(), [](const Exchange& x, const Exchange& y) {
        return std::tie(y.worth, x.a, x.b) < std::tie(x.worth, y.a, y.b);
    });
    std::vector<Choice> exchanges;
    for (const Exchange& exchange : all) {
        if (exchanges.size() == most) break;
        Choice changed = changed_choice(now, changes, exchange);
        if (costs.cost(changed) <= budget) exchanges.push_back(std::move(changed));
    }
    return exchanges;
}

}  // namespace noonshell
