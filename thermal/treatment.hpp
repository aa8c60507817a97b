// Things that can be bought for a surface, and what they change.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "geometry/envelope.hpp"
#include "thermal/construction.hpp"

namespace noonshell {

enum class TreatmentKind { coating, outside_insulation, vented_cladding };

std::string_view to_string(TreatmentKind kind);

struct Treatment {
    std::string name;
    TreatmentKind kind = TreatmentKind::coating;
    std::vector<std::string> surfaces{"*/roof*",
                                      "*/wall*"};  ///< patterns of surface ids it may go on
    double cost_per_m2 = 0;
    double fixed_cost = 0;  ///< per surface treated
    double life_years = 10;
    double new_reflectance = 0.80;   ///< solar, of the new outermost face
    double aged_reflectance = 0.60;  ///< the one that counts
    double emittance = 0.90;
    std::vector<Layer> added;  ///< outside to inside, on the old outside face (insulation, finish)
    std::optional<VentedCladding> cladding;
};

/// Throws InputError naming the treatment, the field, its value and the rule broken.
void validate(const Treatment& treatment);

/// Whether it may go on this surface: a pattern matches and part of the surface is exposed.
bool fits(const Treatment& treatment, const Surface& surface);

/// Cost for the exposed area of a surface, in the user's currency.
double cost_of(const Treatment& treatment, double exposed_area_m2);

/// The construction after the treatment.
Construction treated(const Construction& base, const Treatment& treatment);

}  // namespace noonshell
