#include "solar/facet_groups.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <span>

namespace noonshell {

namespace {

/// Normals that differ by less than this are one.
constexpr double same_normal = 1e-9;

/// Block, normal and points per facet: what the facets of a group have in common.
using Key = std::array<std::int64_t, 5>;

Key key_of(std::uint32_t block, const Vec3& normal, std::uint32_t points) {
    Key key{block, 0, 0, 0, points};
    for (int axis = 0; axis < 3; ++axis) {
        key[static_cast<std::size_t>(axis) + 1] = std::llround(normal[axis] / same_normal);
    }
    return key;
}

class Grouper {
  public:
    Grouper(const FacetArrays& facets, std::span<const std::uint32_t> points,
            std::uint32_t most_points, FacetGroups& result)
        : facets_(facets), points_(points), most_points_(most_points), result_(result) {}

    /// Halves the list across its longest extent until each part is small enough.
    void split(std::span<std::uint32_t> list, std::uint32_t block) {
        if (list.size() <= std::max(1u, most_points_ / points_[list[0]])) return add(list, block);
        Vec3 low = facets_.centroid_m[list[0]], high = low;
        for (const std::uint32_t f : list) {
            low = low.cwiseMin(facets_.centroid_m[f]);
            high = high.cwiseMax(facets_.centroid_m[f]);
        }
        int axis = 0;
        (high - low).maxCoeff(&axis);
        const auto middle = list.begin() + static_cast<std::ptrdiff_t>(list.size() / 2);
        const auto half = list.size() / 2;
        std::nth_element(list.begin(), middle, list.end(), [&](std::uint32_t a, std::uint32_t b) {
            const double pa = facets_.centroid_m[a][axis], pb = facets_.centroid_m[b][axis];
            return pa != pb ? pa < pb : a < b;
        });
        split(list.first(half), block);
        split(list.subspan(half), block);
    }

  private:
    void add(std::span<std::uint32_t> list, std::uint32_t block) {
        std::sort(list.begin(), list.end());
        FacetGroup group;
        group.begin = static_cast<std::uint32_t>(result_.order.size());
        result_.order.insert(result_.order.end(), list.begin(), list.end());
        group.end = static_cast<std::uint32_t>(result_.order.size());
        group.points_per_facet = points_[list[0]];
        group.block = block;
        group.normal = facets_.normal[list[0]];
        result_.groups.push_back(group);
    }

    const FacetArrays& facets_;
    std::span<const std::uint32_t> points_;
    std::uint32_t most_points_;
    FacetGroups& result_;
};

}  // namespace

bool takes_light(const Envelope& envelope, std::size_t facet) {
    constexpr double rounding_m = 1e-6;
    return envelope.facets.covered[facet] == 0 &&
           envelope.facets.centroid_m[facet].z() >= envelope.ground_z_m - rounding_m;
}

FacetGroups group_facets(const Envelope& envelope, const LightParts& parts,
                         std::span<const std::uint32_t> points_per_facet,
                         std::uint32_t most_points) {
    NOONSHELL_CHECK_EQ(points_per_facet.size(), envelope.facets.size());
    NOONSHELL_CHECK_EQ(parts.of_facet.size(), envelope.facets.size());
    FacetGroups result;
    Grouper grouper(envelope.facets, points_per_facet, most_points, result);
    for (const Surface& surface : envelope.surfaces) {
        std::map<Key, std::vector<std::uint32_t>> alike;
        for (std::uint32_t i = 0; i < surface.n_facets; ++i) {
            const std::uint32_t f = surface.first_facet + i;
            if (points_per_facet[f] == 0) continue;
            const Vec3& normal = envelope.facets.normal[f];
            const PartId part = parts.of_facet[f];
            const std::uint32_t block = part.valid() ? parts.block[part.index()] : no_block;
            alike[key_of(block, normal, points_per_facet[f])].push_back(f);
        }
        for (auto& [key, list] : alike) grouper.split(list, static_cast<std::uint32_t>(key[0]));
    }
    return result;
}

}  // namespace noonshell
