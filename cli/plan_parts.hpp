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

/// What a plan buys of one treatment.
struct Needed {
    std::size_t treatment = 0;  ///< index into the site file's
    std::size_t surfaces = 0;
    double area_m2 = 0, ordered_m2 = 0;  ///< covered; with waste
    double cost = 0;                     ///< without call-outs
    double upkeep_per_year = 0;
    double worn_per_year = 0;  ///< cost over life
};

/// By treatment, in the order of the site file.
std::vector<Needed> shopping_list(const PlanResult& result);

/// "takes 1.9 kWh/m2 a day in July; 71 % of it direct": the light of the surface's brightest month.
std::string why_here(const PlanResult& result, SurfaceId surface);

}  // namespace noonshell
