// Surfaces and ground in parts of a few square metres: what light is exchanged between. Within a
// part light is taken as even; a surface would be too coarse where half of it lies in the shade,
// facets would be too many.
#pragma once

#include <cstdint>
#include <vector>

#include "geometry/envelope.hpp"

namespace noonshell {

using PartId = Id<struct PartTag>;  ///< index into LightParts

/// Parts are numbered surface by surface; those of surface s are
/// [surface_begin[s], surface_begin[s + 1]).
struct LightParts {
    std::vector<PartId> of_facet;              ///< #facets; none where no light comes
    std::vector<std::uint32_t> surface_begin;  ///< #surfaces + 1
    std::vector<double> area_m2;               ///< of the facets that take light, #parts
    std::vector<SurfaceId> surface;            ///< #parts

    std::size_t size() const { return area_m2.size(); }
};

/// Cuts every surface into equal cells of its own plane, no edge longer than `part_size_m` (0.1 m
/// or more, else InputError; infinity: one part per surface); the facets with their centroid in a
/// cell are one part. Covered facets and those below the ground plane belong to none.
LightParts light_parts(const Envelope& envelope, double part_size_m);

/// Finds the facet of a surface at a point, by a raster in the plane of each surface.
class FacetFinder {
  public:
    explicit FacetFinder(const Envelope& envelope);

    /// The facet of `surface` that light can reach at the point, to within half a facet; none where
    /// there is none near.
    FacetId at(SurfaceId surface, const Vec3& point_m) const;

    /// The ground facet at a point of the ground plane; none where there is none.
    FacetId on_ground(const Vec3& point_m) const;

  private:
    struct Raster {
        Vec3 origin_m{0, 0, 0}, u{1, 0, 0}, v{0, 1, 0};
        double per_m = 1;  ///< cells per metre
        std::uint32_t columns = 0, rows = 0;
        std::size_t begin = 0;  ///< in facet_

        std::size_t at(std::size_t row, std::size_t column) const {
            return begin + row * columns + column;
        }
    };
    Raster make_raster(const Envelope& envelope, const Surface& surface);
    void draw(const Envelope& envelope, std::uint32_t facet, const Raster& raster);
    void spread(const Raster& raster);

    std::vector<Raster> rasters_;  ///< #surfaces
    std::vector<FacetId> facet_;
    std::vector<SurfaceId> ground_;
};

}  // namespace noonshell
