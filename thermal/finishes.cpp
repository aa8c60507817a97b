#include "thermal/finishes.hpp"

#include <algorithm>
#include <array>
#include <string>

#include "thermal/treatment_rules.hpp"

namespace noonshell {

namespace {

/// On one wall, from the steel outwards; a film is alone on its pane.
constexpr std::array kinds_outwards = {TreatmentKind::outside_insulation,
                                       TreatmentKind::vented_cladding, TreatmentKind::coating,
                                       TreatmentKind::window_film};

/// Sets of `fitting` with at most one of each kind, the empty one first.
std::vector<std::vector<std::size_t>> sets_of(const std::vector<std::size_t>& fitting,
                                              std::span<const Treatment> treatments) {
    std::vector<std::vector<std::size_t>> sets = {{}};
    for (const std::size_t t : fitting) {
        const std::size_t n = sets.size();
        for (std::size_t i = 0; i < n; ++i) {
            const bool taken = std::any_of(sets[i].begin(), sets[i].end(), [&](std::size_t other) {
                return treatments[other].kind == treatments[t].kind;
            });
            if (taken) continue;
            sets.push_back(sets[i]);
            sets.back().push_back(t);
        }
    }
    std::stable_sort(sets.begin(), sets.end(),
                     [](const auto& a, const auto& b) { return a.size() < b.size(); });
    return sets;
}

}  // namespace

std::vector<Finish> finishes_of(const Envelope& envelope, std::span<const Treatment> treatments) {
    std::vector<Finish> finishes;
    for (std::size_t s = 0; s < envelope.surfaces.size(); ++s) {
        const Surface& surface = envelope.surfaces[s];
        std::vector<std::size_t> fitting;
        for (std::size_t t = 0; t < treatments.size(); ++t) {
            if (fits(treatments[t], surface)) fitting.push_back(t);
        }
        for (std::vector<std::size_t>& set : sets_of(fitting, treatments)) {
            if (set.empty() || !may_stand_together(set, treatments)) continue;
            Finish finish{.surface = SurfaceId(s), .treatments = std::move(set)};
            for (const std::size_t t : finish.treatments) {
                finish.cost += cost_of(treatments[t], surface.exposed_area_m2);
                finish.upkeep_per_year += upkeep_per_year(treatments[t], surface.exposed_area_m2);
            }
            finishes.push_back(std::move(finish));
        }
    }
    return finishes;
}

Construction defended(const Construction& base, std::span<const Treatment* const> treatments) {
    Construction out = base;
    for (const TreatmentKind kind : kinds_outwards) {
        for (const Treatment* treatment : treatments) {
            if (treatment->kind == kind) out = treated(out, *treatment);
        }
    }
    return out;
}

Construction finished(const Construction& base, const Finish& finish,
                      std::span<const Treatment> treatments) {
    std::vector<const Treatment*> together;
    for (const std::size_t t : finish.treatments) together.push_back(&treatments[t]);
    return defended(base, together);
}

std::string finish_name(const Finish& finish, std::span<const Treatment> treatments) {
    std::string name;
    for (auto kind = kinds_outwards.rbegin(); kind != kinds_outwards.rend(); ++kind) {
        for (const std::size_t t : finish.treatments) {
            if (treatments[t].kind != *kind) continue;
            name += (name.empty() ? "" : " over ") + treatments[t].name;
        }
    }
    return name;
}

}  // namespace noonshell
