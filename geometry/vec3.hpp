// Points and directions in model axes: metres, Z up, +Y at compass azimuth `north_deg`.
#pragma once

#include <Eigen/Core>

namespace noonshell {

using Vec3 = Eigen::Vector3d;

}  // namespace noonshell
