#include "solar/faced_suns.hpp"

#include <algorithm>

namespace noonshell {

namespace {

constexpr std::uint32_t unused = ~0u;

/// The nearest direction that is in front of the facets and above the horizon by a hair.
Vec3 in_front(Vec3 direction, const Vec3& normal) {
    constexpr double hair = 2e-3;           // sine of the angle
    for (int turn = 0; turn < 4; ++turn) {  // the two planes may be far from square
        direction += std::max(0.0, hair - normal.dot(direction)) * normal;
        direction.z() += std::max(0.0, hair - direction.z());
        direction.normalize();
    }
    return direction;
}

/// Collects what all steps in front of the facets read from nodes.
class SunFacer {
  public:
    SunFacer(const SunRun& run, const Vec3& normal)
        : run_(run),
          normal_(normal),
          number_(run.grid.empty() ? run.path.size() : run.grid.node.size(), unused) {}

    FacedSuns face() {
        number_nodes();
        for (auto* sums : {&suns_.direct_wh_m2, &suns_.sun_time_h}) {
            sums->assign(suns_.n_nodes(), 0.0);
        }
        place_in_row_.assign(suns_.n_nodes(), 0);
        suns_.row_begin.push_back(0);
        for (const SunRow& row : run_.rows) add(row);
        for (Bin& bin : bins_) close(bin);
        return std::move(suns_);
    }

  private:
    struct Bin {
        std::uint32_t bin = 0;
        std::vector<double> direct_wh_m2, circumsolar_wh_m2;  // #nodes
    };

    template <class Take>
    void for_each_node(std::uint32_t step, const Take& take) const {
        if (run_.grid.empty()) return take(step, 1.0);
        for (std::size_t k = 0; k < SunGrid::stencil; ++k) {
            const double weight = static_cast<double>(run_.grid.weights_of_step[step][k]);
            if (weight != 0) take(run_.grid.nodes_of_step[step][k], weight);
        }
    }

    double cosine_of(std::uint32_t step) const { return normal_.dot(run_.path.direction[step]); }
    bool meets(std::uint32_t step) const {
        return cosine_of(step) > 0 && !run_.path.is_hidden(step);
    }

    void number_nodes() {
        for (const SunRow& row : run_.rows) {
            for (std::uint32_t step = row.begin; step < row.end; ++step) {
                if (!meets(step)) continue;
                for_each_node(step, [&](std::uint32_t node, double) { number_[node] = 0; });
            }
        }
        for (std::uint32_t node = 0; node < number_.size(); ++node) {
            if (number_[node] == unused) continue;
            number_[node] = static_cast<std::uint32_t>(suns_.n_nodes());
            suns_.direction.push_back(run_.grid.empty() ? run_.path.direction[node]
                                                        : in_front(run_.grid.node[node], normal_));
            suns_.sun.push_back(sun_vector(suns_.direction.back()));
        }
    }

    Bin& bin_of(std::uint32_t bin) {
        for (Bin& b : bins_) {
            if (b.bin == bin) return b;
        }
        const std::vector<double> none(suns_.n_nodes(), 0.0);
        bins_.push_back({bin, none, none});
        return bins_.back();
    }

    /// Of its hour's beam what the row has: less than all where a few suns stand for others.
    double share_of(const SunRow& row) const {
        double sum = 0;
        for (std::uint32_t step = row.begin; step < row.end; ++step)
            sum += run_.path.beam_share_of(step, row.end - row.begin);
        return sum;
    }

    void add(const SunRow& row) {
        const double per_share = 1.0 / share_of(row);
        const double step_h = run_.path.step_s / 3600;
        Bin& bin = bin_of(row.bin);
        for (std::uint32_t step = row.begin; step < row.end; ++step) {
            const double share = run_.path.beam_share_of(step, row.end - row.begin) * per_share;
            const double mean_cosine = std::max(0.0, cosine_of(step)) * share;
            const double direct = row.direct_normal_w_m2 * mean_cosine;
            suns_.unshaded_wh_m2 += direct;
            if (!meets(step)) continue;
            for_each_node(step, [&](std::uint32_t node, double weight) {
                const std::uint32_t i = number_[node];
                suns_.direct_wh_m2[i] += weight * direct;
                bin.direct_wh_m2[i] += weight * direct;
                bin.circumsolar_wh_m2[i] += weight * row.circumsolar_w_m2 * mean_cosine;
                if (row.direct_normal_w_m2 > 0) suns_.sun_time_h[i] += weight * step_h;
                add_to_row(i, weight * mean_cosine);
            });
        }
        suns_.row_begin.push_back(static_cast<std::uint32_t>(suns_.row_node.size()));
    }

    void add_to_row(std::uint32_t node, double weight) {
        const std::uint32_t place = place_in_row_[node];
        if (place >= suns_.row_begin.back() && place < suns_.row_node.size() &&
            suns_.row_node[place] == node) {
            suns_.row_weight[place] += static_cast<float>(weight);
            return;
        }
        place_in_row_[node] = static_cast<std::uint32_t>(suns_.row_node.size());
        suns_.row_node.push_back(node);
        suns_.row_weight.push_back(static_cast<float>(weight));
    }

    /// Cuts off the nodes before and after those that the bin has something at.
    void close(const Bin& bin) {
        const auto any = [&](std::size_t i) {
            return bin.direct_wh_m2[i] != 0 || bin.circumsolar_wh_m2[i] != 0;
        };
        std::size_t begin = 0, end = suns_.n_nodes();
        while (begin < end && !any(begin)) ++begin;
        while (begin < end && !any(end - 1)) --end;
        if (begin == end) return;
        const auto cut = [&](const std::vector<double>& sums) {
            return std::vector<double>(sums.begin() + static_cast<std::ptrdiff_t>(begin),
                                       sums.begin() + static_cast<std::ptrdiff_t>(end));
        };
        suns_.bins.push_back({bin.bin, static_cast<std::uint32_t>(begin), cut(bin.direct_wh_m2),
                              cut(bin.circumsolar_wh_m2)});
    }

    const SunRun& run_;
    Vec3 normal_;
    std::vector<std::uint32_t> number_;        // of nodes of the grid in suns_
    std::vector<std::uint32_t> place_in_row_;  // of a node when it was last in one, #nodes
    std::vector<Bin> bins_;
    FacedSuns suns_;
};

}  // namespace

FacedSuns faced_suns(const SunRun& run, const Vec3& normal) {
    return SunFacer(run, normal).face();
}

std::shared_ptr<const FacedSuns> FacedSunsStore::of(const Vec3& normal) {
    constexpr std::size_t most_entries = 32;
    const auto find = [&]() -> std::shared_ptr<const FacedSuns> {
        for (const Entry& entry : entries_) {
            if (entry.normal == normal) return entry.suns;
        }
        return nullptr;
    };
    {
        const std::scoped_lock lock(mutex_);
        if (auto known = find()) return known;
    }
    // Two threads may make the same one side by side: they come out alike.
    auto made = std::make_shared<const FacedSuns>(faced_suns(run_, normal));
    const std::scoped_lock lock(mutex_);
    if (auto known = find()) return known;
    if (entries_.size() < most_entries) entries_.push_back({normal, made});
    return made;
}

}  // namespace noonshell
