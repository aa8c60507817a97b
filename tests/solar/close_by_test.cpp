// What stands close before a surface, on plates whose distances are known.
#include "solar/close_by.hpp"

#include <gtest/gtest.h>

#include "solar/ray_scene.hpp"
#include "tests/support/plate_envelope.hpp"

namespace noonshell {
namespace {

/// A unit of 6 m x 2.5 m, its roof at 2.6 m, and a shade over it.
struct RoofAndCanopy {
    PlateEnvelope made;
    SurfaceId roof, top, underside;

    RoofAndCanopy(double clearance_m, double from_x_m, double to_x_m) {
        roof = made.add_box("box", {3, 1.25, 0}, {6, 2.5, 2.6}, 0, 0.25);
        made.envelope.units.push_back({"box", {BodyId(0)}, 15, 39, "by hand", {}});
        for (std::size_t s = 0; s < 6; ++s) made.envelope.surfaces[s].unit = UnitId(0);
        const double z = 2.6 + clearance_m, length_m = to_x_m - from_x_m;
        const BodyId body(1);
        underside = made.add_plate("canopy/underside", {from_x_m, 0, z}, {0, 2.5, 0},
                                   {length_m, 0, 0}, 10, 24, body);
        top = made.add_plate("canopy/top", {from_x_m, 0, z + 0.05}, {length_m, 0, 0}, {0, 2.5, 0},
                             24, 10, body);
    }

    std::vector<CloseBy> find() const {
        return find_close_by(made.envelope, RayScene(made.envelope.blockers));
    }
};

TEST(CloseBy, ClearanceAndShareOfARoofUnderAShade) {
    const RoofAndCanopy whole(0.3, 0, 6);
    const auto close = whole.find();
    EXPECT_NEAR(close[whole.roof.index()].share, 1, 1e-9);
    EXPECT_NEAR(close[whole.roof.index()].clearance_m, 0.3, 1e-5);
    EXPECT_NEAR(close[whole.roof.index()].covered_m2, 15, 1e-9);
    ASSERT_EQ(close[whole.roof.index()].others.size(), 1u);
    EXPECT_EQ(close[whole.roof.index()].others[0].surface, whole.underside);
    EXPECT_NEAR(close[whole.underside.index()].clearance_m, 0.3, 1e-5);
    EXPECT_EQ(close[whole.top.index()].share, 0);
    for (std::size_t wall = 1; wall < 6; ++wall) EXPECT_EQ(close[wall].share, 0);
}

TEST(CloseBy, PartsAndOverhangsCountByTheirArea) {
    const RoofAndCanopy half(0.3, 3, 9);
    const auto close = half.find();
    EXPECT_NEAR(close[half.roof.index()].share, 0.5, 1e-9);
    EXPECT_NEAR(close[half.underside.index()].share, 0.5, 1e-9);
    EXPECT_NEAR(close[half.underside.index()].covered_m2, 7.5, 1e-9);
}

TEST(CloseBy, NothingFarOffOrOfItsOwnOrAslant) {
    EXPECT_EQ(RoofAndCanopy(1.6, 0, 6).find()[0].share, 0);
    RoofAndCanopy own(0.3, 0, 6);
    for (const SurfaceId s : {own.top, own.underside})
        own.made.envelope.surfaces[s.index()].unit = UnitId(0);
    EXPECT_EQ(own.find()[0].share, 0);
    for (const double rise_m : {0.8, 1.8}) {  // 18 and 36 degrees
        PlateEnvelope aslant;
        aslant.add_plate("roof", {0, 0, 0}, {2.5, 0, 0}, {0, 2.5, 0}, 10, 10);
        aslant.add_plate("shade", {0, 0, -0.1}, {0, 2.5, 0}, {2.5, 0, rise_m}, 10, 10);
        const auto close = find_close_by(aslant.envelope, RayScene(aslant.envelope.blockers));
        EXPECT_EQ(close[0].share > 0.5, rise_m < 1) << rise_m;
    }
}

TEST(CloseBy, OfASheetTheSideThatIsSeen) {
    PlateEnvelope made;
    const SurfaceId roof = made.add_plate("roof", {0, 0, 0}, {2, 0, 0}, {0, 2, 0}, 4, 4);
    const SurfaceId front = made.add_sheet("sheet", {0, 0, 0.4}, {2, 0, 0}, {0, 2, 0}, 4, 4);
    const SurfaceId back = made.envelope.surfaces[front.index()].other_side;
    const auto close = find_close_by(made.envelope, RayScene(made.envelope.blockers));
    ASSERT_EQ(close[roof.index()].others.size(), 1u);
    EXPECT_EQ(close[roof.index()].others[0].surface, back);
    EXPECT_EQ(close[front.index()].share, 0);
    EXPECT_NEAR(close[back.index()].clearance_m, 0.4, 1e-5);
}

}  // namespace
}  // namespace noonshell
