#include "thermal/purchase_costs.hpp"

#include <algorithm>
#include <map>
#include <numeric>
#include <utility>

namespace noonshell {

PurchaseCosts::PurchaseCosts(const Envelope& envelope, std::span<const Treatment> treatments,
                             const std::vector<Finish>& finishes, std::span<const CallOut> paid)
    : finishes_(finishes), call_outs_of_(finishes.size()) {
    std::map<std::pair<std::size_t, std::string>, std::size_t> known;
    for (std::size_t f = 0; f < finishes.size(); ++f) {
        const UnitId unit = envelope.surfaces[finishes[f].surface.index()].unit;
        for (const std::size_t t : finishes[f].treatments) {
            if (treatments[t].call_out.empty()) continue;
            const auto [at, is_new] =
                known.emplace(std::pair(unit.index(), treatments[t].call_out), call_outs_.size());
            if (is_new) {
                const bool is_paid = std::ranges::any_of(paid, [&](const CallOut& call_out) {
                    return call_out.unit == unit && call_out.kind == treatments[t].call_out;
                });
                call_outs_.push_back(
                    {unit, treatments[t].call_out, is_paid ? 0 : treatments[t].call_out_cost});
            }
            call_outs_of_[f].push_back(at->second);
        }
        std::vector<std::size_t>& list = call_outs_of_[f];
        std::sort(list.begin(), list.end());
        list.erase(std::unique(list.begin(), list.end()), list.end());
    }
}

std::vector<CallOut> PurchaseCosts::call_outs_paid(const Choice& choice) const {
    std::vector<std::size_t> called;
    for (const std::size_t f : choice)
        called.insert(called.end(), call_outs_of_[f].begin(), call_outs_of_[f].end());
    std::sort(called.begin(), called.end());
    called.erase(std::unique(called.begin(), called.end()), called.end());
    std::vector<CallOut> paid;
    for (const std::size_t c : called) paid.push_back(call_outs_[c]);
    return paid;
}

double PurchaseCosts::call_out_cost(const Choice& choice) const {
    double sum = 0;
    for (const CallOut& call_out : call_outs_paid(choice)) sum += call_out.cost;
    return sum;
}

double PurchaseCosts::cost(const Choice& choice) const {
    double sum = 0;
    for (const std::size_t f : choice) sum += finishes_[f].cost;
    return sum + call_out_cost(choice);
}

double PurchaseCosts::upkeep_per_year(const Choice& choice) const {
    double sum = 0;
    for (const std::size_t f : choice) sum += finishes_[f].upkeep_per_year;
    return sum;
}

std::vector<BudgetOption> PurchaseCosts::options() const {
    std::vector<BudgetOption> options;
    for (std::size_t f = 0; f < finishes_.size(); ++f)
        options.push_back({.group = finishes_[f].surface.index(),
                           .cost = finishes_[f].cost,
                           .charges = call_outs_of_[f]});
    return options;
}

std::vector<BudgetCharge> PurchaseCosts::charges() const {
    std::vector<BudgetCharge> charges;
    for (const CallOut& call_out : call_outs_) charges.push_back({call_out.cost});
    return charges;
}

namespace {

/// Purchases of a choice by what binds them together, each list ascending.
std::vector<Choice> bound_together(const Choice& choice, const PurchaseCosts& costs) {
    std::vector<Choice> groups;
    std::vector<std::vector<std::size_t>> called;  // by each group
    for (const std::size_t f : choice) {
        Choice own = {f};
        std::vector<std::size_t> own_calls = costs.call_outs_of(f);
        for (std::size_t g = groups.size(); g-- > 0;) {
            const bool shared = std::ranges::any_of(own_calls, [&](std::size_t c) {
                return std::ranges::find(called[g], c) != called[g].end();
            });
            if (!shared) continue;
            own.insert(own.end(), groups[g].begin(), groups[g].end());
            own_calls.insert(own_calls.end(), called[g].begin(), called[g].end());
            groups.erase(groups.begin() + static_cast<std::ptrdiff_t>(g));
            called.erase(called.begin() + static_cast<std::ptrdiff_t>(g));
        }
        std::sort(own.begin(), own.end());
        groups.push_back(std::move(own));
        called.push_back(std::move(own_calls));
    }
    return groups;
}

}  // namespace

std::vector<std::size_t> order_of_work(const Choice& choice, std::span<const double> worth,
                                       const std::vector<Finish>& finishes,
                                       const PurchaseCosts& costs) {
    struct Group {
        Choice members;
        double worth = 0, cost = 0;
    };
    std::vector<Group> groups;
    for (Choice& members : bound_together(choice, costs)) {
        Group group{.members = std::move(members)};
        group.cost = costs.cost(group.members);
        for (const std::size_t f : group.members) group.worth += worth[f];
        std::stable_sort(group.members.begin(), group.members.end(),
                         [&](std::size_t a, std::size_t b) {
                             return worth[a] * finishes[b].cost > worth[b] * finishes[a].cost;
                         });
        groups.push_back(std::move(group));
    }
    std::sort(groups.begin(), groups.end(), [](const Group& a, const Group& b) {
        const double of_a = a.worth * b.cost, of_b = b.worth * a.cost;
        return of_a != of_b ? of_a > of_b : a.members.front() < b.members.front();
    });
    std::vector<std::size_t> order;
    for (const Group& group : groups)
        order.insert(order.end(), group.members.begin(), group.members.end());
    return order;
}

}  // namespace noonshell
