// What a straight view shows, against closed forms of projected areas, conservation of area and
// rays.
#include "geometry/visible_parts.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "geometry/ray_mesh.hpp"

namespace noonshell {
namespace {

const ViewFrame from_above = view_from_above(0, 0);

using Triangles = std::vector<ViewTriangle>;

void add_quad(Triangles& all, const std::array<Vec3, 4>& corners, std::uint32_t item) {
    all.push_back({{corners[0], corners[1], corners[2]}, item});
    all.push_back({{corners[0], corners[2], corners[3]}, item});
}

/// All six sides, as one item.
void add_box(Triangles& all, const Vec3& low, const Vec3& high, std::uint32_t item) {
    const auto corner = [&](int k) {
        return Vec3((k & 1) != 0 ? high.x() : low.x(), (k & 2) != 0 ? high.y() : low.y(),
                    (k & 4) != 0 ? high.z() : low.z());
    };
    constexpr int sides[6][4] = {{0, 2, 3, 1}, {4, 5, 7, 6}, {0, 1, 5, 4},
                                 {2, 6, 7, 3}, {0, 4, 6, 2}, {1, 3, 7, 5}};
    for (const auto& side : sides)
        add_quad(all, {corner(side[0]), corner(side[1]), corner(side[2]), corner(side[3])}, item);
}

double sum_of(const std::vector<PlaneRegion>& regions) {
    double sum = 0;
    for (const PlaneRegion& region : regions) sum += region.area_m2();
    return sum;
}

TEST(VisibleParts, OfTwoBoxesTheHigherHidesItsShareOfTheLower) {
    Triangles all;
    add_box(all, {0, 0, 0}, {6, 2.5, 2.5}, 0);
    add_box(all, {4, -1, 3}, {7, 1, 5}, 1);
    const auto above = visible_parts(all, 2, from_above);
    EXPECT_NEAR(above[0].area_m2(), 6 * 2.5 - 2 * 1, 1e-6);
    EXPECT_NEAR(above[1].area_m2(), 3 * 2, 1e-6);
    // From the south the second one stands before the first, above it; from the east as well.
    const auto south = visible_parts(all, 2, view_from_side(180, 0));
    EXPECT_NEAR(south[0].area_m2(), 6 * 2.5, 1e-6);
    EXPECT_NEAR(south[1].area_m2(), 3 * 2, 1e-6);
    const auto below =
        visible_parts(all, 2, {from_above.right, -from_above.up, -from_above.toward_viewer});
    EXPECT_NEAR(below[0].area_m2(), 6 * 2.5, 1e-6);
    EXPECT_NEAR(below[1].area_m2(), 3 * 2 - 2 * 1, 1e-6);
}

// Four bars, each over the one before at a corner: no order of painting shows them right. Each
// hides one square of 1 m of the next.
TEST(VisibleParts, OfBarsInARingEachIsHiddenWhereTheNextRunsOver) {
    Triangles all;
    const auto bar = [&all](Vec3 from, Vec3 to, const Vec3& aside, std::uint32_t item) {
        add_quad(all, {from, to, to + aside, from + aside}, item);
    };
    // Heights 0 at one end, 1 at the other, corners of a ring of four bars.
    bar({0, 0, 0}, {5, 0, 1}, {0, 1, 0}, 0);
    bar({5, 0, 0}, {5, 5, 1}, {-1, 0, 0}, 1);
    bar({5, 5, 0}, {0, 5, 1}, {0, -1, 0}, 2);
    bar({0, 5, 0}, {0, 0, 1}, {1, 0, 0}, 3);
    const auto regions = visible_parts(all, 4, from_above);
    for (const PlaneRegion& region : regions) EXPECT_NEAR(region.area_m2(), 4, 1e-6);
    EXPECT_NEAR(sum_of(regions), 25 - 9, 1e-6);
}

TEST(VisibleParts, PlanesThatRunThroughEachOtherAreCutAtTheirLine) {
    Triangles all;
    add_quad(all, {Vec3(0, 0, 0), Vec3(4, 0, 0), Vec3(4, 2, 0), Vec3(0, 2, 0)}, 0);
    add_quad(all, {Vec3(0, 0, -1), Vec3(4, 0, 3), Vec3(4, 2, 3), Vec3(0, 2, -1)}, 1);
    const auto regions = visible_parts(all, 2, from_above);
    EXPECT_NEAR(regions[0].area_m2(), 1 * 2, 1e-4);  // up to the margin of one plane
    EXPECT_NEAR(regions[1].area_m2(), 3 * 2, 1e-4);
}

TEST(VisibleParts, OfTheSamePlaceOneShows) {
    Triangles all;
    add_quad(all, {Vec3(0, 0, 1), Vec3(4, 0, 1), Vec3(4, 2, 1), Vec3(0, 2, 1)}, 0);
    add_quad(all, {Vec3(1, 0, 1), Vec3(5, 0, 1), Vec3(5, 2, 1), Vec3(1, 2, 1)}, 1);
    const auto regions = visible_parts(all, 2, from_above);
    EXPECT_NEAR(regions[0].area_m2(), 8, 1e-6);
    EXPECT_NEAR(regions[1].area_m2(), 2, 1e-6);
}

// Conservation: what is seen adds up to what all of it covers; and a ray from the viewer through
// any point meets first what is drawn there.
TEST(VisibleParts, OfRandomTrianglesAddUpAndAreWhatRaysMeetFirst) {
    std::mt19937 random(7);
    std::uniform_real_distribution<double> place(-3, 3), size(-2, 2);
    Triangles all;
    std::vector<RayMesh::Triangle> solids;
    std::vector<ConvexPolygon> shadows;
    const ViewFrame view = view_from_side(37, 14);
    for (std::uint32_t t = 0; t < 60; ++t) {
        const Vec3 at(place(random), place(random), place(random));
        ViewTriangle triangle{{at, at, at}, t};
        for (Vec3& corner : triangle.corners_m)
            corner += Vec3(size(random), size(random), size(random));
        all.push_back(triangle);
        solids.push_back({triangle.corners_m, false, t});
        ConvexPolygon& shadow = shadows.emplace_back();
        for (const Vec3& corner : triangle.corners_m) shadow.push_back(view.place_m(corner));
    }
    const auto regions = visible_parts(all, all.size(), view);
    EXPECT_NEAR(sum_of(regions), PlaneRegion::union_of(shadows).area_m2(), 1e-3);

    const RayMesh mesh(solids);
    int met = 0, other = 0;
    for (int n = 0; n < 2000; ++n) {
        const Vec2 at(place(random), place(random));
        const Vec3 origin = at.x() * view.right + at.y() * view.up + 20 * view.toward_viewer;
        const auto crossings = mesh.crossings(origin, -view.toward_viewer);
        if (crossings.empty()) continue;
        ++met;
        if (!regions[crossings.front().body].contains(at)) ++other;
    }
    EXPECT_GT(met, 500);
    EXPECT_LE(other, 2);  // beside a line where planes cross
}

TEST(VisibleParts, EdgeOnThereIsNothing) {
    Triangles all;
    add_quad(all, {Vec3(0, 0, 0), Vec3(4, 0, 0), Vec3(4, 0, 2), Vec3(0, 0, 2)}, 0);
    EXPECT_TRUE(visible_parts(all, 1, from_above)[0].empty());
    EXPECT_TRUE(visible_parts({}, 1, from_above)[0].empty());
}

TEST(ViewFrame, ShowsEastOnTheRightFromTheSouthAndTheChosenAzimuthUpInPlan) {
    // The model's +Y axis points east: its +X axis then points south.
    const ViewFrame south = view_from_side(180, 90);
    EXPECT_NEAR((south.toward_viewer - Vec3::UnitX()).norm(), 0, 1e-12);
    EXPECT_NEAR((south.right - Vec3::UnitY()).norm(), 0, 1e-12);
    const ViewFrame plan = view_from_above(90, 90);
    EXPECT_NEAR((plan.up - Vec3::UnitY()).norm(), 0, 1e-12);
    EXPECT_NEAR((plan.right - Vec3::UnitX()).norm(), 0, 1e-12);
}

TEST(ViewFrame, MainSidesFollowTheWallsByArea) {
    Envelope envelope;
    const auto wall = [&envelope](double azimuth_deg, double area_m2) {
        Surface surface;
        surface.azimuth_deg = azimuth_deg;
        surface.area_m2 = area_m2;
        envelope.surfaces.push_back(surface);
    };
    EXPECT_EQ(main_sides_deg(envelope), (std::array<double, 4>{0, 90, 180, 270}));
    for (const double azimuth : {14.0, 104.0, 194.0, 284.0}) wall(azimuth, 10);
    EXPECT_EQ(main_sides_deg(envelope), (std::array<double, 4>{14, 104, 194, 284}));
    for (Surface& surface : envelope.surfaces)
        surface.azimuth_deg = std::fmod(surface.azimuth_deg + 316, 360);
    EXPECT_EQ(main_sides_deg(envelope), (std::array<double, 4>{330, 60, 150, 240}));
    wall(0, 5);  // fewer of other walls turn the mean by less
    const double turned = main_sides_deg(envelope)[0];
    EXPECT_GT(turned, 330);
    EXPECT_LT(turned, 345);
}

}  // namespace
}  // namespace noonshell
