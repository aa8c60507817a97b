// What payments of later years are worth today.
#pragma once

namespace noonshell {

struct Discounting {
    double horizon_years = 20;
    double rate = 0.05;  ///< a year, as a share; 0: later payments count in full
};

/// Of 1 paid at the end of every year of the horizon: (1 - (1 + i)^-n) / i, the annuity factor of
/// any textbook of finance; n for i = 0.
double annuity_factor(const Discounting& discounting);

/// Of 1 paid every `every_years` from then on, as long as that is before the end of the horizon:
/// the sum of (1 + i)^-kT over k T < n. What is bought at its very end would serve nobody.
double repeated_factor(const Discounting& discounting, double every_years);

}  // namespace noonshell
