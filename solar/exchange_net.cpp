#include "solar/exchange_net.hpp"

#include <algorithm>
#include <cmath>

#include "geometry/diagnostics.hpp"

namespace noonshell {

namespace {

using Entry = SeenAreas::Entry;

/// Entries by row, then column, with repeats summed in the order in which they stand.
void sort_and_sum(std::vector<Entry>& entries) {
    std::stable_sort(entries.begin(), entries.end(), [](const Entry& a, const Entry& b) {
        return std::pair(a.from, a.to) < std::pair(b.from, b.to);
    });
    std::size_t kept = 0;
    for (std::size_t e = 0; e < entries.size(); ++e) {
        if (kept > 0 && entries[kept - 1].from == entries[e].from &&
            entries[kept - 1].to == entries[e].to) {
            entries[kept - 1].area_m2 += entries[e].area_m2;
        } else {
            entries[kept++] = entries[e];
        }
    }
    entries.resize(kept);
}

/// One value for both ways. A share F counted on N rays of a node A makes A F uncertain by
/// A sqrt(F / N): the estimates of both ways are weighed by their rays per area.
std::vector<Entry> averaged(const SeenAreas& seen) {
    std::vector<Entry> both;
    both.reserve(2 * seen.entries.size());
    const auto density = [&](std::size_t i) { return seen.n_rays[i] / seen.area_m2[i]; };
    for (const Entry& e : seen.entries) {
        if (seen.area_m2[e.from] <= 0 || seen.area_m2[e.to] <= 0) continue;
        const double part = e.area_m2 * density(e.from) / (density(e.from) + density(e.to));
        both.push_back({e.from, e.to, part});
        both.push_back({e.to, e.from, part});
    }
    sort_and_sum(both);
    return both;
}

/// Factors d with d_i (sum_j G_ij d_j + open_i) = area_i, by the damped iteration of symmetric
/// matrix scaling; the last step gives exact row sums where it has converged.
std::vector<double> closing_factors(const ExchangeNet& net, const SeenAreas& seen) {
    constexpr int most_sweeps = 1000;
    constexpr double settled = 1e-13;
    std::vector<double> factor(net.size(), 1.0);
    for (int sweep = 0; sweep < most_sweeps; ++sweep) {
        double moved = 0;
        for (std::size_t i = 0; i < net.size(); ++i) {
            if (seen.area_m2[i] <= 0) continue;
            double sum = seen.sky[i] + seen.ground[i] + seen.context[i];
            for (auto e = net.row_begin[i]; e < net.row_begin[i + 1]; ++e) {
                sum += net.share[e] * factor[net.column[e]];
            }
            if (sum <= 0) continue;
            const double next = std::sqrt(factor[i] * seen.area_m2[i] / sum);
            moved = std::max(moved, std::abs(next - factor[i]));
            factor[i] = next;
        }
        if (moved < settled) break;
    }
    return factor;
}

void set_rows(const std::vector<Entry>& entries, ExchangeNet& net) {
    for (const Entry& e : entries) {
        while (net.row_begin.size() <= e.from) {
            net.row_begin.push_back(static_cast<std::uint32_t>(net.share.size()));
        }
        net.column.push_back(e.to);
        net.share.push_back(e.area_m2);
    }
    net.row_begin.resize(net.size() + 1, static_cast<std::uint32_t>(net.share.size()));
}

}  // namespace

double largest_change(const ExchangeNet& net, const SeenAreas& seen) {
    std::vector<Entry> counted = seen.entries;
    sort_and_sum(counted);
    double largest = 0;
    auto next = counted.begin();
    for (std::uint32_t i = 0; i < net.size(); ++i) {
        for (auto e = net.row_begin[i]; e < net.row_begin[i + 1]; ++e) {
            while (next != counted.end() &&
                   std::pair(next->from, next->to) < std::pair(i, net.column[e])) {
                ++next;
            }
            const bool same = next != counted.end() && next->from == i && next->to == net.column[e];
            const double before = same ? next->area_m2 / net.area_m2[i] : 0.0;
            largest = std::max(largest, std::abs(net.share[e] - before));
        }
    }
    return largest;
}

ExchangeNet reciprocal_net(const SeenAreas& seen) {
    ExchangeNet net;
    net.area_m2 = seen.area_m2;
    set_rows(averaged(seen), net);
    const std::vector<double> factor = closing_factors(net, seen);
    for (std::size_t i = 0; i < net.size(); ++i) {
        const double scale = seen.area_m2[i] > 0 ? factor[i] / seen.area_m2[i] : 0;
        for (auto e = net.row_begin[i]; e < net.row_begin[i + 1]; ++e) {
            net.share[e] *= factor[net.column[e]] * scale;
        }
        net.sky_share.push_back(seen.sky[i] * scale);
        net.ground_share.push_back(seen.ground[i] * scale);
        net.context_share.push_back(seen.context[i] * scale);
        net.horizon_share.push_back(seen.area_m2[i] > 0 ? seen.horizon[i] / seen.area_m2[i] : 0);
    }
    return net;
}

ExchangeNet joined_nodes(const ExchangeNet& net, std::span<const std::uint32_t> group_of,
                         std::size_t n_groups) {
    NOONSHELL_CHECK_EQ(group_of.size(), net.size());
    ExchangeNet joined;
    joined.area_m2.assign(n_groups, 0.0);
    for (auto* field :
         {&joined.sky_share, &joined.horizon_share, &joined.ground_share, &joined.context_share}) {
        field->assign(n_groups, 0.0);
    }
    std::vector<Entry> entries;
    for (std::uint32_t i = 0; i < net.size(); ++i) {
        const std::uint32_t group = group_of[i];
        if (group >= n_groups) continue;
        const double area = net.area_m2[i];
        joined.area_m2[group] += area;
        joined.sky_share[group] += area * net.sky_share[i];
        joined.horizon_share[group] += area * net.horizon_share[i];
        joined.ground_share[group] += area * net.ground_share[i];
        joined.context_share[group] += area * net.context_share[i];
        for (auto e = net.row_begin[i]; e < net.row_begin[i + 1]; ++e) {
            const std::uint32_t other = group_of[net.column[e]];
            if (other < n_groups) {
                entries.push_back({group, other, area * net.share[e]});
            } else {
                joined.ground_share[group] += area * net.share[e];
            }
        }
    }
    sort_and_sum(entries);
    set_rows(entries, joined);
    for (std::size_t g = 0; g < n_groups; ++g) {
        if (joined.area_m2[g] <= 0) continue;
        for (auto* field : {&joined.sky_share, &joined.horizon_share, &joined.ground_share,
                            &joined.context_share}) {
            (*field)[g] /= joined.area_m2[g];
        }
        for (auto e = joined.row_begin[g]; e < joined.row_begin[g + 1]; ++e) {
            joined.share[e] /= joined.area_m2[g];
        }
    }
    return joined;
}

SeenAreas joined_nodes(const SeenAreas& seen, std::span<const std::uint32_t> group_of,
                       std::size_t n_groups) {
    NOONSHELL_CHECK_EQ(group_of.size(), seen.area_m2.size());
    SeenAreas joined(n_groups);
    for (std::size_t i = 0; i < group_of.size(); ++i) {
        const std::uint32_t group = group_of[i];
        if (group >= n_groups) continue;
        joined.area_m2[group] += seen.area_m2[i];
        joined.n_rays[group] += seen.n_rays[i];
        joined.sky[group] += seen.sky[i];
        joined.horizon[group] += seen.horizon[i];
        joined.ground[group] += seen.ground[i];
        joined.context[group] += seen.context[i];
    }
    for (const Entry& e : seen.entries) {
        const std::uint32_t from = group_of[e.from], to = group_of[e.to];
        if (from >= n_groups) continue;
        if (to < n_groups) {
            joined.entries.push_back({from, to, e.area_m2});
        } else {
            joined.ground[from] += e.area_m2;
        }
    }
    return joined;
}

}  // namespace noonshell
