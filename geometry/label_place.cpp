#include "geometry/label_place.hpp"

#include <algorithm>
#include <array>

namespace noonshell {

namespace {

constexpr int columns = 13, rows = 9;

struct OutlineBox {
    Vec2 low_m, high_m;
};

OutlineBox extent_of(const PlaneRegion& region) {
    const auto outlines = region.outlines_m();
    OutlineBox extent{outlines.front().front(), outlines.front().front()};
    for (const auto& outline : outlines) {
        for (const Vec2& corner : outline) {
            extent.low_m = extent.low_m.cwiseMin(corner);
            extent.high_m = extent.high_m.cwiseMax(corner);
        }
    }
    return extent;
}

}  // namespace

std::optional<Vec2> label_place(const PlaneRegion& region, double width_m, double height_m) {
    if (region.area_m2() < width_m * height_m) return std::nullopt;
    const PlaneRegion part = region.parts().front();
    const OutlineBox extent = extent_of(part);
    const Vec2 half(width_m / 2, height_m / 2);
    const Vec2 low = extent.low_m + half, spare = extent.high_m - half - low;
    if (spare.minCoeff() < 0) return std::nullopt;
    std::vector<Vec2> places;
    for (int row = 0; row < rows; ++row) {
        for (int column = 0; column < columns; ++column) {
            const Vec2 share(static_cast<double>(column) / (columns - 1),
                             static_cast<double>(row) / (rows - 1));
            places.emplace_back(low + spare.cwiseProduct(share));
        }
    }
    const Vec2 middle = (extent.low_m + extent.high_m) / 2;
    std::stable_sort(places.begin(), places.end(), [&middle](const Vec2& a, const Vec2& b) {
        return (a - middle).squaredNorm() < (b - middle).squaredNorm();
    });
    for (const Vec2& place : places) {
        if (!part.contains(place)) continue;
        const std::array<ConvexPolygon, 1> label = {
            ConvexPolygon{place - half, Vec2(place.x() + half.x(), place.y() - half.y()),
                          place + half, Vec2(place.x() - half.x(), place.y() + half.y())}};
        if (PlaneRegion::union_of(label).without(part).area_m2() < 1e-6 * width_m * height_m)
            return place;
    }
    return std::nullopt;
}

}  // namespace noonshell
