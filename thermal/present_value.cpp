#include "thermal/present_value.hpp"

#include <cmath>

#include "geometry/diagnostics.hpp"

namespace noonshell {

double annuity_factor(const Discounting& discounting) {
    const double n = discounting.horizon_years;
    if (discounting.rate <= 0) return n;
    // expm1 and log1p keep the digits of small rates.
    return -std::expm1(-n * std::log1p(discounting.rate)) / discounting.rate;
}

double repeated_factor(const Discounting& discounting, double every_years) {
    NOONSHELL_CHECK_GT(every_years, 0.0);
    double sum = 0;
    constexpr double rounding = 1e-9;
    for (int k = 1; k * every_years < discounting.horizon_years - rounding; ++k)
        sum += std::pow(1 + discounting.rate, -k * every_years);
    return sum;
}

}  // namespace noonshell
