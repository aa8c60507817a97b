// Present values against the payments themselves, discounted one by one.
#include "thermal/present_value.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "thermal/plan_goal.hpp"

namespace noonshell {
namespace {

double discounted(double rate, double years) {
    return std::pow(1 + rate, -years);
}

TEST(PresentValue, AnAnnuityIsItsPayments) {
    for (const double rate : {0.0, 1e-9, 0.03, 0.08, 0.5}) {
        for (const int years : {1, 7, 20, 60}) {
            double sum = 0;
            for (int k = 1; k <= years; ++k) sum += discounted(rate, k);
            EXPECT_NEAR(annuity_factor({static_cast<double>(years), rate}), sum, 1e-9 * sum)
                << rate << " " << years;
        }
    }
    // Without an end it is 1 / i.
    EXPECT_NEAR(annuity_factor({10000, 0.04}), 25, 1e-9);
}

TEST(PresentValue, WhatIsRepeatedIsNotBoughtAtTheEnd) {
    const Discounting twenty{20, 0.05};
    EXPECT_NEAR(repeated_factor(twenty, 8), discounted(0.05, 8) + discounted(0.05, 16), 1e-12);
    EXPECT_NEAR(repeated_factor(twenty, 10), discounted(0.05, 10), 1e-12);
    EXPECT_EQ(repeated_factor(twenty, 20), 0);
    EXPECT_EQ(repeated_factor(twenty, 25), 0);
    EXPECT_NEAR(repeated_factor({20, 0}, 0.5), 39, 1e-9);
}

/// Bought for 100 with a life of 9 years, 3 of upkeep a year, a coat for 20 every 4 years, over 20
/// years: bought in years 0, 9 and 18, coats in 4 and 8, in 13 and 17.
TEST(PresentValue, OfSomethingThatIsKeptUp) {
    const double i = 0.06;
    const PlanPrices prices{.electricity_per_kwh = 0.2, .discounting = {20, i}};
    double sum = 0;
    for (const int year : {0, 9, 18}) sum += 100 * discounted(i, year);
    for (const int year : {4, 8, 13, 17}) sum += 20 * discounted(i, year);
    for (int year = 1; year <= 20; ++year) sum += 3 * discounted(i, year);
    const LastingCost lasting{
        .cost = 100, .life_years = 9, .upkeep_per_year = 3, .coat_cost = 20, .coat_years = 4};
    EXPECT_NEAR(counted_cost(PlanGoal::present_value, lasting, prices), sum, 1e-9);
    EXPECT_NEAR(counted_cost(PlanGoal::running_cost, lasting, prices), 3 + 20.0 / 4, 1e-12);
    EXPECT_EQ(counted_cost(PlanGoal::cooling_energy, lasting, prices), 0);
    EXPECT_EQ(counted_once(PlanGoal::present_value, 7), 7);
    EXPECT_EQ(counted_once(PlanGoal::running_cost, 7), 0);
}

/// A year's electricity, its price and the annuity.
TEST(PresentValue, OfElectricity) {
    PlanRun run;
    run.response.n_units = 1;
    run.response.priced_electricity_j = {3.6e6 * 125};
    const PlanPrices prices{
        .electricity_per_kwh = 0.3, .discounting = {15, 0.07}, .years_of_period = 0.5};
    double sum = 0;
    for (int year = 1; year <= 15; ++year) sum += 250 * 0.3 * discounted(0.07, year);
    EXPECT_NEAR(burdens_of(PlanGoal::present_value, run, prices).at(0), sum, 1e-9);
}

}  // namespace
}  // namespace noonshell
