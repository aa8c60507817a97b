#include "thermal/plan_limits.hpp"

#include <algorithm>
#include <cmath>
#include <iomanip>
#include <sstream>

#include "geometry/diagnostics.hpp"

namespace noonshell {

namespace {

// Of the limit: the heat run's own tolerance.
constexpr double excess_that_counts = 1e-6;
constexpr double joules_of_a_kwh = 3.6e6, watts_per_kw = 1000;

struct LimitWords {
    const char* key;
    const char* figure;
    const char* unit;
    double one;  // of the unit, in SI
};

LimitWords words_of(LimitKind kind) {
    switch (kind) {
        case LimitKind::plant:
            return {"plant_limit_kw", "a plant", "kW", watts_per_kw};
        case LimitKind::cooling:
            return {"cooling_limit_kwh_m2", "cooling", "kWh/m2", joules_of_a_kwh};
        case LimitKind::too_hot:
            break;
    }
    return {"too_hot_limit_h", "time too hot", "h", 1};
}

double relative_excess(const LimitedUnit& limited, double figure) {
    const double above = figure - limited.limit;
    if (above <= excess_that_counts * std::max(limited.limit, 1.0)) return 0;
    return above / std::max(limited.limit, 1.0);
}

std::string in_words(const LimitWords& words, double figure) {
    std::ostringstream text;
    text.precision(4);
    text << figure / words.one << ' ' << words.unit;
    return text.str();
}

}  // namespace

std::vector<LimitedUnit> limited_units(const PlanLimits& limits, const Envelope& envelope) {
    std::vector<LimitedUnit> limited;
    const auto add = [&](LimitKind kind, const std::optional<double>& limit) {
        for (std::size_t u = 0; limit && u < envelope.units.size(); ++u)
            limited.push_back({kind, UnitId(u), *limit});
    };
    add(LimitKind::plant, limits.plant_w);
    add(LimitKind::cooling, limits.cooling_j_m2);
    add(LimitKind::too_hot, limits.hours_too_hot_h);
    return limited;
}

double figure_of(const LimitedUnit& limited, const PlanRun& run, const Envelope& envelope) {
    const std::size_t u = limited.unit.index();
    switch (limited.kind) {
        case LimitKind::plant:
            return run.response.needed_capacity_w[u].value;
        case LimitKind::cooling:
            return run.response.cooling_j[u] / envelope.units[u].floor_area_m2;
        case LimitKind::too_hot:
            break;
    }
    return run.too_hot.at(u).hours_h;
}

double excess_of(const std::vector<LimitedUnit>& limited, const PlanRun& run,
                 const Envelope& envelope) {
    double sum = 0;
    for (const LimitedUnit& one : limited)
        sum += relative_excess(one, figure_of(one, run, envelope));
    return sum;
}

void require_limits(const std::vector<LimitedUnit>& limited, const PlanRun& run,
                    const Envelope& envelope, double budget,
                    const std::optional<double>& budget_that_does) {
    const LimitedUnit* worst = nullptr;
    double most = 0;
    for (const LimitedUnit& one : limited) {
        const double excess = relative_excess(one, figure_of(one, run, envelope));
        if (excess <= most) continue;
        most = excess;
        worst = &one;
    }
    if (worst == nullptr) return;
    const LimitWords words = words_of(worst->kind);
    std::ostringstream within, would_do;
    within << budget;
    // Up to whole units, so that what is printed is enough.
    if (budget_that_does)
        would_do << "; of the budgets looked at, the smallest that does is " << std::fixed
                 << std::setprecision(0) << std::ceil(*budget_that_does);
    else
        would_do << "; no budget looked at does, however large";
    throw InputError({.entity = std::string("[plan] ") + words.key},
                     "no unit above " + in_words(words, worst->limit) + " (" + words.figure +
                         ") within a budget of " + within.str(),
                     in_words(words, figure_of(*worst, run, envelope)) + " in " +
                         envelope.units[worst->unit.index()].id + " with the best plan found" +
                         would_do.str());
}

}  // namespace noonshell
