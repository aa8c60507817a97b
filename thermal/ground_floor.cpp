#include "thermal/ground_floor.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <map>
#include <numbers>
#include <numeric>

#include "geometry/diagnostics.hpp"
#include "thermal/air_layers.hpp"

namespace noonshell {

namespace {

constexpr double soil_with_mass_m = 0.5;
constexpr double outside_film_m2k_w = 0.04;  // [iso6946]
constexpr double wall_thickness_m = 0.0;     // sheet and lining add nothing to speak of

/// Length of the edges of a surface that one triangle alone has; a square's of its area where it
/// has no facets.
double outline_m(const Envelope& envelope, const Surface& surface) {
    using Corner = std::array<std::int64_t, 3>;
    constexpr double grid_m = 1e-4;
    const auto corner = [](const Vec3& p) {
        return Corner{std::llround(p.x() / grid_m), std::llround(p.y() / grid_m),
                      std::llround(p.z() / grid_m)};
    };
    std::map<std::pair<Corner, Corner>, std::pair<int, double>> edges;
    for (auto f = surface.first_facet; f < surface.first_facet + surface.n_facets; ++f) {
        for (auto t = envelope.facets.triangle_begin[f]; t < envelope.facets.triangle_begin[f + 1];
             ++t) {
            const auto& p = envelope.facets.triangles_m[t];
            for (std::size_t i = 0; i < 3; ++i) {
                const Vec3 &a = p[i], &b = p[(i + 1) % 3];
                const Corner from = corner(a), to = corner(b);
                auto& [count, length] = edges[{std::min(from, to), std::max(from, to)}];
                ++count;
                length = (b - a).norm();
            }
        }
    }
    double sum = 0;
    for (const auto& [ends, edge] : edges) {
        if (edge.first == 1) sum += edge.second;
    }
    return sum > 0 ? sum : 4 * std::sqrt(surface.area_m2);
}

/// Units that make one floor, by the lowest unit of each.
class FloorGroups {
  public:
    explicit FloorGroups(std::size_t n) : first_(n) {
        std::iota(first_.begin(), first_.end(), std::size_t{0});
    }
    std::size_t of(std::size_t unit) const {
        return first_[unit] == unit ? unit : of(first_[unit]);
    }
    void unite(std::size_t a, std::size_t b) {
        const std::size_t low = std::min(of(a), of(b)), high = std::max(of(a), of(b));
        first_[high] = low;
    }

  private:
    std::vector<std::size_t> first_;
};

}  // namespace

double ground_slab_u_w_m2k(double characteristic_m, double equivalent_thickness_m,
                           double soil_w_mk) {
    const double b = characteristic_m, d = equivalent_thickness_m;
    if (d >= b) return soil_w_mk / (0.457 * b + d);
    return 2 * soil_w_mk / (std::numbers::pi * b + d) * std::log(std::numbers::pi * b / d + 1);
}

std::vector<Layer> layers_on_ground(const Construction& floor, double characteristic_m) {
    const Material* soil = find_material("moist soil");
    NOONSHELL_CHECK_EQ(soil != nullptr, true);
    NOONSHELL_CHECK_GT(characteristic_m, 0.0);
    const double soil_w_mk = soil->conductivity_w_mk;
    const double inside = inside_surface_resistance_m2k_w(HeatFlow::down);
    const double own = layers_resistance_m2k_w(floor);
    const double thickness_m = wall_thickness_m + soil_w_mk * (inside + own + outside_film_m2k_w);
    const double ground =
        1 / ground_slab_u_w_m2k(characteristic_m, thickness_m, soil_w_mk) - inside - own;
    const double upper_m = std::min(soil_with_mass_m, soil_w_mk * ground);
    std::vector<Layer> layers;
    const double rest = ground - upper_m / soil_w_mk;
    if (rest > 1e-6) {
        Layer deeper;
        deeper.material.name = "ground below";
        deeper.resistance_m2k_w = rest;
        layers.push_back(deeper);
    }
    layers.push_back({*soil, upper_m, std::nullopt});
    layers.insert(layers.end(), floor.layers.begin(), floor.layers.end());
    return layers;
}

std::vector<double> characteristic_dimensions_m(const Envelope& envelope) {
    const std::size_t n = envelope.units.size();
    std::vector<double> area_m2(n, 0), perimeter_m(n, 0);
    for (const Contact& contact : envelope.contacts) {
        if (!contact.on_ground()) continue;
        const Surface& floor = envelope.surfaces[contact.a.index()];
        if (!floor.unit.valid()) continue;
        area_m2[floor.unit.index()] += contact.area_m2;
        perimeter_m[floor.unit.index()] += outline_m(envelope, floor);
    }
    FloorGroups groups(n);
    for (const Contact& contact : envelope.contacts) {
        if (contact.on_ground()) continue;
        const Surface &a = envelope.surfaces[contact.a.index()],
                      &b = envelope.surfaces[contact.b.index()];
        if (!a.unit.valid() || !b.unit.valid() || a.kind != SurfaceKind::wall) continue;
        const std::size_t u = a.unit.index(), v = b.unit.index();
        if (area_m2[u] <= 0 || area_m2[v] <= 0) continue;
        const Unit& unit = envelope.units[u];
        const double shared_m = contact.area_m2 * unit.floor_area_m2 / unit.volume_m3;
        perimeter_m[u] -= shared_m;
        perimeter_m[v] -= shared_m;
        groups.unite(u, v);
    }
    std::vector<double> group_m2(n, 0), group_m(n, 0), out(n, 0);
    for (std::size_t u = 0; u < n; ++u) {
        group_m2[groups.of(u)] += area_m2[u];
        group_m[groups.of(u)] += perimeter_m[u];
    }
    for (std::size_t u = 0; u < n; ++u) {
        if (area_m2[u] <= 0) continue;
        const std::size_t g = groups.of(u);
        // A floor wholly within others has no perimeter of its own, the group always some.
        out[u] = group_m2[g] / (0.5 * std::max(group_m[g], std::sqrt(group_m2[g])));
    }
    return out;
}

}  // namespace noonshell
