#include "solar/sampling.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <bit>
#include <cmath>
#include <map>
#include <numbers>

#include "solar/ray_scene.hpp"
#include "solar/wide.hpp"

namespace noonshell {

namespace {

/// [joe2008] first four dimensions: degree s, coefficient a and initial odd numbers m of the
/// primitive polynomials. The first dimension is the binary radical inverse.
using Directions = std::array<std::uint32_t, 32>;

struct Polynomial {
    int degree;
    std::uint32_t coefficient;
    std::array<std::uint32_t, 3> initial;
};

constexpr std::array<Polynomial, 3> polynomials{{{1, 0, {1, 0, 0}},  //
                                                 {2, 1, {1, 3, 0}},  //
                                                 {3, 1, {1, 3, 1}}}};

constexpr Directions radical_inverse() {
    Directions v{};
    for (int k = 0; k < 32; ++k) v[static_cast<std::size_t>(k)] = 1u << (31 - k);
    return v;
}

constexpr Directions direction_numbers(const Polynomial& polynomial) {
    Directions v{};
    const auto s = static_cast<std::size_t>(polynomial.degree);
    for (std::size_t k = 0; k < s; ++k) v[k] = polynomial.initial[k] << (31 - k);
    for (std::size_t k = s; k < 32; ++k) {
        v[k] = v[k - s] ^ (v[k - s] >> s);
        for (std::size_t j = 1; j < s; ++j) {
            if (((polynomial.coefficient >> (s - 1 - j)) & 1u) != 0) v[k] ^= v[k - j];
        }
    }
    return v;
}

constexpr std::array<Directions, sobol_dimensions> sobol_directions{
    radical_inverse(), direction_numbers(polynomials[0]), direction_numbers(polynomials[1]),
    direction_numbers(polynomials[2])};

/// Steele, Lea & Flood 2014, the finaliser of their generator: well mixed bits from a counter.
constexpr std::uint64_t mix(std::uint64_t x) {
    x += 0x9e3779b97f4a7c15u;
    x = (x ^ (x >> 30)) * 0xbf58476d1ce4e5b9u;
    x = (x ^ (x >> 27)) * 0x94d049bb133111ebu;
    return x ^ (x >> 31);
}

double area_of(const std::array<Vec3, 3>& triangle) {
    return 0.5 * (triangle[1] - triangle[0]).cross(triangle[2] - triangle[0]).norm();
}

/// The corner of `triangle` that `other` does not have, or -1 when they do not share just an edge.
int corner_apart(const std::array<Vec3, 3>& triangle, const std::array<Vec3, 3>& other,
                 double tolerance) {
    int apart = -1, shared = 0;
    for (int k = 0; k < 3; ++k) {
        const Vec3& corner = triangle[static_cast<std::size_t>(k)];
        const bool common = std::any_of(other.begin(), other.end(), [&](const Vec3& p) {
            return (p - corner).norm() <= tolerance;
        });
        if (common) {
            ++shared;
        } else {
            apart = k;
        }
    }
    return shared == 2 ? apart : -1;
}

constexpr std::size_t disc_width = 64;

/// Places on a disc and heights above it, for points of the unit square.
struct Disc {
    std::array<double, disc_width> x, y, height;
};

/// Products are quicker than quotients.
template <int n>
constexpr double by = 1.0 / n;

/// Area-true map of the square onto the disc. Sine and cosine by their series about the nearest
/// quarter turn, up to terms of 1e-15: plain arithmetic, the same on every machine and for many at
/// a time.
NOONSHELL_WIDE void put_on_disc(const double* u, const double* v, std::size_t n, Disc& disc) {
    constexpr double quarter = std::numbers::pi / 2;
    for (std::size_t i = 0; i < n; ++i) {
        const double place = 4 * v[i];
        const int below = static_cast<int>(place);
        const int quarters = place - below < 0.5 ? below : below + 1;
        const double a = quarter * (place - quarters), s = a * a;
        const double sine =
            a *
            (1 - by<6> * s *
                     (1 - by<20> * s *
                              (1 - by<42> * s *
                                       (1 - by<72> * s * (1 - by<110> * s * (1 - by<156> * s))))));
        const double cosine =
            1 -
            by<2> * s *
                (1 -
                 by<12> * s *
                     (1 - by<30> * s *
                              (1 - by<56> * s *
                                       (1 - by<90> * s * (1 - by<132> * s * (1 - by<182> * s))))));
        const bool odd = (quarters & 1) != 0, back = (quarters & 2) != 0;
        const double along = odd ? -sine : cosine, across = odd ? cosine : sine;
        const double radius = std::sqrt(u[i]);
        disc.x[i] = radius * (back ? -along : along);
        disc.y[i] = radius * (back ? -across : across);
        disc.height[i] = std::sqrt(1 - u[i]);
    }
}

}  // namespace

SobolBits sobol_bits(std::uint32_t index) {
    SobolBits bits{};
    for (std::size_t k = 0; index != 0; ++k, index >>= 1) {
        if ((index & 1u) == 0) continue;
        for (std::size_t d = 0; d < bits.size(); ++d) bits[d] ^= sobol_directions[d][k];
    }
    return bits;
}

SobolBits operator^(const SobolBits& a, const SobolBits& b) {
    return {a[0] ^ b[0], a[1] ^ b[1], a[2] ^ b[2], a[3] ^ b[3]};
}

std::array<double, sobol_dimensions> sobol_point(const SobolBits& bits) {
    constexpr double unit = 0x1p-32;
    return {bits[0] * unit, bits[1] * unit, bits[2] * unit, bits[3] * unit};
}

SobolBits digit_shift(std::uint64_t seed) {
    const std::uint64_t a = mix(2 * seed), b = mix(2 * seed + 1);
    return {static_cast<std::uint32_t>(a >> 32), static_cast<std::uint32_t>(a),
            static_cast<std::uint32_t>(b >> 32), static_cast<std::uint32_t>(b)};
}

SobolBits facet_shift(std::size_t facet, std::uint32_t count, std::uint32_t seed) {
    constexpr std::size_t together = 16;
    const auto place = static_cast<std::uint32_t>(facet % together);
    const std::uint64_t run = facet / together + (static_cast<std::uint64_t>(seed) << 32);
    return digit_shift(run) ^ sobol_bits(place * std::bit_ceil(count));
}

FacetSampler::FacetSampler(const FacetArrays& facets, std::size_t facet) {
    const std::uint32_t begin = facets.triangle_begin[facet];
    const std::uint32_t end = facets.triangle_begin[facet + 1];
    NOONSHELL_CHECK_LT(begin, end);
    triangles_ = std::span(facets.triangles_m).subspan(begin, end - begin);
    double total = 0;
    for (const auto& triangle : triangles_) {
        total += area_of(triangle);
        cumulative_area_.push_back(total);
    }
    NOONSHELL_CHECK_GT(total, 0.0);
    if (triangles_.size() != 2) return;
    // Two halves of a parallelogram: one smooth map keeps the points' spread better than two.
    const double tolerance = 1e-9 * (1 + triangles_[0][0].norm());
    const int apart = corner_apart(triangles_[0], triangles_[1], tolerance);
    const int far = corner_apart(triangles_[1], triangles_[0], tolerance);
    if (apart < 0 || far < 0) return;
    const auto k = static_cast<std::size_t>(apart);
    corner_ = triangles_[0][k];
    edge_u_ = triangles_[0][(k + 1) % 3] - corner_;
    edge_v_ = triangles_[0][(k + 2) % 3] - corner_;
    const Vec3 opposite = triangles_[1][static_cast<std::size_t>(far)];
    if ((corner_ + edge_u_ + edge_v_ - opposite).norm() <= tolerance) cumulative_area_.clear();
}

Vec3 FacetSampler::point(double u, double v) const {
    if (cumulative_area_.empty()) return corner_ + u * edge_u_ + v * edge_v_;
    const double area = u * cumulative_area_.back();
    const auto found = std::upper_bound(cumulative_area_.begin(), cumulative_area_.end() - 1, area);
    const auto t = static_cast<std::size_t>(found - cumulative_area_.begin());
    const double before = t == 0 ? 0 : cumulative_area_[t - 1];
    const double along = (area - before) / (cumulative_area_[t] - before);
    // Square to triangle, Turk in Graphics Gems (1990), p. 24: (1 - s, s (1 - v), s v).
    const double s = std::sqrt(std::clamp(along, 0.0, 1.0));
    const auto& [a, b, c] = triangles_[t];
    return (1 - s) * a + s * (1 - v) * b + s * v * c;
}

std::vector<Vec3> facet_points(const FacetArrays& facets, std::size_t facet, std::uint32_t count,
                               std::uint32_t seed) {
    const FacetSampler sampler(facets, facet);
    const SobolBits shift = facet_shift(facet, count, seed);
    const Vec3 off = ray_offset_m * facets.normal[facet];
    std::vector<Vec3> points;
    points.reserve(count);
    for (std::uint32_t i = 0; i < count; ++i) {
        const auto p = sobol_point(sobol_bits(i) ^ shift);
        points.push_back(sampler.point(p[0], p[1]) + off);
    }
    return points;
}

std::vector<std::array<std::uint32_t, 2>> points_by_cell(std::uint32_t count) {
    NOONSHELL_CHECK_EQ(std::has_single_bit(count) && count >= 2, true);
    const int cell_bits = std::bit_width(count) - 2;
    const int across = (cell_bits + 1) / 2, up = cell_bits - across;
    // A shift of the digits moves cells as a whole: the pairs are the same for every facet.
    const auto leading = [](std::uint32_t digits, int n) {
        return n == 0 ? 0 : digits >> (32 - n);
    };
    std::map<std::uint32_t, std::vector<std::uint32_t>> cells;
    for (std::uint32_t i = 0; i < count; ++i) {
        const SobolBits p = sobol_bits(i);
        cells[(leading(p[0], across) << up) + leading(p[1], up)].push_back(i);
    }
    std::vector<std::array<std::uint32_t, 2>> pairs;
    for (const auto& [cell, members] : cells) {
        NOONSHELL_CHECK_EQ(members.size(), 2u);
        pairs.push_back({members[0], members[1]});
    }
    return pairs;
}

Tangents tangents_of(const Vec3& normal) {
    // Duff et al. 2017, "Building an orthonormal basis, revisited": no normal is a special case.
    const double sign = std::copysign(1.0, normal.z());
    const double a = -1.0 / (sign + normal.z());
    const double b = normal.x() * normal.y() * a;
    return {Vec3(1 + sign * normal.x() * normal.x() * a, sign * b, -sign * normal.x()),
            Vec3(b, sign + normal.y() * normal.y() * a, -normal.y())};
}

Vec3 cosine_direction(const Vec3& normal, const Tangents& tangents, double u, double v) {
    Disc disc;
    put_on_disc(&u, &v, 1, disc);
    return disc.x[0] * tangents.u + disc.y[0] * tangents.v + disc.height[0] * normal;
}

void cosine_directions(const Vec3& normal, std::span<const SobolBits> points,
                       const SobolBits& shift, std::span<Vec3> directions) {
    NOONSHELL_CHECK_EQ(points.size(), directions.size());
    constexpr double unit = 0x1p-32;
    const Tangents tangents = tangents_of(normal);
    std::array<double, disc_width> u, v;
    Disc disc;
    for (std::size_t begin = 0; begin < points.size(); begin += disc_width) {
        const std::size_t n = std::min(disc_width, points.size() - begin);
        for (std::size_t i = 0; i < n; ++i) {
            u[i] = unit * (points[begin + i][0] ^ shift[0]);
            v[i] = unit * (points[begin + i][1] ^ shift[1]);
        }
        put_on_disc(u.data(), v.data(), n, disc);
        for (std::size_t i = 0; i < n; ++i) {
            directions[begin + i] =
                disc.x[i] * tangents.u + disc.y[i] * tangents.v + disc.height[i] * normal;
        }
    }
}

}  // namespace noonshell
