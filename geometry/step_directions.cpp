#include "geometry/step_directions.hpp"

#include <algorithm>
#include <charconv>
#include <unordered_set>

namespace noonshell {

namespace {

constexpr std::string_view blank = " \t\r\n";

/// A record as it stands: its number and what follows its keyword.
struct KeywordRecord {
    std::uint32_t number = 0;
    std::string_view parameters;  ///< from '(' on
};

/// Number before "=" at the end of `before`; 0 where the text does not end so.
std::uint32_t number_before(std::string_view before) {
    const auto equals = before.find_last_not_of(blank);
    if (equals == before.npos || before[equals] != '=') return 0;
    const auto last = before.find_last_not_of(blank, equals - (equals > 0 ? 1 : 0));
    if (last == before.npos || equals == 0) return 0;
    const auto hash = before.find_last_not_of("0123456789", last);
    if (hash == before.npos || before[hash] != '#') return 0;
    std::uint32_t number = 0;
    std::from_chars(before.data() + hash + 1, before.data() + last + 1, number);
    return number;
}

/// Calls `visit` for each record whose only entity is `keyword`.
template <class Visit>
void for_each_record(std::string_view text, std::string_view keyword, const Visit& visit) {
    for (auto at = text.find(keyword); at != text.npos; at = text.find(keyword, at + 1)) {
        const auto open = text.find_first_not_of(blank, at + keyword.size());
        if (open == text.npos || text[open] != '(') continue;
        const std::uint32_t number = number_before(text.substr(0, at));
        if (number == 0) continue;
        visit(KeywordRecord{number, text.substr(open)});
    }
}

/// What stands behind the name, which may hold anything: from the first comma outside it.
std::string_view behind_name(std::string_view parameters) {
    bool quoted = false;
    for (std::size_t i = 1; i < parameters.size(); ++i) {
        quoted ^= parameters[i] == '\'';
        if (!quoted && parameters[i] == ',') return parameters.substr(i + 1);
        if (!quoted && parameters[i] == ';') break;
    }
    return {};
}

/// The list of a direction, with its brackets; empty where there is none.
std::string_view list_of(std::string_view parameters) {
    const std::string_view rest = behind_name(parameters);
    const auto open = rest.find_first_not_of(blank);
    if (open == rest.npos || rest[open] != '(') return {};
    const auto close = rest.find_first_of(");", open);
    if (close == rest.npos || rest[close] != ')') return {};
    return rest.substr(open, close + 1 - open);
}

struct Ratios {
    std::size_t n = 0;
    bool any = false;  ///< one of them is not 0
};

/// What is no number counts as one that is not 0: the kernel tells it.
Ratios ratios_of(std::string_view list) {
    Ratios ratios;
    for (std::size_t at = 1; at < list.size();) {
        const auto end = std::min(list.find_first_of(",)", at), list.size());
        std::string_view item = list.substr(at, end - at);
        item.remove_prefix(std::min(item.find_first_not_of(blank), item.size()));
        if (!item.empty()) {
            if (item.front() == '+') item.remove_prefix(1);
            double value = 0;
            const auto read = std::from_chars(item.data(), item.data() + item.size(), value);
            ++ratios.n;
            ratios.any = ratios.any || read.ec != std::errc{} || value != 0;
        }
        at = end + 1;
    }
    return ratios;
}

/// References from the second one behind the name on, with what follows: the axes of a placement.
template <class Visit>
void for_each_axis(std::string_view parameters, const Visit& visit) {
    std::string_view rest = behind_name(parameters);
    rest = rest.substr(0, rest.find_first_of(");"));
    for (auto comma = rest.find(','); comma != rest.npos; comma = rest.find(',', comma + 1)) {
        const auto hash = rest.find_first_not_of(blank, comma + 1);
        if (hash == rest.npos || rest[hash] != '#') continue;
        std::uint32_t number = 0;
        std::from_chars(rest.data() + hash + 1, rest.data() + rest.size(), number);
        visit(number, rest.substr(hash));
    }
}

}  // namespace

std::vector<OddDirection> odd_directions(std::string_view text) {
    constexpr std::size_t of_space = 3;
    std::vector<OddDirection> odd;
    std::unordered_set<std::uint32_t> no_axes;
    for_each_record(text, "DIRECTION", [&](const KeywordRecord& record) {
        const std::string_view list = list_of(record.parameters);
        if (list.empty()) return;
        const Ratios ratios = ratios_of(list);
        if (!ratios.any || ratios.n != of_space) no_axes.insert(record.number);
    });
    if (no_axes.empty()) return odd;
    for (const std::string_view keyword : {"AXIS2_PLACEMENT_3D", "AXIS1_PLACEMENT"}) {
        for_each_record(text, keyword, [&](const KeywordRecord& record) {
            for_each_axis(record.parameters, [&](std::uint32_t axis, std::string_view rest) {
                if (!no_axes.contains(axis)) return;
                const std::size_t length =
                    std::min(rest.find_first_not_of("0123456789", 1), rest.size());
                odd.push_back({axis, record.number,
                               static_cast<std::size_t>(rest.data() - text.data()), length});
            });
        });
    }
    std::ranges::sort(odd, {}, &OddDirection::at);
    return odd;
}

std::string with_default_axes(std::string_view text, const std::vector<OddDirection>& of) {
    std::string out;
    std::size_t done = 0;
    for (const OddDirection& odd : of) {
        out += text.substr(done, odd.at - done);
        out += '$';
        done = odd.at + odd.length;
    }
    return out += text.substr(done);
}

}  // namespace noonshell
