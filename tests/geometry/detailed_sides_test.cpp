// Sides of a container drawn in detail, at every gap between its parts, against the box that holds
// it: what lies inside of an open end is no part of a side.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <string>
#include <tuple>

#include "geometry/block_writer.hpp"
#include "geometry/envelope.hpp"
#include "geometry/step_reader.hpp"
#include "tests/support/detailed_container.hpp"
#include "tests/support/hollow_bodies.hpp"
#include "tests/support/scratch_folder.hpp"

namespace noonshell {
namespace {

class SidesAtGaps : public testing::TestWithParam<std::tuple<double, bool>> {
  protected:
    void SetUp() override {
        test_support::ContainerOptions options;
        std::tie(options.panel_gap_mm, options.doors) = GetParam();
        facts_ = test_support::write_detailed_container(folder_ / "c.step", options);
        const Model model = read_step(folder_ / "c.step");
        std::vector<Warning> warnings;
        envelope_ = build_envelope(model, choose_roles(model, {}, {}, warnings), {});
    }
    /// The box's outline seen along a main axis.
    double outline_m2(int axis) const {
        const Vec3& size = facts_.outer_m;
        return size[(axis + 1) % 3] * size[(axis + 2) % 3];
    }
    void expect_twin_long_walls() const {
        std::map<std::string, const Surface*> walls;
        for (const Surface& side : envelope_.surfaces) {
            walls[side.id.substr(side.id.rfind('/') + 1)] = &side;
        }
        ASSERT_TRUE(walls.contains("wall-n") && walls.contains("wall-s"));
        const Surface &north = *walls["wall-n"], &south = *walls["wall-s"];
        EXPECT_NEAR(north.area_m2, south.area_m2, 1e-6);
        EXPECT_NEAR(north.developed_area_m2, south.developed_area_m2, 1e-6);
        EXPECT_EQ(north.n_faces, south.n_faces);
    }
    test_support::ScratchFolder folder_;
    test_support::ContainerFacts facts_{};
    Envelope envelope_;
};

TEST_P(SidesAtGaps, FaceAlongTheBoxWithinItsOutlineAndLongWallsAreTwins) {
    ASSERT_EQ(envelope_.surfaces.size(), 6u);
    constexpr double hundredth_of_a_degree = 1.7e-4;
    for (const Surface& side : envelope_.surfaces) {
        int axis = 0;
        const double along = side.normal.cwiseAbs().maxCoeff(&axis);
        EXPECT_LT(std::acos(std::min(along, 1.0)), hundredth_of_a_degree) << side.id;
        EXPECT_LE(side.area_m2, outline_m2(axis) * (1 + 1e-9)) << side.id;
    }
    expect_twin_long_walls();
}

INSTANTIATE_TEST_SUITE_P(Container, SidesAtGaps,
                         testing::Combine(testing::Values(0.0, 5.0, 10.0, 20.0), testing::Bool()));

// Doors swap their ends in the mirror; roof and floor stay.
TEST(MirroredAndTurnedCopies, HaveTheSameSides) {
    const test_support::ScratchFolder folder;
    test_support::ContainerOptions options;
    options.placements = {{"plain", {0, 0, 0}, 0, false},
                          {"mirrored", {0, 8, 0}, 0, true},
                          {"turned", {20, 0, 0}, 30, false}};
    options.separate_copies = true;
    test_support::write_detailed_container(folder / "c.step", options);
    const Model model = read_step(folder / "c.step");
    std::vector<Warning> warnings;
    const Envelope envelope = build_envelope(model, choose_roles(model, {}, {}, warnings), {});
    using Figures = std::tuple<long, long, std::uint32_t>;  // area, folds [1e-6], faces
    std::map<std::string, std::vector<Figures>> sides;
    for (const Surface& side : envelope.surfaces) {
        sides[side.id.substr(0, side.id.find('/'))].emplace_back(
            std::lround(1e6 * side.area_m2), std::lround(1e6 * side.relief_ratio()), side.n_faces);
    }
    for (auto& [unit, figures] : sides) std::ranges::sort(figures);
    ASSERT_EQ(sides["plain"].size(), 6u);
    EXPECT_EQ(sides["mirrored"], sides["plain"]);
    EXPECT_EQ(sides["turned"], sides["plain"]);
}

TEST(HollowSolid, ReasonNamesTheRoomNotTheBlock) {
    const test_support::ScratchFolder folder;
    test_support::write_hollow_box(folder / "h.step", {6, 2.4, 2.6}, 100);
    const Model model = read_step(folder / "h.step");
    std::vector<Warning> warnings;
    const auto roles = choose_roles(model, {}, {}, warnings);
    // 5.8 x 2.2 x 2.4 m, worked by hand: 30.6 m3.
    EXPECT_EQ(roles.at(0).why, "hollow body that encloses 30.6 m3");
}

TEST(ThinPlate, OneCalledWindowIsHintedAtAsAPane) {
    const test_support::ScratchFolder folder;
    std::vector<Block> blocks(3);
    const char* const names[] = {"room", "Window 2", "panel"};
    for (std::size_t b = 0; b < blocks.size(); ++b) {
        blocks[b].name = names[b];
        blocks[b].corner_m = Vec3(0, -5.0 * static_cast<double>(b), 0);
        blocks[b].size_m = b == 0 ? Vec3(6, 2.4, 2.6) : Vec3(2, 0.02, 1.5);
    }
    write_blocks(blocks, folder / "w.step", {});
    const Model model = read_step(folder / "w.step");
    std::vector<Warning> warnings;
    const auto roles = choose_roles(model, {}, {}, warnings);
    EXPECT_EQ(roles.at(1).role, Role::shade);
    EXPECT_NE(roles.at(1).why.find("name it in panes or pane_colours"), std::string::npos);
    EXPECT_EQ(roles.at(2).why.find("panes"), std::string::npos);
}

}  // namespace
}  // namespace noonshell
