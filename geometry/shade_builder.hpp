// From settings of shade roofs, overhangs and fins to bodies of the model.
#pragma once

#include <string_view>
#include <vector>

#include "geometry/envelope.hpp"
#include "geometry/model.hpp"
#include "geometry/prism.hpp"
#include "geometry/roles.hpp"
#include "geometry/shade_settings.hpp"

namespace noonshell {

/// The assembly that holds the shades in the model and in a STEP file.
inline constexpr std::string_view added_shades_name = "added shades";

inline constexpr double steepest_shade_deg = 60.0;
inline constexpr std::size_t most_slats = 2000;

/// A shade that reaches into a unit by more than this is worth a warning [m].
inline constexpr double shade_clash_m = 0.001;

struct BuiltShades {
    std::vector<PrismBody> bodies;  ///< roofs, overhangs, fins; each in the order of the settings
    std::vector<Warning> warnings;  ///< "shade-in-unit", with the depth
};

/// Makes the shades for the units of `envelope`, which was built from `model`. A roof is one body,
/// its slats included; an overhang or fin is one body per wall that its patterns match, called
/// "<name>" where that is one wall and "<name>-1", "<name>-2"... else. Walls are surfaces of kind
/// wall or pane.
///
/// The depth in a warning is the shortest way out of the box about the unit, along its longest
/// wall; only shades that meet the unit itself are named.
///
/// Throws InputError, at the setting's place, for a pattern that matches nothing, a size that is
/// not finite or not above 0, a tilt beyond `steepest_shade_deg`, more than `most_slats` slats, and
/// a name used twice.
BuiltShades build_shades(const Model& model, const Envelope& envelope,
                         const ShadeSettings& settings);

/// Builds the shades and appends them to the model, with one role per body. The envelope is to be
/// built anew from the result.
BuiltShades add_shades(Model& model, std::vector<RoleChoice>& roles, const Envelope& envelope,
                       const ShadeSettings& settings);

}  // namespace noonshell
