// A small invented site with all kinds of bodies that cast shadows.
#pragma once

#include "tests/support/plate_envelope.hpp"

namespace noonshell {

/// Boxes, a flat shade, and a corrugated wall, which is no convex body.
inline PlateEnvelope mixed_yard() {
    PlateEnvelope plates;
    plates.add_box("a", Vec3(0, 0, 0), Vec3(6.058, 2.438, 2.591), 0, 0.5);
    plates.add_box("b", Vec3(0, 2.438, 0), Vec3(6.058, 2.438, 2.591), 0, 0.5);
    plates.add_box("c", Vec3(1, 0.5, 2.591), Vec3(2.438, 6.058, 2.591), 0, 0.5);
    plates.add_box("d", Vec3(7, 7, 0), Vec3(12.192, 2.438, 2.896), 25, 0.5);
    plates.add_box("shade", Vec3(0, 1, 3.4), Vec3(8, 6, 0.04), 0, 0.5);
    for (int i = 0; i < 40; ++i) {
        const double x = -6 + 0.2 * i;
        plates.add_plate("rib", Vec3(x, -3, 0), Vec3(0.1, 0.04, 0), Vec3(0, 0, 2.5), 1, 5,
                         BodyId(99));
        plates.add_plate("rib", Vec3(x + 0.1, -2.96, 0), Vec3(0.1, -0.04, 0), Vec3(0, 0, 2.5), 1, 5,
                         BodyId(99));
    }
    return plates;
}

}  // namespace noonshell
