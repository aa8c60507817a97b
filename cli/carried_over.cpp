#include "cli/carried_over.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "cli/table.hpp"
#include "cli/utf8.hpp"
#include "geometry/matching.hpp"
#include "geometry/roles.hpp"

namespace noonshell {

namespace {

constexpr std::size_t lines_shown = 12;

class Follower {
  public:
    explicit Follower(const Inspection& inspection)
        : surfaces_(inspection.envelope.surfaces),
          names_(former_names(inspection.against->matches, inspection.envelope)) {}

    void follow(std::vector<std::string>& patterns, const std::string& choice) {
        std::vector<std::string> followed;
        for (std::size_t s = 0; s < surfaces_.size(); ++s) {
            const bool named =
                std::any_of(patterns.begin(), patterns.end(), [&](const std::string& pattern) {
                    return names_.surface_matches(pattern, SurfaceId(s));
                });
            if (!named) continue;
            followed.push_back(surfaces_[s].id);
            note_if_carried(patterns, s, choice);
        }
        patterns = std::move(followed);
    }

    std::vector<CarriedChoice> take() { return std::move(carried_); }

  private:
    void note_if_carried(const std::vector<std::string>& patterns, std::size_t s,
                         const std::string& choice) {
        const std::string& id = surfaces_[s].id;
        const bool by_present_name =
            std::any_of(patterns.begin(), patterns.end(),
                        [&id](const std::string& pattern) { return matches_pattern(pattern, id); });
        if (by_present_name || names_.surface_names[s].empty()) return;
        carried_.push_back({id, names_.surface_names[s].front(), choice});
    }

    const std::vector<Surface>& surfaces_;
    FormerNames names_;
    std::vector<CarriedChoice> carried_;
};

}  // namespace

std::vector<CarriedChoice> follow_former_names(const Inspection& inspection, SiteFile& settings) {
    Follower follower(inspection);
    for (ConstructionRule& rule : settings.constructions) {
        follower.follow(rule.surfaces, "construction " + rule.construction.name);
    }
    for (Treatment& treatment : settings.treatments) {
        follower.follow(treatment.surfaces, "treatment " + treatment.name);
    }
    return follower.take();
}

std::string carried_over_page(const std::vector<CarriedChoice>& carried,
                              const std::string& former_file, bool every_one) {
    if (carried.empty()) return {};
    TextTable table(
        {{"surface", Align::left}, {"was", Align::left}, {"holds for it", Align::left}});
    const std::size_t shown = every_one ? carried.size() : std::min(lines_shown, carried.size());
    for (std::size_t i = 0; i < shown; ++i) {
        table.add_row({carried[i].surface, carried[i].former, carried[i].choice});
    }
    std::string page = fmt::format("\nCarried over from {}, by the names of that version\n{}",
                                   printable(former_file), table.text());
    if (shown < carried.size()) {
        page += fmt::format("  and {} more: --verbose prints them\n", carried.size() - shown);
    }
    return page;
}

}  // namespace noonshell
