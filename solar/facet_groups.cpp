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

std::array<std::int64_t, 3> normal_key(const Vec3& normal) {
    std::array<std::int64_t, 3> key{};
    for (int axis = 0; axis < 3; ++axis) {
        key[static_cast<std::size_t>(axis)] = std::llround(normal[axis] / same_normal);
    }
    return key;
}

class Grouper {
  public:
    Grouper(const FacetArrays& facets, std::uint32_t most, FacetGroups& result)
        : facets_(facets), most_(most), result_(result) {}

    /// Halves the list across its longest extent until each part is small enough.
    void split(std::span<std::uint32_t> list, SurfaceId surface) {
        if (list.size() <= most_) return add(list, surface);
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
        split(list.first(half), surface);
        split(list.subspan(half), surface);
    }

  private:
    void add(std::span<std::uint32_t> list, SurfaceId surface) {
        std::sort(list.begin(), list.end());
        FacetGroup group;
        group.begin = static_cast<std::uint32_t>(result_.order.size());
        result_.order.insert(result_.order.end(), list.begin(), list.end());
        group.end = static_cast<std::uint32_t>(result_.order.size());
        group.surface = surface;
        group.normal = facets_.normal[list[0]];
        result_.groups.push_back(group);
    }

    const FacetArrays& facets_;
    std::uint32_t most_;
    FacetGroups& result_;
};

}  // namespace

bool takes_light(const Envelope& envelope, std::size_t facet) {
    constexpr double rounding_m = 1e-6;
    return envelope.facets.covered[facet] == 0 &&
           envelope.facets.centroid_m[facet].z() >= envelope.ground_z_m - rounding_m;
}

FacetGroups group_facets(const Envelope& envelope, std::uint32_t most_facets) {
    FacetGroups result;
    Grouper grouper(envelope.facets, most_facets, result);
    for (std::size_t s = 0; s < envelope.surfaces.size(); ++s) {
        const Surface& surface = envelope.surfaces[s];
        std::map<std::array<std::int64_t, 3>, std::vector<std::uint32_t>> by_normal;
        for (std::uint32_t i = 0; i < surface.n_facets; ++i) {
            const std::uint32_t f = surface.first_facet + i;
            if (!takes_light(envelope, f)) continue;
            by_normal[normal_key(envelope.facets.normal[f])].push_back(f);
        }
        for (auto& [key, list] : by_normal) grouper.split(list, SurfaceId(s));
    }
    return result;
}

}  // namespace noonshell
