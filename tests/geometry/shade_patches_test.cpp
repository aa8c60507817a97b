// Which shades are flattened: a louvre of slats in one body must keep the gaps between them.
#include <gtest/gtest.h>

#include "geometry/skin.hpp"
#include "tests/support/box_model.hpp"

namespace noonshell {
namespace {

using test_models::Box;

/// All faces of the boxes as one body.
Model one_body_of(const std::vector<Box>& boxes) {
    Model model = test_models::box_model(boxes).model;
    for (Face& face : model.faces) face.body = BodyId(std::size_t{0});
    for (std::size_t b = 1; b < model.bodies.size(); ++b) {
        model.bodies[0].n_faces += model.bodies[b].n_faces;
        model.bodies[0].area_m2 += model.bodies[b].area_m2;
    }
    model.bodies.resize(1);
    return model;
}

double area_facing(const std::vector<Patch>& patches, const Vec3& direction) {
    double area = 0;
    for (const Patch& patch : patches) {
        if (patch.frame.normal.dot(direction) > 0.99) area += patch.area_m2;
    }
    return area;
}

TEST(ShadePatches, SlatsOfOneBodyKeepTheirGaps) {
    std::vector<Box> slats;
    for (int i = 0; i < 12; ++i) {
        // Every other one 40 mm higher: folds of a sheet, were there no gaps.
        slats.push_back(
            {"slat-" + std::to_string(i), {0.16 * i, 0, i % 2 == 0 ? 3.0 : 3.04}, {0.1, 2, 0.02}});
    }
    const std::vector<Patch> patches = shade_patches(one_body_of(slats), BodyId(std::size_t{0}));
    EXPECT_NEAR(area_facing(patches, Vec3::UnitZ()), 12 * 0.1 * 2, 1e-9);
    EXPECT_NEAR(area_facing(patches, -Vec3::UnitZ()), 12 * 0.1 * 2, 1e-9);
}

}  // namespace
}  // namespace noonshell
