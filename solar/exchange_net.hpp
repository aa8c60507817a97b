// Who sees whom: a sparse net of nodes (parts of surfaces, or whole surfaces) that exchange light
// or longwave heat, and what each sees of sky, far ground and context.
#pragma once

#include <cstdint>
#include <span>
#include <utility>
#include <vector>

namespace noonshell {

/// A_i F_ij = A_j F_ji; all zero for a node without area.
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
    /// What leaves node i for other nodes; the rest leaves for good.
    double share_of_nodes(std::size_t i) const;
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

/// A net that obeys reciprocity. Shares of sky, ground and context stay as counted: they are the
/// best that is known of them. The two estimates of each A_i F_ij are averaged by their rays per
/// area, then scaled by factors d_i d_j near 1 that bring the rows of nodes that see mostly others
/// to what their sky, ground and context leave, as nearly as that can be done both ways; no row
/// sums to more than 1.
/// Light that leaves a node for no other node is gone whatever the shares of sky and ground say.
ExchangeNet reciprocal_net(const SeenAreas& seen);

/// Largest difference of any share of the net from what was counted.
double largest_change(const ExchangeNet& net, const SeenAreas& counted);

/// Which nodes are taken together.
struct NodeGroups {
    std::span<const std::uint32_t> group_of;  ///< #nodes
    std::size_t n_groups = 0;                 ///< those before it are nodes again
    std::size_t first_ground = 0;  ///< from here on they join the ground; those between, context
};

/// The net between groups of nodes. Reciprocity is kept; sky, ground and context are scaled so that
/// each row with them sums to 1.
ExchangeNet joined_nodes(const ExchangeNet& net, const NodeGroups& groups);

/// The same of what was counted.
SeenAreas joined_nodes(const SeenAreas& seen, const NodeGroups& groups);

}  // namespace noonshell
