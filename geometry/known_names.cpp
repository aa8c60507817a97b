#include "geometry/known_names.hpp"

#include <algorithm>
#include <map>
#include <utility>

#include "geometry/roles.hpp"

namespace noonshell {

namespace {

template <class Named>
NameList names_of(const Named& named) {
    return {named.name, named.id, named.path};
}

template <class Named>
std::vector<NameList> names_of_all(const std::vector<Named>& all) {
    std::vector<NameList> lists;
    for (const Named& named : all) lists.push_back(names_of(named));
    return lists;
}

/// Takes away present names that were, in the old model, those of one other body which has given
/// them up.
void forget_taken_names(const BodyMatches& matches, const std::vector<NameList>& old_names,
                        const std::vector<NameList>& new_names, std::vector<NameList>& known) {
    std::vector<std::uint32_t> new_of(old_names.size(), Change::none);
    for (const Change& change : matches.bodies) {
        if (change.matched()) new_of[change.old_index] = change.new_index;
    }
    for (std::size_t field = 0; field < 3; ++field) {
        std::map<std::string_view, std::vector<std::size_t>> bearers;
        for (std::size_t o = 0; o < old_names.size(); ++o)
            bearers[old_names[o][field]].push_back(o);
        for (std::size_t n = 0; n < new_names.size(); ++n) {
            const std::string& name = new_names[n][field];
            const auto found = bearers.find(name);
            if (found == bearers.end() || found->second.size() != 1) continue;
            const std::uint32_t now = new_of[found->second.front()];
            if (now == Change::none || now == n || new_names[now][field] == name) continue;
            known[n][field].clear();
        }
    }
}

/// Numbers of the matched bodies below each assembly, by their places in `matches`.
std::vector<std::vector<std::size_t>> matched_below(const Model& model, const BodyMatches& matches,
                                                    bool old) {
    std::vector<std::vector<std::size_t>> below(model.assemblies.size());
    for (std::size_t k = 0; k < matches.bodies.size(); ++k) {
        const Change& change = matches.bodies[k];
        if (!change.matched()) continue;
        std::int32_t a = model.bodies[old ? change.old_index : change.new_index].assembly;
        for (; a >= 0; a = model.assemblies[static_cast<std::size_t>(a)].parent)
            below[static_cast<std::size_t>(a)].push_back(k);
    }
    return below;
}

std::vector<NameList> former_assemblies(const BodyMatches& matches, const Model& old_model,
                                        const Model& new_model) {
    std::map<std::vector<std::size_t>, std::vector<std::size_t>> olds;
    const auto before = matched_below(old_model, matches, true);
    for (std::size_t o = 0; o < before.size(); ++o) {
        if (!before[o].empty()) olds[before[o]].push_back(o);
    }
    const auto after = matched_below(new_model, matches, false);
    std::map<std::vector<std::size_t>, std::size_t> n_seen;  // nested ones go by their depth
    std::vector<NameList> names(after.size());
    for (std::size_t n = 0; n < after.size(); ++n) {
        const auto found = olds.find(after[n]);
        if (found == olds.end()) continue;
        const std::size_t depth = std::min(n_seen[after[n]]++, found->second.size() - 1);
        NameList former = names_of(old_model.assemblies[found->second[depth]]);
        if (former != names_of(new_model.assemblies[n])) names[n] = std::move(former);
    }
    return names;
}

}  // namespace

bool any_matches(std::string_view pattern, const NameList& names) {
    return std::ranges::any_of(names, [pattern](const std::string& name) {
        return !name.empty() && matches_pattern(pattern, name);
    });
}

KnownNames present_names(const Model& model) {
    return {names_of_all(model.bodies), names_of_all(model.assemblies),
            std::vector<NameList>(model.bodies.size()),
            std::vector<NameList>(model.assemblies.size())};
}

KnownNames known_names(const BodyMatches& matches, const Model& old_model, const Model& new_model) {
    KnownNames known = present_names(new_model);
    const std::vector<NameList> old_names = names_of_all(old_model.bodies);
    const std::vector<NameList> new_names = known.bodies;
    for (const Change& change : matches.bodies) {
        if (!change.matched()) continue;
        const NameList& former = old_names[change.old_index];
        if (former != new_names[change.new_index]) known.former_bodies[change.new_index] = former;
    }
    forget_taken_names(matches, old_names, new_names, known.bodies);
    known.former_assemblies = former_assemblies(matches, old_model, new_model);
    return known;
}

}  // namespace noonshell
