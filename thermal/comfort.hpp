// Comfort without cooling: adaptive upper limits of indoor temperature and the time above them.
#pragma once

#include <cstddef>
#include <span>
#include <vector>

namespace noonshell {

enum class AdaptiveModel {
    en_16798_category_2,  ///< default: 0.33 Trm + 18.8 + 3, running mean 10 to 30 C, [en16798]
    ashrae_55_80_percent  ///< 0.31 Trm + 17.8 + 3.5, running mean 10 to 33.5 C, [ashrae55]
};

/// Temperature that the model calls comfortable [C], for a running mean outdoor temperature.
/// Outside the model's range the value at the nearer end holds: the models were never fitted there.
double adaptive_comfort_c(AdaptiveModel model, double running_mean_c);

/// Highest operative temperature that counts as not too hot [C].
double adaptive_upper_limit_c(AdaptiveModel model, double running_mean_c);

/// False where the limit is only carried on from the end of the model's range.
bool within_adaptive_range(AdaptiveModel model, double running_mean_c);

/// Exponentially weighted running mean of the days before, (1 - a) (T_1 + a T_2 + a^2 T_3 ...) with
/// T_i the mean i days ago and a = 0.8, [en16798]; #days in and out [C]. The period repeats before
/// its first day: a year follows a year, a design day follows itself.
std::vector<double> running_mean_outdoor_c(std::span<const double> daily_mean_c);

struct TooHot {
    double hours_h = 0;
    double degree_hours_kh = 0;  ///< sum of the excess over the limit
};

/// Time above the limit of the day in column `column` of an hour-major array
/// [hour * n_columns + column] of operative temperatures [C]; `daily_limit_c` holds one limit per
/// day [C]. In a room that leaks and is not cooled the air temperature is a fair stand-in unless
/// hot steel is near.
TooHot time_too_hot(std::span<const float> operative_c, std::size_t n_columns, std::size_t column,
                    std::span<const double> daily_limit_c);

}  // namespace noonshell
