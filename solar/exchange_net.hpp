// Who sees whom: a sparse net of nodes (parts of surfaces, or whole surfaces) that exchange light
// or longwave heat, and what each sees of sky, far ground and context.
#pragma once

#include <cstdint>
#include <span>
#include <utility>
#include <vector>

namespace noonshell {

/// A_i F_ij = A_j F_ji, and each row of shares with its sky, ground and context sums to 1; all zero
/// for a node without area.
struct ExchangeNet {
    std::vector<double> area_m2;  ///< that takes part, #nodes

    /// Entries of node i: [row_begin[i], row_begin[i + 1]), columns ascending.
    std::vector<std::uint32_t> row_begin{0};  ///< #nodes + 1
    std::vector<std::uint32_t> column;
    std::vector<double> share;

    std::vector<double> sky_share;      ///< #nodes
    std::vector<double> horizon_share;  ///< as ExchangeMatrix::horizon_share, #nodes
    std::vector<double> ground_share;   ///< ground that is no node, #nodes
    std::vector<double> context_share;  ///< #nodes

    std::size_t size() const { return area_m2.size(); }
};

/// Areas seen [m2] as rays have counted them: area of node i times its share of each.
struct SeenAreas {
    struct Entry {
        std::uint32_t from, to;
        double area_m2;
    };
    std::vector<double> area_m2, n_rays;                ///< #nodes
    std::vector<double> sky, horizon, ground, context;  ///< #nodes
    std::vector<Entry> entries;                         ///< in any order, pairs may repeat

    explicit SeenAreas(std::size_t n_nodes)
        : area_m2(n_nodes),
          n_rays(n_nodes),
          sky(n_nodes),
          horizon(n_nodes),
          ground(n_nodes),
          context(n_nodes) {}
};

/// A net that obeys reciprocity and closes. The two estimates of each A_i F_ij are averaged by
/// their rays per area; then node i is scaled by a factor d_i near 1, its exchange with node j by
/// d_i d_j and with sky, ground and context by d_i, so that all rows sum to 1 while A_i F_ij =
/// A_j F_ji holds. A node that sees no other keeps d_i = 1.
ExchangeNet reciprocal_net(const SeenAreas& seen);

/// Largest difference of any share of the net from what was counted.
double largest_change(const ExchangeNet& net, const SeenAreas& counted);

/// The net between groups of nodes: `group_of` #nodes (0..n_groups-1); nodes with group n_groups or
/// above join the ground. Reciprocity and closure are kept.
ExchangeNet joined_nodes(const ExchangeNet& net, std::span<const std::uint32_t> group_of,
                         std::size_t n_groups);

/// The same of what was counted.
SeenAreas joined_nodes(const SeenAreas& seen, std::span<const std::uint32_t> group_of,
                       std::size_t n_groups);

}  // namespace noonshell
