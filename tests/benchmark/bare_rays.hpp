// The least that direct sun by brute force costs: the ray tracer alone, on groups of points and the
// suns in front of each. What the project's tracing is measured against.
#pragma once

#include <cstdint>
#include <memory>
#include <span>
#include <vector>

#include "geometry/envelope.hpp"
#include "solar/sun_path.hpp"

namespace noonshell::benchmark {

struct BareResult {
    double time_s = 0;
    std::uint64_t rays = 0, lit = 0;
    double rays_per_s() const { return static_cast<double>(rays) / time_s; }
};

/// Points of all facets of an envelope that take light, in the order in which the project traces
/// them, in packets of eight; a scene of its own, with the tracer's `robust` mode or without.
class BareRays {
  public:
    BareRays(const Envelope& envelope, std::uint32_t points_per_facet, bool robust);
    ~BareRays();

    std::size_t n_points() const;
    /// Shoots every point at every sun in front of it.
    BareResult shoot(std::span<const Vec3> suns, unsigned threads) const;

  private:
    struct Impl;
    std::unique_ptr<Impl> impl_;
};

}  // namespace noonshell::benchmark
