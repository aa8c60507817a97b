// `noonshell plan`, by the built program: what it writes holds together, and what it refuses.
#include <gtest/gtest.h>

#include <algorithm>
#include <nlohmann/json.hpp>
#include <set>
#include <string>

#include "tests/cli/csv_rows.hpp"
#include "tests/cli/program.hpp"
#include "tests/cli/small_site.hpp"

namespace noonshell {
namespace {

using namespace test;
using nlohmann::json;

std::string hot_site_toml() {
    return place_toml + "[model]\nfile = \"site.step\"\nfacet_size_m = 1.5\n" + design_day_toml +
           coarse_toml;
}

json plan_for(const Folder& folder, const std::string& site, const std::string& budget) {
    const Outcome outcome = run_program({"plan", site, "--budget", budget, "--json"});
    EXPECT_EQ(outcome.status, 0) << outcome.err;
    EXPECT_EQ(outcome.out, content_of(folder / "site-results/plan.json"));
    return json::parse(outcome.out);
}

TEST(PlanRun, FilesHoldTogether) {
    const Folder folder;
    const std::string site = write_site(folder, hot_site_toml());
    const json plan = plan_for(folder, site, "1500");
    EXPECT_LE(plan["spent"], 1500);
    ASSERT_GT(plan["chosen"].size(), 1u);
    double cost = 0, saves = 0;
    for (const json& item : plan["chosen"]) {
        cost += item["cost"].get<double>();
        saves += item["saves_kwh"].get<double>();
        EXPECT_NEAR(item["cost_so_far"], cost, 1e-6);
        EXPECT_NE(item["why"].get<std::string>().find("in July"), std::string::npos);
    }
    EXPECT_NEAR(plan["spent"], cost, 1e-6);
    EXPECT_NEAR(plan["saved_kwh"], saves, 1e-6 * saves);
    EXPECT_GE(plan["bound_kwh"], plan["saved_kwh"]);
    EXPECT_LT(plan["gap"], 0.2);
    double before = 0, after = 0;
    for (const json& unit : plan["before"]["units"]) before += unit["cooling_kwh"].get<double>();
    for (const json& unit : plan["after"]["units"]) after += unit["cooling_kwh"].get<double>();
    EXPECT_NEAR(before - after, saves, 1e-6 * saves);
    const auto rows = rows_of(folder / "site-results/plan.csv");
    ASSERT_EQ(rows.size(), plan["chosen"].size());
    EXPECT_EQ(rows[0].at("surface"), plan["chosen"][0]["surface"]);
    const auto frontier = rows_of(folder / "site-results/frontier.csv");
    ASSERT_EQ(frontier.size(), plan["frontier"].size());
    EXPECT_EQ(number(frontier.front(), "cost"), 0);
    for (std::size_t i = 1; i < frontier.size(); ++i)
        EXPECT_LE(number(frontier[i], "cooling_kwh"), number(frontier[i - 1], "cooling_kwh"));
}

TEST(PlanRun, EveryBudgetListsWhatItBuys) {
    const Folder folder;
    const std::string site = write_site(folder, hot_site_toml());
    const json plan = plan_for(folder, site, "1500");
    std::size_t bought = 0;
    for (const json& point : plan["frontier"]) {
        double cost = 0;
        std::set<std::string> surfaces;
        for (const json& index : point["candidates"]) {
            const json& candidate = plan["candidates"].at(index.get<std::size_t>());
            EXPECT_TRUE(surfaces.insert(candidate["surface"]).second) << candidate;
            EXPECT_EQ(candidate["treatments"].size(), candidate["parts"].size());
            for (const json& part : candidate["parts"]) cost += part["cost"].get<double>();
        }
        EXPECT_NEAR(point["cost"], cost, 1e-6 * cost) << point;
        EXPECT_LE(cost, point["budget"].get<double>() * (1 + 1e-9));
        EXPECT_EQ(point["purchases"], point["candidates"].size());
        bought += surfaces.size();
    }
    EXPECT_GT(bought, 10u);
}

TEST(PlanRun, CallOutsWasteAndUpkeepAddUp) {
    const Folder folder;
    const std::string site = write_site(
        folder, hot_site_toml() +
                    "[[treatment]]\nname = \"white\"\nkind = \"coating\"\ncost_per_m2 = 10\n"
                    "waste_percent = 10\ncall_out = \"scaffold\"\ncall_out_cost = 200\n"
                    "upkeep_per_m2_year = 0.5\nrecoat_per_m2 = 6\nrecoat_years = 3\n"
                    "not_on = [\"unit-2/wall*\"]\n[plan]\nuntouched = [\"unit-1/roof\"]\n");
    const json plan = plan_for(folder, site, "900");
    ASSERT_GT(plan["chosen"].size(), 1u);
    double cost = 0, area_m2 = 0;
    for (const json& item : plan["chosen"]) {
        cost += item["cost"].get<double>();
        area_m2 += item["area_m2"].get<double>();
        EXPECT_NE(item["surface"], "unit-1/roof");
        EXPECT_EQ(item["surface"].get<std::string>().find("unit-2/wall"), std::string::npos);
    }
    EXPECT_NEAR(plan["spent"], cost, 1e-6);
    EXPECT_LE(plan["spent"], 900);
    EXPECT_NEAR(plan["call_out_cost"], 200.0 * static_cast<double>(plan["call_outs"].size()), 1e-9);
    EXPECT_NEAR(cost, plan["call_out_cost"].get<double>() + 11 * area_m2, 1e-6);
    const json& white = plan["shopping_list"].at(0);
    EXPECT_NEAR(white["ordered_m2"], 1.1 * area_m2, 1e-6);
    EXPECT_NEAR(white["upkeep_per_year"], 2.5 * area_m2, 1e-6);
    EXPECT_NEAR(white["coat_cost"], 6 * area_m2, 1e-6);
    EXPECT_EQ(white["coat_years"], 3);
    // Everything here asks for a scaffold; each comes for the surfaces of its own unit.
    std::size_t shared = 0;
    for (const json& call : plan["call_outs"]) {
        EXPECT_FALSE(call["shared_by"].empty());
        for (const json& name : call["shared_by"])
            EXPECT_TRUE(name.get<std::string>().starts_with(call["unit"].get<std::string>() + "/"));
        shared += call["shared_by"].size();
    }
    EXPECT_EQ(shared, plan["chosen"].size());
    EXPECT_NEAR(plan["upkeep_per_year"], 2.5 * area_m2, 1e-6);
}

/// Until noon the sun stands in the east, after it in the west: half of a wall's light falls there.
TEST(PlanRun, SaysWhenTheLightFalls) {
    const Folder folder;
    const std::string site = write_site(folder, hot_site_toml());
    const json plan = plan_for(folder, site, "1000000");
    std::set<char> sides;
    for (const json& item : plan["chosen"]) {
        const std::string surface = item["surface"];
        const json& light = item["light"];
        const std::string from = light["half_from"], to = light["half_to"];
        EXPECT_LT(from, to) << surface;
        EXPECT_EQ(light["month"], 7);
        EXPECT_NE(item["why"].get<std::string>().find("half from " + from + " to " + to),
                  std::string::npos);
        if (surface.ends_with("/wall-e")) {
            EXPECT_LE(to, "13:00") << surface;
        }
        if (surface.ends_with("/wall-w")) {
            EXPECT_GE(from, "12:00") << surface;
        }
        if (surface.ends_with("/roof")) {
            EXPECT_TRUE(from < "12:00" && to > "12:00") << surface;
        }
        sides.insert(surface.back());
    }
    EXPECT_TRUE(sides.contains('e') && sides.contains('w') && sides.contains('f'));
}

TEST(PlanRun, TellsHowSureItIs) {
    const Folder folder;
    const std::string site = write_site(
        folder, hot_site_toml() + "[plan]\nsamples = 32\n[plan.spread]\nwind_percent = 40\n");
    const json plan = plan_for(folder, site, "1500");
    const json& sure = plan["confidence"];
    EXPECT_EQ(sure["samples"], 32);
    EXPECT_LT(sure["saving_low_kwh"], sure["saving_high_kwh"]);
    EXPECT_GT(sure["inputs"].size(), 10u);
    EXPECT_EQ(sure["ranks"].at(0)["rank"], 1);
    ASSERT_FALSE(plan["chosen"].empty());
    for (const json& item : plan["chosen"]) {
        EXPECT_GE(item["confidence"], 0);
        EXPECT_LE(item["confidence"], 1);
    }
}

TEST(PlanRun, TellsHowSureItIsUnderLimitsAndWithoutCooling) {
    const Folder folder;
    const std::string limited =
        write_site(folder, hot_site_toml() + "[plan]\nsamples = 16\ncooling_limit_kwh_m2 = 1e6\n");
    const json plan = plan_for(folder, limited, "1500");
    EXPECT_EQ(plan["confidence"]["within_limits"], 1);  // of a limit that is far above anything
    const std::string free =
        write_site(folder, hot_site_toml() + "[plan]\nsamples = 16\ngoal = \"too_hot\"\n");
    const json sure = plan_for(folder, free, "1500")["confidence"];
    EXPECT_EQ(sure["within_limits"], nullptr);
    EXPECT_LE(sure["saving_low_kh"], sure["saving_high_kh"]);
}

const std::string dear_coat_toml =
    "[[treatment]]\nname = \"dear\"\nkind = \"coating\"\ncost_per_m2 = 1e6\n";

/// The figures of a plan that builds a shade are those of a run of the site with that shade.
TEST(PlanRun, AShadeSavesWhatARunOfTheSiteWithItSays) {
    const Folder folder;
    const std::string site = write_site(
        folder, hot_site_toml() + dear_coat_toml +
                    "[[planned_shade]]\nname = \"canopy\"\nkind = \"roof\"\nover = [\"*\"]\n"
                    "reach_m = [0, 1]\nheight_m = 0.5\nsizes = 2\ncost_per_m2 = 20\n"
                    "cost_per_piece = 100\n");
    const json plan = plan_for(folder, site, "2000");
    ASSERT_EQ(plan["chosen"].size(), 1u);
    const json& bought = plan["chosen"][0];
    EXPECT_EQ(bought["surface"], "canopy");
    const json& shade = bought["shade"];
    EXPECT_EQ(shade["kind"], "shade roof");
    const double reach_m = shade["reach_m"];
    // The rectangle about two units of 6.058 by 2.438 m, 20 mm apart.
    const double area_m2 = (6.058 + 2 * reach_m) * (2 * 2.438 + 0.02 + 2 * reach_m);
    EXPECT_NEAR(bought["area_m2"], area_m2, 1e-6);
    EXPECT_NEAR(bought["cost"], 100 + 20 * area_m2, 1e-6);
    EXPECT_GT(plan["saved_kwh"], 0);
    EXPECT_GE(plan["shade_trials"].size(), 2u);

    const std::string built = folder.write(
        "built.toml", hot_site_toml() +
                          "[[shade_roof]]\nname = \"canopy\"\nover = [\"*\"]\nheight_m = 0.5\n"
                          "overhang_m = " +
                          std::to_string(reach_m) + "\n");
    const Outcome outcome = run_program({"run", built, "--json"});
    ASSERT_EQ(outcome.status, 0) << outcome.err;
    const json run = json::parse(outcome.out);
    for (std::size_t u = 0; u < 2; ++u) {
        const double planned = plan["after"]["units"][u]["cooling_kwh"];
        EXPECT_NEAR(run["units"][u]["cooling_kwh"], planned, 1e-4 * planned);
        EXPECT_LT(planned, plan["before"]["units"][u]["cooling_kwh"]);
    }
    const Outcome inspected =
        run_program({"inspect", (folder / "site-results/coloured-plan.step").string(), "--json"});
    ASSERT_EQ(inspected.status, 0) << inspected.err;
    EXPECT_NE(inspected.out.find("\"canopy\""), std::string::npos);
}

TEST(PlanRun, APlannedShadeThatIsNoneIsTold) {
    const Folder folder;
    const std::string head = "[[planned_shade]]\nname = \"brow\"\n";
    const std::string wall = head + "kind = \"overhang\"\nwalls = [\"*/wall-s\"]\n";
    const std::string price = "cost_per_m2 = 5\n";
    for (const std::string& table :
         {head + price, head + "kind = \"tent\"\n" + price, wall + price, wall + "reach_m = 1\n",
          wall + "reach_m = 0\n" + price, wall + "reach_m = [2, 1]\n" + price,
          wall + "reach_m = [1, 2, 3]\n" + price, wall + "reach_m = 1\nheight_m = 2\n" + price,
          wall + "reach_m = 1\ncost_per_m2 = 0\n",
          wall + "reach_m = 1\ncall_out_cost = 3\n" + price,
          wall + "reach_m = 1\nsizes = 1\n" + price,
          wall + "reach_m = 1\n" + price + wall + "reach_m = 1\n" + price,
          head + "kind = \"roof\"\nreach_m = 1\n" + price,
          head + "kind = \"fin\"\nwalls = [\"nowhere\"]\nreach_m = 1\n" + price}) {
        const std::string site = write_site(folder, hot_site_toml() + table);
        const Outcome outcome = run_program({"plan", site, "--budget", "9"});
        EXPECT_EQ(outcome.status, 3) << table;
        EXPECT_NE(outcome.err.find("expected"), std::string::npos) << outcome.err;
        EXPECT_NE(outcome.err.find("site.toml"), std::string::npos) << outcome.err;
    }
}

/// A design day stands for every day of the year: its bill, 365 times, for the years of the
/// horizon.
TEST(PlanRun, PresentValueIsTheBillOfManyYears) {
    const Folder folder;
    const std::string site =
        write_site(folder, hot_site_toml() +
                               "[plan]\ngoal = \"present_value\"\nhorizon_years = 12\n"
                               "discount_rate_percent = 0\nelectricity_price_per_kwh = 0.5\n");
    const json plan = plan_for(folder, site, "1500");
    EXPECT_EQ(plan["goal"], "present value of costs");
    EXPECT_NE(plan["warnings"].dump().find("present-value-of-few-days"), std::string::npos);
    double electricity_kwh = 0;
    for (const json& unit : plan["before"]["units"])
        electricity_kwh += unit["electricity_kwh"].get<double>();
    EXPECT_NEAR(plan["before"]["goal_cost"], electricity_kwh * 365 * 12 * 0.5,
                1e-6 * plan["before"]["goal_cost"].get<double>());
    EXPECT_FALSE(plan["chosen"].empty());
}

/// Prices by the hour: bills of two tariffs add up to that of their sum, electricity at 0 costs
/// nothing, and one price at all hours is that price.
TEST(PlanRun, ATariffGoesByTheHour) {
    const auto bill_of = [](const std::string& price) {
        const Folder folder;
        const std::string site = write_site(
            folder, hot_site_toml() + "[plan]\nelectricity_price_per_kwh = " + price + "\n");
        const Outcome outcome = run_program({"run", site, "--json"});
        EXPECT_EQ(outcome.status, 0) << outcome.err;
        const json told = json::parse(outcome.out);
        double bill = 0, electricity_kwh = 0;
        for (const json& unit : told["units"]) {
            bill += unit["electricity_cost"].get<double>();
            electricity_kwh += unit["electricity_kwh"].get<double>();
        }
        return std::pair(bill, electricity_kwh);
    };
    const auto tariff = [](double morning, double afternoon) {
        std::string list = "[";
        for (int h = 0; h < 24; ++h)
            list += (h > 0 ? ", " : "") + std::to_string(h < 12 ? morning : afternoon);
        return list + "]";
    };
    const auto [flat, kwh] = bill_of("0.2");
    EXPECT_NEAR(flat, 0.2 * kwh, 1e-9 * flat);
    EXPECT_NEAR(bill_of(tariff(0.2, 0.2)).first, flat, 1e-9 * flat);
    const double morning = bill_of(tariff(0.3, 0)).first, afternoon = bill_of(tariff(0, 0.1)).first;
    EXPECT_NEAR(bill_of(tariff(0.3, 0.1)).first, morning + afternoon, 1e-9 * flat);
    EXPECT_NEAR(morning / 0.3 + afternoon / 0.1, kwh, 1e-9 * kwh);
    EXPECT_GT(afternoon / 0.1, morning / 0.3);  // hot afternoons
    EXPECT_EQ(bill_of(tariff(0, 0)).first, 0);
}

TEST(PlanRun, TooHotWithoutCoolingIsWhatARunTells) {
    const Folder folder;
    const std::string site = write_site(folder, hot_site_toml() + "[plan]\ngoal = \"too_hot\"\n");
    const json plan = plan_for(folder, site, "1500");
    const Outcome outcome = run_program({"run", site, "--json"});
    ASSERT_EQ(outcome.status, 0) << outcome.err;
    const json run = json::parse(outcome.out);
    double sum = 0;
    for (std::size_t u = 0; u < 2; ++u) {
        const json& before = plan["before"]["units"][u];
        EXPECT_NEAR(before["hours_too_hot_h"], run["units"][u]["hours_too_hot_h"], 1e-6);
        sum += before["too_hot_kh"].get<double>();
        EXPECT_LT(plan["after"]["units"][u]["too_hot_kh"], before["too_hot_kh"]);
    }
    EXPECT_NEAR(plan["before"]["goal_kh"], sum, 1e-6 * sum);
    EXPECT_GT(plan["saved_kh"], 0);
    double steps_kh = 0;
    const auto rows = rows_of(folder / "site-results/plan.csv");
    ASSERT_EQ(rows.size(), plan["chosen"].size());
    for (std::size_t i = 0; i < rows.size(); ++i) {
        steps_kh += plan["chosen"][i]["goal_saves_kh"].get<double>();
        EXPECT_NEAR(number(rows[i], "goal_saves_kh"), plan["chosen"][i]["goal_saves_kh"],
                    1e-5 * plan["saved_kh"].get<double>());
    }
    EXPECT_NEAR(steps_kh, plan["saved_kh"], 1e-6 * sum);
    EXPECT_NE(run_program({"plan", site, "--budget", "1500"}).out.find("saves K h"),
              std::string::npos);
}

bool plan_warns(const json& plan, const char* code, const char* words = "") {
    return std::ranges::any_of(plan["warnings"], [&](const json& w) {
        return w["code"] == code && w["text"].get<std::string>().find(words) != std::string::npos;
    });
}

TEST(PlanRun, AGoalOfCoolingWithoutCoolingIsToldSo) {
    const Folder folder;
    const std::string uncooled = hot_site_toml() + "[room]\ncooling = \"none\"\n[plan]\n";
    const json plan =
        plan_for(folder, write_site(folder, uncooled + "cooling_limit_kwh_m2 = 50\n"), "1500");
    EXPECT_TRUE(plan_warns(plan, "nothing-cooled", "no room is cooled"));
    EXPECT_TRUE(plan_warns(plan, "nothing-cooled", "cooling_limit_kwh_m2"));
    EXPECT_FALSE(plan_warns(plan, "nothing-to-buy"));
    EXPECT_FALSE(
        plan_warns(plan_for(folder, write_site(folder, uncooled + "goal = \"too_hot\"\n"), "1500"),
                   "nothing-cooled"));
    EXPECT_FALSE(plan_warns(plan_for(folder, write_site(folder, hot_site_toml()), "1500"),
                            "nothing-cooled"));
}

TEST(PlanRun, APlantThatIsTooSmallIsTold) {
    const Folder folder;
    const auto plan_with = [&](const char* kw) {
        return plan_for(folder,
                        write_site(folder, hot_site_toml() +
                                               "[room]\ncooling = \"unit\"\n"
                                               "cooling_capacity_kw = " +
                                               kw + "\n"),
                        "500");
    };
    EXPECT_TRUE(plan_warns(plan_with("0.3"), "plant-too-small", "only what this plant takes out"));
    EXPECT_FALSE(plan_warns(plan_with("50"), "plant-too-small"));
}

TEST(PlanRun, LimitsAreMetOrWhatIsReachableIsTold) {
    const Folder folder;
    const auto with_limit = [&](double kw) {
        return write_site(
            folder, hot_site_toml() + "[plan]\nplant_limit_kw = " + std::to_string(kw) + "\n");
    };
    const json plan = plan_for(folder, with_limit(1000), "1500");
    double before_w = 0, after_w = 0;
    for (std::size_t u = 0; u < 2; ++u) {
        before_w = std::max<double>(before_w, plan["before"]["units"][u]["needed_capacity_w"]);
        after_w = std::max<double>(after_w, plan["after"]["units"][u]["needed_capacity_w"]);
    }
    ASSERT_LT(after_w, 0.95 * before_w);
    const double between_kw = (0.3 * before_w + 0.7 * after_w) / 1000;
    const json limited = plan_for(folder, with_limit(between_kw), "1500");
    for (const json& unit : limited["after"]["units"])
        EXPECT_LE(unit["needed_capacity_w"], 1000 * between_kw);
    EXPECT_FALSE(limited["frontier"][0]["meets_limits"]);
    const auto frontier = rows_of(folder / "site-results/frontier.csv");
    ASSERT_EQ(frontier.size(), limited["frontier"].size());
    for (std::size_t i = 0; i < frontier.size(); ++i) {
        const json& point = limited["frontier"][i];
        EXPECT_EQ(frontier[i].at("meets_limits"), point["meets_limits"] ? "true" : "false");
        EXPECT_NEAR(number(frontier[i], "goal_kwh"), point["goal_kwh"],
                    1e-5 * point["goal_kwh"].get<double>());
    }
    // What the refusal names is enough.
    const Outcome poor = run_program({"plan", with_limit(between_kw), "--budget", "1"});
    EXPECT_EQ(poor.status, 3);
    const std::string named = "the smallest that does is ";
    const std::size_t at = poor.err.find(named);
    ASSERT_NE(at, std::string::npos) << poor.err;
    const std::string enough = std::to_string(std::stol(poor.err.substr(at + named.size())));
    plan_for(folder, with_limit(between_kw), enough);
    const Outcome outcome = run_program({"plan", with_limit(0.1), "--budget", "1500"});
    EXPECT_EQ(outcome.status, 3);
    EXPECT_NE(outcome.err.find("plant_limit_kw"), std::string::npos) << outcome.err;
    EXPECT_NE(outcome.err.find("best plan found"), std::string::npos) << outcome.err;
    EXPECT_NE(outcome.err.find("no budget looked at does"), std::string::npos) << outcome.err;
}

TEST(PlanRun, PricesThatNobodyGaveAreCalledInvented) {
    const Folder folder;
    const auto warned = [&](const std::string& more) {
        const json plan = plan_for(folder, write_site(folder, hot_site_toml() + more), "0");
        return std::any_of(plan["warnings"].begin(), plan["warnings"].end(),
                           [](const json& w) { return w["code"] == "invented-prices"; });
    };
    EXPECT_TRUE(warned(""));
    EXPECT_TRUE(warned("[plan]\nelectricity_price_per_kwh = 0.2\n"));
    EXPECT_TRUE(warned(dear_coat_toml));
    EXPECT_FALSE(warned(dear_coat_toml + "[plan]\nelectricity_price_per_kwh = 0.2\n"));
}

TEST(PlanRun, RulesThatContradictAreTold) {
    const Folder folder;
    const std::string coat =
        "[[treatment]]\nname = \"a\"\nkind = \"coating\"\ncost_per_m2 = 10\nneeds = [\"b\"]\n"
        "[[treatment]]\nname = \"b\"\nkind = \"vented cladding\"\ncost_per_m2 = 10\n";
    for (const char* rule : {"needs = [\"a\"]\n", "excludes = [\"a\"]\n", "needs = [\"c\"]\n"}) {
        const std::string site = write_site(folder, hot_site_toml() + coat + rule);
        const Outcome outcome = run_program({"plan", site, "--budget", "9"});
        EXPECT_EQ(outcome.status, 3) << rule;
        EXPECT_NE(outcome.err.find("site.toml"), std::string::npos) << outcome.err;
        EXPECT_NE(outcome.err.find("expected"), std::string::npos) << outcome.err;
    }
}

TEST(PlanRun, APlanWithoutMoneyIsEmptyAndSaysSo) {
    const Folder folder;
    const std::string site = write_site(folder, hot_site_toml());
    const json plan = plan_for(folder, site, "0");
    EXPECT_TRUE(plan["chosen"].empty());
    EXPECT_EQ(plan["spent"], 0);
    EXPECT_TRUE(std::any_of(plan["warnings"].begin(), plan["warnings"].end(),
                            [](const json& w) { return w["code"] == "nothing-to-buy"; }));
}

TEST(PlanRun, RefusesWhatIsNoBudgetOrGoal) {
    const Folder folder;
    const std::string site = write_site(folder, hot_site_toml());
    for (const char* budget : {"-5", "abc", "nan", "inf", "12x", "1e13"}) {
        const Outcome outcome = run_program({"plan", site, "--budget", budget});
        EXPECT_EQ(outcome.status, 2) << budget;
        EXPECT_NE(outcome.err.find("from 0 to 1e12"), std::string::npos) << outcome.err;
    }
    EXPECT_EQ(run_program({"plan", site}).status, 2);
    const Outcome outcome = run_program({"plan", site, "--budget", "9", "--goal", "beauty"});
    EXPECT_EQ(outcome.status, 2);
    EXPECT_NE(outcome.err.find("running_cost"), std::string::npos) << outcome.err;
}

}  // namespace
}  // namespace noonshell
