// Contacts: covered areas against closed forms, symmetry, limits of the gap, brute force.
#include "geometry/contacts.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <random>

#include "tests/support/box_model.hpp"

namespace noonshell {
namespace {

using test_models::Box;
using test_models::box_model;
using test_models::BoxModel;
using test_models::centred_box;

const Vec3 container_m(6.058, 2.438, 2.591);

/// Ground far below, so that only contacts between bodies are left.
Envelope build(const std::vector<Box>& boxes, EnvelopeOptions options = {}) {
    if (std::isnan(options.ground_z_m)) options.ground_z_m = -100;
    const BoxModel model = box_model(boxes);
    return build_envelope(model.model, model.roles, options);
}

const Surface& surface(const Envelope& envelope, const std::string& id) {
    const auto found = std::find_if(envelope.surfaces.begin(), envelope.surfaces.end(),
                                    [&](const Surface& s) { return s.id == id; });
    if (found == envelope.surfaces.end()) throw std::out_of_range("no surface " + id);
    return *found;
}

double covered_area(const Envelope& envelope, const std::string& id) {
    const Surface& of = surface(envelope, id);
    double area = 0;
    for (std::uint32_t f = of.first_facet; f < of.first_facet + of.n_facets; ++f) {
        if (envelope.facets.covered[f]) area += envelope.facets.area_m2[f];
    }
    EXPECT_NEAR(of.area_m2 - of.exposed_area_m2, area, 1e-9);
    return area;
}

void expect_pair(const Envelope& envelope, const Contact& contact, const std::string& a,
                 const std::string& b, double area_m2, double gap_m) {
    EXPECT_EQ(envelope.surfaces[contact.a.index()].id, a);
    EXPECT_EQ(envelope.surfaces[contact.b.index()].id, b);
    EXPECT_LT(contact.a, contact.b);
    EXPECT_NEAR(contact.area_m2, area_m2, 1e-9);
    EXPECT_NEAR(contact.gap_m, gap_m, 1e-9);
    EXPECT_NEAR(covered_area(envelope, a), area_m2, 1e-9);
    EXPECT_NEAR(covered_area(envelope, b), area_m2, 1e-9);
}

TEST(Contacts, BoxesSideBySideCoverTheWholeWall) {
    for (const double gap : {0.0, 0.020}) {
        const Envelope envelope =
            build({{"a", {0, 0, 0}, container_m}, {"b", {0, 2.438 + gap, 0}, container_m}});
        ASSERT_EQ(envelope.contacts.size(), 1u);
        expect_pair(envelope, envelope.contacts[0], "a/wall-n", "b/wall-s", 6.058 * 2.591, gap);
        EXPECT_NEAR(surface(envelope, "a/wall-n").exposed_area_m2, 0, 1e-9);
        // Wholly covered facets stay whole.
        EXPECT_EQ(surface(envelope, "a/wall-n").n_facets, 13u * 6u);
        EXPECT_NEAR(covered_area(envelope, "a/roof"), 0, 0);
    }
}

TEST(Contacts, OffsetStackCoversJustTheOverlap) {
    // Closed form: (l - dx) (w - dy). The rest of both faces stays open, to the last millimetre.
    const double dx = 1.234, dy = 0.777, l = 6.058, w = 2.438;
    const Envelope envelope =
        build({{"low", {0, 0, 0}, container_m}, {"high", {dx, dy, 2.591}, container_m}});
    ASSERT_EQ(envelope.contacts.size(), 1u);
    expect_pair(envelope, envelope.contacts[0], "low/roof", "high/floor", (l - dx) * (w - dy), 0);
    EXPECT_NEAR(surface(envelope, "low/roof").area_m2, l * w, 1e-9);
    EXPECT_NEAR(surface(envelope, "high/floor").exposed_area_m2, l * w - (l - dx) * (w - dy), 1e-9);
    // The open facets of the lower roof lie outside the plan of the upper box.
    const Surface& roof = surface(envelope, "low/roof");
    for (std::uint32_t f = roof.first_facet; f < roof.first_facet + roof.n_facets; ++f) {
        for (std::uint32_t t = envelope.facets.triangle_begin[f];
             t < envelope.facets.triangle_begin[f + 1]; ++t) {
            const auto& [p, q, r] = envelope.facets.triangles_m[t];
            const Vec3 middle = (p + q + r) / 3;
            EXPECT_EQ(envelope.facets.covered[f] == 1, middle.x() > dx && middle.y() > dy);
        }
    }
}

TEST(Contacts, SquareTurned45DegreesOnASquareSharesAnOctagon) {
    // Closed form: 2 (sqrt 2 - 1) a^2; also when the whole model is turned.
    const double a = 2.438, octagon = 2 * (std::numbers::sqrt2 - 1) * a * a;
    for (const double turn : {0.0, 17.0}) {
        const Envelope envelope = build({centred_box("low", {3, 4, 0}, {a, a, 2.6}, turn),
                                         centred_box("high", {3, 4, 2.6}, {a, a, 2.6}, turn + 45)});
        ASSERT_EQ(envelope.contacts.size(), 1u);
        expect_pair(envelope, envelope.contacts[0], "low/roof", "high/floor", octagon, 0);
    }
}

TEST(Contacts, ContainerTurned30DegreesOnAContainerSharesAParallelogram) {
    // Two strips of width w that cross at an angle t share w^2 / sin t, when the boxes are long
    // enough: half the longer diagonal w / (2 sin(t / 2)) = 4.71 m asks for more than 6.058 m, so
    // take longer boxes of the same width: 12.192 m.
    const double w = 2.438, t = 30 * std::numbers::pi / 180;
    const Envelope envelope = build({centred_box("low", {0, 0, 0}, {12.192, w, 2.591}),
                                     centred_box("high", {0, 0, 2.591}, {12.192, w, 2.591}, 30)});
    ASSERT_EQ(envelope.contacts.size(), 1u);
    expect_pair(envelope, envelope.contacts[0], "low/roof", "high/floor", w * w / std::sin(t), 0);
}

TEST(Contacts, GapDecidesWhatIsAContact) {
    const auto contacts = [](double gap) {
        return build({{"a", {0, 0, 0}, container_m}, {"b", {6.058 + gap, 0, 0}, container_m}})
            .contacts.size();
    };
    EXPECT_EQ(contacts(0.059), 1u);
    EXPECT_EQ(contacts(0.060), 1u);
    EXPECT_EQ(contacts(0.061), 0u);
    EXPECT_EQ(contacts(0.300), 0u);
    EXPECT_EQ(contacts(-0.004), 1u);  // runs in by 4 mm: the play of a model
    EXPECT_EQ(contacts(-0.006), 0u);
}

TEST(Contacts, FacesTurnedByMoreThanOneDegreeDoNotTouch) {
    const auto contacts = [](double turn) {
        return build({centred_box("a", {0, 0, 0}, {2, 2, 2}),
                      centred_box("b", {2.02, 0, 0}, {2, 2, 2}, turn)})
            .contacts.size();
    };
    EXPECT_EQ(contacts(0.5), 1u);
    EXPECT_EQ(contacts(1.5), 0u);
}

TEST(Contacts, OrderOfBodiesDoesNotMatter) {
    const Box low = {"low", {0, 0, 0}, container_m}, high = {"high", {1, 0.3, 2.6}, container_m, 9};
    const Envelope one = build({low, high}), two = build({high, low});
    ASSERT_EQ(one.contacts.size(), 1u);
    ASSERT_EQ(two.contacts.size(), 1u);
    EXPECT_NEAR(one.contacts[0].area_m2, two.contacts[0].area_m2, 1e-10);
    EXPECT_NEAR(one.contacts[0].gap_m, two.contacts[0].gap_m, 1e-12);
    EXPECT_EQ(two.surfaces[two.contacts[0].a.index()].id, "high/floor");
}

TEST(Contacts, NearestBodyCoversWhereTwoLieInFront) {
    // A 10 mm plate on part of a roof, a box 30 mm above the roof over all of it: the plate covers
    // its own part, the box covers the rest, the plate's top meets the box.
    const Envelope envelope = build({{"low", {0, 0, 0}, {4, 2, 2}},
                                     {"high", {0, 0, 2.03}, {4, 2, 2}},
                                     {"plate", {1, 0.5, 2}, {2, 1, 0.01}, 0, Role::shade}});
    ASSERT_EQ(envelope.contacts.size(), 3u);
    const auto area_of = [&](const std::string& a, const std::string& b) {
        for (const Contact& contact : envelope.contacts) {
            if (envelope.surfaces[contact.a.index()].id == a &&
                envelope.surfaces[contact.b.index()].id == b)
                return contact.area_m2;
        }
        return 0.0;
    };
    EXPECT_NEAR(area_of("low/roof", "plate/underside"), 2.0, 1e-9);
    EXPECT_NEAR(area_of("low/roof", "high/floor"), 6.0, 1e-9);
    EXPECT_NEAR(area_of("high/floor", "plate/top"), 2.0, 1e-9);
    EXPECT_NEAR(surface(envelope, "low/roof").exposed_area_m2, 0, 1e-9);
}

TEST(Contacts, ThinPlatesOnEachOtherTouchOnlyOnce) {
    // Two 2 mm sheets: the underside of the lower one is 4 mm from the top of the upper one, less
    // than the play allowed, and still no contact.
    const Envelope envelope = build({{"u", {9, 9, 0}, container_m},
                                     {"p", {0, 0, 3}, {2, 1, 0.002}, 0, Role::shade},
                                     {"q", {0, 0, 3.002}, {2, 1, 0.002}, 0, Role::shade}});
    ASSERT_EQ(envelope.contacts.size(), 1u);
    expect_pair(envelope, envelope.contacts[0], "p/top", "q/underside", 2.0, 0);
}

TEST(Contacts, OneFaceMayTouchSeveral) {
    const Envelope envelope = build({{"long", {0, 0, 0}, {12.192, 2.438, 2.591}},
                                     {"a", {0, 2.45, 0}, container_m},
                                     {"b", {6.134, 2.45, 0}, container_m}});
    double area = 0;
    for (const Contact& contact : envelope.contacts) {
        if (envelope.surfaces[contact.a.index()].id == "long/wall-n") area += contact.area_m2;
    }
    EXPECT_NEAR(area, 2 * 6.058 * 2.591, 1e-9);
    EXPECT_NEAR(covered_area(envelope, "long/wall-n"), area, 1e-9);
}

TEST(Contacts, FloorOnTheGroundIsCovered) {
    const BoxModel boxes = box_model({{"on", {0, 0, 0}, container_m},
                                      {"near", {0, 5, 0.05}, container_m},
                                      {"piers", {0, 10, 0.4}, container_m},
                                      {"fin", {0, 15, 0}, {0.1, 2, 2}, 0, Role::shade}});
    const Envelope envelope = build_envelope(boxes.model, boxes.roles, {});
    EXPECT_DOUBLE_EQ(envelope.ground_z_m, 0);
    ASSERT_EQ(envelope.contacts.size(), 3u);
    for (const Contact& contact : envelope.contacts) {
        EXPECT_TRUE(contact.on_ground());
        const bool of_fin = !envelope.surfaces[contact.a.index()].unit.valid();
        EXPECT_NEAR(contact.area_m2, of_fin ? 0.1 * 2 : 6.058 * 2.438, 1e-9);
    }
    EXPECT_EQ(envelope.surfaces[envelope.contacts[0].a.index()].id, "on/floor");
    EXPECT_NEAR(envelope.contacts[1].gap_m, 0.05, 1e-12);
    EXPECT_NEAR(surface(envelope, "on/floor").exposed_area_m2, 0, 1e-9);
    EXPECT_NEAR(surface(envelope, "piers/floor").exposed_area_m2, 6.058 * 2.438, 1e-9);
}

TEST(Contacts, GridOfBoxesCoversEveryInnerWall) {
    // n by n boxes with 20 mm between them: n (n - 1) contacts along each axis.
    std::vector<Box> boxes;
    const int n = 4;
    for (int i = 0; i < n; ++i) {
        for (int j = 0; j < n; ++j) {
            boxes.push_back({"u" + std::to_string(i * n + j),
                             {i * (6.058 + 0.02), j * (2.438 + 0.02), 0},
                             container_m});
        }
    }
    const Envelope envelope = build(boxes);
    EXPECT_EQ(envelope.contacts.size(), 2u * n * (n - 1));
    double area = 0;
    for (const Contact& contact : envelope.contacts) area += contact.area_m2;
    EXPECT_NEAR(area, n * (n - 1) * 2.591 * (6.058 + 2.438), 1e-8);
}

TEST(Contacts, EdgesFlushToHalfAMicrometreLeaveNoSlivers) {
    // Two by two boxes, misplaced as rounding in a CAD file may misplace them: each touches its two
    // neighbours and never the one across the corner.
    std::mt19937 random(5);
    std::uniform_real_distribution<double> unit(-1, 1);
    for (const double noise : {1e-12, 1e-9, 1e-8, 2e-7}) {
        for (int round = 0; round < 10; ++round) {
            const double turn = 180 * unit(random);
            const auto at = [&](double y, double z) -> Vec3 {
                const Vec3 slip = noise * Vec3(unit(random), unit(random), unit(random));
                return Vec3(40, 90, 0) + test_models::turned(Vec3(0, y, z) + slip, turn);
            };
            const double w = 2.438, h = 2.591;
            const Envelope envelope = build({{"a", at(0, 0), container_m, turn},
                                             {"b", at(0, h), container_m, turn},
                                             {"c", at(w, 0), container_m, turn},
                                             {"d", at(w, h), container_m, turn}});
            EXPECT_EQ(envelope.contacts.size(), 4u) << "misplaced by " << noise;
            EXPECT_EQ(envelope.facets.size(), 4u * 2 * (13 * 5 + 13 * 6 + 5 * 6))
                << "misplaced by " << noise;
            double area = 0;
            for (const Contact& contact : envelope.contacts) area += contact.area_m2;
            EXPECT_NEAR(area, 2 * 6.058 * (w + h), 1e-9 + 100 * noise);
        }
    }
}

/// Patches and facets of several boxes, each patch as a surface of its own.
struct Cut {
    std::vector<Patch> patches;
    std::vector<SurfaceId> surfaces;
    std::vector<PatchFacet> facets;
};

Cut cut_boxes(const std::vector<Box>& boxes, double facet_size_m) {
    Cut result;
    const BoxModel model = box_model(boxes);
    for (std::size_t b = 0; b < boxes.size(); ++b) {
        for (Patch& patch : planar_patches(model.model, BodyId(b))) {
            const auto p = static_cast<std::uint32_t>(result.patches.size());
            result.surfaces.emplace_back(p);
            for (PatchFacet& facet : cut_into_facets(patch, p, facet_size_m)) {
                result.facets.push_back(std::move(facet));
            }
            result.patches.push_back(std::move(patch));
        }
    }
    return result;
}

std::vector<Box> random_boxes(std::mt19937& random, int n) {
    std::uniform_real_distribution<double> place(0, 9), size(0.8, 3), unit(0, 1);
    std::vector<Box> boxes;
    for (int k = 0; k < n; ++k) {
        // Heights and turns from short lists, so that faces do meet.
        const double turn = 15.0 * std::floor(unit(random) * 4);
        const double z = 0.7 * std::floor(unit(random) * 4);
        boxes.push_back({"b" + std::to_string(k),
                         {place(random), place(random), z},
                         {size(random), size(random), 0.7},
                         turn});
    }
    return boxes;
}

TEST(ContactCandidates, EqualBruteForceOnRandomBoxes) {
    std::mt19937 random(4711);
    std::size_t n_found = 0;
    for (int round = 0; round < 12; ++round) {
        const Cut cut = cut_boxes(random_boxes(random, 10), 0.5);
        const ContactSearch search{cut.patches, cut.surfaces, 0.06};
        const auto found = facing_patches(search, cut.facets);
        std::vector<Vec3> centres;
        std::vector<double> radii;
        for (const PatchFacet& facet : cut.facets) {
            centres.push_back(cut.patches[facet.patch].frame.to_space(facet.centroid()));
            double radius = 0;
            for (const ConvexPolygon& piece : facet.pieces) {
                for (const Vec2& p : piece)
                    radius = std::max(radius, (p - facet.centroid()).norm());
            }
            radii.push_back(radius);
        }
        for (std::size_t f = 0; f < cut.facets.size(); ++f) {
            std::vector<std::uint32_t> expected;
            const Patch& mine = cut.patches[cut.facets[f].patch];
            for (std::size_t g = 0; g < cut.facets.size(); ++g) {
                const Patch& other = cut.patches[cut.facets[g].patch];
                if (mine.body == other.body) continue;
                if (mine.frame.normal.dot(other.frame.normal) > -std::cos(std::numbers::pi / 180))
                    continue;
                // The microns are the search's own allowance for rounding.
                if ((centres[f] - centres[g]).norm() <= radii[f] + radii[g] + 0.06 + 1e-6)
                    expected.push_back(cut.facets[g].patch);
            }
            std::sort(expected.begin(), expected.end());
            expected.erase(std::unique(expected.begin(), expected.end()), expected.end());
            ASSERT_EQ(found[f], expected);
            n_found += expected.size();
        }
    }
    EXPECT_GT(n_found, 100u);  // there was something to find
}

TEST(ContactSplit, CoveredAreasEqualFaceAgainstFaceClipping) {
    // A second way without facets: each pair of whole faces clipped against each other. Boxes on
    // whole layers of 0.7 m, so at most one body lies in front of a point unless bodies overlap in
    // plan; those rounds are left out by taking two boxes at a time.
    std::mt19937 random(99);
    int n_touching = 0;
    for (int round = 0; round < 300; ++round) {
        const Cut cut = cut_boxes(random_boxes(random, 2), 0.4);
        const SplitFacets split = split_at_contacts({cut.patches, cut.surfaces, 0.06}, cut.facets);
        double expected = 0, found = 0;
        for (const Patch& a : cut.patches) {
            for (const Patch& b : cut.patches) {
                if (a.body >= b.body || a.frame.normal.dot(b.frame.normal) > -0.999999) continue;
                const double gap = a.frame.height_m(b.centroid_m);
                if (gap > 0.06 || gap < -0.005) continue;
                ConvexPolygon seen;
                for (auto p = b.outline[0].rbegin(); p != b.outline[0].rend(); ++p)
                    seen.push_back(a.frame.to_plane(b.frame.to_space(*p)));
                expected += signed_area(intersection(a.outline[0], seen));
            }
        }
        for (const Contact& contact : split.contacts) found += contact.area_m2;
        EXPECT_NEAR(found, expected, 1e-8);
        n_touching += expected > 1e-3 ? 1 : 0;
        double before = 0, after = 0;
        for (const PatchFacet& facet : cut.facets) before += facet.area_m2();
        for (const PatchFacet& facet : split.facets) after += facet.area_m2();
        EXPECT_NEAR(before, after, 1e-8);
    }
    EXPECT_GT(n_touching, 10);
}

}  // namespace
}  // namespace noonshell
