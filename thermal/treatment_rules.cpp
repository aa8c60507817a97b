#include "thermal/treatment_rules.hpp"

#include <algorithm>
#include <iomanip>
#include <map>
#include <set>
#include <sstream>
#include <string>
#include <vector>

#include "geometry/diagnostics.hpp"

namespace noonshell {

namespace {

using NameList = std::vector<std::string>;

InputError rule_error(const Treatment& treatment, const char* field, std::string expected,
                      std::string seen) {
    return InputError({.entity = "treatment \"" + treatment.name + "\": " + field},
                      std::move(expected), std::move(seen));
}

/// Without zeros at its end.
std::string plain_number(double value) {
    constexpr int digits = 10;
    std::ostringstream text;
    text << std::setprecision(digits) << value;
    return text.str();
}

std::size_t index_of(std::string_view name, std::span<const Treatment> treatments) {
    const auto found = std::ranges::find(treatments, name, &Treatment::name);
    return static_cast<std::size_t>(found - treatments.begin());
}

void check_names(const Treatment& treatment, const char* field, const NameList& names,
                 std::span<const Treatment> treatments) {
    for (const std::string& name : names) {
        if (name == treatment.name)
            throw rule_error(treatment, field, "names of other treatments", "its own");
        if (index_of(name, treatments) == treatments.size())
            throw rule_error(treatment, field, "names of treatments", "\"" + name + "\"");
    }
}

bool exclude_each_other(const Treatment& a, const Treatment& b) {
    const auto lists = [](const NameList& list, const std::string& name) {
        return std::ranges::find(list, name) != list.end();
    };
    return lists(a.excludes, b.name) || lists(b.excludes, a.name);
}

/// Adds all that treatment `t` needs, however indirectly; `path` leads to it.
void follow_needs(std::size_t t, std::span<const Treatment> treatments,
                  std::vector<std::size_t>& path, std::set<std::size_t>& needed) {
    path.push_back(t);
    for (const std::string& name : treatments[t].needs) {
        const std::size_t next = index_of(name, treatments);
        const auto before = std::ranges::find(path, next);
        if (before != path.end()) {
            std::string circle;
            for (auto i = before; i != path.end(); ++i)
                circle += "\"" + treatments[*i].name + "\" needs ";
            throw rule_error(treatments[*before], "needs", "needs that end somewhere",
                             circle + "\"" + name + "\"");
        }
        if (needed.insert(next).second) follow_needs(next, treatments, path, needed);
    }
    path.pop_back();
}

void check_needs(std::size_t t, std::span<const Treatment> treatments) {
    std::vector<std::size_t> path;
    std::set<std::size_t> together = {t};
    follow_needs(t, treatments, path, together);
    for (const std::size_t a : together) {
        for (const std::size_t b : together) {
            if (a >= b) continue;
            const std::string both =
                "\"" + treatments[a].name + "\" and \"" + treatments[b].name + "\"";
            if (exclude_each_other(treatments[a], treatments[b]))
                throw rule_error(treatments[t], "needs", "treatments that can stand together",
                                 both + ", which exclude each other");
            if (treatments[a].kind == treatments[b].kind)
                throw rule_error(treatments[t], "needs", "treatments that can stand together",
                                 both + ", which are of one kind");
            if (treatments[a].is_of_panes() != treatments[b].is_of_panes())
                throw rule_error(treatments[t], "needs", "treatments that can stand together",
                                 both + ", of which only one goes on panes");
        }
    }
}

}  // namespace

void validate_together(std::span<const Treatment> treatments) {
    std::map<std::string, double> price_of_call_out;
    for (const Treatment& treatment : treatments) {
        check_names(treatment, "excludes", treatment.excludes, treatments);
        check_names(treatment, "needs", treatment.needs, treatments);
        if (treatment.call_out.empty()) continue;
        const auto [seen, is_new] =
            price_of_call_out.emplace(treatment.call_out, treatment.call_out_cost);
        if (!is_new && seen->second != treatment.call_out_cost)
            throw rule_error(treatment, "call_out_cost",
                             "the price that call-out \"" + treatment.call_out +
                                 "\" has elsewhere, " + plain_number(seen->second),
                             plain_number(treatment.call_out_cost));
    }
    for (std::size_t t = 0; t < treatments.size(); ++t) check_needs(t, treatments);
}

void require_suitable_glass(std::span<const Treatment> treatments, const Envelope& envelope,
                            const Building& building) {
    for (const Treatment& treatment : treatments) {
        if (!treatment.film) continue;
        for (std::size_t s = 0; s < envelope.surfaces.size(); ++s) {
            if (fits(treatment, envelope.surfaces[s]))
                require_suits(*treatment.film, building.exposed[s],
                              "treatment \"" + treatment.name + "\" on " + envelope.surfaces[s].id);
        }
    }
}

std::vector<std::size_t> lacking_what_they_need(std::span<const Treatment> treatments,
                                                const Envelope& envelope) {
    std::vector<std::size_t> lacking;
    for (std::size_t t = 0; t < treatments.size(); ++t) {
        std::vector<std::size_t> path;
        std::set<std::size_t> needed;
        follow_needs(t, treatments, path, needed);
        bool fits_somewhere = false, can_stand = false;
        for (const Surface& surface : envelope.surfaces) {
            if (!fits(treatments[t], surface)) continue;
            fits_somewhere = true;
            can_stand = can_stand || std::ranges::all_of(needed, [&](std::size_t other) {
                            return fits(treatments[other], surface);
                        });
        }
        if (fits_somewhere && !can_stand) lacking.push_back(t);
    }
    return lacking;
}

bool may_stand_together(std::span<const std::size_t> together,
                        std::span<const Treatment> treatments) {
    for (const std::size_t a : together) {
        for (const std::string& name : treatments[a].needs) {
            const auto has_name = [&](std::size_t t) { return treatments[t].name == name; };
            if (std::ranges::none_of(together, has_name)) return false;
        }
        for (const std::size_t b : together) {
            if (a != b && exclude_each_other(treatments[a], treatments[b])) return false;
        }
    }
    return true;
}

}  // namespace noonshell
