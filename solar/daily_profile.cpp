#include "solar/daily_profile.hpp"

#include <array>
#include <cmath>
#include <cstddef>
#include <numbers>

namespace noonshell {

namespace {

/// [ashrae2021] ch. 14 table 6; entry h is for h o'clock, entry 0 is that of 24 h.
constexpr std::array<double, 24> profile{0.82, 0.88, 0.92, 0.95, 0.98, 1.00, 0.98, 0.91,
                                         0.74, 0.55, 0.38, 0.23, 0.13, 0.05, 0.00, 0.00,
                                         0.06, 0.14, 0.24, 0.39, 0.50, 0.59, 0.68, 0.75};

double wrapped_to_day(double hours) {
    return hours - 24 * std::floor(hours / 24);
}

}  // namespace

double equation_of_time_min(double day_of_year) {
    const double gamma = 2 * std::numbers::pi * (day_of_year - 1) / 365;
    return 2.2918 * (0.0075 + 0.1868 * std::cos(gamma) - 3.2077 * std::sin(gamma) -
                     1.4615 * std::cos(2 * gamma) - 4.089 * std::sin(2 * gamma));
}

double apparent_solar_time_h(double utc_h, double longitude_deg, double day_of_year) {
    return wrapped_to_day(utc_h + longitude_deg / 15 + equation_of_time_min(day_of_year) / 60);
}

double daily_range_fraction(double apparent_solar_time_h) {
    const double hour = wrapped_to_day(apparent_solar_time_h);
    const double whole = std::floor(hour);
    const auto i = static_cast<std::size_t>(whole) % profile.size();
    const double share = hour - whole;
    return profile[i] + share * (profile[(i + 1) % profile.size()] - profile[i]);
}

}  // namespace noonshell
