#include "thermal/comfort.hpp"

#include <algorithm>
#include <cmath>

#include "geometry/diagnostics.hpp"
#include "solar/common_year.hpp"

namespace noonshell {

namespace {

// Coefficients from memory of the standards.
struct Line {
    double slope, at_zero_c, lowest_c, highest_c, upper_margin_k;
};

Line line_of(AdaptiveModel model) {
    return model == AdaptiveModel::en_16798_category_2 ? Line{0.33, 18.8, 10.0, 30.0, 3.0}
                                                       : Line{0.31, 17.8, 10.0, 33.5, 3.5};
}

constexpr double kept_per_day = 0.8;

}  // namespace

double adaptive_comfort_c(AdaptiveModel model, double running_mean_c) {
    const Line line = line_of(model);
    return line.at_zero_c + line.slope * std::clamp(running_mean_c, line.lowest_c, line.highest_c);
}

double adaptive_upper_limit_c(AdaptiveModel model, double running_mean_c) {
    return adaptive_comfort_c(model, running_mean_c) + line_of(model).upper_margin_k;
}

bool within_adaptive_range(AdaptiveModel model, double running_mean_c) {
    const Line line = line_of(model);
    return running_mean_c >= line.lowest_c && running_mean_c <= line.highest_c;
}

std::vector<double> running_mean_outdoor_c(std::span<const double> daily_mean_c) {
    const std::size_t n = daily_mean_c.size();
    std::vector<double> mean_c(n);
    // Once through the period from nothing gives the weighted sum of one period; all earlier
    // periods are copies of it, each smaller by a^n.
    double running = 0;
    for (const double day_c : daily_mean_c)
        running = kept_per_day * running + (1 - kept_per_day) * day_c;
    running /= 1 - std::pow(kept_per_day, static_cast<double>(n));
    for (std::size_t day = 0; day < n; ++day) {
        mean_c[day] = running;
        running = kept_per_day * running + (1 - kept_per_day) * daily_mean_c[day];
    }
    return mean_c;
}

TooHot time_too_hot(std::span<const float> operative_c, std::size_t n_columns, std::size_t column,
                    std::span<const double> daily_limit_c) {
    NOONSHELL_CHECK_LT(column, n_columns);
    const std::size_t n_hours = operative_c.size() / n_columns;
    NOONSHELL_CHECK_LE(n_hours, daily_limit_c.size() * hours_per_day);
    TooHot sum;
    for (std::size_t hour = 0; hour < n_hours; ++hour) {
        const double excess_k = static_cast<double>(operative_c[hour * n_columns + column]) -
                                daily_limit_c[hour / hours_per_day];
        if (excess_k <= 0) continue;
        sum.hours_h += 1;
        sum.degree_hours_kh += excess_k;
    }
    return sum;
}

}  // namespace noonshell
