#include "solar/bounce_paths.hpp"

#include <algorithm>
#include <array>

#include "geometry/diagnostics.hpp"
#include "solar/parallel.hpp"
#include "solar/wide.hpp"

namespace noonshell {

namespace {

constexpr std::size_t cases_at_once = BouncePaths::lanes;
/// Runs of blocks share buffers, whatever the number of threads.
constexpr std::size_t most_block_runs = 16;

constexpr std::size_t fours = cases_at_once / 4;

/// Two paths at a time: with all cases that is what the registers hold.
NOONSHELL_WIDE void weigh(const std::uint32_t* node, const double* weight, std::size_t n,
                          const double* arriving, double* light) {
    for (std::size_t path = 0; path < cases_at_once; path += 2) {
        Four first[fours]{}, second[fours]{};
        for (std::size_t i = 0; i < n; ++i) {
            const auto* from = reinterpret_cast<const Four*>(arriving + node[i] * cases_at_once);
            const double* w = weight + i * cases_at_once + path;
            for (std::size_t k = 0; k < fours; ++k) first[k] += w[0] * from[k];
            for (std::size_t k = 0; k < fours; ++k) second[k] += w[1] * from[k];
        }
        auto* out = reinterpret_cast<Four*>(light + path * cases_at_once);
        for (std::size_t k = 0; k < fours; ++k) out[k] = first[k];
        for (std::size_t k = 0; k < fours; ++k) out[fours + k] = second[k];
    }
}

constexpr std::size_t eights = cases_at_once / 8;

/// Four paths at a time, again what the registers hold.
NOONSHELL_WIDE void weigh_some(const std::uint32_t* node, const float* weight, std::size_t n,
                               const float* arriving, const std::uint8_t* any, double* light) {
    constexpr std::size_t at_a_time = 4;
    for (std::size_t path = 0; path < cases_at_once; path += at_a_time) {
        Eight sum[at_a_time][eights]{};
        for (std::size_t i = 0; i < n; ++i) {
            if (any[node[i]] == 0) continue;
            const auto* from = reinterpret_cast<const Eight*>(arriving + node[i] * cases_at_once);
            const float* w = weight + i * cases_at_once + path;
            for (std::size_t p = 0; p < at_a_time; ++p) {
                for (std::size_t k = 0; k < eights; ++k) sum[p][k] += w[p] * from[k];
            }
        }
        for (std::size_t p = 0; p < at_a_time; ++p) {
            for (std::size_t k = 0; k < cases_at_once; ++k) {
                light[(path + p) * cases_at_once + k] = static_cast<double>(sum[p][k / 8][k % 8]);
            }
        }
    }
}

}  // namespace

/// Finds the paths of one block at a time; buffers are reused.
class BouncePaths::Solver {
  public:
    Solver(const ExchangeNet& net, const LightParts& parts, const BounceSolver& solver,
           std::span<const double> reflectance, std::span<const double> share_of_surface,
           std::size_t n_surfaces, double allowed)
        : net_(net),
          parts_(parts),
          solver_(solver),
          reflectance_(reflectance),
          share_of_surface_(share_of_surface),
          n_surfaces_(n_surfaces),
          first_ground_(parts.first_ground),
          allowed_(allowed),
          settled_(0.1 * allowed),
          shining_(net.size() * cases_at_once),
          leaving_(net.size() * cases_at_once),
          spill_m2_(net.size()),
          is_near_(net.size(), false) {}

    Block find(std::size_t first_surface) {
        shine(first_surface);
        double spilt_m2 = 0;
        for (int ring = 0; ring < most_rings; ++ring) {
            std::sort(near_.begin(), near_.end());
            solver_.solve_among(near_, roughly, shining_, leaving_);
            spilt_m2 = spill();
            const double may_be_left_m2 = allowed_ * sent_m2();
            if (spilt_m2 <= may_be_left_m2) break;
            take_in_brightest(may_be_left_m2);
        }
        std::sort(near_.begin(), near_.end());
        solver_.solve_among(near_, settled_, shining_, leaving_);
        Block block = kept(spilt_m2);
        clear();
        return block;
    }

  private:
    static constexpr int most_rings = 4;
    /// What tells which parts lie near enough, of the brightest light.
    static constexpr double roughly = 1e-3;

