#include "geometry/roles.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>
#include <span>
#include <utility>

#include "geometry/body_measure.hpp"
#include "geometry/congruence.hpp"
#include "geometry/enclosure.hpp"
#include "geometry/known_names.hpp"
#include "geometry/nearest_key.hpp"
#include "geometry/role_guess.hpp"
#include "geometry/role_patterns.hpp"
#include "geometry/slats.hpp"
#include "geometry/visibility.hpp"

namespace noonshell {

namespace {

/// Frame and gear of a unit lie no farther than this beyond the panels that enclose its room [m].
constexpr double gear_reach_m = 0.3;

/// The choice for every body; the steps run in the order in which choose() calls them.
class RoleChooser {
  public:
    RoleChooser(const Model& model, const RolePatterns& patterns, const RoleGuessLimits& limits,
                const KnownNames& names, std::vector<Warning>& warnings)
        : model_(model),
          patterns_(patterns),
          limits_(limits),
          names_(names),
          warnings_(warnings),
          list_(listed(patterns)),
          choices_(model.bodies.size()),
          rooms_(model) {
        for (std::size_t b = 0; b < model.bodies.size(); ++b) {
            bounds_.push_back(bounds_of_body(model, BodyId(b)));
            measures_.push_back(measure_body(model, BodyId(b)));
            room_m3_.push_back(room_of_body(BodyId(b)));
        }
        subtrees_.resize(model.assemblies.size());
        for (std::size_t b = 0; b < model.bodies.size(); ++b) {
            for (std::int32_t a = model.bodies[b].assembly; a >= 0; a = parent_of(a)) {
                subtrees_[static_cast<std::size_t>(a)].push_back(BodyId(b));
            }
        }
    }

    std::vector<RoleChoice> choose() {
        take_named_units();
        take_patterns();
        take_pane_colours();
        warn_of_idle_patterns();
        guess_ground();
        guess_rooms();
        guess_assemblies();
        guess_the_rest();
        std::vector<RoleChoice> all;
        for (auto& choice : choices_) all.push_back(std::move(*choice));
        group_slats(model_, limits_, all);
        return all;
    }

  private:
    std::int32_t parent_of(std::int32_t assembly) const {
        return model_.assemblies[static_cast<std::size_t>(assembly)].parent;
    }
    const std::vector<BodyId>& bodies_in(std::int32_t assembly) const {
        return subtrees_[static_cast<std::size_t>(assembly)];
    }
    bool is_room(BodyId body) const {
        return room_m3_[body.index()] >= limits_.least_unit_volume_m3;
    }

    /// Whether the extent of some bodies could hold a room at all: most need no closer look.
    bool large_enough(std::span<const BodyId> bodies) const {
        Vec3 low = Vec3::Constant(std::numeric_limits<double>::infinity()), high = -low;
        for (const BodyId b : bodies) {
            low = low.cwiseMin(bounds_[b.index()].low_m);
            high = high.cwiseMax(bounds_[b.index()].high_m);
        }
        const Vec3 size = high - low;
        return size.minCoeff() >= least_room_height_m &&
               size.prod() >= limits_.least_unit_volume_m3;
    }

    /// Volume of the room that one body encloses; 0 for none [m3].
    double room_of_body(BodyId id) {
        const Body& body = model_.bodies[id.index()];
        const BodyMeasure& measure = measures_[id.index()];
        if (body.solid && measure.least_extent_m < limits_.thin_plate_m) return 0;
        if (body.solid && measure.enclosed_volume_m3 >= limits_.least_unit_volume_m3 &&
            measure.thickness_m >= hollow_thickness_m) {
            return measure.enclosed_volume_m3;
        }
        const BodyId one[] = {id};
        return large_enough(one) ? room_of(one).volume_m3 : 0;
    }

    const Enclosure& room_of(std::span<const BodyId> bodies) {
        return rooms_.get(bodies, [&] { return measured_room(bodies); });
    }

