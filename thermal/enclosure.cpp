#include "thermal/enclosure.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <numbers>

namespace noonshell {

namespace {

constexpr double largest_share = 0.99;  // of one side in sum A F: F = 100
constexpr int halvings = 50;

/// The smaller p of p (1 - p) = q, no difference of near-equal numbers.
double smaller_share(double q) {
    return 2 * q / (1 + std::sqrt(std::max(0.0, 1 - 4 * q)));
}

/// With p_i = A_i F_i / sum A F the equations read p_i (1 - p_i) = A_i / sum A F: all p_i follow
/// from that of the largest side, `of_largest`. What their sum is above 1.
double excess(std::span<const double> side_m2, std::size_t largest, double of_largest) {
    double sum = of_largest - 1;
    const double per_m2 = of_largest * (1 - of_largest) / side_m2[largest];
    for (std::size_t i = 0; i < side_m2.size(); ++i) {
        if (i != largest) sum += smaller_share(side_m2[i] * per_m2);
    }
    return sum;
}

/// Outward, on compass axes.
Vec3 facing(const Surface& surface) {
    constexpr double radians = std::numbers::pi / 180;
    const double tilt = surface.tilt_deg * radians, azimuth = surface.azimuth_deg * radians;
    return {std::sin(tilt) * std::sin(azimuth), std::sin(tilt) * std::cos(azimuth), std::cos(tilt)};
}

struct Side {
    Vec3 facing;
    double area_m2 = 0;
    std::vector<SurfaceId> surfaces;
};

/// Exposed and covered parts of every surface, #surfaces [m2].
std::vector<double> whole_areas_m2(const Envelope& envelope) {
    std::vector<double> area_m2;
    for (const Surface& surface : envelope.surfaces) area_m2.push_back(surface.exposed_area_m2);
    for (const Contact& contact : envelope.contacts) {
        area_m2[contact.a.index()] += contact.area_m2;
        if (!contact.on_ground()) area_m2[contact.b.index()] += contact.area_m2;
    }
    return area_m2;
}

void add_to_side(const Surface& surface, SurfaceId id, double area_m2, std::vector<Side>& sides) {
    constexpr double same_way = 0.978;  // cosine of 12 degrees
    const Vec3 way = facing(surface);
    auto side = std::find_if(sides.begin(), sides.end(),
                             [&way](const Side& s) { return s.facing.dot(way) > same_way; });
    if (side == sides.end()) side = sides.insert(side, {way, 0, {}});
    side->area_m2 += area_m2;
    side->surfaces.push_back(id);
}

}  // namespace

std::vector<double> enclosure_factors(std::span<const double> side_m2) {
    std::vector<double> factors(side_m2.size(), 1.0);
    const auto at = std::max_element(side_m2.begin(), side_m2.end());
    if (at == side_m2.end() || !(*at > 0)) return factors;
    const auto largest = static_cast<std::size_t>(at - side_m2.begin());
    double low = 0, high = 0.5;
    if (excess(side_m2, largest, high) < 0) {
        low = high;
        high = largest_share;
    }
    for (int i = 0; i < halvings; ++i) {
        const double middle = 0.5 * (low + high);
        (excess(side_m2, largest, middle) < 0 ? low : high) = middle;
    }
    const double per_m2 = high * (1 - high) / side_m2[largest];
    for (std::size_t i = 0; i < side_m2.size(); ++i)
        factors[i] = 1 / (1 - (i == largest ? high : smaller_share(side_m2[i] * per_m2)));
    return factors;
}

std::vector<double> enclosure_factors(const Envelope& envelope) {
    std::vector<double> factors(envelope.surfaces.size(), 1.0);
    const std::vector<double> area_m2 = whole_areas_m2(envelope);
    std::vector<std::vector<Side>> of_unit(envelope.units.size());
    for (std::size_t s = 0; s < envelope.surfaces.size(); ++s) {
        const Surface& surface = envelope.surfaces[s];
        if (surface.unit.valid())
            add_to_side(surface, SurfaceId(s), area_m2[s], of_unit[surface.unit.index()]);
    }
    for (const std::vector<Side>& sides : of_unit) {
        std::vector<double> side_m2;
        for (const Side& side : sides) side_m2.push_back(side.area_m2);
        const std::vector<double> of_side = enclosure_factors(side_m2);
        for (std::size_t k = 0; k < sides.size(); ++k) {
            for (const SurfaceId id : sides[k].surfaces) factors[id.index()] = of_side[k];
        }
    }
    return factors;
}

}  // namespace noonshell
