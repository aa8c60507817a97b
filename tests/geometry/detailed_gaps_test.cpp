// A container drawn in detail, at growing gaps between its parts: folds and room stay what they are
// without gaps.
#include <gtest/gtest.h>

#include <map>
#include <string>

#include "geometry/envelope.hpp"
#include "geometry/step_reader.hpp"
#include "tests/support/detailed_container.hpp"
#include "tests/support/scratch_folder.hpp"

namespace noonshell {
namespace {

class FoldsAtGaps : public testing::TestWithParam<bool> {
  protected:
    Envelope at_gap(double gap_mm) {
        test_support::ContainerOptions options;
        options.doors = GetParam();
        options.panel_gap_mm = gap_mm;
        facts_ = test_support::write_detailed_container(folder_ / "c.step", options);
        const Model model = read_step(folder_ / "c.step");
        std::vector<Warning> warnings;
        return build_envelope(model, choose_roles(model, {}, {}, warnings), {});
    }
    static std::map<std::string, double> folds(const Envelope& envelope) {
        std::map<std::string, double> ratios;
        for (const Surface& side : envelope.surfaces) ratios[side.id] = side.relief_ratio();
        return ratios;
    }
    test_support::ScratchFolder folder_;
    test_support::ContainerFacts facts_{};
};

// A gap takes a strip of flat area away from a panel and leaves a strip that is drawn over it.
// Between the door leaves and their frame it also takes rebates away that are hidden then.
TEST_P(FoldsAtGaps, AreThoseWithoutGapsAndSoIsTheRoom) {
    const auto without = folds(at_gap(0));
    ASSERT_EQ(without.size(), 6u);
    for (const double gap_mm : {2.0, 5.0, 10.0, 20.0}) {
        const Envelope envelope = at_gap(gap_mm);
        const auto with = folds(envelope);
        ASSERT_EQ(with.size(), without.size()) << gap_mm;
        for (const auto& [side, ratio] : without) {
            const bool floor = side.ends_with("/floor"), doors = side.ends_with("/wall-e");
            const double share = floor ? 0.02 : doors ? 0.015 : 0.01;
            EXPECT_NEAR(with.at(side), ratio, share * ratio) << side << " at " << gap_mm;
        }
        // The closed form of the container's own room, troughs included; an open end has no leaves
        // to bound it.
        if (!GetParam()) continue;
        ASSERT_EQ(envelope.units.size(), 1u);
        EXPECT_NEAR(envelope.units[0].volume_m3, facts_.room_m3, 0.01 * facts_.room_m3) << gap_mm;
        EXPECT_NEAR(envelope.units[0].floor_area_m2, facts_.floor_m2, 0.01 * facts_.floor_m2)
            << gap_mm;
    }
}

// Folded sheet by closed form; rails and posts about it are flat.
TEST_P(FoldsAtGaps, OfALongWallLieBetweenFlatAndItsSheet) {
    for (const double gap_mm : {0.0, 20.0}) {
        for (const Surface& side : at_gap(gap_mm).surfaces) {
            if (!side.id.ends_with("/wall-n") && !side.id.ends_with("/wall-s")) continue;
            const double sheet_share = facts_.side_wall.projected_m2 / side.area_m2;
            const double expected = 1 + sheet_share * (facts_.side_wall.ratio() - 1);
            EXPECT_NEAR(side.relief_ratio(), expected, 0.02) << side.id << " at " << gap_mm;
        }
    }
}

INSTANTIATE_TEST_SUITE_P(Container, FoldsAtGaps, testing::Bool());

}  // namespace
}  // namespace noonshell
