// Shades as plates: which two faces of a shade have its matter between them.
#pragma once

#include <span>
#include <vector>

#include "geometry/diagnostics.hpp"
#include "geometry/envelope.hpp"
#include "thermal/building.hpp"

namespace noonshell {

/// A shade whose layers resist less than this is a sheet: under 1000 W/m2 its two faces are less
/// than 0.1 K apart [m2 K/W]. 4 mm of steel resist 9e-5.
inline constexpr double sheet_resistance_m2k_w = 1e-4;

/// Two opposite faces of a shade.
struct ShadePlate {
    SurfaceId front;  ///< that which faces up; of upright plates the first in the envelope
    SurfaceId back;
    double thickness_m = 0;  ///< as drawn; what conducts is the construction's
};

/// The plates among the surfaces of one shade, those of the largest area first: surfaces with
/// opposite normals that lie behind each other, equally large, nearer than a quarter of their
/// size, at most 0.5 m and at most 1.5 times as far apart as the shade's thinnest plate (farther
/// ones are edges). Both sides of a sheet without thickness are one. Slats and panels that make up
/// one shade are seen as one plate, by the mean of their faces.
std::vector<ShadePlate> find_plates(const Envelope& envelope,
                                    std::span<const SurfaceId> of_one_shade);

/// Surfaces of each shade's body, in the order of their first.
std::vector<std::vector<SurfaceId>> surfaces_by_shade(const Envelope& envelope);

/// What lies between the faces of a plate, from front to back: of the two constructions' layers
/// those that resist more (as much: the front's); what each face is finished with is its own. Empty
/// for a sheet.
std::vector<Layer> layers_between(const Building& building, const ShadePlate& plate);

/// "shade-layers-idle": layers on a shade that has no two opposite faces. "shade-layers-differ":
/// both faces of a plate have layers, and not the same.
std::vector<Warning> shade_plate_warnings(const Envelope& envelope, const Building& building);

}  // namespace noonshell
