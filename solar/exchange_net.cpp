#include "solar/exchange_net.hpp"

#include <algorithm>
#include <cmath>

#include "geometry/diagnostics.hpp"

namespace noonshell {

namespace {

using Entry = SeenAreas::Entry;

/// Entries by row, then column, with repeats summed in the order in which they stand; `n` nodes.
void sort_and_sum(std::vector<Entry>& entries, std::size_t n) {
    constexpr std::uint32_t none = ~0u;
    std::vector<std::size_t> begin(n + 1, 0);
    for (const Entry& e : entries) ++begin[e.from + 1];
    for (std::size_t i = 0; i < n; ++i) begin[i + 1] += begin[i];
    std::vector<Entry> by_row(entries.size());
    std::vector<std::size_t> next(begin.begin(), begin.end() - 1);
    for (const Entry& e : entries) by_row[next[e.from]++] = e;
    entries.clear();
    std::vector<std::uint32_t> place(n, none), columns;
    std::vector<double> sum(n);
    for (std::uint32_t i = 0; i < n; ++i) {
        columns.clear();
        for (std::size_t e = begin[i]; e < begin[i + 1]; ++e) {
            const std::uint32_t to = by_row[e].to;
            if (place[to] != i) {
                place[to] = i;
                sum[to] = 0;
                columns.push_back(to);
            }
            sum[to] += by_row[e].area_m2;
        }
        std::sort(columns.begin(), columns.end());
        for (const std::uint32_t to : columns) entries.push_back({i, to, sum[to]});
    }
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
    sort_and_sum(both, seen.area_m2.size());
    return both;
}

/// sum_j G_ij d_j of a net that still holds areas G.
double row_sum(const ExchangeNet& net, const std::vector<double>& factor, std::size_t i) {
    double sum = 0;
    for (auto e = net.row_begin[i]; e < net.row_begin[i + 1]; ++e) {
        sum += net.share[e] * factor[net.column[e]];
    }
    return sum;
}

/// Factors d with d_i sum_j G_ij d_j = area_i - open_i for nodes that see mostly others, whose
/// light would else leak or grow with every bounce, by the damped iteration of symmetric matrix
/// scaling; 1 for all others, whose counted areas carry more noise than that would mend. Two nodes
/// that see only each other may want different areas: then the factors stop at their bounds.
std::vector<double> closing_factors(const ExchangeNet& net, const SeenAreas& seen) {
    constexpr int most_sweeps = 1000;
    constexpr double settled = 1e-12, least = 0.2, most = 5, enclosed = 0.75;
    std::vector<double> factor(net.size(), 1.0);
    std::vector<std::size_t> rows;
    const auto wanted = [&](std::size_t i) {
        return seen.area_m2[i] - seen.sky[i] - seen.ground[i] - seen.context[i];
    };
    for (std::size_t i = 0; i < net.size(); ++i) {
        if (wanted(i) >= enclosed * seen.area_m2[i] && row_sum(net, factor, i) > 0) {
            rows.push_back(i);
        }
    }
    for (int sweep = 0; sweep < most_sweeps; ++sweep) {
        double moved = 0;
        for (const std::size_t i : rows) {
            const double next =
                std::clamp(std::sqrt(factor[i] * wanted(i) / row_sum(net, factor, i)), least, most);
            moved = std::max(moved, std::abs(next - factor[i]));
            factor[i] = next;
        }
        if (moved < settled) break;
    }
    // No node may send out more than all: rows above that are scaled down, which can only lower
    // the others, so that those within it stay within it.
    const auto part_sent = [&](std::size_t i) {
        return factor[i] * row_sum(net, factor, i) / seen.area_m2[i];
    };
    rows.clear();
    for (std::size_t i = 0; i < net.size(); ++i) {
        if (seen.area_m2[i] > 0 && part_sent(i) > 1) rows.push_back(i);
    }
    for (int sweep = 0; sweep < most_sweeps; ++sweep) {
        double excess = 0;
        for (const std::size_t i : rows) {
            const double part = part_sent(i);
            excess = std::max(excess, part - 1);
            if (part > 1) factor[i] /= part;
        }
        if (excess < settled) break;
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

double ExchangeNet::share_of_nodes(std::size_t i) const {
    double sum = 0;
    for (auto e = row_begin[i]; e < row_begin[i + 1]; ++e) sum += share[e];
    return sum;
}

double largest_change(const ExchangeNet& net, const SeenAreas& seen) {
    std::vector<Entry> counted = seen.entries;
    sort_and_sum(counted, net.size());
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
        const double per_area = seen.area_m2[i] > 0 ? 1 / seen.area_m2[i] : 0;
        for (auto e = net.row_begin[i]; e < net.row_begin[i + 1]; ++e) {
            net.share[e] *= factor[i] * factor[net.column[e]] * per_area;
        }
        net.sky_share.push_back(seen.sky[i] * per_area);
        net.ground_share.push_back(seen.ground[i] * per_area);
        net.context_share.push_back(seen.context[i] * per_area);
        net.horizon_share.push_back(seen.horizon[i] * per_area);
    }
    return net;
}

ExchangeNet joined_nodes(const ExchangeNet& net, const NodeGroups& groups) {
    const auto& [group_of, n_groups, first_ground] = groups;
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
                (other < first_ground ? joined.context_share : joined.ground_share)[group] +=
                    area * net.share[e];
            }
        }
    }
    sort_and_sum(entries, n_groups);
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
        const double open = joined.sky_share[g] + joined.ground_share[g] + joined.context_share[g];
        if (open <= 0) continue;
        const double scale = std::max(0.0, 1 - joined.share_of_nodes(g)) / open;
        for (auto* field : {&joined.sky_share, &joined.ground_share, &joined.context_share}) {
            (*field)[g] *= scale;
        }
    }
    return joined;
}

SeenAreas joined_nodes(const SeenAreas& seen, const NodeGroups& groups) {
    const auto& [group_of, n_groups, first_ground] = groups;
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
            (to < first_ground ? joined.context : joined.ground)[from] += e.area_m2;
        }
    }
    return joined;
}

}  // namespace noonshell
