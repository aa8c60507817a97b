// What shades that could be built measure: area, pieces, whose they are.
#pragma once

#include <cstddef>
#include <vector>

#include "geometry/shade_builder.hpp"

namespace noonshell {

struct ShadeMeasure {
    double area_m2 = 0;           ///< of all plates, each seen square on
    std::size_t pieces = 0;       ///< bodies
    std::vector<UnitId> units{};  ///< that they stand over or against, ascending
};

/// Of the shades that build_shades() would make; throws as it does.
ShadeMeasure measure_shades(const Model& model, const Envelope& envelope,
                            const ShadeSettings& settings);

}  // namespace noonshell
