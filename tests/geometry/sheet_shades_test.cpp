// Shades drawn as sheets without thickness: both sides are surfaces, as those of a thin solid are.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <string>
#include <vector>

#include "geometry/envelope.hpp"
#include "geometry/shade_shape.hpp"
#include "tests/support/box_model.hpp"

namespace noonshell {
namespace {

using test_models::Box;
using test_models::BoxModel;
using test_models::Polygon3;

/// A hut of 4 x 3 x 2.5 m at the origin and an open shell of these faces.
BoxModel hut_with(const std::string& name, const std::vector<Polygon3>& faces) {
    BoxModel made = test_models::box_model({{"hut", {0, 0, 0}, {4, 3, 2.5}}});
    start_body(made, name, Role::shade);
    made.model.bodies.back().solid = false;
    for (const Polygon3& face : faces) test_models::add_face(made.model, {face});
    finish_body(made);
    return made;
}

Polygon3 reversed(const Polygon3& polygon) {
    return {polygon.rbegin(), polygon.rend()};
}

Envelope envelope_of(const BoxModel& made) {
    return build_envelope(made.model, made.roles, {});
}

std::vector<const Surface*> shades_of(const Envelope& envelope) {
    std::vector<const Surface*> surfaces;
    for (const Surface& surface : envelope.surfaces) {
        if (surface.kind == SurfaceKind::shade) surfaces.push_back(&surface);
    }
    return surfaces;
}

std::string names_of(const Envelope& envelope) {
    std::string names;
    for (const Surface* surface : shades_of(envelope))
        names += (names.empty() ? "" : " ") + surface->id.substr(surface->id.find('/') + 1);
    return names;
}

/// Every back lies on its front, facing the other way; blockers stand once.
void expect_pairs(const Envelope& envelope, std::size_t n_triangles) {
    for (std::size_t s = 0; s < envelope.surfaces.size(); ++s) {
        const Surface& surface = envelope.surfaces[s];
        if (surface.kind != SurfaceKind::shade || !surface.other_side.valid()) continue;
        const Surface& other = envelope.surfaces[surface.other_side.index()];
        EXPECT_EQ(other.other_side, SurfaceId(s));
        EXPECT_NEAR(surface.area_m2, other.area_m2, 1e-9);
        EXPECT_NEAR(surface.exposed_area_m2, other.exposed_area_m2, 1e-9);
        EXPECT_LT((surface.normal + other.normal).norm(), 1e-9);
        EXPECT_LT((surface.centroid_m - other.centroid_m).norm(), 1e-9);
        EXPECT_NEAR(surface.tilt_deg + other.tilt_deg, 180, 1e-9);
    }
    std::size_t of_shades = 0;
    for (const SurfaceId surface : envelope.triangle_surface) {
        ASSERT_TRUE(surface.valid());
        if (envelope.surfaces[surface.index()].kind == SurfaceKind::shade) ++of_shades;
    }
    EXPECT_EQ(of_shades, n_triangles);
}

const Polygon3 level{{-1, -1, 4}, {5, -1, 4}, {5, 4, 4}, {-1, 4, 4}};

TEST(SheetShades, ALevelSheetHasTopAndUndersideWhicheverWayItIsDrawn) {
    for (const Polygon3& face : {level, reversed(level)}) {
        const Envelope envelope = envelope_of(hut_with("sail", {face}));
        EXPECT_EQ(names_of(envelope), "top underside");
        expect_pairs(envelope, 2);
        ASSERT_EQ(envelope.shades.size(), 1u);
        EXPECT_EQ(envelope.shades[0].surfaces.size(), 2u);
        for (const Surface* surface : shades_of(envelope)) {
            EXPECT_TRUE(surface->other_side.valid());
            EXPECT_NEAR(surface->area_m2, 30, 1e-9);
            EXPECT_NEAR(surface->exposed_area_m2, 30, 1e-9);
            EXPECT_EQ(surface->n_faces, 1u);
            for (auto f = surface->first_facet; f < surface->first_facet + surface->n_facets; ++f)
                EXPECT_GT(envelope.facets.normal[f].dot(surface->normal), 1 - 1e-9);
        }
    }
}

// The same sides as those of a thin plate, its edges aside.
TEST(SheetShades, SidesGoByTheNamesOfAThinPlates) {
    const auto plate_names = [](const Box& plate) {
        return names_of(
            envelope_of(test_models::box_model({{"hut", {0, 0, 0}, {4, 3, 2.5}}, plate})));
    };
    const std::string lying = plate_names({"p", {-1, -1, 4}, {6, 5, 0.02}, 0, Role::shade});
    EXPECT_EQ(lying, "top edge-n edge-e edge-s edge-w underside");
    const std::string upright = plate_names({"p", {6, 0, 0}, {0.02, 2, 3}, 0, Role::shade});
    EXPECT_EQ(upright, "top side-e side-w edge-n edge-s underside");
    const Polygon3 fin{{6, 0, 0}, {6, 2, 0}, {6, 2, 3}, {6, 0, 3}};
    for (const Polygon3& face : {fin, reversed(fin)}) {
        const Envelope envelope = envelope_of(hut_with("fin", {face}));
        const std::string names = names_of(envelope);
        EXPECT_TRUE(names == "side-e side-w" || names == "side-w side-e") << names;
        expect_pairs(envelope, 2);
    }
}

// Two slopes that meet in a ridge are 2 x 2 surfaces, each on its own sheet.
TEST(SheetShades, ARidgeRoofHasFourSides) {
    const Polygon3 south{{-1, -1, 3}, {5, -1, 3}, {5, 1.5, 5}, {-1, 1.5, 5}};
    const Polygon3 north{{-1, 1.5, 5}, {5, 1.5, 5}, {5, 4, 3}, {-1, 4, 3}};
    const Envelope envelope = envelope_of(hut_with("tent", {south, north}));
    EXPECT_EQ(shades_of(envelope).size(), 4u);
    expect_pairs(envelope, 4);
    double up = 0, down = 0;
    for (const Surface* surface : shades_of(envelope))
        (surface->normal.z() > 0 ? up : down) += surface->area_m2;
    const double slopes = 2 * 6 * std::hypot(2.5, 2);
    EXPECT_NEAR(up, slopes, 1e-9);
    EXPECT_NEAR(down, slopes, 1e-9);
}

std::vector<Polygon3> box_faces(const Vec3& low, const Vec3& size) {
    const BoxModel box = test_models::box_model({{"b", low, size}});
    std::vector<Polygon3> faces;
    for (const Face& face : box.model.faces) {
        const auto t = face.first_triangle;
        faces.push_back({box.model.mesh.corner(t, 0), box.model.mesh.corner(t, 1),
                         box.model.mesh.corner(t, 2), box.model.mesh.corner(t + 1, 2)});
    }
    return faces;
}

// A shell that closes has no insides, though it is no solid; drawn inside out it is turned.
TEST(SheetShades, AShellThatClosesIsAPlainPlate) {
    const std::vector<Polygon3> outward = box_faces({-1, -1, 4}, {6, 5, 0.1});
    std::vector<Polygon3> inward;
    for (const Polygon3& face : outward) inward.push_back(reversed(face));
    for (const auto& faces : {outward, inward}) {
        const Envelope envelope = envelope_of(hut_with("slab", faces));
        EXPECT_EQ(names_of(envelope), "top edge-n edge-e edge-s edge-w underside");
        expect_pairs(envelope, 12);
        for (const Surface* surface : shades_of(envelope)) {
            EXPECT_FALSE(surface->other_side.valid()) << surface->id;
            if (std::abs(surface->normal.z()) < 0.5) continue;
            EXPECT_NEAR(surface->centroid_m.z(), surface->normal.z() > 0 ? 4.1 : 4.0, 1e-9);
        }
    }
}

// A hood: a box without its bottom. Its inside sees the open below.
TEST(SheetShades, AHoodHasAnInside) {
    std::vector<Polygon3> faces = box_faces({-1, -1, 3}, {6, 5, 0.8});
    faces.erase(faces.begin() + 4);  // the lower one
    const Envelope envelope = envelope_of(hut_with("hood", faces));
    EXPECT_EQ(shades_of(envelope).size(), 10u);
    expect_pairs(envelope, 10);
    double area = 0;
    for (const Surface* surface : shades_of(envelope)) area += surface->area_m2;
    EXPECT_NEAR(area, 2 * (30 + 2 * (6 + 5) * 0.8), 1e-9);
}

// A sheet that lies close on a roof covers it, as a thin plate does.
TEST(SheetShades, ASheetOnARoofIsInContactBelow) {
    const Polygon3 sheet{{0, 0, 2.52}, {4, 0, 2.52}, {4, 3, 2.52}, {0, 3, 2.52}};
    const Envelope envelope = envelope_of(hut_with("cover", {sheet}));
    const Surface& roof = envelope.surfaces[0];
    ASSERT_EQ(roof.id, "hut/roof");
    EXPECT_NEAR(roof.exposed_area_m2, 0, 1e-6);
    for (const Surface* surface : shades_of(envelope))
        EXPECT_NEAR(surface->exposed_area_m2, surface->normal.z() > 0 ? 12 : 0, 1e-6);
}

}  // namespace
}  // namespace noonshell
