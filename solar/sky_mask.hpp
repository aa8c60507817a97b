// What stands around one point of a facet: sky, ground, hills or the first body, direction by
// direction.
#pragma once

#include <cstdint>
#include <vector>

#include "geometry/envelope.hpp"
#include "solar/ray_scene.hpp"
#include "solar/site.hpp"

namespace noonshell {

struct SkyMaskOptions {
    double azimuth_step_deg = 2;    ///< cells by azimuth; divides 360; 0.1 or more
    double elevation_step_deg = 2;  ///< cells by elevation; divides 90; 0.1 or more
};

/// Cells of equal azimuth and elevation, all around from straight down to straight up, each with
/// the first thing that the ray through its middle meets.
struct SkyMask {
    static constexpr std::uint32_t sky = 0xffffffff;
    static constexpr std::uint32_t ground = 0xfffffffe;
    static constexpr std::uint32_t hills = 0xfffffffd;
    static constexpr std::uint32_t behind = 0xfffffffc;  ///< not in front of the facet

    Vec3 point_m{0, 0, 0};  ///< on the facet
    Vec3 normal{0, 0, 1};   ///< of the facet
    double north_deg = 0;   ///< compass azimuth of the model's +Y axis
    double azimuth_step_deg = 2, elevation_step_deg = 2;
    std::uint32_t n_azimuths = 0, n_elevations = 0;
    /// One of the above, or the triangle of the blockers that is met first:
    /// [elevation * n_azimuths + azimuth], azimuth clockwise from north, elevation from -90 up.
    std::vector<std::uint32_t> seen;

    /// Middle of a cell; compass.
    double azimuth_deg(std::uint32_t a) const { return (a + 0.5) * azimuth_step_deg; }
    double elevation_deg(std::uint32_t e) const { return (e + 0.5) * elevation_step_deg - 90; }
    std::uint32_t at(std::uint32_t a, std::uint32_t e) const { return seen[e * n_azimuths + a]; }

    /// Share of a cell in the cosine-weighted hemisphere of the facet; those of all cells in front
    /// sum to 1 but for cells that the facet's own plane cuts.
    double share(std::uint32_t a, std::uint32_t e) const;

    /// Sum of the shares of the cells that see the sky: the sky share of the point.
    double sky_share() const;
};

/// The mask of a facet that takes light (else InvariantError), from the middle of it. Bodies end at
/// the ground plane as in trace_exchange(). Throws InputError for a step out of range.
SkyMask sky_mask(const Envelope& envelope, const RayScene& scene, const Site& site,
                 std::size_t facet, const SkyMaskOptions& options = {});

/// The facet of a surface that takes light and lies nearest to the surface's middle; none where no
/// facet takes light.
FacetId middle_facet(const Envelope& envelope, SurfaceId surface);

}  // namespace noonshell
