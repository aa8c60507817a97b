// Light thrown from surface to surface, any number of times: the radiosity equation
// B = rho (E0 + F B) with the surface-to-surface shares of an ExchangeMatrix.
// Left out: gloss (surfaces reflect diffusely) and differences within a surface.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "solar/exchange.hpp"

namespace noonshell {

struct BounceOptions {
    double tolerance = 1e-8;  ///< last change of any B over the largest B
    int most_sweeps = 20000;
};

/// Light balance of a solved case [W].
struct LightBalance {
    double arriving_w = 0;  ///< from sun, sky and ground
    double absorbed_w = 0;  ///< by surfaces
    double escaped_w = 0;   ///< to sky, ground and context after one or more bounces
    /// |arriving - absorbed - escaped| over arriving; 0 in the dark.
    double residual() const;
};

/// Solves many cases at a time. Irradiances are means over the exposed part of each surface [W/m2].
class BounceSolver {
  public:
    /// Cases solved side by side: arrays are [surface * lanes + case].
    static constexpr std::size_t lanes = 8;

    /// `reflectance`: #surfaces, 0..1; else InputError.
    BounceSolver(const ExchangeMatrix& exchange, std::span<const double> reflectance,
                 const BounceOptions& options = {});

    /// From the light that arrives from outside (`arriving_w_m2`, #surfaces * lanes) the light that
    /// comes from other surfaces (`bounced_w_m2`, same shape). Gauss-Seidel sweeps in the order of
    /// the surfaces [cohen1993]. Returns one balance per case; throws ConvergenceError when it does
    /// not settle, as in a closed room of perfect mirrors.
    std::vector<LightBalance> solve(std::span<const double> arriving_w_m2,
                                    std::span<double> bounced_w_m2) const;

  private:
    double sweep(std::span<const double> arriving_w_m2, std::span<double> leaving_w_m2) const;
    void gather(std::span<const double> leaving_w_m2, std::span<double> bounced_w_m2) const;
    std::vector<LightBalance> balance(std::span<const double> arriving_w_m2,
                                      std::span<const double> leaving_w_m2,
                                      std::span<const double> bounced_w_m2) const;

    std::vector<double> reflectance_, open_share_, area_m2_;  // #surfaces
    std::vector<std::uint32_t> row_begin_, column_;
    std::vector<double> share_;
    BounceOptions options_;
};

}  // namespace noonshell
