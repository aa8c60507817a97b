// The colours that a model has, as text and by count, and those asked for that it has not.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "geometry/apart_faces.hpp"
#include "geometry/model.hpp"

namespace noonshell {

/// "#rrggbb", each channel to the nearest of 256 steps.
std::string hex_of(const Rgb& colour);

/// How many faces of a body look like this.
struct ColourCount {
    std::string hex;
    std::uint32_t n_faces = 0;
};

/// By hex, each colour once: a face's own colour, else that of its body; faces without either are
/// left out.
std::vector<ColourCount> face_colours(const Model& model, const Body& body);

/// Appends "colour-matches-nothing", with the nearest colour of the model, for each colour of
/// `panes` (of bodies and faces) and of `surfaces` that no body and no face of the model has.
void warn_of_idle_colours(const Model& model, const std::vector<Rgb>& panes,
                          const std::vector<OwnSurface>& surfaces, std::vector<Warning>& warnings);

}  // namespace noonshell
