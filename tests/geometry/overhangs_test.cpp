// Houses of plates that overhang their walls. Oracle: closed forms of rectangles.
#include "geometry/overhangs.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <Eigen/Geometry>
#include <string>
#include <utility>
#include <vector>

#include "geometry/envelope.hpp"
#include "geometry/ray_mesh.hpp"
#include "geometry/step_reader.hpp"
#include "tests/support/lined_rooms.hpp"
#include "tests/support/scratch_folder.hpp"

namespace noonshell {
namespace {

using test_support::PlateReach;
using test_support::RoomFacts;
using test_support::terrace_house_size_m;
using test_support::write_eaves_house;
using testing::IsEmpty;

constexpr double plate_m = 0.2;

double plan_m2(const PlateReach& reach) {
    const Vec3& size = terrace_house_size_m;
    return (size.x() + reach.east + reach.west) * (size.y() + reach.north + reach.south);
}

double house_m2() {
    return terrace_house_size_m.x() * terrace_house_size_m.y();
}

/// Of a plate's edges what stands flush in a wall.
double flush_m2(const PlateReach& reach) {
    const Vec3& size = terrace_house_size_m;
    const double along_x = (reach.south == 0 ? 1 : 0) + (reach.north == 0 ? 1 : 0);
    const double along_y = (reach.west == 0 ? 1 : 0) + (reach.east == 0 ? 1 : 0);
    return plate_m * (along_x * size.x() + along_y * size.y());
}

/// The rest of them.
double edges_m2(const PlateReach& reach) {
    const Vec3& size = terrace_house_size_m;
    const double x = size.x() + reach.east + reach.west, y = size.y() + reach.north + reach.south;
    return plate_m * 2 * (x + y) - flush_m2(reach);
}

class Overhangs : public testing::Test {
  protected:
    void build(const PlateReach& roof, const PlateReach& floor, bool roof_sheet = false) {
        facts_ = write_eaves_house(folder_ / "m.step", roof, floor, roof_sheet);
        build();
    }
    void build() {
        model_ = read_step(folder_ / "m.step");
        std::vector<Warning> warnings;
        const auto roles = choose_roles(model_, {}, {}, warnings);
        envelope_ = build_envelope(model_, roles, {});
        EXPECT_THAT(warnings, IsEmpty());
        for (const Warning& warning : envelope_.warnings) ADD_FAILURE() << warning.text;
        ASSERT_EQ(envelope_.units.size(), 1u);
        EXPECT_NEAR(envelope_.units[0].floor_area_m2, facts_.floor_m2, 0.01 * facts_.floor_m2);
        EXPECT_NEAR(envelope_.units[0].volume_m3, facts_.volume_m3, 0.01 * facts_.volume_m3);
    }
    /// Of all surfaces whose ids begin so.
    double area_m2(const std::string& id) const {
        double area = 0;
        for (const Surface& surface : envelope_.surfaces)
            area += surface.id.starts_with(id) ? surface.area_m2 : 0;
        return area;
    }
    const Surface* surface(const std::string& id) const {
        for (const Surface& surface : envelope_.surfaces) {
            if (surface.id == id) return &surface;
        }
        return nullptr;
    }
    void expect_overhang(const std::string& name, const PlateReach& reach) const {
        const double beyond = plan_m2(reach) - house_m2();
        EXPECT_NEAR(area_m2(name + "/top"), beyond, 1e-5 * house_m2());
        EXPECT_NEAR(area_m2(name + "/underside"), beyond, 1e-5 * house_m2());
        EXPECT_NEAR(area_m2(name + "/edge"), edges_m2(reach), 1e-4);
        const Surface* top = surface(name + "/top");
        ASSERT_NE(top, nullptr);
        EXPECT_EQ(top->kind, SurfaceKind::shade);
        EXPECT_FALSE(top->unit.valid());
    }
    /// Walls with the edges of plates that stand flush in them.
    void expect_walls(const PlateReach& roof, const PlateReach& floor) const {
        const Vec3& size = terrace_house_size_m;
        const double walls = 2 * (size.x() + size.y()) * (size.z() - 2 * plate_m);
        EXPECT_NEAR(area_m2("house/wall"), walls + flush_m2(roof) + flush_m2(floor), 1e-3);
    }
    void expect_no_more_than_overhangs(const std::vector<std::string>& names) const {
        ASSERT_EQ(envelope_.shades.size(), names.size());
        for (std::size_t k = 0; k < names.size(); ++k) EXPECT_EQ(envelope_.shades[k].id, names[k]);
    }

