#include "solar/time_zone.hpp"

#include <date/tz.h>

#include <algorithm>
#include <cctype>
#include <chrono>
#include <limits>
#include <map>
#include <optional>
#include <regex>
#include <vector>

#include "geometry/diagnostics.hpp"

namespace noonshell {

namespace {

constexpr const char* what_is_wanted =
    "an IANA time zone such as Asia/Riyadh or an offset such as +03:30";

InputError unknown_zone(const std::string& zone, const std::string& nearest) {
    return {{}, what_is_wanted, "\"" + zone + "\"" + nearest};
}

/// "+03:30", "-7", "+0545", "UTC+5:45", "UTC", "Z"; nothing when the text has another form.
/// "GMT+5" is none of them: in zone names of the form Etc/GMT+5 the sign is turned round.
std::optional<double> plain_offset_h(const std::string& text) {
    if (text == "UTC" || text == "Z") return 0.0;
    static const std::regex form("(?:UTC)?([+-])([0-9]{1,2})(?::?([0-9]{2}))?");
    std::smatch part;
    if (!std::regex_match(text, part, form)) return std::nullopt;
    const double hours = std::stod(part[2]);
    const double minutes = part[3].matched ? std::stod(part[3]) : 0.0;
    const double offset_h = (part[1] == "-" ? -1.0 : 1.0) * (hours + minutes / 60.0);
    if (minutes >= 60.0 || offset_h < -12.0 || offset_h > 14.0) {
        throw InputError({}, "an offset from -12:00 to +14:00", "\"" + text + "\"");
    }
    return offset_h + 0.0;  // no negative zero
}

std::string lower(std::string text) {
    std::transform(text.begin(), text.end(), text.begin(),
                   [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    return text;
}

/// Levenshtein distance: insertions, deletions and replacements of one letter.
std::size_t edit_distance(const std::string& a, const std::string& b) {
    std::vector<std::size_t> row(b.size() + 1);
    for (std::size_t j = 0; j <= b.size(); ++j) row[j] = j;
    for (std::size_t i = 1; i <= a.size(); ++i) {
        std::size_t diagonal = row[0];
        row[0] = i;
        for (std::size_t j = 1; j <= b.size(); ++j) {
            const std::size_t replaced = diagonal + (a[i - 1] == b[j - 1] ? 0 : 1);
            diagonal = row[j];
            row[j] = std::min({replaced, row[j] + 1, row[j - 1] + 1});
        }
    }
    return row[b.size()];
}

const date::tzdb& time_zone_database() {
    try {
        static const date::tzdb& database = date::get_tzdb();  // one thread reads, the others wait
        return database;
    } catch (const std::runtime_error& error) {
        throw InputError({}, "the system's time zone database (package tzdata)", error.what());
    }
}

/// Files that stand among the zones but depend on the machine or hold no place.
bool is_place(const std::string& name) {
    return name != "localtime" && name != "posixrules" && name != "Factory";
}

/// Compares with the whole name and with its last part, so that "riyad" finds Asia/Riyadh too.
std::string nearest_zone(const std::string& zone) {
    const std::string wanted = lower(zone).substr(0, 64);
    std::string nearest;
    std::size_t smallest = std::numeric_limits<std::size_t>::max();
    for (const auto& known : time_zone_database().zones) {
        if (!is_place(known.name())) continue;
        const std::string name = lower(known.name());
        const std::size_t slash = name.find_last_of('/');
        std::size_t distance = edit_distance(wanted, name);
        if (slash != name.npos) {
            distance = std::min(distance, edit_distance(wanted, name.substr(slash + 1)) + 1);
        }
        if (distance < smallest) {
            smallest = distance;
            nearest = known.name();
        }
    }
    return nearest;
}

const date::time_zone& zone_by_name(const std::string& zone) {
    const auto& zones = time_zone_database().zones;
    const auto found = std::find_if(zones.begin(), zones.end(),
                                    [&](const auto& known) { return known.name() == zone; });
    if (found != zones.end() && is_place(zone)) return *found;
    const std::string nearest = nearest_zone(zone);
    throw unknown_zone(zone, nearest.empty() ? "; the system knows no zones (package tzdata)"
                                             : "; nearest known: " + nearest);
}

using Seconds = std::chrono::seconds;

/// How long each offset held within the year.
struct YearOffsets {
    std::map<Seconds, Seconds> standard;
    std::map<Seconds, Seconds> saving;
};

// For zones compiled by the system the library knows only whether saving is in force, not how much:
// `save` is 0 or 1 minute.
YearOffsets offsets_in_year(const date::time_zone& zone, int year) {
    const date::sys_seconds begin = date::sys_days{date::year{year} / 1 / 1};
    const date::sys_seconds end = date::sys_days{date::year{year + 1} / 1 / 1};
    YearOffsets held;
    for (date::sys_seconds t = begin; t < end;) {
        const date::sys_info info = zone.get_info(t);
        const date::sys_seconds until = std::min(info.end, end);
        auto& offsets = info.save == std::chrono::minutes{0} ? held.standard : held.saving;
        offsets[info.offset] += until - t;
        t = until;
    }
    return held;
}

/// The entry that held longest; of equals the smaller offset.
std::pair<Seconds, Seconds> longest(const std::map<Seconds, Seconds>& held) {
    return *std::max_element(held.begin(), held.end(),
                             [](const auto& a, const auto& b) { return a.second < b.second; });
}

/// Last standard offset before a year that lies wholly under daylight saving.
Seconds standard_before(const date::time_zone& zone, int year) {
    date::sys_seconds t = date::sys_days{date::year{year} / 1 / 1};
    const date::sys_info first = zone.get_info(t);
    for (date::sys_info info = first; info.begin > date::sys_days{date::year{1850} / 1 / 1};
         info = zone.get_info(info.begin - Seconds{1})) {
        if (info.save == std::chrono::minutes{0}) return info.offset;
    }
    return first.offset;
}

Seconds standard_offset(const date::time_zone& zone, int year) {
    const YearOffsets held = offsets_in_year(zone, year);
    if (held.standard.empty()) return standard_before(zone, year);
    const auto standard = longest(held.standard);
    if (held.saving.empty()) return standard.first;
    const auto saving = longest(held.saving);
    const auto& smaller = standard.first < saving.first ? standard : saving;
    const auto& larger = standard.first < saving.first ? saving : standard;
    constexpr Seconds long_enough = std::chrono::hours{60 * 24};
    return smaller.second >= long_enough ? smaller.first : larger.first;
}

}  // namespace

double standard_utc_offset_h(const std::string& zone, int year) {
    if (const auto offset_h = plain_offset_h(zone)) return *offset_h;
    const date::time_zone& found = zone_by_name(zone);
    try {
        const Seconds offset = standard_offset(found, std::clamp(year, 1900, 2036));
        return static_cast<double>(offset.count()) / 3600.0;
    } catch (const std::runtime_error& error) {
        throw InputError({}, "a readable time zone file for " + zone, error.what());
    }
}

}  // namespace noonshell
