// The way of light from any part to every surface, bounces included, solved once for all hours.
#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "solar/bounce.hpp"
#include "solar/exchange_net.hpp"
#include "solar/light_parts.hpp"

namespace noonshell {

struct BouncePathOptions {
    /// Of the light thrown onto a surface, the part that may be left out with the parts that send
    /// next to nothing to it: they are not followed.
    double neglected = 1e-6;
    unsigned threads = 0;  ///< 0: all
};

/// What other parts throw onto a surface is a sum over all parts of the light that arrives there
/// from outside, times a weight. Reciprocity gives all weights of a surface from one solution: let
/// the surface alone shine, then the weight of a part is its area times the light that leaves it.
/// So a year costs one solution per surface in place of one per hour, each among the parts near
/// that surface alone.
class BouncePaths {
  public:
    static constexpr std::size_t lanes = BounceSolver::lanes;

    /// Paths to the first `n_surfaces` surfaces, apart for light that leaves other parts last and
    /// light that leaves the ground last (parts.first_ground). `share_of_surface`: a part's area
    /// over that of its whole surface, #parts. Net, parts and solver are needed here only. Throws
    /// ConvergenceError as the solver does.
    BouncePaths(const ExchangeNet& net, const LightParts& parts, const BounceSolver& solver,
                std::span<const double> reflectance, std::span<const double> share_of_surface,
                std::size_t n_surfaces, const BouncePathOptions& options = {});

    /// From the light that arrives from outside, [part * lanes + case], the light thrown onto the
    /// whole surface, [surface * lanes + case], from surfaces and from ground [W/m2].
    void gather(std::span<const double> arriving_w_m2, std::span<double> from_surfaces_w_m2,
                std::span<double> from_ground_w_m2) const;
    /// The same in single precision, where some parts get nothing in any case: `any` 0, #parts.
    void gather(std::span<const float> arriving_w_m2, std::span<const std::uint8_t> any,
                std::span<double> from_surfaces_w_m2, std::span<double> from_ground_w_m2) const;

    /// Largest part of the light thrown onto a surface that was left out, where every part gets the
    /// same light from outside.
    double neglected() const { return neglected_; }

  private:
    static constexpr std::size_t surfaces_in_a_block = lanes / 2;

    /// The paths to a few surfaces that lie together in the list: weight[node * lanes + path], path
    /// 2 k from surfaces, 2 k + 1 from ground to the k-th surface.
    struct Block {
        std::vector<std::uint32_t> node;
        std::vector<double> weight;
        std::vector<float> weight_single;  // the same
        double neglected = 0;
    };
    class Solver;

    template <class Weigh>
    void gather_blocks(const Weigh& weigh_block, std::span<double> from_surfaces_w_m2,
                       std::span<double> from_ground_w_m2) const;

    std::size_t n_parts_ = 0, n_surfaces_ = 0;
    std::vector<Block> blocks_;
    double neglected_ = 0;
};

}  // namespace noonshell
