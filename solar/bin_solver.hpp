// Light between the parts over whole bins (months, say): the same light as that of all hours, found
// the other way round.
#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "solar/bounce.hpp"
#include "solar/exposure.hpp"

namespace noonshell {

/// Adds to a result what the surfaces of the building get from others over each bin, and the light
/// balance.
class BinSolver {
  public:
    BinSolver(const ExchangeMatrix& exchange, const BounceSolver& solver, Exposure& result)
        : exchange_(exchange), solver_(solver), result_(result), n_parts_(exchange.parts.size()) {}

    /// `arriving_wh_m2`: [bin * #parts + part].
    void solve(std::span<const double> arriving_wh_m2);

    /// From outside onto all parts, and thrown onto those of the building [Wh].
    double arriving_wh() const { return arriving_wh_; }
    double thrown_wh() const { return thrown_wh_; }

  private:
    void solve(std::span<const double> bins_wh_m2, std::size_t first, std::size_t count);
    void add(std::size_t part, double arriving_wh_m2, double thrown_wh_m2);

    const ExchangeMatrix& exchange_;
    const BounceSolver& solver_;
    Exposure& result_;
    std::size_t n_parts_;
    double arriving_wh_ = 0, thrown_wh_ = 0;
};

}  // namespace noonshell
