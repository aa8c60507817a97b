#include "geometry/step_copies.hpp"

#include <algorithm>
#include <memory>
#include <set>

namespace noonshell {

namespace {

constexpr int deepest_assembly = 64;

NumberMap joined_maps(const NumberMap* a, const NumberMap* b) {
    NumberMap all;
    for (const NumberMap* map : {a, b}) {
        if (map != nullptr) all.insert(map->begin(), map->end());
    }
    return all;
}

/// A second product may not have the first one's id: readers would take both for one part.
std::string with_new_id(const std::string& product, std::size_t n) {
    const auto open = product.find('\'');
    if (open == product.npos) return product;
    std::size_t close = open;
    do {
        close = product.find('\'', close + 1);
        if (close == product.npos) return product;
    } while (product.compare(close, 2, "''") == 0 && ++close);
    return product.substr(0, close) + " copy " + std::to_string(n) + product.substr(close);
}

}  // namespace

StepParts::StepParts(StepEdit& edit)
    : edit_(edit), records_(edit.original()), placements_(records_) {
    find_parts();
    find_occurrences();
}

void StepParts::find_parts() {
    for (const auto number : records_.with("SHAPE_DEFINITION_REPRESENTATION")) {
        const StepValue link = records_.read(number);
        const std::uint32_t shape = link.at(0).reference;
        const StepValue shape_record = records_.read(shape);
        if (!shape_record.is("PRODUCT_DEFINITION_SHAPE")) continue;
        StepPart& part = parts_[shape_record.at(2).reference];
        part.definition = shape_record.at(2).reference;
        part.representations.push_back(link.at(1).reference);
        part.links.insert(part.links.end(), {number, shape});
        definition_of_[link.at(1).reference] = part.definition;
    }
    for (const auto number : records_.with("SHAPE_REPRESENTATION_RELATIONSHIP")) {
        const StepValue relation = records_.read(number);
        if (!relation.is("SHAPE_REPRESENTATION_RELATIONSHIP")) continue;
        const std::uint32_t a = relation.at(2).reference, b = relation.at(3).reference;
        const auto known =
            definition_of_.contains(a) ? definition_of_.find(a) : definition_of_.find(b);
        if (known == definition_of_.end()) continue;
        const std::uint32_t definition = known->second;
        const std::uint32_t other = known->first == a ? b : a;
        if (!definition_of_.try_emplace(other, definition).second) continue;
        parts_[definition].representations.push_back(other);
        parts_[definition].links.push_back(number);
    }
}

void StepParts::find_occurrences() {
    for (const auto number : records_.with("CONTEXT_DEPENDENT_SHAPE_REPRESENTATION")) {
        const StepValue link = records_.read(number);
        Occurrence use;
        use.placing = number;
        use.relation = link.at(0).reference;
        use.shape = link.at(1).reference;
        use.number = records_.read(use.shape).at(2).reference;
        const StepValue record = records_.read(use.number);
        if (!record.is("NEXT_ASSEMBLY_USAGE_OCCURRENCE")) continue;
        use.parent = record.at(3).reference;
        use.child = record.at(4).reference;
        use.move = records_.read(use.relation)
                       .entity("REPRESENTATION_RELATIONSHIP_WITH_TRANSFORMATION")
                       .at(0)
                       .reference;
        parts_[use.parent].definition = use.parent;
        parts_[use.parent].uses.push_back(use.number);
        parts_[use.child].definition = use.child;
        occurrence_order_.push_back(use.number);
        occurrences_[use.number] = use;
    }
}

bool StepParts::is_context(std::uint32_t number) const {
    const auto found = contexts_.find(number);
    if (found != contexts_.end()) return found->second;
    bool is = false;
    const std::string_view body = edit_.body(number);
    if (body.find("CONTEXT") != body.npos) {
        const StepValue record = records_.read(number);
        is = record.text.ends_with("_CONTEXT");
        for (const StepValue& item : record.items) {
            is = is || (record.kind == StepValue::Kind::list && item.text.ends_with("_CONTEXT"));
        }
    }
    contexts_[number] = is;
    return is;
}

std::vector<std::uint32_t> StepParts::reach(const std::vector<std::uint32_t>& from) const {
    std::set<std::uint32_t> seen;
    std::vector<std::uint32_t> open = from;
    while (!open.empty()) {
        const std::uint32_t number = open.back();
        open.pop_back();
        if (!edit_.has(number) || is_context(number) || !seen.insert(number).second) continue;
        for (const std::uint32_t next : references(edit_.body(number))) open.push_back(next);
    }
    return {seen.begin(), seen.end()};
}

/// In the order of StepPlacements::instances(): by use of the part, then by place of its parent.
std::vector<StepPlace> StepParts::paths_to(std::uint32_t definition, int depth) const {
    std::vector<StepPlace> paths;
    bool placed = false;
    for (const std::uint32_t number : occurrence_order_) {
        const Occurrence& use = occurrences_.at(number);
        if (use.child != definition) continue;
        placed = true;
        if (depth > deepest_assembly) continue;
        for (StepPlace& path : paths_to(use.parent, depth + 1)) {
            path.occurrences.push_back(number);
            paths.push_back(std::move(path));
        }
    }
    if (!placed) paths.emplace_back();
    return paths;
}

std::vector<StepPlace> StepParts::places(const StepPart& part) const {
    if (part.representations.empty()) return {};
    bool complete = true;
    const auto instances = placements_.instances(part.representations.front(), complete);
    std::vector<StepPlace> paths = paths_to(part.definition, 0);
    if (!complete || instances.size() != paths.size()) return {};
    for (std::size_t k = 0; k < paths.size(); ++k) paths[k].to_file = instances[k].to_model;
    return paths;
}

const NumberMap* StepParts::copy_of(std::uint32_t definition) {
    const StepPart& part = parts_.at(definition);
    std::vector<std::uint32_t> seeds = part.links;
    seeds.push_back(definition);
    const std::vector<std::uint32_t> old = reach(seeds);
    auto map = std::make_unique<NumberMap>();
    for (const std::uint32_t number : old) (*map)[number] = edit_.new_number();
    const std::size_t n = copies_.size() + 1;
    for (const std::uint32_t number : old) {
        std::string body = with_references(edit_.body(number), *map);
        const bool product = records_.read(number).is("PRODUCT");
        if (product) body = with_new_id(body, n);
        edit_.add(map->at(number), body);
        if (product) {
            edit_.add("PRODUCT_RELATED_PRODUCT_CATEGORY('part',$,(#" +
                      std::to_string(map->at(number)) + "))");
        }
    }
    copies_.push_back(std::move(map));
    return copies_.back().get();
}

void StepParts::place_child(const Occurrence& use, const NumberMap* parent,
                            const NumberMap* child) {
    if (parent == nullptr && child == nullptr) return;
    NumberMap map = joined_maps(parent, child);
    // Each end of the move lies in one representation; an axis may lie in both.
    const StepValue pair = records_.read(use.relation).entity("REPRESENTATION_RELATIONSHIP");
    const auto first = definition_of_.find(pair.at(2).reference);
    const bool child_first = first == definition_of_.end() || first->second != use.parent;
    const std::vector<std::uint32_t> ends = references(edit_.body(use.move));
    if (ends.size() == 2) {
        std::string body(edit_.body(use.move));
        const auto renumbered = [&](std::uint32_t end, bool of_child) {
            const NumberMap* own = of_child ? child : parent;
            return own != nullptr && own->contains(end) ? own->at(end) : end;
        };
        const auto at = body.find('#');
        body = body.substr(0, at) + "#" + std::to_string(renumbered(ends[0], child_first)) + ",#" +
               std::to_string(renumbered(ends[1], !child_first)) + ")";
        map[use.move] = edit_.add(body);
    }
    if (parent == nullptr) {
        for (const std::uint32_t number : {use.number, use.relation}) {
            edit_.replace(number, with_references(edit_.body(number), map));
        }
        return;
    }
    const auto records = {use.number, use.shape, use.relation, use.placing};
    for (const std::uint32_t number : records) map[number] = edit_.new_number();
    for (const std::uint32_t number : records) {
        edit_.add(map.at(number), with_references(edit_.body(number), map));
    }
}

/// The look of everything below a place; makes the copies on the way up.
std::string StepParts::look_below(std::uint32_t definition, std::vector<std::uint32_t>& path,
                                  const Looks& looks, Copies& copies) {
    std::string look;
    if (const auto own = looks.find({definition, path}); own != looks.end()) look = own->second;
    const std::vector<std::uint32_t> uses = parts_.at(definition).uses;
    std::vector<std::vector<std::uint32_t>> child_paths;
    for (const std::uint32_t number : uses) {
        if (path.size() > deepest_assembly) break;
        path.push_back(number);
        look += "[" + look_below(occurrences_.at(number).child, path, looks, copies) + "]";
        child_paths.push_back(path);
        path.pop_back();
    }
    const bool first = std::ranges::none_of(
        by_look_, [&](const auto& known) { return known.first.first == definition; });
    const auto [known, is_new] = by_look_.try_emplace({definition, look}, nullptr);
    if (is_new && !first) known->second = copy_of(definition);
    copies[{definition, path}] = known->second;
    for (std::size_t k = 0; is_new && k < child_paths.size(); ++k) {
        const Occurrence& use = occurrences_.at(uses[k]);
        place_child(use, known->second, copies.at({use.child, child_paths[k]}));
    }
    return look;
}

StepParts::Copies StepParts::separate(const Looks& looks) {
    Copies copies;
    std::set<std::uint32_t> children;
    for (const auto& [number, use] : occurrences_) children.insert(use.child);
    for (const auto& [definition, part] : std::map(parts_)) {
        if (children.contains(definition)) continue;
        std::vector<std::uint32_t> path;
        look_below(definition, path, looks, copies);
    }
    return copies;
}

}  // namespace noonshell
