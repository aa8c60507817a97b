#include "geometry/pattern_roles.hpp"

#include <algorithm>
#include <string>
#include <string_view>
#include <utility>

#include "geometry/glass_like.hpp"
#include "geometry/nearest_key.hpp"
#include "geometry/role_patterns.hpp"

namespace noonshell {

namespace {

/// The steps run in the order in which choose() calls them.
class PatternChooser {
  public:
    PatternChooser(const Model& model, const RolePatterns& patterns, const KnownNames& names,
                   const BodyRooms& rooms, std::vector<Warning>& warnings)
        : model_(model),
          patterns_(patterns),
          names_(names),
          rooms_(rooms),
          warnings_(warnings),
          list_(listed(patterns)),
          choices_(model.bodies.size()) {}

    PatternChoices choose() {
        take_named_units();
        take_patterns();
        take_pane_colours();
        warn_of_idle_patterns();
        const bool names_units = std::ranges::any_of(
            list_, [](const RolePattern& p) { return p.role == Role::unit && p.matched; });
        return {std::move(choices_), names_units};
    }

  private:
    void take_named_units() {
        std::vector<RolePattern> used;
        for (const NamedUnit& unit : patterns_.named_units) {
            for (const std::string& pattern : unit.bodies) used.push_back({Role::unit, pattern});
        }
        for (const bool former : {false, true}) {
            const std::vector<std::optional<RoleChoice>> by_present_name = choices_;
            auto pattern = used.begin();
            for (const NamedUnit& unit : patterns_.named_units) {
                for (std::size_t k = 0; k < unit.bodies.size(); ++k, ++pattern) {
                    for (std::size_t b = 0; b < model_.bodies.size(); ++b) {
                        if (former && by_present_name[b]) continue;
                        if (!names(pattern->text, BodyId(b), former)) continue;
                        pattern->matched = true;
                        take_for_unit(BodyId(b), unit.name, why_matched(*pattern, b, former));
                    }
                }
            }
        }
        auto pattern = used.begin();
        for (const NamedUnit& unit : patterns_.named_units) {
            for (std::size_t k = 0; k < unit.bodies.size(); ++k, ++pattern) {
                if (!pattern->matched) warn_of_idle_pattern("unit " + unit.name, pattern->text);
            }
        }
    }

    std::string why_matched(const RolePattern& pattern, std::size_t body, bool former) const {
        std::string why = "matched by the pattern \"" + pattern.text + "\"";
        if (!former) return why;
        const NameList& names = names_.former_bodies[body];
        // Where the body is called as it was, an assembly about it got another name.
        const bool own = any_matches(pattern.text, names);
        return why + ", by " + (own ? "its former name " + names[1] : "a former name");
    }

    /// Whether a pattern names a body or an assembly that holds it.
    bool names(const std::string& pattern, BodyId body, bool former) const {
        const auto& of_bodies = former ? names_.former_bodies : names_.bodies;
        const auto& of_assemblies = former ? names_.former_assemblies : names_.assemblies;
        if (any_matches(pattern, of_bodies[body.index()])) return true;
        for (std::int32_t a = model_.bodies[body.index()].assembly; a >= 0;
             a = rooms_.parent_of(a)) {
            if (any_matches(pattern, of_assemblies[static_cast<std::size_t>(a)])) return true;
        }
        return false;
    }

    void take_for_unit(BodyId body, const std::string& unit, std::string why) {
        auto& choice = choices_[body.index()];
        if (choice && choice->unit != unit) {
            throw InputError({.file = {},
                              .line = {},
                              .column = {},
                              .entity = "body " + model_.bodies[body.index()].id},
                             "a part of one unit", choice->unit + " and " + unit);
        }
        choice = RoleChoice{Role::unit, false, std::move(why), unit};
    }

    void take_patterns() {
        for (const bool former : {false, true}) take_patterns(former);
    }

    void take_patterns(bool former) {
        std::vector<const RolePattern*> of_assembly;
        for (std::size_t a = 0; a < model_.assemblies.size(); ++a) {
            const NameList& names = (former ? names_.former_assemblies : names_.assemblies)[a];
            of_assembly.push_back(pattern_of(names, "assembly " + model_.assemblies[a].id, list_));
        }
        for (std::size_t b = 0; b < model_.bodies.size(); ++b) {
            if (former && choices_[b]) continue;  // what it is called now counts first
            const NameList& names = (former ? names_.former_bodies : names_.bodies)[b];
            const RolePattern* own = pattern_of(names, "body " + model_.bodies[b].id, list_);
            if (choices_[b]) continue;
            std::int32_t holder = model_.bodies[b].assembly;
            while (holder >= 0 && of_assembly[static_cast<std::size_t>(holder)] == nullptr) {
                holder = rooms_.parent_of(holder);
            }
            const RolePattern* held =
                holder < 0 ? nullptr : of_assembly[static_cast<std::size_t>(holder)];
            const RolePattern* pattern = own != nullptr ? own : held;
            if (pattern == nullptr) continue;
            const std::string why = why_matched(*pattern, b, former);
            if (pattern->role != Role::unit) {
                choices_[b] = RoleChoice{pattern->role, false, why};
            } else {
                choices_[b] =
                    unit_by_pattern(BodyId(b), why, own != nullptr,
                                    held != nullptr && held->role == Role::unit ? holder : -1);
            }
        }
    }