    test_support::ScratchFolder folder_;
    RoomFacts facts_{};
    Model model_;
    Envelope envelope_;
};

TEST_F(Overhangs, ARoofEndsAtTheWallsAndItsEavesAreAShade) {
    const std::vector<PlateReach> cases{
        {0.4, 0.4, 0.4, 0.4}, {0, 0, 0, 0.3}, {0.5, 0, 0.3, 0}, {0, 1.2, 0, 0}, {0.5, 0, 0, 2}};
    for (const PlateReach& roof : cases) {
        SCOPED_TRACE(testing::Message()
                     << roof.east << " " << roof.north << " " << roof.west << " " << roof.south);
        build(roof, {});
        EXPECT_NEAR(area_m2("house/roof"), house_m2(), 1e-5 * house_m2());
        EXPECT_NEAR(area_m2("house/floor"), house_m2(), 1e-5 * house_m2());
        EXPECT_EQ(area_m2("house/soffit"), 0);
        expect_overhang("house-eaves", roof);
        expect_no_more_than_overhangs({"house-eaves"});
        expect_walls(roof, {});
    }
}

TEST_F(Overhangs, AFloorThatSticksOutHasALedge) {
    for (const PlateReach& floor : {PlateReach{0.5, 0.5, 0.5, 0.5}, PlateReach{0, 0, 0, 1.5}}) {
        SCOPED_TRACE(floor.east);
        const PlateReach roof{0.4, 0.4, 0.4, 0.4};
        build(roof, floor);
        EXPECT_NEAR(area_m2("house/roof"), house_m2(), 1e-5 * house_m2());
        EXPECT_NEAR(area_m2("house/floor"), house_m2(), 1e-5 * house_m2());
        expect_overhang("house-eaves", roof);
        expect_overhang("house-ledge", floor);
        expect_no_more_than_overhangs({"house-eaves", "house-ledge"});
        expect_walls(roof, floor);
        // Both lie on the ground.
        EXPECT_NEAR(surface("house/floor")->exposed_area_m2, 0, 1e-6);
        EXPECT_NEAR(surface("house-ledge/underside")->exposed_area_m2, 0, 1e-6);
    }
}

TEST_F(Overhangs, ASheetHasTwoSidesBeyondTheWalls) {
    const PlateReach roof{0.4, 0.4, 0.4, 0.4};
    build(roof, {}, true);
    const double beyond = plan_m2(roof) - house_m2();
    EXPECT_NEAR(area_m2("house/roof"), house_m2(), 1e-5 * house_m2());
    EXPECT_NEAR(area_m2("house-eaves/top"), beyond, 1e-5 * house_m2());
    EXPECT_NEAR(area_m2("house-eaves/underside"), beyond, 1e-5 * house_m2());
    const Surface *top = surface("house-eaves/top"), *under = surface("house-eaves/underside");
    ASSERT_TRUE(top && under);
    ASSERT_TRUE(top->other_side.valid());
    EXPECT_EQ(&envelope_.surfaces[top->other_side.index()], under);
}

/// Relief of a wall is no overhang.
TEST_F(Overhangs, APlateThatReachesNoFartherThanReliefStaysOneRoof) {
    const PlateReach roof{0.1, 0.1, 0.1, 0.1};
    build(roof, {});
    EXPECT_NEAR(area_m2("house/roof"), plan_m2(roof), 1e-5 * house_m2());
    EXPECT_THAT(envelope_.shades, IsEmpty());
}

/// Seen from above and from below nothing is lacking and nothing there twice.
TEST_F(Overhangs, WhatBlocksTheSkyIsTheWholePlate) {
    const PlateReach roof{0.4, 0.3, 0.2, 0.5};
    build(roof, {});
    double up_m2 = 0, down_m2 = 0;
    for (std::size_t t = 0; t < envelope_.blockers.triangles.size(); ++t) {
        const Vec3 a = envelope_.blockers.corner(t, 0);
        const Vec3 area =
            (envelope_.blockers.corner(t, 1) - a).cross(envelope_.blockers.corner(t, 2) - a) / 2;
        (area.z() > 0 ? up_m2 : down_m2) += area.z();
    }
    EXPECT_NEAR(up_m2, plan_m2(roof), 1e-5 * house_m2());
    EXPECT_NEAR(-down_m2, plan_m2(roof), 1e-5 * house_m2());
}

/// A sun straight before a wall, h above the horizon, throws the shadow of eaves of depth d as far
/// down as d tan h.
TEST_F(Overhangs, EavesShadeTheWallBelowThem) {
    const PlateReach roof{0.5, 0.5, 0.5, 0.5};
    build(roof, {});
    std::vector<RayMesh::Triangle> triangles;
    for (std::size_t t = 0; t < envelope_.blockers.triangles.size(); ++t) {
        const TriangleMesh& mesh = envelope_.blockers;
        triangles.push_back({{mesh.corner(t, 0), mesh.corner(t, 1), mesh.corner(t, 2)}, false, 0});
    }
    const RayMesh mesh(std::move(triangles));
    for (const double tangent : {0.5, 2.0, 5.0}) {
        const Vec3 sun = Vec3(0, -1, tangent).normalized();
        const double shadow_m = roof.south * tangent;
        std::size_t n = 0;
        for (std::size_t f = 0; f < envelope_.facets.size(); ++f) {
            const SurfaceId of = envelope_.facets.surface[f];
            if (envelope_.surfaces[of.index()].id != "house/wall-s") continue;
            const Vec3& at = envelope_.facets.centroid_m[f];
            const bool dark = terrace_house_size_m.z() - plate_m - at.z() < shadow_m;
            EXPECT_EQ(mesh.blocked(at - Vec3(0, 1e-3, 0), sun, 0), dark) << at.transpose();
            ++n;
        }
        EXPECT_GT(n, 50u);
    }
}

}  // namespace
}  // namespace noonshell
