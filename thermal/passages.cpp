#include "thermal/passages.hpp"

#include <cmath>
#include <set>

namespace noonshell {

namespace {

constexpr double least_covered_share = 0.01;
constexpr double steep_deg = 60;

}  // namespace

std::optional<Passage> passage_before(const Envelope& envelope, const ExchangeMatrix& exchange,
                                      SurfaceId surface) {
    if (surface.index() >= exchange.close_by.size()) return std::nullopt;
    const CloseBy& close = exchange.close_by[surface.index()];
    const double tilt_deg = envelope.surfaces[surface.index()].tilt_deg;
    const bool steep = tilt_deg > steep_deg && tilt_deg < 180 - steep_deg;
    if (steep || close.share < least_covered_share || !(close.clearance_m > 0)) return std::nullopt;
    return Passage{.clearance_m = close.clearance_m, .length_m = std::sqrt(close.covered_m2)};
}

std::vector<SurfaceId> faces_of_passages(const Envelope& envelope, const ExchangeMatrix& exchange) {
    std::set<SurfaceId> faces;
    for (std::size_t s = 0; s < exchange.close_by.size(); ++s) {
        if (!passage_before(envelope, exchange, SurfaceId(s))) continue;
        faces.emplace(s);
        for (const CloseBy::Other& other : exchange.close_by[s].others) faces.insert(other.surface);
    }
    return {faces.begin(), faces.end()};
}

}  // namespace noonshell