    Enclosure measured_room(std::span<const BodyId> bodies) const {
        double lowest = std::numeric_limits<double>::infinity();
        for (const BodyId b : bodies) lowest = std::min(lowest, bounds_[b.index()].low_m.z());
        return measure_enclosure(model_, bodies, ray_mesh_of(model_, bodies), lowest);
    }

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
        for (std::int32_t a = model_.bodies[body.index()].assembly; a >= 0; a = parent_of(a)) {
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
                holder = parent_of(holder);
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
        const auto& bodies = bodies_in(holder);
        const auto n_rooms =
            std::count_if(bodies.begin(), bodies.end(), [&](BodyId b) { return is_room(b); });
        if (n_rooms > 1) {
            if (itself || is_room(body)) return alone;
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
            if (choices_[b] || !colour) continue;
            for (const Rgb& pane : patterns_.pane_colours) {
                if (same_colour(pane, *colour)) {
                    choices_[b] = RoleChoice{Role::pane, false, "has the colour of panes"};
                }
            }
        }
    }

    void guess_ground() {
        const auto ground = ground_body(bounds_);
        if (ground && !choices_[*ground]) choices_[*ground] = ground_choice(bounds_[*ground]);
    }

    void guess_rooms() {
        for (std::size_t b = 0; b < model_.bodies.size(); ++b) {
            if (choices_[b] || !is_room(BodyId(b))) continue;
            const Body& body = model_.bodies[b];
            const double hollow_m3 = measures_[b].hollow_volume_m3;
            const bool plain =
                body.solid && measures_[b].thickness_m >= hollow_thickness_m && hollow_m3 <= 0;
            const std::string kind = plain        ? "closed body"
                                     : body.solid ? "hollow body"
                                                  : "open shell";
            // The room's own figure, as the table of units gives it.
            const double room_m3 = hollow_m3 > 0 ? hollow_m3 : room_m3_[b];
            choices_[b] =
                RoleChoice{Role::unit, true, kind + " that encloses " + figure_text(room_m3, "m3")};
            warn_of_guessed_unit(body.id);
        }
    }

    /// Panels, posts and gear that enclose a room together: inner assemblies come first.
    void guess_assemblies() {
        std::vector<bool> holds_unit(model_.assemblies.size(), false);
        for (std::size_t b = 0; b < model_.bodies.size(); ++b) {
            if (choices_[b] && choices_[b]->role == Role::unit) mark(BodyId(b), holds_unit);
        }
        for (std::size_t a = model_.assemblies.size(); a-- > 0;) {
            if (holds_unit[a]) continue;
            if (!guess_together(subtrees_[a], model_.assemblies[a].id)) continue;
            take_frame_and_gear(static_cast<std::int32_t>(a));
            mark(subtrees_[a].front(), holds_unit);
        }
        std::vector<BodyId> loose;
        for (std::size_t b = 0; b < model_.bodies.size(); ++b) {
            if (model_.bodies[b].assembly < 0) loose.push_back(BodyId(b));
        }
        guess_together(loose, "unit");
    }

    void mark(BodyId body, std::vector<bool>& assemblies) const {
        for (std::int32_t a = model_.bodies[body.index()].assembly; a >= 0; a = parent_of(a)) {
            assemblies[static_cast<std::size_t>(a)] = true;
        }
    }

    bool guess_together(const std::vector<BodyId>& bodies, const std::string& name) {
        std::vector<BodyId> free;
        for (const BodyId b : bodies) {
            if (choices_[b.index()] && choices_[b.index()]->role == Role::unit) return false;
            if (!choices_[b.index()]) free.push_back(b);
        }
        if (free.size() < 2 || !large_enough(free)) return false;
        const Enclosure room = room_of(free);
        if (room.volume_m3 < limits_.least_unit_volume_m3) return false;
        const std::string why = "one of " + std::to_string(free.size()) +
                                " bodies that together enclose " +
                                figure_text(room.volume_m3, "m3");
        for (const BodyId b : free) choices_[b.index()] = RoleChoice{Role::unit, true, why, name};
        warn_of_guessed_unit(name);
        if (room.n_rooms > 1) {
            warnings_.push_back({"several-rooms",
                                 "the bodies of " + name + " enclose " +
                                     std::to_string(room.n_rooms) +
                                     " rooms that do not hang together; put an assembly or a "
                                     "[[unit]] of the site file about each",
                                 name});
        }
        return true;
    }

