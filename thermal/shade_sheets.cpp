#include "thermal/shade_sheets.hpp"

#include <algorithm>
#include <cmath>

#include "thermal/bdf2.hpp"
#include "thermal/outside_face.hpp"

namespace noonshell {

ShadeSheets::ShadeSheets(const std::vector<ShadeSheet>& sheets, OutsideConvection model,
                         double step_s, double settle_k, int most_turns, double start_c)
    : sheets_(sheets),
      model_(model),
      step_s_(step_s),
      settle_k_(settle_k),
      most_turns_(most_turns),
      now_c_(sheets.size(), start_c),
      before_c_(now_c_),
      past_w_(sheets.size()),
      guess_c_(sheets.size()),
      slope_w_k_(sheets.size()),
      source_w_(sheets.size()),
      settled_(sheets.size()) {
    for (std::size_t s = 0; s < sheets.size(); ++s) {
        for (const OpenFace& face : sheets[s].faces) {
            const std::size_t k = sheet_of_.size() % lanes_per_block;
            if (k == 0) blocks_.emplace_back();
            OpenBlock& b = blocks_.back();
            b.emittance[k] = face.face.emittance;
            b.natural_hot[k] = face.face.natural_hot;
            b.natural_cool[k] = face.face.natural_cool;
            b.relief_ratio[k] = face.face.relief_ratio;
            b.exposed[k] = 1;
            sheet_of_.push_back(static_cast<std::uint32_t>(s));
            area_m2_.push_back(face.area_m2);
        }
    }
}

void ShadeSheets::read_conditions(const OutsideConditions& outside) {
    std::size_t f = 0;
    for (std::size_t s = 0; s < sheets_.size(); ++s) {
        for (const FaceConditions& around : outside.of_shade(s).first(sheets_[s].faces.size())) {
            OpenBlock& b = blocks_[f / lanes_per_block];
            const std::size_t k = f % lanes_per_block;
            b.absorbed_w_m2[k] = around.absorbed_w_m2;
            b.longwave_in_w_m2[k] = around.longwave_in_w_m2;
            b.air_c[k] = around.air_c;
            b.forced_w_m2k[k] = around.forced_w_m2k;
            ++f;
        }
    }
}

bool ShadeSheets::advance(const OutsideConditions& outside) {
    read_conditions(outside);
    for (std::size_t s = 0; s < sheets_.size(); ++s) {
        past_w_[s] = bdf2_history(sheets_[s].capacity_j_k, now_c_[s], before_c_[s], step_s_);
        guess_c_[s] = 2 * now_c_[s] - before_c_[s];
    }
    std::fill(settled_.begin(), settled_.end(), std::uint8_t{0});
    bool all_settled = sheets_.empty();
    for (int turn = 0; turn < most_turns_ && !all_settled; ++turn) {
        for (std::size_t f = 0; f < sheet_of_.size(); ++f)
            blocks_[f / lanes_per_block].guess_c[f % lanes_per_block] = guess_c_[sheet_of_[f]];
        for (OpenBlock& block : blocks_) line_outside(block, model_);
        for (std::size_t s = 0; s < sheets_.size(); ++s) {
            slope_w_k_[s] = bdf2_inertia(sheets_[s].capacity_j_k, step_s_);
            source_w_[s] = past_w_[s];
        }
        for (std::size_t f = 0; f < sheet_of_.size(); ++f) {
            const OpenBlock& b = blocks_[f / lanes_per_block];
            slope_w_k_[sheet_of_[f]] += area_m2_[f] * b.h[f % lanes_per_block];
            source_w_[sheet_of_[f]] += area_m2_[f] * b.q[f % lanes_per_block];
        }
        all_settled = true;
        for (std::size_t s = 0; s < sheets_.size(); ++s) {
            if (settled_[s] != 0) continue;  // whatever the others do
            const double next_c = source_w_[s] / slope_w_k_[s];
            settled_[s] = std::abs(next_c - guess_c_[s]) < settle_k_ ? 1 : 0;
            guess_c_[s] = next_c;
            all_settled = all_settled && settled_[s] != 0;
        }
    }
    before_c_.swap(now_c_);
    now_c_ = guess_c_;
    return all_settled;
}

ShadeAccounts ShadeSheets::accounts(const OutsideConditions& outside) const {
    ShadeAccounts sum;
    for (std::size_t s = 0; s < sheets_.size(); ++s) {
        for (std::size_t f = 0; f < sheets_[s].faces.size(); ++f) {
            const OpenFace& face = sheets_[s].faces[f];
            const FaceConditions& around = outside.of_shade(s)[f];
            sum.net_w += face.area_m2 * net_heat_w_m2(face.face, model_, around, now_c_[s]);
            sum.passed_w += face.area_m2 *
                            (around.absorbed_w_m2 + face.face.emittance * around.longwave_in_w_m2);
        }
        sum.taken_w += bdf2_inertia(sheets_[s].capacity_j_k, step_s_) * now_c_[s] - past_w_[s];
    }
    return sum;
}

}  // namespace noonshell
