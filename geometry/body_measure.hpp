// How large, how thin and how hollow a body is, from its triangles.
#pragma once

#include "geometry/model.hpp"

namespace noonshell {

/// The box along the model's axes that just holds a body.
struct BodyBounds {
    Vec3 low_m{0, 0, 0};
    Vec3 high_m{0, 0, 0};
};

struct BodyMeasure {
    double least_extent_m = 0;      ///< along the body's own axes: the normals that most area has
    double enclosed_volume_m3 = 0;  ///< within the outer skin, hollows included; 0 if not closed
    double outer_area_m2 = 0;       ///< of the skin that encloses it; of all faces if not closed
    double thickness_m = 0;         ///< 2 V / A of the outer skin: exact for a wide thin plate
};

BodyBounds bounds_of_body(const Model& model, BodyId body);

/// Measures one body. The mesh of a curved body is taken as it is.
BodyMeasure measure_body(const Model& model, BodyId body);

}  // namespace noonshell
