#include "geometry/occt_faults.hpp"

#include <algorithm>
#include <vector>

#include "geometry/occt_document.hpp"
#include "geometry/step_amends.hpp"

namespace noonshell {

namespace {

constexpr std::size_t n_named = 3;

/// The type of an entity; of an entity of several types the first.
std::string type_of(std::uint32_t entity, const StepStructure& structure) {
    const std::string& types = structure.keyword(entity);
    return types.substr(0, types.find(' '));
}

std::string text_of(const FaultyEntity& fault, const OcctDocument& loaded,
                    const StepStructure& structure) {
    const std::uint32_t entity = fault.step_entity;
    const std::string text = hash(entity) + " " + type_of(entity, structure);
    for (const MissingRecord& missing : structure.missing()) {
        if (structure.refers(entity, missing.number)) {
            if (missing.number >= first_unset_location) return text + " has no location";
            return text + " refers to " + hash(missing.number) + ", which is missing";
        }
    }
    if (const std::uint32_t odd = unknown_type_in(entity, loaded, structure); odd != 0) {
        return text + " refers to " + hash(odd) + ", of the unknown type " + structure.keyword(odd);
    }
    return fault.complaint.empty() ? text : text + ": " + fault.complaint;
}

std::string list_of(const std::vector<std::string>& texts, std::size_t n) {
    std::string list;
    for (const std::string& text : texts) list += (list.empty() ? "" : "; ") + text;
    return n > texts.size() ? list + "; and " + std::to_string(n - texts.size()) + " more" : list;
}

}  // namespace

std::string hash(std::uint32_t number) {
    return number == 0 ? std::string{} : "#" + std::to_string(number);
}

std::string told(const MissingRecord& missing) {
    if (missing.number >= first_unset_location)
        return "the placement " + hash(missing.referrer) + " has no location";
    return hash(missing.number) + ", to which " + hash(missing.referrer) +
           " refers, is missing in the file";
}

std::string told_of_placement(const MissingRecord& missing) {
    const bool unset = missing.number >= first_unset_location;
    return told(missing) + (unset ? "; the origin was taken" : "");
}

std::uint32_t unknown_type_in(std::uint32_t entity, const OcctDocument& loaded,
                              const StepStructure& structure) {
    const auto found = std::ranges::find_if(
        loaded.unknown_types, [&](std::uint32_t odd) { return structure.refers(entity, odd); });
    return found == loaded.unknown_types.end() ? 0 : *found;
}

void name_faults(const OcctDocument& loaded, const StepStructure& structure, Model& model) {
    std::vector<std::string> texts;
    const auto warning =
        std::ranges::find(model.warnings, std::string("faulty-entities"), &Warning::code);
    if (warning != model.warnings.end()) {
        for (std::size_t i = 0; i < std::min(n_named, loaded.faulty.size()); ++i) {
            texts.push_back(text_of(loaded.faulty[i], loaded, structure));
        }
        warning->text += ": " + list_of(texts, loaded.faulty.size());
        return;
    }
    const auto& missing = structure.missing();
    if (missing.empty()) return;
    for (std::size_t i = 0; i < std::min(n_named, missing.size()); ++i) {
        texts.push_back(told(missing[i]));
    }
    model.warnings.push_back(
        {"faulty-entities", "parts may be missing or misplaced: " + list_of(texts, missing.size()),
         hash(missing.front().referrer)});
}

}  // namespace noonshell
