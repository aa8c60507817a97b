// Which bodies run into each other, and which stand inside one another: told by what made boxes
// share, in closed form.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "geometry/body_overlap.hpp"
#include "geometry/envelope.hpp"
#include "tests/support/box_model.hpp"

namespace noonshell {
namespace {

using test_models::Box;
using test_models::box_model;
using test_models::BoxModel;
using testing::ElementsAre;
using testing::IsEmpty;

const Vec3 container_m{6.058, 2.438, 2.591};

bool overlap(const Box& a, const Box& b) {
    const BoxModel boxes = box_model({a, b});
    const bool found = BodyOverlaps(boxes.model).overlap(BodyId(0), BodyId(1));
    EXPECT_EQ(BodyOverlaps(boxes.model).overlap(BodyId(1), BodyId(0)), found);
    return found;
}

TEST(BodyOverlap, PlayIsNoneAndMoreIs) {
    const Box a{"a", {0, 0, 0}, container_m};
    EXPECT_FALSE(overlap(a, {"b", {6.2, 0, 0}, container_m}));
    EXPECT_FALSE(overlap(a, {"b", {6.058, 0, 0}, container_m}));
    EXPECT_FALSE(overlap(a, {"b", {6.054, 0, 0}, container_m}));
    EXPECT_TRUE(overlap(a, {"b", {6.018, 0, 0}, container_m}));
    EXPECT_TRUE(overlap(a, {"b", {1, 1, 1}, {0.5, 0.5, 0.5}}));  // wholly inside a solid
}

TEST(BodyOverlap, SheetsAndPostsPierceHoweverThin) {
    const Box sheet{"sheet", {0, 0, 0}, {3, 0.002, 2.5}};
    EXPECT_TRUE(overlap(sheet, {"post", {1, -0.05, 0}, {0.1, 0.1, 2.5}}));
    EXPECT_TRUE(overlap(sheet, {"sheet", {1, -1, 0}, {0.002, 2, 2.5}}));
    EXPECT_FALSE(overlap(sheet, {"post", {1, 0.002, 0}, {0.1, 0.1, 2.5}}));  // stands against it
    // A sheet let into a groove as deep as itself lies flush.
    EXPECT_FALSE(overlap(sheet, {"board", {0, 0, 0}, {3, 0.1, 2.5}}));
}

TEST(BodyOverlap, TurnedBoxesAreComparedAsTheyStand) {
    // Two squares of 2 m turned by 45 degrees meet corner to corner at 2 sqrt(2) = 2.828 m.
    const Box a{"a", {0, 0, 0}, {2, 2, 2}, 45};
    EXPECT_FALSE(overlap(a, {"b", {2.84, 0, 0}, {2, 2, 2}, 45}));
    EXPECT_TRUE(overlap(a, {"b", {2.6, 0, 0}, {2, 2, 2}, 45}));
    EXPECT_FALSE(overlap(a, {"b", {1.5, 1.5, 0}, {2, 2, 2}, 45}));  // side by side, 0.12 m apart
}

TEST(BodyOverlap, ShellsPierceButDoNotHoldMatter) {
    BoxModel boxes = box_model({{"shell", {0, 0, 0}, {4, 4, 4}},
                                {"inside", {1, 1, 1}, {1, 1, 1}},
                                {"through", {3, 1, 1}, {2, 1, 1}},
                                {"against", {4, 1, 1}, {1, 1, 1}},
                                {"block", {-1, -1, -1}, {6, 6, 6}}});
    boxes.model.bodies[0].solid = false;
    BodyOverlaps overlaps(boxes.model);
    EXPECT_FALSE(overlaps.overlap(BodyId(0), BodyId(1)));
    EXPECT_TRUE(overlaps.overlap(BodyId(0), BodyId(2)));
    EXPECT_FALSE(overlaps.overlap(BodyId(0), BodyId(3)));
    EXPECT_TRUE(overlaps.overlap(BodyId(0), BodyId(4)));
}

std::vector<std::string> warning_codes(const BoxModel& boxes) {
    std::vector<std::string> codes;
    for (const Warning& warning : build_envelope(boxes.model, boxes.roles, {}).warnings)
        codes.push_back(warning.code);
    return codes;
}

TEST(BodiesInARoom, PostsAndPanesInAHollowUnitDoNotOverlapIt) {
    // A unit of six panels that meet exactly, an opening in one of them between four parts.
    const auto panel = [](const Vec3& corner, const Vec3& size) {
        return Box{"panel", corner, size};
    };
    std::vector<Box> boxes{panel({0, 0, 0}, {6, 2.4, 0.1}),
                           panel({0, 0, 2.5}, {6, 2.4, 0.1}),
                           panel({0, 2.3, 0.1}, {6, 0.1, 2.4}),
                           panel({0, 0, 0.1}, {0.1, 2.3, 2.4}),
                           panel({5.9, 0, 0.1}, {0.1, 2.3, 2.4}),
                           panel({0.1, 0, 0.1}, {1.9, 0.1, 2.4}),
                           panel({4, 0, 0.1}, {1.9, 0.1, 2.4}),
                           panel({2, 0, 0.1}, {2, 0.1, 0.9}),
                           panel({2, 0, 2}, {2, 0.1, 0.5}),
                           {"pane", {2, 0.03, 1}, {2, 0.03, 1}, 0, Role::shade}};
    const auto codes_with = [&](std::vector<Box> more) {
        more.insert(more.begin(), boxes.begin(), boxes.end());
        BoxModel made = box_model(more);
        for (std::size_t b = 0; b < made.roles.size(); ++b) {
            made.model.bodies[b].id += "-" + std::to_string(b);
            if (made.roles[b].role == Role::unit) made.roles[b].unit = "box";
        }
        auto codes = warning_codes(made);
        std::erase_if(codes, [](const std::string& code) {
            return code != "bodies-overlap" && code != "body-inside";
        });
        return codes;
    };
    EXPECT_THAT(codes_with({}), IsEmpty());
    EXPECT_THAT(codes_with({{"post", {5, 1, 0.1}, {0.1, 0.1, 2.4}, 0, Role::shade}}),
                ElementsAre("body-inside"));
    // Several are told once.
    EXPECT_THAT(codes_with({{"post", {5, 1, 0.1}, {0.1, 0.1, 2.4}, 0, Role::shade},
                            {"post", {1, 1, 0.1}, {0.1, 0.1, 2.4}, 0, Role::shade}}),
                ElementsAre("body-inside"));
    EXPECT_THAT(codes_with({{"post", {5, 1, 0.1}, {0.1, 0.1, 4}, 0, Role::shade}}),
                ElementsAre("bodies-overlap"));  // through the roof
    EXPECT_THAT(codes_with({{"post", {5, -0.4, 0}, {0.1, 0.4, 2.4}, 0, Role::shade}}), IsEmpty());
}

}  // namespace
}  // namespace noonshell
