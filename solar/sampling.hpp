// Low-discrepancy points in facets and cosine-weighted directions of a hemisphere.
#pragma once

#include <array>
#include <cstdint>
#include <span>
#include <vector>

#include "geometry/envelope.hpp"
#include "geometry/vec3.hpp"

namespace noonshell {

inline constexpr int sobol_dimensions = 4;

using SobolBits = std::array<std::uint32_t, sobol_dimensions>;

/// Binary digits of point `index` of the Sobol sequence in four dimensions with the direction
/// numbers of [joe2008] (its first four dimensions). Points combine digit by digit: for i < 2^k and
/// j a multiple of 2^k, bits(i + j) = bits(i) ^ bits(j).
SobolBits sobol_bits(std::uint32_t index);

SobolBits operator^(const SobolBits& a, const SobolBits& b);

/// Each coordinate in [0, 1).
std::array<double, sobol_dimensions> sobol_point(const SobolBits& bits);

/// A digit-by-digit shift of its own for each `seed`, the same on every machine. Shifted, every run
/// of 2^k points that starts at a multiple of 2^k stays as evenly spread as the sequence itself.
SobolBits digit_shift(std::uint64_t seed);

/// What to add to the first `count` points to get those of one facet. Sixteen consecutive facets
/// take consecutive runs of one sequence: the points of each are evenly spread, and so are those of
/// all together, which suits means over a surface. The next sixteen have another shift, for runs
/// further along differ in late digits only and would repeat each other's errors.
/// Another `seed` shifts them all once more.
SobolBits facet_shift(std::size_t facet, std::uint32_t count, std::uint32_t seed = 0);

/// Maps the unit square onto one facet so that equal areas stay equal.
class FacetSampler {
  public:
    /// An empty or zero-area facet is a fault of the caller and raises InvariantError.
    FacetSampler(const FacetArrays& facets, std::size_t facet);

    /// Point of the facet [m, model axes]; u and v in [0, 1).
    Vec3 point(double u, double v) const;

  private:
    Vec3 corner_, edge_u_, edge_v_;  // when the facet is a parallelogram
    std::span<const std::array<Vec3, 3>> triangles_;
    std::vector<double> cumulative_area_;  // empty for a parallelogram
};

/// `count` points spread evenly over a facet, moved ray_offset_m along its normal.
/// Another `seed` gives other points of the same kind.
std::vector<Vec3> facet_points(const FacetArrays& facets, std::size_t facet, std::uint32_t count,
                               std::uint32_t seed = 0);

/// The points of facet_points() by twos that share a cell: n/2 equal cells of the unit square hold
/// two points each. Differences within cells tell the error of the mean, for the points are spread
/// over the cells evenly. `count` must be a power of two, 2 or more.
std::vector<std::array<std::uint32_t, 2>> points_by_cell(std::uint32_t count);

/// Two unit vectors that make a right-handed frame with a unit normal.
struct Tangents {
    Vec3 u, v;
};
Tangents tangents_of(const Vec3& normal);

/// Direction about `normal` with density cos(angle) / pi for u, v uniform in [0, 1).
Vec3 cosine_direction(const Vec3& normal, const Tangents& tangents, double u, double v);

/// The same for the first two coordinates of many points, each shifted by `shift`.
void cosine_directions(const Vec3& normal, std::span<const SobolBits> points,
                       const SobolBits& shift, std::span<Vec3> directions);

}  // namespace noonshell
