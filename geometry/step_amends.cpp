#include "geometry/step_amends.hpp"

#include <algorithm>
#include <map>
#include <set>

#include "geometry/step_edit.hpp"
#include "geometry/step_leave_out.hpp"
#include "geometry/step_records.hpp"

namespace noonshell {

namespace {

constexpr std::string_view placement_keyword = "AXIS2_PLACEMENT_3D";
constexpr std::uint32_t most_unset = 1'000'000;

std::string hash(std::uint32_t number) {
    return "#" + std::to_string(number);
}

/// The definitions that the records of the structure name and the file lacks; ascending.
std::set<std::uint32_t> lost_definitions(const StepRecords& records) {
    std::set<std::uint32_t> named;
    for (const std::uint32_t number : records.with("NEXT_ASSEMBLY_USAGE_OCCURRENCE")) {
        const StepValue record = records.read(number);
        for (const std::size_t end : {3, 4}) named.insert(record.at(end).reference);
    }
    for (const std::uint32_t number : records.with("SHAPE_DEFINITION_REPRESENTATION")) {
        const StepValue shape = records.read(records.read(number).at(0).reference);
        if (shape.is("PRODUCT_DEFINITION_SHAPE")) named.insert(shape.at(2).reference);
    }
    std::erase_if(named, [&](std::uint32_t definition) {
        return definition == 0 || !records.body(definition).empty();
    });
    return named;
}

/// Formations that no product_definition is of; ascending.
std::vector<std::uint32_t> unclaimed_formations(const StepRecords& records) {
    std::set<std::uint32_t> unclaimed;
    for (const char* name :
         {"PRODUCT_DEFINITION_FORMATION", "PRODUCT_DEFINITION_FORMATION_WITH_SPECIFIED_SOURCE"}) {
        for (const std::uint32_t number : records.with(name)) {
            if (records.read(number).is(name)) unclaimed.insert(number);
        }
    }
    for (const char* name :
         {"PRODUCT_DEFINITION", "PRODUCT_DEFINITION_WITH_ASSOCIATED_DOCUMENTS"}) {
        for (const std::uint32_t number : records.with(name))
            unclaimed.erase(records.read(number).entity(name).at(2).reference);
    }
    return {unclaimed.begin(), unclaimed.end()};
}

/// No record bears it, and none refers to it.
std::uint32_t unused_number(const StepRecords& records) {
    std::uint32_t highest = 0;
    for (const std::uint32_t number : records.numbers()) {
        highest = std::max(highest, number);
        for (const std::uint32_t to : references(records.body(number)))
            highest = std::max(highest, to);
    }
    return highest + 1;
}

/// What stands for a location that is not there, and the number that takes its place.
struct Unset {
    std::size_t length;
    std::uint32_t number;
};

/// A point of a plane: where one of space is wanted, the kernel crashes.
bool is_flat_point(const StepValue& record) {
    constexpr std::size_t of_space = 3;
    return record.is("CARTESIAN_POINT") && record.at(1).items.size() != of_space;
}

std::string first_of(const StepRecords& records, std::initializer_list<const char*> keywords) {
    for (const char* keyword : keywords) {
        const auto found = records.with(keyword);
        if (!found.empty()) return hash(found.front());
    }
    return "$";
}

}  // namespace

std::optional<std::string> with_named_locations(std::string_view text) {
    const StepRecords records(text);
    std::map<std::size_t, Unset> unset;  // by place in the text
    for (const std::uint32_t number : records.with(placement_keyword)) {
        const StepValue record = records.read(number);
        if (!record.is(placement_keyword) || unset.size() == most_unset) continue;
        const bool flat = is_flat_point(records.read(record.at(1).reference));
        if (record.at(1).kind != StepValue::Kind::missing && !flat) continue;
        // After the name, which may hold anything: what stands behind its closing mark.
        const std::string_view body = records.body(number);
        std::size_t at = body.find('(');
        bool quoted = false;
        while (at < body.size() && (quoted || body[at] != ',')) quoted ^= body[at++] == '\'';
        at = body.find_first_not_of(", \t\r\n", at);
        if (at == body.npos || (body[at] != (flat ? '#' : '$') && body[at] != '*')) continue;
        const std::size_t end = body.find_first_not_of("0123456789", at + 1);
        unset.emplace(
            static_cast<std::size_t>(body.data() - text.data()) + at,
            Unset{end - at, first_unset_location + static_cast<std::uint32_t>(unset.size())});
    }
    if (unset.empty()) return std::nullopt;
    std::string out;
    std::size_t done = 0;
    for (const auto& [at, location] : unset) {
        out += text.substr(done, at - done);
        out += hash(location.number);
        done = at + location.length;
    }
    return out += text.substr(done);
}

std::optional<AmendedText> with_lost_definitions(std::string_view text) {
    const StepRecords records(text);
    const std::set<std::uint32_t> lost = lost_definitions(records);
    if (lost.empty()) return std::nullopt;
    const std::vector<std::uint32_t> unclaimed = unclaimed_formations(records);
    const std::string stage = first_of(records, {"PRODUCT_DEFINITION_CONTEXT", "DESIGN_CONTEXT"});
    const std::string trade = first_of(records, {"PRODUCT_CONTEXT", "MECHANICAL_CONTEXT"});
    std::uint32_t next = unused_number(records);
    std::map<std::uint32_t, std::string> added;
    auto formation = unclaimed.begin();
    for (const std::uint32_t definition : lost) {
        std::uint32_t of = 0;
        if (unclaimed.size() == lost.size()) {
            of = *formation++;
        } else {
            added[next] = "PRODUCT('','','',(" + (trade == "$" ? std::string{} : trade) + "))";
            of = next + 1;
            added[of] = "PRODUCT_DEFINITION_FORMATION('',''," + hash(next) + ")";
            next += 2;
        }
        added[definition] = "PRODUCT_DEFINITION('',''," + hash(of) + "," + stage + ")";
    }
    return AmendedText{StepOwners::with_stand_ins(std::string(text), {}, added),
                       {lost.begin(), lost.end()}};
}

}  // namespace noonshell
