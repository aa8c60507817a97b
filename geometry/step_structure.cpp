#include "geometry/step_structure.hpp"

#include <algorithm>
#include <array>
#include <iterator>
#include <string_view>
#include <unordered_set>
#include <utility>

#include "geometry/step_amends.hpp"

namespace noonshell {

namespace {

bool holds_any(std::string_view text, const auto& words) {
    return std::ranges::any_of(words,
                               [&](std::string_view word) { return text.find(word) != text.npos; });
}

/// Records that point at shape without holding it: styles, notes, properties.
bool only_points_at(std::string_view keyword) {
    constexpr std::array<std::string_view, 11> words = {
        "STYLED_ITEM",  "_PRESENTATION",       "ANNOTATION",  "DRAUGHTING",
        "SHAPE_ASPECT", "ITEM_SPECIFIC",       "IDENTIFIED",  "LAYER",
        "ASSOCIATION",  "PROPERTY_DEFINITION", "INVISIBILITY"};
    return keyword.starts_with("PRESENTATION") || holds_any(keyword, words);
}

bool is_representation(std::string_view keyword) {
    return keyword.find("REPRESENTATION") != keyword.npos || keyword == "MAPPED_ITEM";
}

/// Records that tie a representation to a product or to another representation.
bool is_link(std::string_view keyword) {
    return keyword.find("DEFINITION_REPRESENTATION") != keyword.npos ||
           keyword.find("RELATIONSHIP") != keyword.npos;
}

/// Relationships that place one product in another, not two descriptions of one product.
bool is_placement(std::string_view keyword) {
    return keyword.find("WITH_TRANSFORMATION") != keyword.npos ||
           keyword == "CONTEXT_DEPENDENT_SHAPE_REPRESENTATION";
}

bool holds_shape(std::string_view keyword) {
    constexpr std::array<std::string_view, 7> words = {"SHELL", "BREP",  "SOLID",         "FACE",
                                                       "MODEL", "SHAPE", "REPRESENTATION"};
    return !only_points_at(keyword) && keyword.find("PRODUCT") == keyword.npos &&
           keyword.find("SURFACE_CURVE") == keyword.npos &&
           keyword.find("DEFINITIONAL") == keyword.npos && holds_any(keyword, words);
}

std::string keyword_of(const StepValue& record) {
    if (record.kind != StepValue::Kind::list) return record.text;
    std::string joined;
    for (const StepValue& entity : record.items) {
        joined += (joined.empty() ? "" : " ") + entity.text;
    }
    return joined;
}

/// Whether an item_defined_transformation leaves out what it goes from or to.
bool lacks_a_place(const StepValue& record) {
    const auto is_place = [&](std::size_t i) {
        return record.at(i).kind == StepValue::Kind::reference;
    };
    return record.is("ITEM_DEFINED_TRANSFORMATION") && !(is_place(2) && is_place(3));
}

void collect_references(const StepValue& value, std::vector<std::uint32_t>& out) {
    if (value.kind == StepValue::Kind::reference) out.push_back(value.reference);
    for (const StepValue& item : value.items) collect_references(item, out);
}

}  // namespace

StepStructure::StepStructure(const StepRecords& records)
    : records_(records), numbers_(records.numbers()) {
    for (const std::uint32_t number : numbers_) {
        const StepValue record = records.read(number);
        auto& references = references_[number];
        references.clear();  // of two records with one number the first counts, as in StepRecords
        collect_references(record, references);
        keywords_[number] = keyword_of(record);
    }
    std::unordered_set<std::uint32_t> seen;
    for (const std::uint32_t number : numbers_) {
        if (!seen.insert(number).second) continue;
        for (const std::uint32_t to : references_of(number)) referrers_[to].push_back(number);
        const std::string& kind = keyword(number);
        if (kind == "ADVANCED_FACE" || kind == "FACE_SURFACE") faces_.push_back(number);
    }
    for (const std::uint32_t number : numbers_) {
        const std::string& kind = keyword(number);
        const bool bound = kind == "FACE_BOUND" || kind == "FACE_OUTER_BOUND" ||
                           kind == "EDGE_LOOP" || kind == "POLY_LOOP" || kind == "ORIENTED_EDGE";
        if (bound && referrers_of(number).empty()) stray_bounds_.push_back(number);
    }
    collect_missing();
}

void StepStructure::collect_missing() {
    std::unordered_set<std::uint32_t> seen;
    for (const std::uint32_t number : numbers_) {
        for (const std::uint32_t to : references_of(number)) {
            if (has(to) || !seen.insert(to).second) continue;
            const bool held = std::ranges::any_of(
                referrers_of(to), [&](std::uint32_t r) { return !only_points_at(keyword(r)); });
            if (!held) continue;
            missing_.push_back({to, number});
            const bool shape = std::ranges::any_of(
                referrers_of(to), [&](std::uint32_t r) { return holds_shape(keyword(r)); });
            if (shape) missing_shapes_.push_back(to);
        }
    }
    std::ranges::sort(missing_shapes_);
}

const std::string& StepStructure::keyword(std::uint32_t entity) const {
    static const std::string none;
    const auto found = keywords_.find(entity);
    return found == keywords_.end() ? none : found->second;
}

bool StepStructure::refers(std::uint32_t entity, std::uint32_t other) const {
    return std::ranges::find(references_of(entity), other) != references_of(entity).end();
}

const std::vector<std::uint32_t>& StepStructure::referrers_of(std::uint32_t entity) const {
    static const std::vector<std::uint32_t> none;
    const auto found = referrers_.find(entity);
    return found == referrers_.end() ? none : found->second;
}

const std::vector<std::uint32_t>& StepStructure::references_of(std::uint32_t entity) const {
    static const std::vector<std::uint32_t> none;
    const auto found = references_.find(entity);
    return found == references_.end() ? none : found->second;
}

std::uint32_t StepStructure::nearest_missing(std::uint32_t entity) const {
    const auto distance = [&](std::uint32_t m) { return m > entity ? m - entity : entity - m; };
    std::uint32_t nearest = 0;
    const auto after = std::ranges::lower_bound(missing_shapes_, entity);
    if (after != missing_shapes_.begin()) nearest = *std::prev(after);
    if (after == missing_shapes_.end()) return nearest;
    return nearest == 0 || distance(*after) < distance(nearest) ? *after : nearest;
}

/// What refers to `entity` as a part of itself; where that is nothing, a missing record.
std::vector<std::uint32_t> StepStructure::holders_of(std::uint32_t entity) const {
    std::vector<std::uint32_t> holders;
    for (const std::uint32_t r : referrers_of(entity)) {
        if (!only_points_at(keyword(r))) holders.push_back(r);
    }
    const std::string& kind = keyword(entity);
    if (holders.empty() && holds_shape(kind) && !is_link(kind)) {
        if (const std::uint32_t missing = nearest_missing(entity); missing != 0) {
            holders.push_back(missing);
        }
    }
    return holders;
}

std::uint32_t StepStructure::body_of(std::uint32_t face) const {
    constexpr int highest = 8;  // face, shell, solid, and what may orient or join them
    std::uint32_t at = face, below = face;
    for (int level = 0; level < highest; ++level) {
        std::uint32_t up = 0;
        for (const std::uint32_t holder : holders_of(at)) {
            const std::string& kind = keyword(holder);
            // What a link refers to is a representation, also where it is missing.
            if (is_link(kind) && !has(at)) return below;
            if (is_representation(kind)) return at;
            if (up == 0) up = holder;
        }
        if (up == 0) return at;
        below = std::exchange(at, up);
    }
    return at;
}

/// The product_definition whose product_definition_shape `record` refers to; 0: it does not.
std::uint32_t StepStructure::definition_behind(std::uint32_t record) const {
    for (const std::uint32_t shape : references_of(record)) {
        if (keyword(shape) != "PRODUCT_DEFINITION_SHAPE") continue;
        for (const std::uint32_t definition : references_of(shape)) {
            if (keyword(definition).starts_with("PRODUCT_DEFINITION")) return definition;
        }
    }
    return 0;
}

std::uint32_t StepStructure::definition_of(std::uint32_t entity) const {
    std::vector<std::uint32_t> queue{entity};
    std::unordered_set<std::uint32_t> seen{entity};
    for (std::size_t i = 0; i < queue.size(); ++i) {
        for (const std::uint32_t holder : holders_of(queue[i])) {
            const std::string& kind = keyword(holder);
            if (is_placement(kind)) continue;
            if (const std::uint32_t found = definition_behind(holder); found != 0) return found;
            if (seen.insert(holder).second) queue.push_back(holder);
            if (kind.find("REPRESENTATION_RELATIONSHIP") == kind.npos) continue;
            for (const std::uint32_t partner : references_of(holder)) {
                if (seen.insert(partner).second) queue.push_back(partner);
            }
        }
    }
    return 0;
}

MissingRecord StepStructure::missing_below(std::uint32_t entity) const {
    std::vector<std::uint32_t> queue{entity};
    std::unordered_set<std::uint32_t> seen{entity};
    for (std::size_t i = 0; i < queue.size(); ++i) {
        for (const std::uint32_t to : references_of(queue[i])) {
            if (!has(to)) return {to, queue[i]};
            if (seen.insert(to).second) queue.push_back(to);
        }
    }
    return {};
}

MissingRecord StepStructure::missing_in_shape_of(std::uint32_t definition) const {
    for (const std::uint32_t shape : referrers_of(definition)) {
        if (keyword(shape) != "PRODUCT_DEFINITION_SHAPE") continue;
        for (const std::uint32_t link : referrers_of(shape)) {
            if (!is_representation(keyword(link))) continue;
            for (const std::uint32_t to : references_of(link)) {
                if (to == shape) continue;
                const MissingRecord missing = missing_in(to, link);
                if (missing.number != 0) return missing;
            }
        }
    }
    return {};
}

/// The first missing record that a representation, or a further description of the same product
/// that is tied to it, needs.
MissingRecord StepStructure::missing_in(std::uint32_t representation, std::uint32_t link) const {
    if (!has(representation)) return {representation, link};
    if (const MissingRecord own = missing_below(representation); own.number != 0) return own;
    for (const std::uint32_t tie : referrers_of(representation)) {
        const std::string& kind = keyword(tie);
        if (kind.find("REPRESENTATION_RELATIONSHIP") == kind.npos || is_placement(kind)) continue;
        if (const MissingRecord found = missing_below(tie); found.number != 0) return found;
    }
    return {};
}

/// The product_definition that a context_dependent_shape_representation places; 0 where neither the
/// occurrence nor the relationship tells.
std::uint32_t StepStructure::placed_by(std::uint32_t placement) const {
    const StepValue record = records_.read(placement);
    const StepValue occurrence =
        records_.read(records_.read(record.at(1).reference).at(2).reference);
    if (const std::uint32_t related = occurrence.at(4).reference; has(related)) return related;
    const StepValue relation = records_.read(record.at(0).reference);
    const std::uint32_t part = relation.entity("REPRESENTATION_RELATIONSHIP").at(2).reference;
    return part == 0 ? 0 : definition_of(part);
}

std::vector<std::pair<std::uint32_t, MissingRecord>> StepStructure::badly_placed() const {
    std::vector<std::pair<std::uint32_t, MissingRecord>> found;
    for (const std::uint32_t number : numbers_) {
        if (keyword(number) != "CONTEXT_DEPENDENT_SHAPE_REPRESENTATION") continue;
        // What the parts themselves lack is their own loss.
        MissingRecord missing;
        const auto look = [&](std::uint32_t referrer) {
            for (const std::uint32_t to : references_of(referrer)) {
                if (missing.number == 0 && !has(to)) missing = {to, referrer};
            }
        };
        look(number);
        for (const std::uint32_t to : references_of(number)) {
            look(to);
            for (const std::uint32_t next : references_of(to)) {
                if (keyword(next).find("TRANSFORMATION") == std::string::npos) continue;
                if (missing.number == 0) missing = missing_below(next);
                if (missing.number == 0 && lacks_a_place(records_.read(next)))
                    missing = {first_unset_location, next};
            }
        }
        if (missing.number == 0) continue;
        if (const std::uint32_t part = placed_by(number); part != 0) {
            found.emplace_back(part, missing);
        }
    }
    // What is placed in a part goes where the part goes.
    std::unordered_map<std::uint32_t, std::vector<std::uint32_t>> placed_in;
    for (const std::uint32_t number : numbers_) {
        if (keyword(number) != "NEXT_ASSEMBLY_USAGE_OCCURRENCE") continue;
        const StepValue occurrence = records_.read(number);
        placed_in[occurrence.at(3).reference].push_back(occurrence.at(4).reference);
    }
    std::unordered_set<std::uint32_t> seen;
    for (const auto& entry : found) seen.insert(entry.first);
    for (std::size_t i = 0; i < found.size(); ++i) {
        const auto inner = placed_in.find(found[i].first);
        if (inner == placed_in.end()) continue;
        for (const std::uint32_t part : inner->second) {
            if (has(part) && seen.insert(part).second) found.emplace_back(part, found[i].second);
        }
    }
    return found;
}

}  // namespace noonshell
