// The shades of one heat run: each a sheet in the open at one temperature, which all its faces
// share, found by Newton's method.
#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "thermal/heat_patches.hpp"
#include "thermal/open_kernels.hpp"
#include "thermal/outside_conditions.hpp"

namespace noonshell {

/// What the accounts of one step say of all shades [W].
struct ShadeAccounts {
    double net_w = 0;     ///< exact net heat into all faces
    double taken_w = 0;   ///< what the sheets took
    double passed_w = 0;  ///< sum of sun and longwave that came in
};

class ShadeSheets {
  public:
    /// All at `start_c`. A sheet that moves less than `settle_k` in a turn has settled. `sheets`
    /// must outlive this.
    ShadeSheets(const std::vector<ShadeSheet>& sheets, OutsideConvection model, double step_s,
                double settle_k, int most_turns, double start_c);

    /// One step under the conditions at its end; false where a sheet has not settled.
    bool advance(const OutsideConditions& outside);

    /// The step that was advanced last.
    ShadeAccounts accounts(const OutsideConditions& outside) const;

    std::span<const double> now_c() const { return now_c_; }  ///< #sheets

  private:
    void read_conditions(const OutsideConditions& outside);

    const std::vector<ShadeSheet>& sheets_;
    OutsideConvection model_;
    double step_s_, settle_k_;
    int most_turns_;
    std::vector<OpenBlock> blocks_;         // of faces, sheet by sheet
    std::vector<std::uint32_t> sheet_of_;   // of each face
    std::vector<double> area_m2_;           // #faces
    std::vector<double> now_c_, before_c_;  // #sheets, at the ends of the last two steps
    std::vector<double> past_w_, guess_c_, slope_w_k_, source_w_;  // #sheets, of one step
    std::vector<std::uint8_t> settled_;                            // #sheets
};

}  // namespace noonshell
