// Plans that differ from a given one on one or two surfaces.
#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "thermal/purchase_costs.hpp"

namespace noonshell {

/// Every way to finish one or two surfaces of a choice otherwise, or to leave them bare, that the
/// budget allows: the `most` that promise most, best first. `worth`: #finishes; finishes that are
/// not worth anything are not brought in.
std::vector<Choice> promising_exchanges(const Choice& choice, double budget,
                                        std::span<const double> worth,
                                        const std::vector<Finish>& finishes,
                                        const PurchaseCosts& costs, std::size_t most);

}  // namespace noonshell
