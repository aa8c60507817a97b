// The rays of one facet at a time: the inner loop of trace_exchange.
#pragma once

#include <cstdint>
#include <utility>
#include <vector>

#include "geometry/envelope.hpp"
#include "solar/exchange.hpp"
#include "solar/light_parts.hpp"
#include "solar/ray_scene.hpp"
#include "solar/sampling.hpp"

namespace noonshell {

/// What one facet sees; shares as in ExchangeMatrix.
struct FacetView {
    double sky = 0, horizon = 0, ground = 0, context = 0;
    double sky_error = 0, horizon_error = 0;
    double evenness = 1;                                  ///< see ExchangeMatrix::evenness
    std::vector<double> region;                           ///< of the ground, by region of it
    std::vector<std::pair<std::uint32_t, double>> parts;  ///< by part, ascending
};

/// What all facets have in common.
struct ViewedScene {
    const Envelope& envelope;
    const RayScene& scene;
    const ExchangeOptions& options;
    const LightParts& parts;
    const FacetFinder& finder;
};

/// Buffers are reused: one eye per task. Not for use by several threads at a time.
class FacetEye {
  public:
    explicit FacetEye(const ViewedScene& viewed);

    /// Shoots `n_rays` from a facet that takes light.
    FacetView look(std::size_t facet, std::uint32_t n_rays);

  private:
    /// What the rays met, apart for the half that goes up and the half that goes down.
    struct HalfCount {
        std::uint32_t rays = 0, free = 0, context = 0;
        std::vector<std::uint32_t> part;  // #parts

        double weight(double share) const { return rays > 0 ? share / rays : 0; }
    };

    /// Rays that rise or point into the horizon band, and those of them that meet nothing.
    struct ClearRays {
        std::uint32_t rays = 0, free = 0;
    };
    /// The same of one cell of the directions, a stratum of the rays.
    struct Stratum {
        ClearRays up, band;
    };
    double share_error(const ClearRays& all, ClearRays Stratum::*kind) const;
    double evenness();

    void shoot(std::size_t facet, std::uint32_t n_rays);
    void count();
    void count_ray(std::size_t i);
    PartId part_met(std::size_t i) const;
    void count_part(std::size_t i, HalfCount& half, PartId part);
    void end_on_ground(std::size_t i);
    void count_region(std::size_t i, const Vec2& spot);
    bool meets_body(std::size_t i) const;
    bool behind_hills(const Vec3& direction) const;

    const ViewedScene& viewed_;
    double band_z_;
    std::uint32_t order_of_rays_ = 0;  // that points_ is in order for
    std::vector<SobolBits> points_;
    std::vector<Vec3> origins_, directions_;
    std::vector<RayHit> hits_;
    HalfCount up_, down_;
    std::vector<std::uint32_t> region_rays_;  // by region of far ground
    std::uint32_t band_rays_ = 0, band_free_ = 0;
    std::uint32_t rays_in_stratum_ = 1;
    std::vector<Stratum> strata_;
    std::vector<std::uint32_t> met_;  // by ray: the number of a surface, or one of those after them
    std::vector<std::uint32_t> rays_that_met_, rays_of_stratum_that_met_;  // by such a number
    std::vector<std::uint32_t> seen_;  // parts met by the facet in hand
};

}  // namespace noonshell
