// Shade roofs, overhangs and fins that could be bought: what they cost, and the sizes to choose
// from.
#pragma once

#include <compare>
#include <string>
#include <string_view>
#include <vector>

#include "geometry/shade_measure.hpp"
#include "geometry/shade_settings.hpp"

namespace noonshell {

/// A length to be chosen; where both ends are the same it is given.
struct LengthRange {
    double low_m = 0, high_m = 0;
    bool is_open() const { return high_m > low_m; }
};

struct ShadeSize {
    double reach_m = 0;   ///< of a roof beyond the walls on all sides; depth of an overhang or fin
    double height_m = 0;  ///< of a roof above the highest roof under it; else without a meaning
    auto operator<=>(const ShadeSize&) const = default;
};

/// Bought as a whole: one roof, or plates on all the walls that match.
struct PlannedShade {
    /// Exactly one roof, overhang or fin; its size is filled from a ShadeSize.
    ShadeSettings form;
    LengthRange reach_m, height_m;
    std::size_t sizes = 3;  ///< tried first in each open range, both ends included
    double cost_per_m2 = 0;
    double cost_per_piece = 0;
    std::string call_out;  ///< as of a Treatment, for every unit that it stands over or against
    double call_out_cost = 0;
    double life_years = 20;
    double upkeep_per_m2_year = 0;

    const std::string& name() const;
    std::string_view kind() const;  ///< "shade roof", "overhang" or "fin"
    bool is_roof() const { return !form.roofs.empty(); }
};

/// Throws InputError naming the shade, the field, its value and the rule broken.
void validate(const PlannedShade& shade);

ShadeSettings sized(const PlannedShade& shade, const ShadeSize& size);

/// The grid that a search begins with: `sizes` evenly spaced lengths in each open range.
std::vector<ShadeSize> first_sizes(const PlannedShade& shade);

double cost_of(const PlannedShade& shade, const ShadeMeasure& measure);  ///< without call-outs
double upkeep_per_year(const PlannedShade& shade, const ShadeMeasure& measure);

}  // namespace noonshell
