// Pieces that the page of a plan and its documents share.
#pragma once

#include <string>

#include "cli/plan_analysis.hpp"

namespace noonshell {

double peaks_of(const Response& response);        ///< sum over the units [W]
double electricity_of(const Response& response);  ///< of cooling, heating and fans [J]
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
    std::string why;
};
Bought bought_by(const PlanResult& result, const PlanStep& step);

/// What a plan buys of one treatment or planned shade.
struct Needed {
    std::string name;
    std::size_t surfaces = 0;  ///< of a shade its pieces
    double life_years = 0;
    double area_m2 = 0, ordered_m2 = 0;  ///< covered; with waste
    double cost = 0;                     ///< without call-outs
    double upkeep_per_year = 0;
    double worn_per_year = 0;  ///< cost over life
};

/// By treatment, then by shade, in the order of the site file.
std::vector<Needed> shopping_list(const PlanResult& result);

/// "takes 1.9 kWh/m2 a day in July; 71 % of it direct": the light of the surface's brightest month.
std::string why_here(const PlanResult& result, SurfaceId surface);

/// "keeps 62 % of the light off mess/roof": of all surfaces the one that is spared most.
std::string why_shade(const PlanResult& result, const ShadeTrial& trial);

}  // namespace noonshell