    /// What each part gets where surface after surface shines alone, one W/m2 on its own
    /// cases_at_once.
    void shine(std::size_t first_surface) {
        const std::size_t end = std::min(first_surface + surfaces_in_a_block, n_surfaces_);
        for (std::size_t s = first_surface; s < end; ++s) {
            const std::size_t lane = 2 * (s - first_surface);
            for (auto p = parts_.surface_begin[s]; p < parts_.surface_begin[s + 1]; ++p) {
                for (auto e = net_.row_begin[p]; e < net_.row_begin[p + 1]; ++e) {
                    const std::uint32_t q = net_.column[e];
                    shining_[q * cases_at_once + lane + (q < first_ground_ ? 0 : 1)] +=
                        share_of_surface_[p] * net_.share[e] / net_.area_m2[q];
                    take_in(q);
                }
            }
        }
    }

    void take_in(std::uint32_t node) {
        if (is_near_[node]) return;
        is_near_[node] = true;
        near_.push_back(node);
    }

    double light_of(std::uint32_t node) const {
        const double* own = leaving_.data() + node * cases_at_once;
        double sum = 0;
        for (std::size_t k = 0; k < cases_at_once; ++k) sum += own[k];
        return sum;
    }

    /// All that the near parts send to the surfaces of the block.
    double sent_m2() const {
        double sum = 0;
        for (const std::uint32_t p : near_) sum += net_.area_m2[p] * light_of(p);
        return sum;
    }

    /// What near parts would have from the others: by reciprocity what they send to these.
    double spill() {
        for (const std::uint32_t q : touched_) spill_m2_[q] = 0;
        touched_.clear();
        double sum = 0;
        for (const std::uint32_t p : near_) {
            const double light_m2 = net_.area_m2[p] * light_of(p);
            for (auto e = net_.row_begin[p]; e < net_.row_begin[p + 1]; ++e) {
                const std::uint32_t q = net_.column[e];
                if (is_near_[q] || reflectance_[q] <= 0) continue;
                const double spilt_m2 = reflectance_[q] * net_.share[e] * light_m2;
                if (spill_m2_[q] <= 0) touched_.push_back(q);
                spill_m2_[q] += spilt_m2;
                sum += spilt_m2;
            }
        }
        return sum;
    }

    /// The parts with the most spilt light, until the rest may be left out.
    void take_in_brightest(double may_be_left_m2) {
        std::vector<std::uint32_t> dim = touched_;
        std::sort(dim.begin(), dim.end(), [&](std::uint32_t a, std::uint32_t b) {
            return std::pair(spill_m2_[a], a) < std::pair(spill_m2_[b], b);
        });
        double left_m2 = 0;
        for (const std::uint32_t q : dim) {
            left_m2 += spill_m2_[q];
            if (left_m2 > 0.5 * may_be_left_m2) take_in(q);
        }
    }

    /// The weights, without those parts that together send too little to count.
    Block kept(double spilt_m2) const {
        const double all_m2 = sent_m2();
        std::vector<std::uint32_t> by_light = near_;
        std::sort(by_light.begin(), by_light.end(), [&](std::uint32_t a, std::uint32_t b) {
            return std::pair(net_.area_m2[a] * light_of(a), a) <
                   std::pair(net_.area_m2[b] * light_of(b), b);
        });
        std::size_t dropped = 0;
        double dropped_m2 = 0;
        for (; dropped < by_light.size(); ++dropped) {
            const std::uint32_t p = by_light[dropped];
            const double next_m2 = dropped_m2 + net_.area_m2[p] * light_of(p);
            if (next_m2 > allowed_ * all_m2) break;
            dropped_m2 = next_m2;
        }
        Block block;
        block.node.assign(by_light.begin() + static_cast<std::ptrdiff_t>(dropped), by_light.end());
        std::sort(block.node.begin(), block.node.end());
        block.weight.reserve(block.node.size() * cases_at_once);
        for (const std::uint32_t p : block.node) {
            for (std::size_t k = 0; k < cases_at_once; ++k) {
                block.weight.push_back(net_.area_m2[p] * leaving_[p * cases_at_once + k]);
            }
        }
        block.weight_single.assign(block.weight.begin(), block.weight.end());
        block.neglected = all_m2 > 0 ? (spilt_m2 + dropped_m2) / all_m2 : 0;
        return block;
    }

    void clear() {
        for (const std::uint32_t p : near_) {
            std::fill_n(shining_.begin() + static_cast<std::ptrdiff_t>(p * cases_at_once),
                        cases_at_once, 0.0);
            std::fill_n(leaving_.begin() + static_cast<std::ptrdiff_t>(p * cases_at_once),
                        cases_at_once, 0.0);
            is_near_[p] = false;
        }
        near_.clear();
    }

