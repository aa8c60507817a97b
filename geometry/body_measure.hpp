// How large, how thin and how hollow a body is, from its triangles.
#pragma once

#include <string_view>

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
    double hollow_volume_m3 = 0;    ///< of the closed hollows within
    double outer_area_m2 = 0;       ///< of the skin that encloses it; of all faces if not closed
    double thickness_m = 0;         ///< 2 V / A of the outer skin: exact for a wide thin plate
    std::string_view open_side{};   ///< "above" or "below" for a shell that only lacks this side
};

BodyBounds bounds_of_body(const Model& model, BodyId body);

/// A closed body of a thickness 2 V / A below this is a wall about a hollow, not a filled room [m].
inline constexpr double hollow_thickness_m = 0.25;

/// Whether a closed body stands for the room that it fills, as plain boxes of a drawing do.
bool is_filled_room(const BodyMeasure& measure);

/// Measures one body. The mesh of a curved body is taken as it is.
BodyMeasure measure_body(const Model& model, BodyId body);

}  // namespace noonshell
