// The whole envelope: closed forms of boxes, order, warnings, errors.
#include "geometry/envelope.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <Eigen/Geometry>
#include <set>

#include "tests/support/box_model.hpp"

namespace noonshell {
namespace {

using test_models::Box;
using test_models::box_model;
using test_models::BoxModel;
using ::testing::ElementsAre;
using ::testing::HasSubstr;

const Vec3 container_m(6.058, 2.438, 2.591);

Envelope build_model(const BoxModel& boxes, const EnvelopeOptions& options = {}) {
    return build_envelope(boxes.model, boxes.roles, options);
}

Envelope build(const std::vector<Box>& boxes, const EnvelopeOptions& options = {}) {
    return build_model(box_model(boxes), options);
}

std::vector<std::string> warning_codes(const Envelope& envelope) {
    std::vector<std::string> codes;
    for (const Warning& warning : envelope.warnings) codes.push_back(warning.code);
    return codes;
}

TEST(Envelope, UnitCubeHasSixSurfacesOfOneSquareMetre) {
    const Envelope envelope = build({{"cube"}});
    ASSERT_EQ(envelope.surfaces.size(), 6u);
    for (const Surface& surface : envelope.surfaces) {
        EXPECT_NEAR(surface.area_m2, 1, 1e-12);
        EXPECT_EQ(surface.n_facets, 4u);
        EXPECT_EQ(surface.n_faces, 1u);
    }
    EXPECT_EQ(envelope.facets.size(), 24u);
    ASSERT_EQ(envelope.units.size(), 1u);
    EXPECT_EQ(envelope.units[0].id, "cube");
    EXPECT_NEAR(envelope.units[0].floor_area_m2, 1, 1e-12);
    EXPECT_NEAR(envelope.units[0].volume_m3, 1, 1e-12);
    EXPECT_EQ(envelope.surfaces[0].id, "cube/roof");
    EXPECT_NEAR((envelope.surfaces[0].centroid_m - Vec3(0.5, 0.5, 1)).norm(), 0, 1e-12);
}

TEST(Envelope, FacetsOfAClosedBodySumToNothingAndToItsVolume) {
    // Divergence theorem: the sum of n A vanishes, a third of the sum of (x . n) A is the volume.
    const Envelope envelope = build({{"u", {11, -4, 2}, container_m, 31}});
    const FacetArrays& facets = envelope.facets;
    Vec3 area_vector = Vec3::Zero();
    double volume = 0, area = 0;
    for (std::size_t f = 0; f < facets.size(); ++f) {
        area_vector += facets.normal[f] * facets.area_m2[f];
        volume += facets.centroid_m[f].dot(facets.normal[f]) * facets.area_m2[f] / 3;
        area += facets.area_m2[f];
        EXPECT_NEAR(facets.normal[f].norm(), 1, 1e-14);
    }
    const double l = 6.058, w = 2.438, h = 2.591;
    EXPECT_NEAR(area_vector.norm(), 0, 1e-11);
    EXPECT_NEAR(volume, l * w * h, 1e-10);
    EXPECT_NEAR(area, 2 * (l * w + l * h + w * h), 1e-9);
    EXPECT_NEAR(envelope.units[0].volume_m3, l * w * h, 1e-10);
}

TEST(Envelope, FacetsOfASurfaceAreConsecutiveAndBelongToIt) {
    const Envelope envelope = build({{"a", {0, 0, 0}, container_m},
                                     {"canopy", {-1, -1, 4}, {9, 5, 0.1}, 0, Role::shade},
                                     {"b", {0, 5, 0}, container_m, 20}});
    std::uint32_t next = 0;
    std::set<std::string> ids;
    for (std::size_t s = 0; s < envelope.surfaces.size(); ++s) {
        const Surface& surface = envelope.surfaces[s];
        EXPECT_TRUE(ids.insert(surface.id).second) << surface.id;
        EXPECT_EQ(surface.first_facet, next);
        next += surface.n_facets;
        for (std::uint32_t f = surface.first_facet; f < next; ++f) {
            EXPECT_EQ(envelope.facets.surface[f], SurfaceId(s));
            EXPECT_EQ(envelope.facets.body[f], surface.body);
        }
    }
    EXPECT_EQ(next, envelope.facets.size());
    // Units in body order, then shades.
    EXPECT_EQ(envelope.surfaces.front().id, "a/roof");
    EXPECT_EQ(envelope.surfaces[6].id, "b/roof");
    EXPECT_EQ(envelope.surfaces[12].id, "canopy/top");
    EXPECT_FALSE(envelope.surfaces[12].unit.valid());
    EXPECT_EQ(envelope.surfaces.back().id, "canopy/underside");
}

TEST(Envelope, BlockersAreEverythingButIgnoredBodies) {
    const Envelope envelope = build({{"u", {0, 0, 0}, container_m},
                                     {"hill", {20, 0, 0}, {5, 5, 5}, 0, Role::context},
                                     {"frame", {40, 0, 0}, {5, 5, 5}, 0, Role::ignore},
                                     {"roof", {0, 0, 4}, {5, 5, 0.1}, 0, Role::shade}});
    EXPECT_EQ(envelope.blockers.triangles.size(), 3u * 12u);
    ASSERT_EQ(envelope.triangle_surface.size(), 36u);
    ASSERT_EQ(envelope.blockers.triangle_face.size(), 36u);
    for (std::size_t t = 0; t < 36; ++t) {
        const SurfaceId id = envelope.triangle_surface[t];
        EXPECT_EQ(id.valid(), t < 12 || t >= 24);
        if (!id.valid()) continue;
        const Vec3 a = envelope.blockers.corner(t, 0), b = envelope.blockers.corner(t, 1),
                   c = envelope.blockers.corner(t, 2);
        const Vec3 normal = (b - a).cross(c - a).normalized();
        EXPECT_NEAR(normal.dot(envelope.surfaces[id.index()].normal), 1, 1e-12);
    }
    EXPECT_EQ(envelope.surfaces.size(), 12u);
}

TEST(Envelope, TurningModelAndNorthTogetherKeepsIdsAnglesAndAreas) {
    const auto boxes = [](double turn) {
        std::vector<Box> list{{"a", {0, 0, 0}, container_m},
                              {"b", {1, 0.5, 2.591}, container_m, 30},
                              {"c", {0, 2.46, 0}, container_m},
                              {"fin", {7, 0, 0}, {0.1, 2, 3}, 0, Role::shade}};
        for (Box& box : list) {
            box.corner_m = test_models::turned(box.corner_m, turn);
            box.turn_deg += turn;
        }
        return list;
    };
    const Envelope still = build(boxes(0), {.north_deg = 23});
    for (const double turn : {10.0, 90.0, 222.2}) {
        const Envelope turned = build(boxes(turn), {.north_deg = 23 + turn});
        ASSERT_EQ(turned.surfaces.size(), still.surfaces.size());
        for (std::size_t s = 0; s < still.surfaces.size(); ++s) {
            EXPECT_EQ(turned.surfaces[s].id, still.surfaces[s].id);
            EXPECT_NEAR(turned.surfaces[s].azimuth_deg, still.surfaces[s].azimuth_deg, 1e-9);
            EXPECT_NEAR(turned.surfaces[s].area_m2, still.surfaces[s].area_m2, 1e-9);
            EXPECT_NEAR(turned.surfaces[s].exposed_area_m2, still.surfaces[s].exposed_area_m2,
                        1e-9);
        }
        ASSERT_EQ(turned.contacts.size(), still.contacts.size());
    }
}

TEST(Envelope, SameInputGivesTheSameNumbers) {
    const std::vector<Box> boxes{{"a", {0, 0, 0}, container_m},
                                 {"b", {1, 0.5, 2.591}, container_m, 30}};
    const Envelope first = build(boxes), second = build(boxes);
    EXPECT_EQ(first.facets.area_m2, second.facets.area_m2);
    EXPECT_EQ(first.facets.centroid_m, second.facets.centroid_m);
    EXPECT_EQ(first.facets.covered, second.facets.covered);
}

TEST(Envelope, PanesAwayFromAnyWallBlockAndAreReported) {
    const Envelope envelope =
        build({{"u", {0, 0, 0}, container_m}, {"glass", {9, 0, 0}, {1, 0.02, 1}, 0, Role::pane}});
    EXPECT_EQ(envelope.surfaces.size(), 6u);
    EXPECT_EQ(envelope.blockers.triangles.size(), 24u);
    EXPECT_THAT(warning_codes(envelope), ElementsAre("pane-without-wall"));
    EXPECT_EQ(envelope.warnings[0].where, "glass");
}

TEST(Envelope, BodyBelowTheGroundIsReported) {
    const std::vector<Box> boxes{{"a", {0, 0, -0.02}, container_m}, {"b", {9, 0, 0}, container_m}};
    const Envelope sunk = build(boxes, {.ground_z_m = 0});
    EXPECT_THAT(warning_codes(sunk), ElementsAre("below-ground"));
    EXPECT_EQ(sunk.warnings[0].where, "a");
    EXPECT_THAT(sunk.warnings[0].text, HasSubstr("0.02 m"));
    EXPECT_TRUE(build(boxes).warnings.empty());
    EXPECT_DOUBLE_EQ(build(boxes).ground_z_m, -0.02);
    EXPECT_TRUE(build({{"a", {0, 0, -0.004}, container_m}}, {.ground_z_m = 0}).warnings.empty());
}

TEST(Envelope, GroundIsTheLowestPointOfUnitsAndShades) {
    // A slab of terrain below does not pull the ground down with it.
    const Envelope envelope = build({{"u", {0, 0, 0.5}, container_m},
                                     {"fin", {8, 0, 0.2}, {0.1, 2, 3}, 0, Role::shade},
                                     {"terrain", {-9, -9, -2}, {30, 30, 2}, 0, Role::context}});
    EXPECT_DOUBLE_EQ(envelope.ground_z_m, 0.2);
}

TEST(Envelope, AStrayPlateFarBelowIsNotWhatTheBuildingStandsOn) {
    const auto ground_z_m = [](double plate_z_m) {
        return build({{"u", {0, 0, 0}, container_m},
                      {"plate", {0, 20, plate_z_m}, {20, 2, 0.1}, 0, Role::shade}})
            .ground_z_m;
    };
    EXPECT_DOUBLE_EQ(ground_z_m(-3), -3);  // a deck below a room on stilts
    EXPECT_DOUBLE_EQ(ground_z_m(-30), 0);
}

// Furniture that is neither unit nor shade: told as inside, and no sheet on the outside is.
TEST(Envelope, WhatStandsInARoomIsTold) {
    BoxModel made = box_model({{"u", {0, 0, 0}, container_m},
                               {"wardrobe", {1, 1, 0}, {1, 0.6, 2}, 0, Role::context},
                               {"tree", {9, 1, 0}, {1, 0.6, 2}, 0, Role::context}});
    for (RoleChoice& role : made.roles) role.guessed = true;
    const Envelope envelope = build_envelope(made.model, made.roles, {});
    ASSERT_THAT(warning_codes(envelope), ElementsAre("body-inside"));
    EXPECT_THAT(envelope.warnings[0].text, HasSubstr("wardrobe stands inside u"));

    BoxModel with_sign = box_model({{"u", {0, 0, 0}, container_m}});
    test_models::start_body(with_sign, "sign", Role::shade);
    with_sign.model.bodies.back().solid = false;
    test_models::add_face(with_sign.model, {{{1, 0, 1}, {2, 0, 1}, {2, 0, 2}, {1, 0, 2}}});
    test_models::finish_body(with_sign);
    EXPECT_TRUE(build_envelope(with_sign.model, with_sign.roles, {}).warnings.empty());
}

TEST(Envelope, BodiesThatRunIntoEachOtherAreReported) {
    const Envelope crossed = build({{"a", {0, 0, 0}, container_m},
                                    {"b", {1, 1, 0}, container_m, 40},
                                    {"c", {30, 0, 0}, container_m}});
    EXPECT_THAT(warning_codes(crossed), ElementsAre("bodies-overlap"));
    EXPECT_EQ(crossed.warnings[0].where, "a, b");
    // 4 mm of play is a contact and no fault; 40 mm is a fault.
    EXPECT_TRUE(
        build({{"a", {0, 0, 0}, container_m}, {"b", {6.054, 0, 0}, container_m}}).warnings.empty());
    EXPECT_THAT(
        warning_codes(build({{"a", {0, 0, 0}, container_m}, {"b", {6.018, 0, 0}, container_m}})),
        ElementsAre("bodies-overlap"));
    // Turned boxes whose axis-parallel boxes overlap, but not they themselves.
    EXPECT_TRUE(build({{"a", {0, 0, 0}, container_m, 45}, {"b", {4, 0, 0}, container_m, 45}})
                    .warnings.empty());
}

TEST(Envelope, ShellThatEnclosesARoomIsMeasuredInside) {
    BoxModel boxes = box_model({{"u", {0, 0, 0}, container_m}});
    boxes.model.bodies[0].volume_m3 = 0;
    boxes.model.bodies[0].solid = false;
    const Envelope envelope = build_model(boxes);
    const double volume_m3 = 6.058 * 2.438 * 2.591;
    EXPECT_NEAR(envelope.units[0].volume_m3, volume_m3, 0.005 * volume_m3);
    EXPECT_NEAR(envelope.units[0].floor_area_m2, 6.058 * 2.438, 0.005 * 6.058 * 2.438);
    EXPECT_TRUE(envelope.warnings.empty());
    EXPECT_THAT(envelope.units[0].how, HasSubstr("inside measure"));
}

TEST(Envelope, UnitThatEnclosesNoRoomGetsAnEstimatedVolume) {
    // A tent without ends, sides at 45 degrees: half of what is around its middle is open.
    BoxModel tent;
    start_body(tent, "tent", Role::unit);
    tent.model.bodies[0].solid = false;
    test_models::add_face(tent.model, {{{0, 0, 0}, {1, 0, 0}, {1, 2, 2}, {0, 2, 2}}});
    test_models::add_face(tent.model, {{{0, 2, 2}, {1, 2, 2}, {1, 4, 0}, {0, 4, 0}}});
    const Envelope envelope = build_model(tent);
    EXPECT_NEAR(envelope.units[0].floor_area_m2, 4.0, 1e-9);
    EXPECT_NEAR(envelope.units[0].volume_m3, 4.0 * 2, 1e-9);
    EXPECT_THAT(warning_codes(envelope), ElementsAre("unit-open", "unit-not-closed"));
    EXPECT_THAT(envelope.units[0].how, HasSubstr("not a closed solid"));
}

// 10 by 20 by 10 m are 2000 m3, the most that passes; 10.3 m high is above that.
TEST(Envelope, ARoomOutOfAllMeasureNamesTheLengthUnit) {
    EXPECT_THAT(warning_codes(build({{"hall", {0, 0, 0}, {10, 20, 10}, 0, Role::unit}})),
                testing::Not(testing::Contains("unit-size")));
    const Envelope large = build({{"one", {0, 0, 0}, {10, 20, 10.3}, 0, Role::unit},
                                  {"two", {50, 0, 0}, {10, 20, 11}, 0, Role::unit}});
    ASSERT_THAT(warning_codes(large), ElementsAre("unit-size"));
    EXPECT_EQ(large.warnings[0].where, "two");
    EXPECT_THAT(large.warnings[0].text, HasSubstr("200 m2 and 2200 m3"));
    EXPECT_THAT(large.warnings[0].text, HasSubstr("1 more unit"));
    EXPECT_THAT(large.warnings[0].text, HasSubstr("length unit"));
    // Beside a room of common size the unit cannot be wrong.
    const Envelope mixed = build({{"hut", {0, 0, 0}, {6, 2.4, 2.6}, 0, Role::unit},
                                  {"hill", {50, 0, 0}, {60, 40, 12}, 0, Role::unit}});
    ASSERT_THAT(warning_codes(mixed), ElementsAre("unit-size"));
    EXPECT_THAT(mixed.warnings[0].text, testing::Not(HasSubstr("length unit")));
    EXPECT_THAT(mixed.warnings[0].text, HasSubstr("ground or terrain"));
}

TEST(Envelope, ModelWithoutAUnitIsRefused) {
    EXPECT_THROW(build({{"s", {0, 0, 0}, {1, 1, 1}, 0, Role::shade}}), NoUnitError);
    EXPECT_THROW(build(std::vector<Box>{}), NoUnitError);
}

TEST(Envelope, OptionsOutOfRangeNameTheirKey) {
    const auto message = [](const EnvelopeOptions& options) -> std::string {
        try {
            build({{"u"}}, options);
        } catch (const InputError& error) {
            return error.what();
        }
        return "accepted";
    };
    const double nan = std::numeric_limits<double>::quiet_NaN();
    const double infinity = std::numeric_limits<double>::infinity();
    EXPECT_THAT(message({.facet_size_m = 0.01}), HasSubstr("[model] facet_size_m: expected"));
    EXPECT_THAT(message({.facet_size_m = -1}), HasSubstr("saw -1"));
    EXPECT_THAT(message({.facet_size_m = nan}), HasSubstr("facet_size_m"));
    EXPECT_THAT(message({.contact_gap_m = 0.6}), HasSubstr("[model] contact_gap_m"));
    EXPECT_THAT(message({.contact_gap_m = -0.001}), HasSubstr("[model] contact_gap_m"));
    EXPECT_THAT(message({.north_deg = infinity}), HasSubstr("north_deg"));
    EXPECT_THAT(message({.ground_z_m = infinity}), HasSubstr("ground_z_m"));
    EXPECT_EQ(message({.facet_size_m = 0.02, .contact_gap_m = 0.5}), "accepted");
}

TEST(Envelope, FacetsBeyondAllMeasureAreRefusedBeforeTheyAreCut) {
    EXPECT_THROW(build({{"u", {0, 0, 0}, {900, 900, 900}}}, {.facet_size_m = 0.02}), InputError);
}

TEST(SurfaceKindNames, AreTheWordsOfTheSummary) {
    EXPECT_EQ(to_string(SurfaceKind::roof), "roof");
    EXPECT_EQ(to_string(SurfaceKind::soffit), "soffit");
    EXPECT_EQ(to_string(SurfaceKind::shade), "shade");
}

}  // namespace
}  // namespace noonshell
