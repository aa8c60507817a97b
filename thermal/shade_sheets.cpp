#include "thermal/shade_sheets.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "thermal/bdf2.hpp"
#include "thermal/outside_face.hpp"

namespace noonshell {

namespace {

constexpr std::uint32_t no_plate = std::numeric_limits<std::uint32_t>::max();

}  // namespace

ShadeSheets::ShadeSheets(const std::vector<ShadeSheet>& sheets,
                         const std::vector<LayeredWall>& walls, OutsideConvection model,
                         double step_s, double settle_k, int most_turns, double start_c)
    : sheets_(sheets),
      model_(model),
      step_s_(step_s),
      settle_k_(settle_k),
      most_turns_(most_turns),
      settled_(sheets.size()) {
    for (const ShadeSheet& sheet : sheets) {
        const auto node = static_cast<std::uint32_t>(now_c_.size());
        node_of_.push_back(node);
        plate_of_.push_back(sheet.wall ? static_cast<std::uint32_t>(plates_.size()) : no_plate);
        now_c_.resize(node + (sheet.wall ? 2 : 1), start_c);
        inertia_w_k_.resize(now_c_.size(), bdf2_inertia(sheet.capacity_j_k, step_s));
        if (sheet.wall) {
            const LayeredWall& wall = walls[*sheet.wall];
            plates_.push_back({.wall = &wall,
                               .area_m2 = sheet.plate_m2,
                               .front = node,
                               .state = wall.uniform_state(start_c),
                               .particular_c = std::vector<double>(wall.n_cells())});
        }
        face_begin_.push_back(area_m2_.size());
        for (std::size_t f = 0; f < sheet.faces.size(); ++f) {
            const OpenFace& face = sheet.faces[f];
            const std::size_t k = area_m2_.size() % lanes_per_block;
            if (k == 0) blocks_.emplace_back();
            OpenBlock& b = blocks_.back();
            b.emittance[k] = face.face.emittance;
            b.natural_hot[k] = face.face.natural_hot;
            b.natural_cool[k] = face.face.natural_cool;
            b.relief_ratio[k] = face.face.relief_ratio;
            b.exposed[k] = 1;
            const PlateSide side = sheet.wall ? sheet.side[f] : PlateSide::front;
            nodes_of_.push_back({side == PlateSide::back ? node + 1 : node,
                                 side == PlateSide::front ? node : node + 1});
            area_m2_.push_back(face.area_m2);
        }
    }
    before_c_ = guess_c_ = now_c_;
    past_w_.resize(now_c_.size());
    slope_w_k_.resize(now_c_.size());
    source_w_.resize(now_c_.size());
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

/// What stands while the faces are found.
void ShadeSheets::begin() {
    for (std::size_t s = 0; s < sheets_.size(); ++s) {
        if (plate_of_[s] != no_plate) continue;
        const std::uint32_t node = node_of_[s];
        past_w_[node] =
            bdf2_history(sheets_[s].capacity_j_k, now_c_[node], before_c_[node], step_s_);
    }
    for (Plate& plate : plates_) plate.port = plate.wall->prepare(plate.state, plate.particular_c);
    for (std::size_t node = 0; node < now_c_.size(); ++node)
        guess_c_[node] = 2 * now_c_[node] - before_c_[node];
    std::fill(settled_.begin(), settled_.end(), std::uint8_t{0});
}

/// All faces as straight lines at the guesses, added up by temperature.
void ShadeSheets::gather() {
    for (std::size_t f = 0; f < area_m2_.size(); ++f)
        blocks_[f / lanes_per_block].guess_c[f % lanes_per_block] = of_face(guess_c_, f);
    for (OpenBlock& block : blocks_) line_outside(block, model_);
    slope_w_k_ = inertia_w_k_;
    source_w_ = past_w_;
    for (Plate& plate : plates_) plate.edge_w_k = 0;
    for (std::size_t s = 0; s < sheets_.size(); ++s) {
        const std::size_t end = face_begin_[s] + sheets_[s].faces.size();
        for (std::size_t f = face_begin_[s]; f < end; ++f) {
            const OpenBlock& b = blocks_[f / lanes_per_block];
            const double h_w_k = area_m2_[f] * b.h[f % lanes_per_block];
            const double q_w = area_m2_[f] * b.q[f % lanes_per_block];
            const auto [first, second] = nodes_of_[f];
            if (first == second) {
                slope_w_k_[first] += h_w_k;
                source_w_[first] += q_w;
                continue;
            }
            // Half of an edge's heat goes to either face: each takes a half of q - h (Ta + Tb) / 2.
            plates_[plate_of_[s]].edge_w_k += 0.25 * h_w_k;
            for (const std::uint32_t node : {first, second}) source_w_[node] += 0.5 * q_w;
        }
    }
}

/// The temperatures of one shade where its lines meet; true when they have settled.
bool ShadeSheets::move(std::size_t sheet) {
    const std::uint32_t a = node_of_[sheet];
    if (plate_of_[sheet] == no_plate) {
        const double next_c = source_w_[a] / slope_w_k_[a];
        const bool settled = std::abs(next_c - guess_c_[a]) < settle_k_;
        guess_c_[a] = next_c;
        return settled;
    }
    const Plate& plate = plates_[plate_of_[sheet]];
    const TwoPort& port = plate.port;
    const std::uint32_t b = a + 1;
    const double aa = slope_w_k_[a] + plate.area_m2 * port.aa + plate.edge_w_k;
    const double bb = slope_w_k_[b] + plate.area_m2 * port.bb + plate.edge_w_k;
    const double ab = plate.area_m2 * port.ab - plate.edge_w_k;
    const double q_a = source_w_[a] + plate.area_m2 * port.r_a;
    const double q_b = source_w_[b] + plate.area_m2 * port.r_b;
    const double determinant = aa * bb - ab * ab;
    const double next_a_c = (bb * q_a + ab * q_b) / determinant;
    const double next_b_c = (ab * q_a + aa * q_b) / determinant;
    const double moved_k =
        std::max(std::abs(next_a_c - guess_c_[a]), std::abs(next_b_c - guess_c_[b]));
    guess_c_[a] = next_a_c;
    guess_c_[b] = next_b_c;
    return moved_k < settle_k_;
}

bool ShadeSheets::advance(const OutsideConditions& outside) {
    read_conditions(outside);
    begin();
    bool all_settled = sheets_.empty();
    for (int turn = 0; turn < most_turns_ && !all_settled; ++turn) {
        gather();
        all_settled = true;
        for (std::size_t s = 0; s < sheets_.size(); ++s) {
            if (settled_[s] != 0) continue;  // whatever the others do
            settled_[s] = move(s) ? 1 : 0;
            all_settled = all_settled && settled_[s] != 0;
        }
    }
    before_c_.swap(now_c_);
    now_c_ = guess_c_;
    for (Plate& plate : plates_)
        plate.wall->advance(plate.state, plate.particular_c, now_c_[plate.front],
                            now_c_[plate.front + 1]);
    return all_settled;
}

ShadeAccounts ShadeSheets::accounts(const OutsideConditions& outside) const {
    ShadeAccounts sum;
    for (std::size_t s = 0; s < sheets_.size(); ++s) {
        for (std::size_t f = 0; f < sheets_[s].faces.size(); ++f) {
            const OpenFace& face = sheets_[s].faces[f];
            const FaceConditions& around = outside.of_shade(s)[f];
            sum.net_w += face.area_m2 * net_heat_w_m2(face.face, model_, around, face_c(s, f));
            sum.passed_w += face.area_m2 *
                            (around.absorbed_w_m2 + face.face.emittance * around.longwave_in_w_m2);
        }
        const std::uint32_t node = node_of_[s];
        if (plate_of_[s] == no_plate) {
            sum.taken_w += inertia_w_k_[node] * now_c_[node] - past_w_[node];
            continue;
        }
        const Plate& plate = plates_[plate_of_[s]];
        const TwoPort& port = plate.port;
        const double a_c = now_c_[node], b_c = now_c_[node + 1];
        sum.taken_w += plate.area_m2 * ((port.aa - port.ab) * a_c - port.r_a +
                                        (port.bb - port.ab) * b_c - port.r_b);
    }
    return sum;
}

void ShadeSheets::append_cells_c(std::vector<double>& all) const {
    for (const Plate& plate : plates_)
        all.insert(all.end(), plate.state.now_c.begin(), plate.state.now_c.end());
}

}  // namespace noonshell
