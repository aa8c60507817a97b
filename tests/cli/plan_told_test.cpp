// What `noonshell plan` tells beside its purchases: the first money, payback, other budgets, and
// what the site file asks for in vain.
#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>
#include <set>
#include <string>
#include <utility>

#include "tests/cli/csv_rows.hpp"
#include "tests/cli/program.hpp"
#include "tests/cli/small_site.hpp"

namespace noonshell {
namespace {

using namespace test;
using Json = nlohmann::json;
using ::testing::HasSubstr;
using ::testing::Not;

const std::string two_wares_toml =
    "[[treatment]]\nname = \"white\"\nkind = \"coating\"\nsurfaces = [\"*/roof\", \"*/wall*\"]\n"
    "cost_per_m2 = 14\ncall_out = \"scaffold\"\ncall_out_cost = 60\naged_reflectance = 0.62\n"
    "[[treatment]]\nname = \"insulation\"\nkind = \"outside insulation\"\nsurfaces = "
    "[\"*/roof\"]\ncost_per_m2 = 62\nlayers = [{ material = \"pir\", thickness_mm = 60 }]\n";

class PlanTold : public testing::Test {
  protected:
    std::string site(const std::string& more, const std::string& weather = design_day_toml) {
        return write_site(folder_, place_toml +
                                       "[model]\nfile = \"site.step\"\nfacet_size_m = 2\n" +
                                       weather + coarse_toml + more);
    }
    /// Of the terminal; plan.json stands in plan_ then.
    std::string page(const std::string& file, const std::string& budget,
                     const std::vector<std::string>& more = {}) {
        std::vector<std::string> arguments{"plan", file, "--budget", budget, "--fast"};
        arguments.insert(arguments.end(), more.begin(), more.end());
        const Outcome outcome = run_program(arguments);
        EXPECT_EQ(outcome.status, 0) << outcome.err;
        plan_ = Json::parse(content_of(folder_ / "site-results/plan.json"));
        return outcome.out;
    }
    std::string warning(const std::string& code) const {
        for (const Json& warning : plan_["warnings"])
            if (warning["code"] == code)
                return warning["text"].get<std::string>() + " [" +
                       warning["where"].get<std::string>() + "]";
        return "";
    }