    /// A body that is named itself or by the assembly `holder`, to be a unit or a part of one.
    std::optional<RoleChoice> unit_by_pattern(BodyId body, const std::string& why, bool itself,
                                              std::int32_t holder) const {
        const RoleChoice alone{Role::unit, false, why};
        if (holder < 0) return alone;
        const auto& bodies = rooms_.bodies_in(holder);
        const auto n_rooms = std::count_if(bodies.begin(), bodies.end(),
                                           [&](BodyId b) { return rooms_.is_outer_room(b); });
        if (n_rooms > 1) {
            if (itself || rooms_.is_room(body)) return alone;
            return std::nullopt;
        }
        RoleChoice together = alone;
        if (bodies.size() > 1) {
            together.unit = model_.assemblies[static_cast<std::size_t>(holder)].id;
            together.why += ", with the assembly " + together.unit;
        }
        return together;
    }

    void take_pane_colours() {
        for (std::size_t b = 0; b < model_.bodies.size(); ++b) {
            const auto& colour = model_.bodies[b].colour;
            if (choices_[b]) continue;
            if ((colour && is_pane_colour(*colour)) || is_glazed(BodyId(b)))
                choices_[b] = RoleChoice{Role::pane, false, "has the colour of panes"};
        }
    }

    bool is_pane_colour(const Rgb& colour) const {
        return std::ranges::any_of(patterns_.pane_colours,
                                   [&](const Rgb& pane) { return same_colour(pane, colour); });
    }

    /// A sheet or a plate as thin as glazing one of whose large faces, at least, has the colour of
    /// panes.
    bool is_glazed(BodyId id) const {
        constexpr double least_share = 0.4;
        if (patterns_.pane_colours.empty() ||
            rooms_.measure(id).least_extent_m > thickest_glazing_m)
            return false;
        const Body& body = model_.bodies[id.index()];
        double glazed_m2 = 0, whole_m2 = 0;
        for (std::uint32_t f = body.first_face; f < body.first_face + body.n_faces; ++f) {
            const Face& face = model_.faces[f];
            whole_m2 += face.area_m2;
            if (face.colour && is_pane_colour(*face.colour)) glazed_m2 += face.area_m2;
        }
        return glazed_m2 > least_share * whole_m2;
    }

    void warn_of_idle_pattern(const std::string& what, const std::string& pattern) {
        warnings_.push_back({"pattern-matches-nothing",
                             "the " + what + " pattern \"" + pattern +
                                 "\" matches no body or assembly" + nearest_name(pattern),
                             pattern});
    }

    std::string nearest_name(const std::string& pattern) const {
        std::vector<std::string_view> names;
        for (const Body& body : model_.bodies) names.push_back(body.id);
        for (const Assembly& assembly : model_.assemblies) names.push_back(assembly.id);
        if (names.empty()) return "";
        return "; the nearest of " + std::to_string(names.size()) + " names is \"" +
               std::string(nearest_key(pattern, names)) + "\"";
    }

    /// Panes may be faces of a body.
    bool names_a_pane_face(const RolePattern& pattern) const {
        return pattern.role == Role::pane &&
               std::ranges::any_of(model_.faces, [&](const Face& face) {
                   return !face.name.empty() && matches_pattern(pattern.text, face.name);
               });
    }

    void warn_of_idle_patterns() {
        for (const RolePattern& pattern : list_) {
            if (!pattern.matched && !names_a_pane_face(pattern)) {
                warn_of_idle_pattern(std::string(to_string(pattern.role)), pattern.text);
            }
        }
    }

    const Model& model_;
    const RolePatterns& patterns_;
    const KnownNames& names_;
    const BodyRooms& rooms_;
    std::vector<Warning>& warnings_;
    std::vector<RolePattern> list_;
    std::vector<std::optional<RoleChoice>> choices_;
};

}  // namespace

PatternChoices choose_by_patterns(const Model& model, const RolePatterns& patterns,
                                  const KnownNames& names, const BodyRooms& rooms,
                                  std::vector<Warning>& warnings) {
    return PatternChooser(model, patterns, names, rooms, warnings).choose();
}

}  // namespace noonshell
