// A colour scale for results that stays readable for colour-blind eyes and in grey print.
#pragma once

#include "geometry/model.hpp"

namespace noonshell {

/// The colour of a value from 0, dark violet, over red to 1, light yellow.
/// Values outside are taken as the nearer end, NaN as 0.
///
/// A helix in CIELAB (CIE 15, D65 white): lightness and hue angle rise evenly, chroma stays, so
/// that equal steps of the value are equal steps of colour and of lightness. Its turn keeps to one
/// side of the red-green axis, so that it is also even enough as protanopes and deuteranopes see it
/// [machado2009].
Rgb scale_colour(double value);

}  // namespace noonshell