    Folder folder_;
    Json plan_;
};

TEST_F(PlanTold, TheFirstTenthIsThePurchasesWithinATenthOfWhatIsSpent) {
    for (const char* budget : {"700", "100000"}) {
        const std::string told = page(site(two_wares_toml), budget);
        const Json& first = plan_["first_tenth"];
        double cost = 0, saves = 0;
        std::size_t purchases = 0;
        for (const Json& item : plan_["chosen"]) {
            const double so_far = cost + item["cost"].get<double>();
            if (purchases > 0 && so_far > 0.1 * plan_["spent"].get<double>()) break;
            cost = so_far;
            saves += item["goal_saves_kwh"].get<double>();
            ++purchases;
        }
        EXPECT_EQ(first["purchases"], purchases);
        EXPECT_NEAR(first["cost"], cost, 1e-6);
        EXPECT_NEAR(first["saved_kwh"], saves, 1e-9 * saves);
        EXPECT_NEAR(first["share_of_saving"], saves / plan_["saved_kwh"].get<double>(), 1e-6);
        // Hundredths where the budget is below 1000.
        const int decimals = budget == std::string("700") ? 2 : 0;
        EXPECT_THAT(told, HasSubstr(fmt::format("of that the first {:.{}f} ", cost, decimals)));
        EXPECT_THAT(told, HasSubstr(std::to_string(purchases) +
                                    (purchases == 1 ? " purchase)" : " purchases)")));
    }
    EXPECT_THAT(page(site(two_wares_toml), "0"), Not(HasSubstr("of that the first")));
    EXPECT_EQ(plan_["first_tenth"], nullptr);
}

TEST_F(PlanTold, PaybackIsTheCostOverAYearsBill) {
    const std::string told = page(
        site(two_wares_toml + "[plan]\nelectricity_price_per_kwh = 2\n", twelve_equal_months_toml),
        "900");
    EXPECT_THAT(told, HasSubstr("payback y"));
    ASSERT_FALSE(plan_["chosen"].empty());
    const auto rows = rows_of(folder_ / "site-results/plan.csv");
    ASSERT_EQ(rows.size(), plan_["chosen"].size());
    for (std::size_t i = 0; i < rows.size(); ++i) {
        const Json& item = plan_["chosen"][i];
        const double a_year = item["saves_running_cost"];
        ASSERT_GT(a_year, 0);
        const double years = item["cost"].get<double>() / a_year;
        EXPECT_NEAR(item["payback_years"], years, 1e-9 * years);
        EXPECT_NEAR(number(rows[i], "payback_years"), years, 1e-6 * years);
    }
}

/// Of free electricity nothing is saved; a design day is no year.
TEST_F(PlanTold, NoPaybackWhereNothingIsSavedOrThePeriodIsNoYear) {
    const auto none_is_told = [&] {
        ASSERT_FALSE(plan_["chosen"].empty());
        for (const Json& item : plan_["chosen"]) EXPECT_EQ(item["payback_years"], nullptr);
        for (const Row& row : rows_of(folder_ / "site-results/plan.csv"))
            EXPECT_EQ(row.at("payback_years"), "");
    };
    page(site(two_wares_toml), "700");
    none_is_told();
    page(site(two_wares_toml + "[plan]\nelectricity_price_per_kwh = 0\n", twelve_equal_months_toml),
         "700");
    none_is_told();
}

using PurchaseSet = std::set<std::pair<std::string, std::string>>;

PurchaseSet purchases_in(const Json& purchases) {
    PurchaseSet all;
    for (const Json& item : purchases) all.emplace(item["surface"], item["treatment"]);
    return all;
}

/// For each of the currency spent more.
double saved_between(const Json& before, const Json& after) {
    return (before["goal_kwh"].get<double>() - after["goal_kwh"].get<double>()) /
           (after["cost"].get<double>() - before["cost"].get<double>());
}

TEST_F(PlanTold, BudgetsTellWhatComesInAndGoesOut) {
    const std::string told = page(site(two_wares_toml), "700", {"--verbose"});
    PurchaseSet bought;
    std::size_t out = 0;
    double first = 0;  // of the budget that saves most for its cost
    for (std::size_t i = 0; i < plan_["frontier"].size(); ++i) {
        const Json& point = plan_["frontier"][i];
        for (const auto& gone : purchases_in(point["goes_out"]))
            EXPECT_EQ(bought.erase(gone), 1u) << gone.first;
        for (const auto& come : purchases_in(point["comes_in"]))
            EXPECT_TRUE(bought.insert(come).second) << come.first;
        out += point["goes_out"].size();
        PurchaseSet listed;
        for (const Json& c : point["candidates"]) {
            const Json& candidate = plan_["candidates"][c.get<std::size_t>()];
            listed.emplace(candidate["surface"], candidate["treatment"]);
        }
        EXPECT_EQ(bought, listed) << i;
        const Json& before = plan_["frontier"][i == 0 ? 0 : i - 1];
        const double more = point["cost"].get<double>() - before["cost"].get<double>();
        if (more <= 0) {
            EXPECT_EQ(point["saves_per_cost"], nullptr);
            continue;
        }
        const double rate =
            (before["goal_kwh"].get<double>() - point["goal_kwh"].get<double>()) / more;
        EXPECT_NEAR(point["saves_per_cost"], rate, 1e-9 + 1e-6 * std::abs(rate));
        first = std::max(first, saved_between(plan_["frontier"][0], point));
    }
    EXPECT_GT(out, 0u);
    // Insulation comes late, and dear.
    const std::string begin = "\n  beyond ";
    const std::size_t at = told.find(begin);
    ASSERT_NE(at, std::string::npos);
    const double named = std::stod(told.substr(at + begin.size()));
    const Json* bend = nullptr;
    for (const Json& point : plan_["frontier"]) {
        const double budget = point["budget"];
        if (bend && point["cost"] > (*bend)["cost"]) {
            EXPECT_LT(saved_between(*bend, point), first / 2) << budget;
        }
        if (std::lround(budget) == std::lround(named)) bend = &point;
    }
    ASSERT_TRUE(bend);
    EXPECT_LT(named, 0.6 * plan_["frontier"].back()["budget"].get<double>());
}

TEST_F(PlanTold, NoFigureStandsTwiceAmongTheBudgets) {
    const std::string cooling = page(site(two_wares_toml), "500");
    EXPECT_THAT(cooling, HasSubstr("kWh/cost"));
    EXPECT_THAT(cooling, Not(HasSubstr("cooling kWh")));
    const std::string peak = page(site(two_wares_toml), "500", {"--goal", "peak_load"});
    EXPECT_THAT(peak, HasSubstr("W/cost"));
    EXPECT_THAT(peak, HasSubstr("cooling kWh"));
}

TEST_F(PlanTold, RowsOfTheTableAddUp) {
    page(site(two_wares_toml), "900");
    double so_far = 0, calls = 0;
    for (const Row& row : rows_of(folder_ / "site-results/plan.csv")) {
        EXPECT_FALSE(row.contains("sure_percent"));
        so_far += number(row, "cost") + number(row, "call_out_cost");
        calls += number(row, "call_out_cost");
        EXPECT_NEAR(number(row, "cost_so_far"), so_far, 1e-5 * so_far);
    }
    EXPECT_GT(calls, 0);
    EXPECT_NEAR(plan_["spent"], so_far, 1e-5 * so_far);
    EXPECT_NEAR(plan_["call_out_cost"], calls, 1e-6);
}

TEST_F(PlanTold, SamplesAreCountedAndStandInTheTable) {
    const std::string told = page(site(two_wares_toml + "[plan]\nsamples = 1\n"), "700");
    EXPECT_THAT(told, HasSubstr("(1 sample of the"));
    page(site(two_wares_toml + "[plan]\nsamples = 16\n"), "700");
    const auto rows = rows_of(folder_ / "site-results/plan.csv");
    ASSERT_EQ(rows.size(), plan_["chosen"].size());
    for (std::size_t i = 0; i < rows.size(); ++i)
        EXPECT_NEAR(number(rows[i], "sure_percent"),
                    100 * plan_["chosen"][i]["confidence"].get<double>(), 1e-4);
}

TEST_F(PlanTold, PatternsThatKeepNothingUntouchedAreTold) {
    page(site(two_wares_toml + "[plan]\nuntouched = [\"unit-1/*\", \"unti-2/roof\"]\n"), "500");
    const std::string text = warning("untouched-matches-nothing");
    EXPECT_THAT(text, HasSubstr("\"unti-2/roof\""));
    EXPECT_THAT(text, HasSubstr("is \"unit-2/roof\" [plan.untouched]"));
    EXPECT_THAT(text, Not(HasSubstr("unit-1/*")));
    page(site(two_wares_toml + "[plan]\nuntouched = [\"unit-1/*\"]\n"), "500");
    EXPECT_EQ(warning("untouched-matches-nothing"), "");
}

TEST_F(PlanTold, ATreatmentThatLacksWhatItNeedsIsTold) {
    const auto with_coat_on = [](const std::string& surfaces) {
        return "[[treatment]]\nname = \"white\"\nkind = \"coating\"\ncost_per_m2 = 14\nsurfaces = "
               "[\"" +
               surfaces +
               "\"]\n[[treatment]]\nname = \"foam\"\nkind = \"outside insulation\"\n"
               "cost_per_m2 = 20\nsurfaces = [\"*/roof\"]\nneeds = [\"white\"]\n"
               "layers = [{ material = \"pir\", thickness_mm = 60 }]\n";
    };
    page(site(with_coat_on("*/wall*")), "500");
    EXPECT_THAT(warning("treatment-lacks-needed"), HasSubstr("\"white\""));
    EXPECT_THAT(warning("treatment-lacks-needed"), HasSubstr("[treatment \"foam\"]"));
    for (const Json& candidate : plan_["candidates"])
        EXPECT_THAT(candidate["treatment"].get<std::string>(), Not(HasSubstr("foam")));
    page(site(with_coat_on("unit-1/*")), "500");
    EXPECT_EQ(warning("treatment-lacks-needed"), "");
}

TEST_F(PlanTold, TheBoundSaysWhatItRestsOn) {
    EXPECT_THAT(page(site(two_wares_toml), "700"),
                HasSubstr("if in none that promises as much the purchases help each other more"));
}

TEST_F(PlanTold, PricesOfOneCallOutAreToldWithoutZeros) {
    const std::string file =
        site(two_wares_toml + "call_out = \"scaffold\"\ncall_out_cost = 75.5\n");
    const Outcome outcome = run_program({"plan", file, "--budget", "500"});
    EXPECT_EQ(outcome.status, 3);
    EXPECT_THAT(outcome.err, HasSubstr("has elsewhere, 60, saw 75.5\n"));
}

}  // namespace
}  // namespace noonshell
