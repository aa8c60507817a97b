// What a plan may leave no unit above.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "thermal/kept_runs.hpp"

namespace noonshell {

/// Those that are set hold for every unit.
struct PlanLimits {
    std::optional<double> plant_w;          ///< rated capacity that would have met every step
    std::optional<double> cooling_j_m2;     ///< heat taken out over the period, per floor area
    std::optional<double> hours_too_hot_h;  ///< without cooling

    bool any() const { return plant_w || cooling_j_m2 || hours_too_hot_h; }
};

enum class LimitKind : std::uint8_t { plant, cooling, too_hot };

/// One unit under one limit.
struct LimitedUnit {
    LimitKind kind = LimitKind::plant;
    UnitId unit;
    double limit = 0;
};

/// Every unit under every limit that is set: by kind, then by unit.
std::vector<LimitedUnit> limited_units(const PlanLimits& limits, const Envelope& envelope);

/// The figure that the limit is about, in the limit's unit of measure.
double figure_of(const LimitedUnit& limited, const PlanRun& run, const Envelope& envelope);

/// By how much of their limits all units together are above them; 0 where all are met.
double excess_of(const std::vector<LimitedUnit>& limited, const PlanRun& run,
                 const Envelope& envelope);

/// Throws InputError where a unit is left above its limit: the limit, the unit that is farthest
/// above it, its figure and `budget_that_does`, the smallest known with which none is (none: no
/// such budget).
void require_limits(const std::vector<LimitedUnit>& limited, const PlanRun& run,
                    const Envelope& envelope, double budget,
                    const std::optional<double>& budget_that_does);

}  // namespace noonshell
