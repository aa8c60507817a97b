// Sunlit parts of walls, slabs and courts under many suns, against the geometry of their shadows in
// closed form.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

#include "solar/exposure.hpp"
#include "tests/support/made_suns.hpp"
#include "tests/support/plate_envelope.hpp"

namespace noonshell {
namespace {

constexpr double degree = std::numbers::pi / 180;
/// On a lit share: about six facet rows in a hundred are crossed by an edge, four points each.
constexpr double sampling = 0.003;

struct Sun {
    double azimuth_deg, elevation_deg;

    double tan_elevation() const { return std::tan(elevation_deg * degree); }
    /// Azimuth off the normal of a wall that faces south, west positive.
    double off() const { return (azimuth_deg - 180) * degree; }
    /// Tangent of the profile angle on that wall: [ashrae2021] ch. 15 eq. (32), ch. 18 part 4.
    double tan_profile() const { return tan_elevation() / std::cos(off()); }
};

std::vector<Sun> suns(double first_azimuth_deg, double last_azimuth_deg) {
    std::vector<Sun> list;
    for (double elevation = 4; elevation < 90; elevation += 9.5) {
        for (double azimuth = first_azimuth_deg; azimuth <= last_azimuth_deg; azimuth += 12.3) {
            list.push_back({azimuth, elevation});
        }
    }
    return list;
}

/// Lit share of one surface under each sun.
std::vector<double> lit_shares(const PlateEnvelope& plates, SurfaceId id,
                               const std::vector<Sun>& list) {
    MadeSuns made;
    for (const Sun& sun : list) {
        made.add_hour({toward_sun(sun.azimuth_deg, sun.elevation_deg)}, 1000, 0);
    }
    ExposureOptions options;
    options.surface_tolerance = 0;
    options.keep_facet_hours = true;
    const Sunlight light = trace_sunlight(plates.envelope, RayScene(plates.envelope.blockers),
                                          made.path, made.weather, options);
    std::vector<double> shares;
    for (std::size_t row = 0; row < list.size(); ++row) {
        const double cosine = plates.surface(id).normal.dot(made.path.direction[row]);
        const auto* lit = light.lit_cosine.data() + row * light.n_facets;
        shares.push_back(plates.mean(id, lit) / cosine);
    }
    return shares;
}

/// Integral of max(0, width - slope h) over h from `low` to `high`.
double taper(double width, double slope, double low, double high) {
    high = std::min(high, slope > 0 ? width / slope : high);
    if (high <= low) return 0;
    return width * (high - low) - slope * (high * high - low * low) / 2;
}

// A wall that faces south, `w` wide and `h` high.
constexpr double w = 4, h = 3;

SurfaceId add_wall(PlateEnvelope& plates) {
    return plates.add_plate("wall", Vec3(0, 0, 0), Vec3(w, 0, 0), Vec3(0, 0, h), 40, 30);
}

// An overhang as wide as the wall, some way above it: a spot at depth d of it falls d tan(off)
// sideways and d tan(profile) down. [ashrae2021] ch. 15 eqs (32), (34): the shadow is the overhang
// sheared; at a drop z below it covers w - z |tan off| / tan profile.
TEST(ShadowForms, OverhangAsWideAsItsWall) {
    const auto list = suns(96, 264);
    ASSERT_GT(list.size(), 100u);
    for (const auto& [depth, gap] : {std::pair{1.2, 0.4}, {2.5, 0.0}}) {
        PlateEnvelope plates;
        const SurfaceId wall = add_wall(plates);
        plates.add_blocker(Vec3(0, -depth, h + gap), Vec3(w, 0, 0), Vec3(0, depth, 0));
        const auto shares = lit_shares(plates, wall, list);
        for (std::size_t i = 0; i < list.size(); ++i) {
            const double slope = std::abs(std::tan(list[i].off())) / list[i].tan_profile();
            const double lowest = std::min(depth * list[i].tan_profile(), h + gap);
            const double dark = taper(w, slope, gap, lowest);
            EXPECT_NEAR(shares[i], 1 - dark / (w * h), sampling)
                << list[i].azimuth_deg << ", " << list[i].elevation_deg << ", depth " << depth;
        }
    }
}

// A fin as high as the wall at its west end: a spot at depth d falls d |tan off| sideways
// ([ashrae2021] ch. 15 eq. (33), value from memory) and d tan(profile) down. It shades only when
// the sun stands west.
TEST(ShadowForms, FinAsHighAsItsWall) {
    const auto list = suns(96, 264);
    const double depth = 1.1;
    PlateEnvelope plates;
    const SurfaceId wall = add_wall(plates);
    // West is at x = 0 where +Y is north and the wall faces south.
    plates.add_blocker(Vec3(0, -depth, 0), Vec3(0, depth, 0), Vec3(0, 0, h));
    const auto shares = lit_shares(plates, wall, list);
    for (std::size_t i = 0; i < list.size(); ++i) {
        const double tangent = std::tan(list[i].off());
        const double widest = std::min(w, depth * tangent);
        const double dark = tangent > 0 ? taper(h, list[i].tan_profile() / tangent, 0, widest) : 0;
        EXPECT_NEAR(shares[i], 1 - dark / (w * h), sampling)
            << list[i].azimuth_deg << ", " << list[i].elevation_deg;
    }
}

// Overhang and fins that meet make a frame: what is lit is the rectangle that both leave.
TEST(ShadowForms, FrameOfOverhangAndFins) {
    const auto list = suns(96, 264);
    const double depth = 0.6;
    PlateEnvelope plates;
    const SurfaceId wall = add_wall(plates);
    plates.add_blocker(Vec3(0, -depth, h), Vec3(w, 0, 0), Vec3(0, depth, 0));
    plates.add_blocker(Vec3(0, -depth, 0), Vec3(0, depth, 0), Vec3(0, 0, h));
    plates.add_blocker(Vec3(w, -depth, 0), Vec3(0, depth, 0), Vec3(0, 0, h));
    const auto shares = lit_shares(plates, wall, list);
    for (std::size_t i = 0; i < list.size(); ++i) {
        const double across = std::max(0.0, 1 - depth * std::abs(std::tan(list[i].off())) / w);
        const double up = std::max(0.0, 1 - depth * list[i].tan_profile() / h);
        EXPECT_NEAR(shares[i], across * up, sampling)
            << list[i].azimuth_deg << ", " << list[i].elevation_deg;
    }
}

// A level slab throws its own outline on a level slab below, moved away from the sun by the gap
// over tan(elevation): two rectangles overlap side by side.
TEST(ShadowForms, SlabAboveSlab) {
    const auto list = suns(0, 350);
    ASSERT_GT(list.size(), 200u);
    const double gap = 1.3, a = 5, b = 3, upper_a = 3.2, upper_b = 2.6;
    PlateEnvelope plates;
    const SurfaceId lower =
        plates.add_plate("lower", Vec3(0, 0, 0), Vec3(a, 0, 0), Vec3(0, b, 0), 50, 30);
    plates.add_blocker(Vec3(0.7, 0.1, gap), Vec3(upper_a, 0, 0), Vec3(0, upper_b, 0));
    const auto shares = lit_shares(plates, lower, list);
    const auto overlap = [](double low, double high, double end) {
        return std::max(0.0, std::min(high, end) - std::max(low, 0.0));
    };
    for (std::size_t i = 0; i < list.size(); ++i) {
        const double away = gap / list[i].tan_elevation();
        const double x = 0.7 - away * std::sin(list[i].azimuth_deg * degree);
        const double y = 0.1 - away * std::cos(list[i].azimuth_deg * degree);
        const double dark = overlap(x, x + upper_a, a) * overlap(y, y + upper_b, b);
        EXPECT_NEAR(shares[i], 1 - dark / (a * b), sampling)
            << list[i].azimuth_deg << ", " << list[i].elevation_deg;
    }
}

// A rectangular court: the sun reaches its floor through the opening, moved by the height over
// tan(elevation), and the wall opposite the sun down to where the rim's shadow stands.
TEST(ShadowForms, CourtWithParallelFaces) {
    const auto list = suns(96, 264);
    const double a = 6, b = 4, height = 2.6;
    PlateEnvelope plates;
    const SurfaceId floor =
        plates.add_plate("floor", Vec3(0, 0, 0), Vec3(a, 0, 0), Vec3(0, b, 0), 60, 40);
    const SurfaceId north =
        plates.add_plate("north", Vec3(0, b, 0), Vec3(a, 0, 0), Vec3(0, 0, height), 60, 26);
    plates.add_blocker(Vec3(0, 0, 0), Vec3(a, 0, 0), Vec3(0, 0, height));
    plates.add_blocker(Vec3(0, 0, 0), Vec3(0, b, 0), Vec3(0, 0, height));
    plates.add_blocker(Vec3(a, 0, 0), Vec3(0, b, 0), Vec3(0, 0, height));
    const auto on_floor = lit_shares(plates, floor, list),
               on_wall = lit_shares(plates, north, list);
    double most_floor = 0;
    for (std::size_t i = 0; i < list.size(); ++i) {
        const double length = height / list[i].tan_elevation();
        const double across = std::max(0.0, a - length * std::abs(std::sin(list[i].off())));
        const double along = std::max(0.0, b - length * std::cos(list[i].off()));
        EXPECT_NEAR(on_floor[i], across * along / (a * b), sampling)
            << list[i].azimuth_deg << ", " << list[i].elevation_deg;
        // A spot at depth z below the rim is lit when it is nearer than b to it along the sun.
        const double slope = std::abs(std::sin(list[i].off())) / list[i].tan_elevation();
        const double lowest = std::min(height, b * list[i].tan_profile());
        EXPECT_NEAR(on_wall[i], taper(a, slope, 0, lowest) / (a * height), sampling)
            << list[i].azimuth_deg << ", " << list[i].elevation_deg;
        most_floor = std::max(most_floor, on_floor[i]);
    }
    EXPECT_GT(most_floor, 0.9);
}

}  // namespace
}  // namespace noonshell
