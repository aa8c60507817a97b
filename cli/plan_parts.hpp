// Pieces that the page of a plan and its documents share.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "cli/plan_analysis.hpp"

namespace noonshell {

double peaks_of(const Response& response);               ///< sum over the units [W]
double priced_electricity_of(const Response& response);  ///< [J], see Response
/// The goal's figure, or a saving of it, in kWh where it is cooling energy, else in its own unit.
double in_told_unit(PlanGoal goal, double figure);
std::string finish_text(const PlanResult& result, const Finish& finish);

/// "wind coefficient", "aged reflectance of white coating".
std::string input_name(const PlanResult& result, const UncertainInput& input);

/// "shade roof, 0.80 m above, reaching 0.50 m", "overhang, reaching 1.20 m".
std::string shade_text(const PlanResult& result, const ShadeTrial& trial);
const std::string& shade_name(const PlanResult& result, const ShadeTrial& trial);

/// What stands in the columns "surface" and "buy" of a step, and its area [m2].
struct Bought {
    std::string where, what;
    double area_m2 = 0;
    double upkeep_per_year = 0;  ///< and new coats, spread evenly
    std::string why;
};
Bought bought_by(const PlanResult& result, const PlanStep& step);

/// See payback_years().
std::optional<double> payback_of(const PlanResult& result, const PlanStep& step);

/// What a plan buys of one treatment or planned shade.
struct Needed {
    std::string name;
    std::size_t surfaces = 0;  ///< of a shade its pieces
    double life_years = 0;
    double area_m2 = 0, ordered_m2 = 0;  ///< covered; with waste
    double cost = 0;                     ///< without call-outs
    double upkeep_per_year = 0;          ///< new coats, spread evenly, among it
    double coat_cost = 0;                ///< of all of it at once; 0: none is ever due
    double coat_years = 0;
    double worn_per_year = 0;  ///< cost over life
};

/// By treatment, then by shade, in the order of the site file.
std::vector<Needed> shopping_list(const PlanResult& result);

/// Surfaces and shades whose purchases share a call-out, in the order of the plan.
std::vector<std::string> sharing(const PlanResult& result, const CallOut& call);

/// The light on a surface in the month in which most falls on it while its room is cooled.
struct TellingMonth {
    std::size_t month = 0;      ///< 0 is January
    double day_kwh_m2 = 0;      ///< of a mean day
    double direct_share = 0;    ///< of that
    int half_from_min = 0;      ///< time of day: begin and end of the shortest stretch of hours in
    int half_to_min = 24 * 60;  ///< which half of a mean day's light falls, the brightest of equals
};
/// None without light in the period. Of a room that is never cooled simply the brightest month.
std::optional<TellingMonth> telling_month(const PlanResult& result, SurfaceId surface);
std::string clock_text(int minute_of_day);  ///< "14:00"

/// "1.9 kWh/m2 of light a day in July; 71 % direct; half from 13:00 to 17:00".
std::string why_here(const PlanResult& result, SurfaceId surface);

/// "keeps 62 % of the light off mess/roof": of all surfaces the one that is spared most.
std::string why_shade(const PlanResult& result, const ShadeTrial& trial);

}  // namespace noonshell
