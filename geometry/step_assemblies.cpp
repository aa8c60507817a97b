#include "geometry/step_assemblies.hpp"

#include <algorithm>
#include <charconv>
#include <optional>
#include <unordered_map>
#include <vector>

namespace noonshell {

namespace {

constexpr std::string_view usage_keyword = "NEXT_ASSEMBLY_USAGE_OCCURRENCE";
constexpr std::string_view blanks = " \t\r\n";

/// Numbers of the assembly and of the part in it.
struct Usage {
    std::uint32_t assembly = 0, part = 0;
};

/// Reads "#12" from `at` on, blanks before it skipped.
std::optional<std::uint32_t> reference_at(std::string_view text, std::size_t at) {
    at = text.find_first_not_of(blanks, at);
    if (at == text.npos || text[at] != '#') return std::nullopt;
    std::uint32_t number = 0;
    const char* const end = text.data() + text.size();
    const auto [stop, fault] = std::from_chars(text.data() + at + 1, end, number);
    return fault == std::errc() ? std::optional(number) : std::nullopt;
}

/// The place behind the next ',' of a parameter list that is in no text; none where the list ends.
std::optional<std::size_t> behind_comma(std::string_view text, std::size_t at) {
    bool quoted = false;
    for (; at < text.size(); ++at) {
        if (text[at] == '\'') quoted = !quoted;
        if (quoted) continue;
        if (text[at] == ',') return at + 1;
        if (text[at] == ';') break;
    }
    return std::nullopt;
}

/// The fourth and fifth parameter of the usage whose keyword ends at `at`.
std::optional<Usage> usage_at(std::string_view text, std::size_t at) {
    at = text.find_first_not_of(blanks, at);
    if (at == text.npos || text[at] != '(') return std::nullopt;
    constexpr int texts_before = 3;  // identifier, name, description
    std::optional<std::size_t> next = at + 1;
    for (int i = 0; next && i < texts_before; ++i) next = behind_comma(text, *next);
    if (!next) return std::nullopt;
    const auto assembly = reference_at(text, *next);
    next = behind_comma(text, *next);
    if (!assembly || !next) return std::nullopt;
    const auto part = reference_at(text, *next);
    if (!part) return std::nullopt;
    return Usage{*assembly, *part};
}

/// Assemblies by the parts that they place, walked from above.
class AssemblyWalk {
  public:
    void add(const Usage& usage) { parts_of_[usage.assembly].push_back(usage.part); }

    AssemblyShape shape() {
        AssemblyShape found;
        std::vector<std::uint32_t> all;
        for (const auto& [assembly, parts] : parts_of_) all.push_back(assembly);
        std::ranges::sort(all);  // the same answer in every run
        for (const std::uint32_t assembly : all) {
            if (!walk(assembly, found)) return found;
            if (levels_[assembly] > found.levels) {
                found.levels = levels_[assembly];
                found.deepest_entity = assembly;
            }
            if (counts_[assembly] <= found.placements) continue;
            found.placements = counts_[assembly];
            found.largest_entity = assembly;
        }
        return found;
    }

  private:
    struct Level {
        std::uint32_t assembly;
        std::size_t next = 0;
        double count = 0;
        std::size_t below = 0;
    };

    /// Counts what stands under `top`; false where an assembly holds itself.
    bool walk(std::uint32_t top, AssemblyShape& found) {
        if (counts_.contains(top)) return true;
        std::vector<Level> open{{top}};
        is_open_[top] = true;
        while (!open.empty()) {
            Level& level = open.back();
            const std::vector<std::uint32_t>& parts = parts_of_.at(level.assembly);
            if (level.next == parts.size()) {
                counts_[level.assembly] = level.count;
                levels_[level.assembly] = level.below + 1;
                is_open_[level.assembly] = false;
                open.pop_back();
                continue;
            }
            const std::uint32_t part = parts[level.next];
            if (!parts_of_.contains(part) || counts_.contains(part)) {
                const auto known = counts_.find(part);
                level.count += 1 + (known == counts_.end() ? 0.0 : known->second);
                if (known != counts_.end()) level.below = std::max(level.below, levels_.at(part));
                ++level.next;
                continue;
            }
            if (is_open_[part]) {
                found.ring_entity = part;
                return false;
            }
            is_open_[part] = true;
            open.push_back({part});  // its count is added when this part comes up again
        }
        return true;
    }

    std::unordered_map<std::uint32_t, std::vector<std::uint32_t>> parts_of_;
    std::unordered_map<std::uint32_t, double> counts_;
    std::unordered_map<std::uint32_t, std::size_t> levels_;
    std::unordered_map<std::uint32_t, bool> is_open_;
};

}  // namespace

AssemblyShape assembly_shape(std::string_view file_text) {
    AssemblyWalk walk;
    for (std::size_t at = file_text.find(usage_keyword); at != file_text.npos;
         at = file_text.find(usage_keyword, at)) {
        at += usage_keyword.size();
        if (const auto usage = usage_at(file_text, at)) walk.add(*usage);
    }
    return walk.shape();
}

}  // namespace noonshell
