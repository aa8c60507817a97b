// Slats that are bodies of their own are one shade: the same surfaces and areas as a shade roof of
// slats that was built as one body.
#include "geometry/slats.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <map>
#include <string>
#include <vector>

#include "geometry/block_writer.hpp"
#include "geometry/coloured_step.hpp"
#include "geometry/shade_builder.hpp"
#include "geometry/step_reader.hpp"
#include "tests/geometry/mesh_checks.hpp"

namespace noonshell {
namespace {

struct Site {
    Model model;
    std::vector<RoleChoice> roles;
    Envelope envelope;
};

Site site_of(const std::filesystem::path& file, const RolePatterns& patterns = {}) {
    Site site;
    std::vector<Warning> warnings;
    site.model = read_step(file);
    site.roles = choose_roles(site.model, patterns, {}, warnings);
    site.envelope = build_envelope(site.model, site.roles, {});
    return site;
}

using Areas = std::map<std::string, double>;

Areas areas_of(const Envelope& envelope, bool exposed) {
    Areas areas;
    for (const Surface& s : envelope.surfaces)
        areas[s.id] = exposed ? s.exposed_area_m2 : s.area_m2;
    return areas;
}

void expect_same(const Envelope& a, const Envelope& b) {
    for (const bool exposed : {false, true}) {
        const Areas before = areas_of(a, exposed), after = areas_of(b, exposed);
        ASSERT_EQ(after.size(), before.size());
        for (const auto& [id, area] : before) {
            ASSERT_TRUE(after.contains(id)) << id;
            EXPECT_NEAR(after.at(id), area, 1e-6) << id;
        }
    }
}

/// A box room and more blocks.
std::vector<Block> with_room(std::vector<Block> blocks) {
    Block room;
    room.name = "hut";
    room.size_m = {6, 2.4, 2.6};
    blocks.insert(blocks.begin(), room);
    return blocks;
}

/// Plates of `width_m` along y, `step_m` from one to the next, high above the room.
std::vector<Block> plates(std::size_t n, double width_m, double step_m,
                          const std::string& assembly) {
    std::vector<Block> blocks(n);
    for (std::size_t k = 0; k < n; ++k) {
        blocks[k].name = "plate " + std::string(1, static_cast<char>('a' + k));
        blocks[k].assembly = assembly;
        blocks[k].corner_m = {0, step_m * static_cast<double>(k), 3.2};
        blocks[k].size_m = {6, width_m, 0.03};
    }
    return blocks;
}

TEST(SlattedRoof, ReadBackFromTheColouredFileIsOneShadeWithTheSameSurfaces) {
    const mesh_checks::ScratchFolder folder;
    write_blocks(with_room({}), folder / "site.step");
    Site built = site_of(folder / "site.step");
    ShadeSettings settings;
    settings.roofs.resize(1);
    settings.roofs[0].name = "sail";
    settings.roofs[0].over = {"hut"};
    // At 0.04 m gaps the edges would touch if the slats were told apart.
    for (const double gap_m : {0.15, 0.04}) {
        settings.roofs[0].slats = Slats{0.15, gap_m, std::nullopt};
        Site made = built;
        const BuiltShades shades = add_shades(made.model, made.roles, made.envelope, settings);
        made.envelope = build_envelope(made.model, made.roles, {});
        write_coloured_step(folder / "site.step", folder / "coloured.step", made.model, {},
                            shades.bodies);
        const Site again = site_of(folder / "coloured.step");
        EXPECT_GT(again.model.bodies.size(), 8u) << "one body for each slat";
        ASSERT_EQ(again.envelope.shades.size(), 1u);
        EXPECT_EQ(again.envelope.shades[0].id, "sail");
        expect_same(made.envelope, again.envelope);
    }
}

TEST(Slats, OfAnAssemblyAreOneShadeOfItsName) {
    const mesh_checks::ScratchFolder folder;
    write_blocks(with_room(plates(8, 0.1, 0.25, "louvre")), folder / "s.step");
    const Site site = site_of(folder / "s.step");
    ASSERT_EQ(site.envelope.shades.size(), 1u);
    EXPECT_EQ(site.envelope.shades[0].bodies.size(), 8u);
    const Areas areas = areas_of(site.envelope, false);
    EXPECT_NEAR(areas.at("louvre/top"), 8 * 0.1 * 6, 1e-9);
    EXPECT_NEAR(areas.at("louvre/underside"), 8 * 0.1 * 6, 1e-9);
    EXPECT_NEAR(areas.at("louvre/edge-n"), 8 * 0.03 * 6, 1e-9);
}

TEST(Slats, TooSmallForAShadeEachAreOneTogether) {
    const mesh_checks::ScratchFolder folder;
    std::vector<Block> blocks = plates(10, 0.06, 0.12, "louvre");
    write_blocks(with_room(blocks), folder / "s.step");
    const Site site = site_of(folder / "s.step");
    ASSERT_EQ(site.envelope.shades.size(), 1u);
    EXPECT_NEAR(areas_of(site.envelope, false).at("louvre/top"), 10 * 0.06 * 6, 1e-9);
}

struct Apart {
    const char* name;
    std::size_t n;
    double width_m, step_m;
};

class StayApart : public testing::TestWithParam<Apart> {};

TEST_P(StayApart, ByTheirOwnNames) {
    const auto& [name, n, width_m, step_m] = GetParam();
    const mesh_checks::ScratchFolder folder;
    write_blocks(with_room(plates(n, width_m, step_m, "shades")), folder / "s.step");
    const Site site = site_of(folder / "s.step");
    ASSERT_EQ(site.envelope.shades.size(), n) << name;
    EXPECT_EQ(site.envelope.shades[0].id, "plate a");
}

INSTANTIATE_TEST_SUITE_P(Plates, StayApart,
                         testing::Values(Apart{"wide sheets", 3, 1.2, 1.3},
                                         Apart{"strips far from each other", 4, 0.1, 1.5},
                                         Apart{"two strips", 2, 0.1, 0.2}));

}  // namespace
}  // namespace noonshell
