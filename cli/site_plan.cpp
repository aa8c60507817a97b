// [plan]: what a plan is to make small, what it may not touch, and how sure its inputs are.
#include <algorithm>
#include <array>

#include "cli/default_treatments.hpp"
#include "cli/settings_reader.hpp"
#include "cli/site_tables.hpp"
#include "cli/week_values.hpp"

namespace noonshell {

namespace {

constexpr std::array<std::string_view, 11> plan_keys = {
    "currency",       "electricity_price_per_kwh",
    "goal",           "untouched",
    "samples",        "spread",
    "horizon_years",  "discount_rate_percent",
    "plant_limit_kw", "cooling_limit_kwh_m2",
    "too_hot_limit_h"};
// In the order of PlanGoal.
constexpr std::array<std::string_view, 5> plan_goals = {"cooling_energy", "running_cost",
                                                        "peak_load", "present_value", "too_hot"};
constexpr std::array<std::string_view, 10> spread_keys = {
    "aged_reflectance",     "emittance",          "wind_percent",  "leakage_percent",
    "sky_longwave_percent", "insulation_percent", "price_percent", "pane_g_value",
    "year_air_k",           "year_sun_percent"};

/// Half-widths of ranges.
InputSpread read_spread(const std::optional<TomlTable>& plan, std::vector<InputRecord>& inputs) {
    SettingsReader reader(plan ? plan->table("spread", spread_keys) : std::nullopt, "plan.spread",
                          inputs);
    InputSpread spread;
    const NumberRange small = NumberRange::between(0, 0.5), percent = NumberRange::between(0, 90);
    spread.aged_reflectance =
        reader.number("aged_reflectance", small, spread.aged_reflectance,
                      "from memory: scatter of weathered white coatings between sites");
    spread.emittance =
        reader.number("emittance", small, spread.emittance, "from memory: scatter of paints");
    spread.g_value = reader.number("pane_g_value", small, spread.g_value,
                                   "own choice: a film on glass of another make");
    const auto share = [&](std::string_view key, double fallback, std::string_view source) {
        constexpr double percent_of_one = 100;
        return reader.number(key, percent, percent_of_one * fallback, source) / percent_of_one;
    };
    spread.wind_share = share("wind_percent", spread.wind_share,
                              "from memory: spread of forced coefficients between correlations");
    spread.leakage_share = share("leakage_percent", spread.leakage_share,
                                 "from memory: spread between buildings of one make");
    spread.sky_longwave_share = share("sky_longwave_percent", spread.sky_longwave_share,
                                      "from memory: misfit of clear-sky emissivities");
    spread.insulation_share = share("insulation_percent", spread.insulation_share, "own choice");
    spread.price_share = share("price_percent", spread.price_share, "own choice");
    spread.year_air_k = reader.number("year_air_k", NumberRange::between(0, 10), spread.year_air_k,
                                      "from memory: scatter of seasons between years");
    spread.year_sun_share = share("year_sun_percent", spread.year_sun_share,
                                  "from memory: scatter of seasons between years");
    return spread;
}

}  // namespace

std::optional<PlanGoal> plan_goal_of(std::string_view word) {
    const auto found = std::ranges::find(plan_goals, word);
    if (found == plan_goals.end()) return std::nullopt;
    return static_cast<PlanGoal>(found - plan_goals.begin());
}

namespace {

PlanLimits read_limits(SettingsReader& reader) {
    constexpr double watts_of_kw = 1000, joules_of_kwh = 3.6e6;
    PlanLimits limits;
    if (const auto kw = reader.number("plant_limit_kw", NumberRange::above(0)))
        limits.plant_w = watts_of_kw * *kw;
    if (const auto kwh_m2 = reader.number("cooling_limit_kwh_m2", NumberRange::from(0)))
        limits.cooling_j_m2 = joules_of_kwh * *kwh_m2;
    limits.hours_too_hot_h = reader.number("too_hot_limit_h", NumberRange::from(0));
    return limits;
}

/// One price, or prices by the hour: their mean and how each hour's stands to it.
void read_tariff(SettingsReader& reader, PlanSettings& plan) {
    constexpr std::string_view key = "electricity_price_per_kwh";
    if (!reader.has(key) || !reader.table()->is_array(key)) {
        plan.electricity_price_per_kwh = reader.number(
            key, NumberRange::from(0), plan.electricity_price_per_kwh, invented_price);
        return;
    }
    const WeekHours prices = listed_hours(reader, key, NumberRange::from(0));
    plan.electricity_price_per_kwh = mean_of(prices);
    if (plan.electricity_price_per_kwh > 0) plan.tariff = over_its_mean(prices);
}

}  // namespace

PlanSettings read_plan_table(const TomlTable& root, std::vector<InputRecord>& inputs) {
    const std::optional<TomlTable> table = root.table("plan", plan_keys);
    SettingsReader reader(table, "plan", inputs);
    PlanSettings plan;
    plan.currency = reader.text("currency", plan.currency, "own choice");
    read_tariff(reader, plan);
    plan.untouched = reader.texts("untouched", {}, "own choice: none");
    plan.goal = *plan_goal_of(reader.choice("goal", plan_goals, plan_goals[0], "own choice"));
    plan.limits = read_limits(reader);
    constexpr double longest_horizon_years = 100, highest_rate_percent = 50, percent_of_one = 100;
    plan.discounting.horizon_years =
        reader.number("horizon_years", NumberRange::above_up_to(0, longest_horizon_years),
                      plan.discounting.horizon_years, "own choice");
    plan.discounting.rate =
        reader.number("discount_rate_percent", NumberRange::between(0, highest_rate_percent),
                      percent_of_one * plan.discounting.rate, "own choice") /
        percent_of_one;
    constexpr std::int64_t most_samples = 4096;
    plan.samples = static_cast<std::size_t>(reader.whole(
        "samples", 0, most_samples, static_cast<std::int64_t>(plan.samples), "own choice"));
    plan.spread = read_spread(table, inputs);
    return plan;
}

}  // namespace noonshell
