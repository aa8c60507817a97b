#include "thermal/pane_light.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "geometry/angles.hpp"

namespace noonshell {
namespace {

// Without absorption: [duffie2013] example 5.1.1 (one face reflects 0.0434 at normal incidence and
// 0.093 at 60 degrees) and 5.1.2 (two covers pass 0.85 and 0.76), from memory.
double through_without_absorption(int sheets, double incidence_deg) {
    const double refracted = std::asin(std::sin(incidence_deg * degree) / 1.526);
    return glass_transmittance(sheets, incidence_deg) *
           std::exp(0.10 * sheets / std::cos(refracted));
}

TEST(PaneLight, FacesReflectAsInThePublishedExamples) {
    // One sheet: (1 - r) / (1 + r) at normal incidence.
    EXPECT_NEAR(through_without_absorption(1, 0), (1 - 0.0434) / (1 + 0.0434), 2e-4);
    EXPECT_NEAR(through_without_absorption(2, 0), 0.85, 0.005);
    EXPECT_NEAR(through_without_absorption(2, 60), 0.76, 0.005);
}

// Second method: rays between the faces of one sheet added one by one, both polarisations.
TEST(PaneLight, AgreesWithTheSumOfAllReflections) {
    for (const double incidence_deg : {10.0, 45.0, 70.0, 85.0}) {
        const double incidence = incidence_deg * degree;
        const double refracted = std::asin(std::sin(incidence) / 1.526);
        const double n1 = std::cos(incidence), n2 = 1.526 * std::cos(refracted);
        const double m1 = std::cos(refracted), m2 = 1.526 * std::cos(incidence);
        double through = 0;
        for (const double r :
             {std::pow((n1 - n2) / (n1 + n2), 2), std::pow((m1 - m2) / (m1 + m2), 2)}) {
            double inside = 1 - r;
            for (int i = 0; i < 200; ++i) {
                through += 0.5 * inside * (1 - r);
                inside *= r * r;
            }
        }
        EXPECT_NEAR(through_without_absorption(1, incidence_deg), through, 1e-9) << incidence_deg;
    }
}

TEST(PaneLight, FallsWithTheAngleAndWithSheets) {
    double before = glass_transmittance(1, 0);
    for (double a = 5; a < 90; a += 5) {
        const double now = glass_transmittance(1, a);
        EXPECT_LE(now, before + 1e-3)
            << a;  // the two polarisations all but cancel up to 40 degrees
        EXPECT_LT(glass_transmittance(2, a), now);
        before = now;
    }
    EXPECT_EQ(glass_transmittance(1, 90), 0);
    // Diffuse light passes as a beam at some 60 degrees does, common practice: 58 to 60 degrees.
    for (const int sheets : {1, 2}) {
        EXPECT_NEAR(glass_transmittance_of_diffuse(sheets), glass_transmittance(sheets, 59), 0.015);
    }
}

TEST(PaneLight, TakesTheSunsOfAnHourByTheirCosine) {
    Envelope envelope;
    envelope.surfaces.resize(2);
    for (Surface& surface : envelope.surfaces) surface.normal = Vec3(1, 0, 0);
    std::vector<Construction> exposed(2);
    exposed[1].solar_transmittance = 0.8;
    SunPath path;
    path.hour_begin = {0, 2, 4, 4};
    const auto sun = [](double incidence_deg) {
        return Vec3(std::cos(incidence_deg * degree), std::sin(incidence_deg * degree), 0);
    };
    path.direction = {sun(60), sun(120), sun(30), sun(75)};
    const PaneLight panes(envelope, exposed, path);
    const double normal = glass_transmittance(1, 0);
    EXPECT_NEAR(panes.of_beam(SurfaceId(1), 0), glass_transmittance(1, 60) / normal, 1e-6);
    const double c30 = std::cos(30 * degree), c75 = std::cos(75 * degree);
    EXPECT_NEAR(panes.of_beam(SurfaceId(1), 1),
                (c30 * glass_transmittance(1, 30) + c75 * glass_transmittance(1, 75)) /
                    (c30 + c75) / normal,
                1e-6);
    EXPECT_EQ(panes.of_beam(SurfaceId(1), 2), 1);  // no sun: nothing to weigh
    EXPECT_EQ(panes.of_beam(SurfaceId(0), 0), 1);
    EXPECT_EQ(panes.of_diffuse(SurfaceId(0)), 1);
    EXPECT_NEAR(panes.of_diffuse(SurfaceId(1)), glass_transmittance_of_diffuse(1) / normal, 1e-12);
}

}  // namespace
}  // namespace noonshell
