#include "thermal/outside_face.hpp"

namespace noonshell {

OutsideFace outside_face(double tilt_deg, double emittance, double relief_ratio) {
    return {.emittance = emittance,
            .natural_hot = natural_coefficient(tilt_deg, true),
            .natural_cool = natural_coefficient(tilt_deg, false),
            .relief_ratio = relief_ratio};
}

}  // namespace noonshell
