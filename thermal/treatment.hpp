// Things that can be bought for a surface, and what they change.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "geometry/envelope.hpp"
#include "thermal/construction.hpp"
#include "thermal/window_film.hpp"

namespace noonshell {

enum class TreatmentKind { coating, outside_insulation, vented_cladding, window_film };

std::string_view to_string(TreatmentKind kind);

struct Treatment {
    std::string name;
    TreatmentKind kind = TreatmentKind::coating;
    std::vector<std::string> surfaces{"*/roof*",
                                      "*/wall*"};  ///< patterns of surface ids it may go on
    std::vector<std::string> not_on;  ///< patterns of those it may not go on all the same
    double least_area_m2 = 0;         ///< of the exposed part of a surface, else it is not worth
                                      ///< the trouble
    double cost_per_m2 = 0;
    double fixed_cost = 0;   ///< per surface treated
    double waste_share = 0;  ///< bought over and above the area covered, as a share of it
    std::string call_out;    ///< what has to come first ("scaffold"); empty: nothing
    double call_out_cost =
        0;  ///< once for all surfaces of a unit whose treatments share a call-out
    double life_years = 10;
    double upkeep_per_m2_year = 0;      ///< washing, repairs
    double recoat_per_m2 = 0;           ///< price of a new coat; 0: none
    double recoat_years = 0;            ///< between two coats; 0: never
    std::vector<std::string> excludes;  ///< names of treatments that may not be on the same surface
    std::vector<std::string> needs;     ///< and of those that must be
    double new_reflectance = 0.80;      ///< solar, of the new outermost face
    double aged_reflectance = 0.60;     ///< the one that counts
    double emittance = 0.90;
    /// Of the new outermost face. None: a coating is as rough as what it goes on, all else very
    /// smooth.
    std::optional<Roughness> roughness{};
    std::vector<Layer> added;  ///< outside to inside, on the old outside face (insulation, finish)
    std::optional<VentedCladding> cladding;
    std::optional<WindowFilm> film;  ///< of panes; reflectances and emittance above without meaning

    bool is_of_panes() const { return kind == TreatmentKind::window_film; }
};

/// Throws InputError naming the treatment, the field, its value and the rule broken.
void validate(const Treatment& treatment);

/// Whether it may go on this surface: a film on panes, all else on what is none; a pattern matches,
/// none of those it may not go on does, and enough of the surface is exposed.
bool fits(const Treatment& treatment, const Surface& surface);

/// A vented cladding that fits this surface, whose gap has no rise there and takes no wind: nothing
/// drives the air behind it, see vented_gap().
bool leaves_air_still(const Treatment& treatment, const Surface& surface);

/// What has to be ordered for an area [m2]: waste is on top of it.
double ordered_area_m2(const Treatment& treatment, double exposed_area_m2);

/// Cost for the exposed area of a surface, waste included, in the user's currency; without what it
/// shares with other surfaces (call-outs).
double cost_of(const Treatment& treatment, double exposed_area_m2);

/// A new coat of that area [currency]; 0 where none is ever due.
double coat_cost(const Treatment& treatment, double exposed_area_m2);

/// Upkeep and new coats of that area in a year, spread evenly [currency].
double upkeep_per_year(const Treatment& treatment, double exposed_area_m2);

/// The construction after the treatment; a film as with_film() has it.
Construction treated(const Construction& base, const Treatment& treatment);

}  // namespace noonshell
