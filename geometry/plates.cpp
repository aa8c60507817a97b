#include "geometry/plates.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <limits>

#include "geometry/relief.hpp"
#include "geometry/sides.hpp"

namespace noonshell {

Plate plate_of(std::span<const Patch> patches) {
    const Vec3 across = leading_directions(patches).front().normal;
    const Vec3 up = std::abs(across.z()) > 0.5 ? Vec3::UnitX() : Vec3::UnitZ();
    Plate plate;
    plate.axis[0] = up.cross(across).normalized();
    plate.axis[1] = across.cross(plate.axis[0]);
    plate.axis[2] = across;
    for (std::size_t k = 0; k < 3; ++k) {
        double low = std::numeric_limits<double>::infinity(), high = -low;
        for (const Patch& patch : patches) {
            for (const ConvexPolygon& polygon : patch.outline) {
                for (const Vec2& corner : polygon) {
                    const double at = plate.axis[k].dot(patch.frame.to_space(corner));
                    low = std::min(low, at);
                    high = std::max(high, at);
                }
            }
        }
        plate.middle_m += (low + high) / 2 * plate.axis[k];
        plate.half_m[k] = (high - low) / 2;
    }
    return plate;
}

bool is_framed(const Plate& plate, std::size_t axis, const RayMesh& mesh) {
    const double reach_m = plate.half_m[axis] + closed_gap_m;
    return mesh.blocked(plate.middle_m, plate.axis[axis], 0, reach_m) &&
           mesh.blocked(plate.middle_m, -plate.axis[axis], 0, reach_m);
}

}  // namespace noonshell
