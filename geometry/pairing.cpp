#include "geometry/pairing.hpp"

#include <algorithm>
#include <cmath>
#include <compare>

namespace noonshell {

namespace {

/// Of the first search; each further one reaches twice as far.
constexpr double first_reach_m = 0.001;

/// Pairs in conflict share an end, so the order of the other end breaks a tie alike both ways.
struct Candidate {
    std::int64_t ties;  ///< distance in steps of pairing_tie_m
    bool unlike;
    IndexPair pair;

    auto operator<=>(const Candidate&) const = default;
};

/// No pair is farther apart than this.
double span_of(const std::vector<ShapePoint>& a, const std::vector<ShapePoint>& b) {
    ShapePoint low{}, high{};
    low.fill(std::numeric_limits<double>::infinity());
    high.fill(-std::numeric_limits<double>::infinity());
    for (const auto* points : {&a, &b}) {
        for (const ShapePoint& p : *points) {
            for (std::size_t k = 0; k < p.size(); ++k) {
                low[k] = std::min(low[k], p[k]);
                high[k] = std::max(high[k], p[k]);
            }
        }
    }
    double square = 0;
    for (std::size_t k = 0; k < low.size(); ++k) square += (high[k] - low[k]) * (high[k] - low[k]);
    return 1.001 * std::sqrt(square) + first_reach_m;
}

std::vector<ShapePoint> chosen(const std::vector<ShapePoint>& points,
                               const std::vector<std::uint32_t>& indices) {
    std::vector<ShapePoint> some;
    for (const std::uint32_t k : indices) some.push_back(points[k]);
    return some;
}

std::vector<Candidate> candidates(const std::vector<ShapePoint>& old_points,
                                  const std::vector<std::uint32_t>& olds,
                                  const std::vector<ShapePoint>& new_points,
                                  const std::vector<std::uint32_t>& news, const Pairing& how,
                                  double reach_m) {
    ShapeTree tree(chosen(new_points, news));
    std::vector<Candidate> all;
    for (const std::uint32_t o : olds) {
        for (const auto& [at, square] : tree.within(old_points[o], reach_m)) {
            const std::uint32_t n = news[at];
            if (how.allowed && !how.allowed(o, n)) continue;
            all.push_back({std::llround(std::sqrt(square) / pairing_tie_m),
                           !how.alike || !how.alike(o, n),
                           {o, n}});
        }
    }
    std::sort(all.begin(), all.end());
    return all;
}

}  // namespace

std::vector<IndexPair> pair_nearest(const std::vector<ShapePoint>& old_points,
                                    std::vector<std::uint32_t> olds,
                                    const std::vector<ShapePoint>& new_points,
                                    std::vector<std::uint32_t> news, const Pairing& how) {
    std::vector<IndexPair> pairs;
    std::vector<std::uint8_t> old_used(old_points.size(), 0), new_used(new_points.size(), 0);
    if (olds.empty() || news.empty()) return pairs;
    const double farthest =
        std::min(how.farthest_m, span_of(chosen(old_points, olds), chosen(new_points, news)));
    double reach = 0;
    while (reach < farthest && !olds.empty() && !news.empty()) {
        reach = std::min(farthest, reach == 0 ? first_reach_m : 2 * reach);
        for (const Candidate& c : candidates(old_points, olds, new_points, news, how, reach)) {
            const auto& [o, n] = c.pair;
            if (old_used[o] != 0 || new_used[n] != 0) continue;
            old_used[o] = new_used[n] = 1;
            pairs.push_back(c.pair);
        }
        std::erase_if(olds, [&](std::uint32_t o) { return old_used[o] != 0; });
        std::erase_if(news, [&](std::uint32_t n) { return new_used[n] != 0; });
    }
    return pairs;
}

}  // namespace noonshell
