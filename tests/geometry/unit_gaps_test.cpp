// Gaps between the faces of an open shell, just below and just above what is closed.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <string>

#include "geometry/envelope.hpp"
#include "geometry/step_reader.hpp"
#include "tests/support/detailed_container.hpp"
#include "tests/support/hollow_bodies.hpp"
#include "tests/support/scratch_folder.hpp"

namespace noonshell {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;

class UnitGaps : public testing::Test {
  protected:
    Envelope cut() {
        const Model model = read_step(folder_ / "m.step");
        std::vector<Warning> warnings;
        return build_envelope(model, choose_roles(model, {}, {}, warnings), {});
    }
    Envelope shell_with_gap(double gap_mm) {
        test_support::write_open_shell(folder_ / "m.step", {6, 2.4, 2.6}, 6, gap_mm);
        return cut();
    }
    test_support::ScratchFolder folder_;
};

TEST_F(UnitGaps, UpToTheLimitAreClosedAndTold) {
    EXPECT_THAT(shell_with_gap(0).units.at(0).repaired, IsEmpty());
    const Envelope narrow = shell_with_gap(20);
    EXPECT_THAT(narrow.units.at(0).repaired,
                ElementsAre("gaps up to 20 mm wide closed (limit 60 mm)"));
    EXPECT_THAT(narrow.warnings, IsEmpty());
    const Envelope below = shell_with_gap(59);
    EXPECT_THAT(below.units.at(0).repaired,
                ElementsAre("gaps up to 59 mm wide closed (limit 60 mm)"));
    EXPECT_THAT(below.warnings, IsEmpty());
}

// Twelve edges, each shorter at both ends by what its faces are drawn back: gap over the square
// root of two.
TEST_F(UnitGaps, AboveTheLimitAreOpeningsWithLengthAndArea) {
    for (const double gap_mm : {61.0, 100.0}) {
        const Envelope envelope = shell_with_gap(gap_mm);
        EXPECT_THAT(envelope.units.at(0).repaired, IsEmpty());
        ASSERT_EQ(envelope.warnings.size(), 1u);
        EXPECT_EQ(envelope.warnings[0].code, "unit-open");
        const std::string& text = envelope.warnings[0].text;
        const double length_m = 4 * (6 + 2.4 + 2.6) - 12 * 2 * gap_mm / 1000 / std::sqrt(2.0);
        char length[32], area[32];
        std::snprintf(length, sizeof length, "%.3g m long", length_m);
        std::snprintf(area, sizeof area, "%.3g m2", length_m * gap_mm / 1000);
        EXPECT_THAT(text, HasSubstr(length));
        EXPECT_THAT(text, HasSubstr(area));
        EXPECT_THAT(text, HasSubstr("wider than 60 mm"));
    }
}

TEST_F(UnitGaps, AMissingSideIsNoGap) {
    test_support::write_shell_without_end(folder_ / "m.step", {6, 2.4, 2.6});
    const Envelope envelope = cut();
    EXPECT_THAT(envelope.units.at(0).repaired, IsEmpty());
    for (const Warning& warning : envelope.warnings) {
        EXPECT_THAT(warning.text, testing::Not(HasSubstr("gaps wider")));
    }
}

TEST_F(UnitGaps, AContainerWithoutGapsTellsNone) {
    test_support::write_detailed_container(folder_ / "m.step", {});
    EXPECT_THAT(cut().units.at(0).repaired, IsEmpty());
}

// Seen from below, the sheet of a wall and the floor stand back from each other by a gap each.
TEST_F(UnitGaps, AndOneWithGapsTellsTheWidest) {
    test_support::ContainerOptions options;
    options.panel_gap_mm = 10;
    test_support::write_detailed_container(folder_ / "m.step", options);
    EXPECT_THAT(cut().units.at(0).repaired,
                ElementsAre("gaps up to 20 mm wide closed (limit 60 mm)"));
}

}  // namespace
}  // namespace noonshell
