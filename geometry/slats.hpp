// Private to geometry/: slats that make up one shade.
#pragma once

#include <vector>

#include "geometry/model.hpp"
#include "geometry/roles.hpp"

namespace noonshell {

/// Strips wider than this are sheets that may be wanted one by one [m].
inline constexpr double most_slat_width_m = 0.30;

/// Makes one shade of the bodies of an assembly, of those that it holds itself: RoleChoice::unit
/// gets the assembly's id. All of them are thin plates that lie in parallel, about as thick, shades
/// or too small to be one alone (`limits`), and either
/// - the solids of one part, which bear no names of their own, or
/// - three or more strips side by side: no wider than `most_slat_width_m`, at least four times as
///   long as wide, and none farther from the next than two of its widths.
/// An assembly that holds a further assembly with bodies, or anything else, stays as it is.
void group_slats(const Model& model, const RoleGuessLimits& limits,
                 std::vector<RoleChoice>& choices);

}  // namespace noonshell
