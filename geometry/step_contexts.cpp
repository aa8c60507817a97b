#include "geometry/step_contexts.hpp"

#include <vector>

#include "geometry/step_records.hpp"

namespace noonshell {

namespace {

constexpr std::string_view space_keyword = "GEOMETRIC_REPRESENTATION_CONTEXT";
constexpr std::string_view plain_keyword = "REPRESENTATION_CONTEXT";

/// Where the units belong in a joined record: before the last of its entities, by their names.
std::size_t place_of_units(std::string_view record) {
    for (auto at = record.rfind(plain_keyword); at != record.npos && at > 0;
         at = record.rfind(plain_keyword, at - 1)) {
        if (record[at - 1] != '_') return at;
    }
    return record.npos;
}

/// Contexts of curves on surfaces have no units by rights.
bool lacks_units(std::string_view record) {
    const auto has = [&](std::string_view keyword) { return record.find(keyword) != record.npos; };
    return !has("GLOBAL_UNIT_ASSIGNED_CONTEXT") && !has("PARAMETRIC_REPRESENTATION_CONTEXT");
}

}  // namespace

std::optional<std::string> with_listed_units(std::string_view text) {
    std::vector<std::size_t> places;
    for (auto at = text.find(space_keyword); at != text.npos;
         at = text.find(space_keyword, at + 1)) {
        // Joined with others: "#1 = ( GEOMETRIC_REPRESENTATION_CONTEXT(3) ...".
        const auto before = at == 0 ? text.npos : text.find_last_not_of(" \t\r\n", at - 1);
        if (before == text.npos || text[before] != '(') continue;
        const auto end = StepRecords::end_of_record(text, before);
        const std::string_view record = text.substr(before, end - before);
        const auto place = place_of_units(record);
        if (place != record.npos && lacks_units(record)) places.push_back(before + place);
    }
    if (places.empty()) return std::nullopt;
    std::string out;
    std::size_t done = 0;
    for (const std::size_t place : places) {
        out += text.substr(done, place - done);
        out += "GLOBAL_UNIT_ASSIGNED_CONTEXT(()) ";
        done = place;
    }
    return out += text.substr(done);
}

}  // namespace noonshell
