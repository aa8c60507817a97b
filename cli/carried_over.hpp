// Choices of a site file written for an earlier version of the model, brought to what became of its
// surfaces.
#pragma once

#include <string>
#include <vector>

#include "cli/inspection.hpp"
#include "cli/site_file.hpp"

namespace noonshell {

/// A choice that holds for a surface by the name that it had.
struct CarriedChoice {
    std::string surface, former;  ///< ids now and then
    std::string choice;           ///< "construction dark paint", "treatment white coating"
};

/// Rewrites the patterns of constructions and treatments to the ids of the surfaces that they mean
/// now. `inspection.against` must be there. Returns what holds by a former name alone, by choice,
/// then by surface.
std::vector<CarriedChoice> follow_former_names(const Inspection& inspection, SiteFile& settings);

/// "Carried over from old.step" with a line for each choice and surface; empty for none.
std::string carried_over_page(const std::vector<CarriedChoice>& carried,
                              const std::string& former_file, bool every_one);

}  // namespace noonshell
