#include "thermal/heat_stress.hpp"

#include <limits>

#include "geometry/diagnostics.hpp"
#include "thermal/room_moisture.hpp"

namespace noonshell {

namespace {

constexpr double still_air_share = 0.89;  // 0.96 + 0.069 log10(v), v = 0.1 m/s
constexpr double globe_share = 0.3;

/// Humidity ratio of air whose wet bulb is `wet_c`; rises with it. [ashrae2021] ch. 1, kJ and kg.
double humidity_at(double wet_c, double air_c, double pressure_pa) {
    const double saturated = saturated_humidity_kg_kg(wet_c, pressure_pa);
    return ((2501 - 2.326 * wet_c) * saturated - 1.006 * (air_c - wet_c)) /
           (2501 + 1.86 * air_c - 4.186 * wet_c);
}

}  // namespace

double wet_bulb_c(double air_c, double humidity_kg_kg, double pressure_pa) {
    constexpr double farthest_k = 100, settled_k = 1e-6;
    double low = air_c - farthest_k, high = air_c;
    while (high - low > settled_k) {
        const double middle = (low + high) / 2;
        (humidity_at(middle, air_c, pressure_pa) < humidity_kg_kg ? low : high) = middle;
    }
    return high;
}

double wet_bulb_globe_c(double air_c, double operative_c, double humidity_kg_kg,
                        double pressure_pa) {
    const double depression_k = air_c - wet_bulb_c(air_c, humidity_kg_kg, pressure_pa);
    const double natural_c = air_c - still_air_share * depression_k;
    return (1 - globe_share) * natural_c + globe_share * operative_c;
}

HeatStress heat_stress(const Response& run, std::size_t unit, std::span<const double> pressure_pa) {
    NOONSHELL_CHECK_LT(unit, run.n_units);
    NOONSHELL_CHECK_EQ(run.humidity_kg_kg.size(), run.air_c.size());
    NOONSHELL_CHECK_EQ(pressure_pa.size(), run.n_hours);
    HeatStress stress{.peak_c = -std::numeric_limits<double>::infinity()};
    for (std::size_t hour = 0; hour < run.n_hours; ++hour) {
        const std::size_t at = hour * run.n_units + unit;
        const double wbgt_c = wet_bulb_globe_c(
            static_cast<double>(run.air_c[at]), static_cast<double>(run.operative_c[at]),
            static_cast<double>(run.humidity_kg_kg[at]), pressure_pa[hour]);
        if (wbgt_c > HeatStress::limit_c) stress.hours_above_h += 1;
        if (wbgt_c <= stress.peak_c) continue;
        stress.peak_c = wbgt_c;
        stress.peak_hour = hour;
    }
    return stress;
}

}  // namespace noonshell
