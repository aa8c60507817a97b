// Surfaces and ground in parts of a few square metres: what light is exchanged between. Within a
// part light is taken as even; a surface would be too coarse where half of it lies in the shade,
// facets would be too many.
#pragma once

#include <cstdint>
#include <vector>

#include "geometry/envelope.hpp"

namespace noonshell {

class RayScene;

using PartId = Id<struct PartTag>;  ///< index into LightParts

/// Parts are numbered surface by surface; those of surface s are
/// [surface_begin[s], surface_begin[s + 1]).
struct LightParts {
    std::vector<PartId> of_facet;              ///< #facets; none where no light comes
    std::vector<std::uint32_t> surface_begin;  ///< #surfaces + 1
    std::vector<double> area_m2;               ///< of the facets that take light, #parts
    std::vector<SurfaceId> surface;            ///< #parts
    std::uint32_t first_ground = 0;            ///< parts of the ground stand last
    /// Parts of one block lie together; blocks ascend. Direct sun is followed block by block.
    std::vector<std::uint32_t> block;  ///< #parts

    std::size_t size() const { return area_m2.size(); }
};

/// Cuts every surface into equal cells of its own plane, no edge longer than `part_size_m` (0.1 m
/// or more, else InputError; infinity: one part per surface), on the ground than half of that; the
/// facets with their centroid in a cell are one part. Covered facets and those below the ground
/// plane belong to none.
LightParts light_parts(const Envelope& envelope, double part_size_m);

struct PartSizes {
    double part_m = 2.0;
    /// Parts near something else are cut in quarters, and these again, as long as more than a tenth
    /// of what a part sees is nearer than the part is wide and its half is no smaller than this:
    /// what is that near sees one part unlike the next. As large as part_m: all alike.
    double least_m = 0.5;
    /// Where not empty, the largest edge wanted of a part with the facet, #facets; parts are cut
    /// down to it, to within two fifths more, and no finer than their facets.
    std::vector<double> wanted_m{};
};

inline constexpr double wider_than_wanted = 1.4;

/// The same, with finer parts where these sizes want them.
LightParts light_parts(const Envelope& envelope, const RayScene& scene, const PartSizes& sizes,
                       unsigned threads = 0);

/// Finds the facet of a surface at a point, by a raster in the plane of each surface.
class FacetFinder {
  public:
    explicit FacetFinder(const Envelope& envelope);

    /// The facet of `surface` that light can reach at the point: exact for facets that are equal
    /// cells along the axes of the surface, to within half a facet for others; none where there is
    /// none near.
    FacetId at(SurfaceId surface, const Vec3& point_m) const;

    /// The ground facet at a point of the ground plane; none where there is none.
    FacetId on_ground(const Vec3& point_m) const;

  private:
    struct Raster {
        Vec3 origin_m{0, 0, 0}, u{1, 0, 0}, v{0, 1, 0};
        double columns_per_m = 1, rows_per_m = 1;
        std::uint32_t columns = 0, rows = 0;
        std::size_t begin = 0;  ///< in facet_ and drawn_

        std::size_t at(std::size_t row, std::size_t column) const {
            return begin + row * columns + column;
        }
    };
    Raster make_raster(const Envelope& envelope, const Surface& surface);
    void draw(const Envelope& envelope, std::uint32_t facet, const Raster& raster);
    void spread(const Raster& raster);
    bool is_drawn(std::size_t cell) const { return drawn_[cell] != 0; }

    std::vector<Raster> rasters_;  ///< #surfaces
    std::vector<FacetId> facet_;
    std::vector<std::uint8_t> drawn_;  ///< 1 where the facet holds the cell's middle
    std::vector<SurfaceId> ground_;
};

}  // namespace noonshell
