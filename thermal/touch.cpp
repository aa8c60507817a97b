#include "thermal/touch.hpp"

#include <array>

#include "geometry/diagnostics.hpp"

namespace noonshell {

std::span<const TouchThreshold> bare_metal_touch_thresholds() {
    static constexpr std::array<TouchThreshold, 5> thresholds{
        {{1, 65}, {10, 55}, {60, 51}, {600, 48}, {28800, 43}}};
    return thresholds;
}

double hours_at_or_above_h(std::span<const float> surface_c, std::size_t n_columns,
                           std::size_t column, double threshold_c) {
    NOONSHELL_CHECK_LT(column, n_columns);
    double hours = 0;
    for (std::size_t at = column; at < surface_c.size(); at += n_columns)
        if (static_cast<double>(surface_c[at]) >= threshold_c) hours += 1;
    return hours;
}

}  // namespace noonshell
