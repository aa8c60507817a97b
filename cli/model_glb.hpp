// model.glb: the model as it was analysed, painted by the sun, for any program that shows glTF.
#pragma once

#include <string>

#include "cli/run_analysis.hpp"

namespace noonshell {

/// glTF 2.0, binary; metres, Y up: the model's x, y, z are x, -z, y there. One node for each unit
/// and shade, below it one for each surface, named by its id, with the triangles of its facets and
/// in "extras" what is known of it ("area_m2", "sun_kwh_m2", ...; of sheet both sides). Facets are
/// coloured by their sun over the period, on the scale that coloured.step has for surfaces (values
/// beyond its ends have the colour of the end); covered ones, and all that is no surface, are grey.
/// "extras" of the scene hold the ends of the scale. Bodies with the role `ignore` are left out.
std::string model_glb(const RunResult& result);

}  // namespace noonshell
