// Light thrown from node to node, any number of times: the radiosity equation
// B = rho (E0 + F B) on an ExchangeNet [cohen1993].
// Left out: gloss (all reflect diffusely) and differences within a node.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "solar/exchange_net.hpp"

namespace noonshell {

struct BounceOptions {
    /// What any B still lacks over the largest B, from the last change and the rate at which
    /// changes shrink: a small change alone means nothing in a bright, nearly closed yard.
    double tolerance = 1e-8;
    int most_sweeps = 2000;
};

/// Light balance of a solved case [W].
struct LightBalance {
    double arriving_w = 0;  ///< from sun, sky and far ground
    double absorbed_w = 0;  ///< by the nodes
    double escaped_w = 0;   ///< to sky, far ground and context after one or more bounces
    /// |arriving - absorbed - escaped| over arriving; 0 in the dark.
    double residual() const;
};

/// Solves many cases at a time. Irradiances are means over the area of each node [W/m2].
class BounceSolver {
  public:
    /// Cases solved side by side: arrays are [node * lanes + case].
    static constexpr std::size_t lanes = 16;

    /// `reflectance`: #nodes, 0..1; else InputError. The net must outlive the solver.
    BounceSolver(const ExchangeNet& net, std::span<const double> reflectance,
                 const BounceOptions& options = {});

    /// From the light that arrives from outside (`arriving_w_m2`, #nodes * lanes) the light that
    /// leaves each node (`leaving_w_m2`, same shape), by Gauss-Seidel sweeps in the order of the
    /// nodes. Throws ConvergenceError when it does not settle, as in a closed room of perfect
    /// mirrors.
    void solve(std::span<const double> arriving_w_m2, std::span<double> leaving_w_m2) const;

    /// The same for some nodes alone, from what stands in `leaving_w_m2`; that of the other nodes
    /// is taken as it is. `tolerance` in place of that of the options.
    void solve_among(std::span<const std::uint32_t> nodes, double tolerance,
                     std::span<const double> arriving_w_m2, std::span<double> leaving_w_m2) const;

    /// In single precision, to a `tolerance` of 1e-6 or more: half the memory to walk through, and
    /// fewer sweeps.
    void solve(std::span<const float> arriving_w_m2, double tolerance,
               std::span<float> leaving_w_m2) const;

    /// Light that reaches every node from the nodes [begin, end) alone; same shapes.
    void gather(std::span<const double> leaving_w_m2, std::uint32_t begin, std::uint32_t end,
                std::span<double> light_w_m2) const;

    /// Light that reaches a group of nodes [begin, end), as the sum over its nodes times `weight`
    /// (#nodes): from nodes below `split` and from the others, #lanes each.
    void gather_sum(std::span<const float> leaving_w_m2, std::uint32_t begin, std::uint32_t end,
                    std::span<const double> weight, std::uint32_t split,
                    std::span<double> from_lower_w_m2, std::span<double> from_upper_w_m2) const;

    /// One balance per case, from what arrives, leaves, and comes from all nodes together.
    std::vector<LightBalance> balance(std::span<const double> arriving_w_m2,
                                      std::span<const double> leaving_w_m2,
                                      std::span<const double> bounced_w_m2) const;

    std::size_t n_nodes() const { return reflectance_.size(); }

  private:
    template <class Scalar>
    void settle(std::span<const std::uint32_t> nodes, double tolerance,
                std::span<const Scalar> arriving_w_m2, std::span<Scalar> leaving_w_m2) const;
    template <class Scalar>
    double sweep(std::span<const std::uint32_t> nodes, std::span<const Scalar> arriving_w_m2,
                 std::span<Scalar> leaving_w_m2) const;

    const std::vector<double>& shares(double) const { return net_.share; }
    const std::vector<float>& shares(float) const { return share_single_; }

    const ExchangeNet& net_;
    std::vector<float> share_single_;
    std::vector<std::uint32_t> all_nodes_;
    std::vector<double> reflectance_, open_share_;  // #nodes
    BounceOptions options_;
};

}  // namespace noonshell
