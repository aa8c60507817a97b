// What purchases cost together: prices of their own and call-outs that those of one unit share.
#pragma once

#include <cstddef>
#include <span>
#include <string>
#include <vector>

#include "geometry/envelope.hpp"
#include "thermal/budget_choice.hpp"
#include "thermal/finishes.hpp"

namespace noonshell {

/// Indices of finishes, ascending, one per surface at most.
using Choice = std::vector<std::size_t>;

/// Something that has to come to a unit before certain treatments can be put on it.
struct CallOut {
    UnitId unit;
    std::string kind;  ///< "scaffold"
    double cost = 0;   ///< once, for whatever number of its surfaces
};

/// Everything given must outlive it.
class PurchaseCosts {
  public:
    /// Call-outs in `paid`, by unit and kind, cost nothing more.
    PurchaseCosts(const Envelope& envelope, std::span<const Treatment> treatments,
                  const std::vector<Finish>& finishes, std::span<const CallOut> paid = {});

    /// All call-outs that any purchase may ask for.
    const std::vector<CallOut>& call_outs() const { return call_outs_; }
    /// Indices of those that a finish asks for, ascending.
    const std::vector<std::size_t>& call_outs_of(std::size_t finish) const {
        return call_outs_of_[finish];
    }
    std::vector<CallOut> call_outs_paid(const Choice& choice) const;
    double call_out_cost(const Choice& choice) const;
    /// Prices and call-outs [currency].
    double cost(const Choice& choice) const;
    double upkeep_per_year(const Choice& choice) const;  ///< [currency]

    /// The integer programme's words for all finishes, worth left at nothing.
    std::vector<BudgetOption> options() const;
    std::vector<BudgetCharge> charges() const;

  private:
    const std::vector<Finish>& finishes_;
    std::vector<CallOut> call_outs_;
    std::vector<std::vector<std::size_t>> call_outs_of_;  // #finishes
};

/// The order of work: purchases that share a call-out (also through others) are done together;
/// such groups, and single purchases, by most worth for their cost, and so within a group. Ties by
/// number. `worth`: #finishes.
std::vector<std::size_t> order_of_work(const Choice& choice, std::span<const double> worth,
                                       const std::vector<Finish>& finishes,
                                       const PurchaseCosts& costs);

}  // namespace noonshell