    const ExchangeNet& net_;
    const LightParts& parts_;
    const BounceSolver& solver_;
    std::span<const double> reflectance_, share_of_surface_;
    std::size_t n_surfaces_;
    std::uint32_t first_ground_;
    double allowed_, settled_;
    std::vector<double> shining_, leaving_;  // [part * cases_at_once + path]
    std::vector<double> spill_m2_;           // #parts
    std::vector<std::uint32_t> touched_;     // with spill
    std::vector<bool> is_near_;              // #parts
    std::vector<std::uint32_t> near_;
};

BouncePaths::BouncePaths(const ExchangeNet& net, const LightParts& parts,
                         const BounceSolver& solver, std::span<const double> reflectance,
                         std::span<const double> share_of_surface, std::size_t n_surfaces,
                         const BouncePathOptions& options)
    : n_parts_(net.size()), n_surfaces_(n_surfaces) {
    NOONSHELL_CHECK_EQ(parts.size(), net.size());
    NOONSHELL_CHECK_EQ(reflectance.size(), net.size());
    NOONSHELL_CHECK_EQ(share_of_surface.size(), net.size());
    blocks_.resize((n_surfaces + surfaces_in_a_block - 1) / surfaces_in_a_block);
    const std::size_t runs = std::min(blocks_.size(), most_block_runs);
    for_each_task(options.threads, runs, [&](std::size_t run) {
        Solver finder(net, parts, solver, reflectance, share_of_surface, n_surfaces,
                      0.5 * options.neglected);
        for (std::size_t b = blocks_.size() * run / runs; b < blocks_.size() * (run + 1) / runs;
             ++b) {
            blocks_[b] = finder.find(b * surfaces_in_a_block);
        }
    });
    for (const Block& block : blocks_) neglected_ = std::max(neglected_, block.neglected);
}

template <class Weigh>
void BouncePaths::gather_blocks(const Weigh& weigh_block, std::span<double> from_surfaces_w_m2,
                                std::span<double> from_ground_w_m2) const {
    NOONSHELL_CHECK_EQ(from_surfaces_w_m2.size(), n_surfaces_ * cases_at_once);
    NOONSHELL_CHECK_EQ(from_ground_w_m2.size(), n_surfaces_ * cases_at_once);
    std::array<double, cases_at_once * cases_at_once> light;
    const auto copy = [&](std::size_t path, std::span<double> to, std::size_t surface) {
        std::copy_n(light.begin() + static_cast<std::ptrdiff_t>(path * cases_at_once),
                    cases_at_once,
                    to.begin() + static_cast<std::ptrdiff_t>(surface * cases_at_once));
    };
    for (std::size_t b = 0; b < blocks_.size(); ++b) {
        weigh_block(blocks_[b], light.data());
        const std::size_t first = b * surfaces_in_a_block;
        const std::size_t count = std::min(surfaces_in_a_block, n_surfaces_ - first);
        for (std::size_t s = 0; s < count; ++s) {
            copy(2 * s, from_surfaces_w_m2, first + s);
            copy(2 * s + 1, from_ground_w_m2, first + s);
        }
    }
}

void BouncePaths::gather(std::span<const double> arriving_w_m2,
                         std::span<double> from_surfaces_w_m2,
                         std::span<double> from_ground_w_m2) const {
    NOONSHELL_CHECK_EQ(arriving_w_m2.size(), n_parts_ * cases_at_once);
    gather_blocks(
        [&](const Block& block, double* light) {
            weigh(block.node.data(), block.weight.data(), block.node.size(), arriving_w_m2.data(),
                  light);
        },
        from_surfaces_w_m2, from_ground_w_m2);
}

void BouncePaths::gather(std::span<const float> arriving_w_m2, std::span<const std::uint8_t> any,
                         std::span<double> from_surfaces_w_m2,
                         std::span<double> from_ground_w_m2) const {
    NOONSHELL_CHECK_EQ(arriving_w_m2.size(), n_parts_ * cases_at_once);
    NOONSHELL_CHECK_EQ(any.size(), n_parts_);
    gather_blocks(
        [&](const Block& block, double* light) {
            weigh_some(block.node.data(), block.weight_single.data(), block.node.size(),
                       arriving_w_m2.data(), any.data(), light);
        },
        from_surfaces_w_m2, from_ground_w_m2);
}

}  // namespace noonshell
