#include "solar/standard_air.hpp"

#include <cmath>

namespace noonshell {

double standard_pressure_ratio(double elevation_m) {
    return std::pow(1.0 - 2.25577e-5 * elevation_m, 5.2559);
}

double standard_pressure_pa(double elevation_m) {
    return 101325 * standard_pressure_ratio(elevation_m);
}

}  // namespace noonshell