    /// Where the panels of `assembly` enclose a room, what surrounds them closely (frame, floor,
    /// door gear) belongs to the unit too, and the outer assembly gives the name.
    void take_frame_and_gear(std::int32_t assembly) {
        Eigen::AlignedBox3d reach;
        for (const BodyId b : bodies_in(assembly)) {
            reach.extend(bounds_[b.index()].low_m);
            reach.extend(bounds_[b.index()].high_m);
        }
        reach.min().array() -= gear_reach_m;
        reach.max().array() += gear_reach_m;
        std::string unit = model_.assemblies[static_cast<std::size_t>(assembly)].id;
        for (std::int32_t a = parent_of(assembly); a >= 0; a = parent_of(a)) {
            const bool close = std::ranges::all_of(bodies_in(a), [&](BodyId b) {
                const auto& choice = choices_[b.index()];
                if (choice) return choice->role != Role::unit || choice->unit == unit;
                return reach.contains(bounds_[b.index()].low_m) &&
                       reach.contains(bounds_[b.index()].high_m);
            });
            if (!close) return;
            const bool adds =
                std::ranges::any_of(bodies_in(a), [&](BodyId b) { return !choices_[b.index()]; });
            if (!adds) continue;
            const std::string& outer = model_.assemblies[static_cast<std::size_t>(a)].id;
            for (const BodyId b : bodies_in(a)) {
                auto& choice = choices_[b.index()];
                if (!choice || choice->role == Role::unit) {
                    choice = RoleChoice{Role::unit, true,
                                        "part of a room's panels, frame, floor or gear", outer};
                }
            }
            unit = outer;
        }
    }

    void guess_the_rest() {
        for (std::size_t b = 0; b < model_.bodies.size(); ++b) {
            if (!choices_[b]) choices_[b] = guessed_choice(model_.bodies[b], measures_[b], limits_);
        }
    }

    void warn_of_guessed_unit(const std::string& id) {
        // Where none of them names anything, that has been said once for all.
        const bool any_named = std::ranges::any_of(
            list_, [](const RolePattern& p) { return p.role == Role::unit && p.matched; });
        if (!any_named) return;
        warnings_.push_back({"unit-guessed",
                             "no pattern names this body; taken for a unit although units are "
                             "named by pattern: name it a unit, shade, context or ignore",
                             id});
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
    const RoleGuessLimits& limits_;
    const KnownNames& names_;
    std::vector<Warning>& warnings_;
    std::vector<RolePattern> list_;
    std::vector<std::optional<RoleChoice>> choices_;
    std::vector<BodyBounds> bounds_;
    std::vector<BodyMeasure> measures_;
    std::vector<double> room_m3_;                ///< that each body encloses by itself
    std::vector<std::vector<BodyId>> subtrees_;  ///< bodies below each assembly
    CongruentAnswers<Enclosure> rooms_;
};

}  // namespace

bool same_colour(const Rgb& a, const Rgb& b) {
    constexpr float step = 1.5F / 255;
    return std::abs(a[0] - b[0]) < step && std::abs(a[1] - b[1]) < step &&
           std::abs(a[2] - b[2]) < step;
}

std::vector<RoleChoice> choose_roles(const Model& model, const RolePatterns& patterns,
                                     const RoleGuessLimits& limits,
                                     std::vector<Warning>& warnings) {
    return choose_roles(model, patterns, limits, present_names(model), warnings);
}

std::vector<RoleChoice> choose_roles(const Model& model, const RolePatterns& patterns,
                                     const RoleGuessLimits& limits, const KnownNames& names,
                                     std::vector<Warning>& warnings) {
    return RoleChooser(model, patterns, limits, names, warnings).choose();
}

}  // namespace noonshell
