#include "geometry/roles.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <map>
#include <optional>
#include <set>
#include <span>
#include <utility>

#include "geometry/apart_units.hpp"
#include "geometry/body_rooms.hpp"
#include "geometry/door_leaves.hpp"
#include "geometry/glass_like.hpp"
#include "geometry/known_names.hpp"
#include "geometry/linings.hpp"
#include "geometry/pattern_roles.hpp"
#include "geometry/role_guess.hpp"
#include "geometry/slats.hpp"

namespace noonshell {

namespace {

/// Frame and gear of a unit lie no farther than this beyond the panels that enclose its room [m].
constexpr double gear_reach_m = 0.3;

/// A room with a side open has more than this share of its floor close to it (0.02 where one end of
/// 12 m is open); one with a doorway has less.
constexpr double least_mouth_share = 0.015;

/// A plate belongs to the room whose side it closes with at least this share of a face.
constexpr double least_closing_share = 0.5;

/// Guesses what no pattern names; the steps run in the order in which choose() calls them.
class RoleGuesser {
  public:
    RoleGuesser(const Model& model, const RoleGuessLimits& limits,
                std::span<const NamedUnit> named_units, PatternChoices given, BodyRooms& rooms,
                std::vector<Warning>& warnings)
        : model_(model),
          limits_(limits),
          named_units_(named_units),
          rooms_(rooms),
          warnings_(warnings),
          choices_(std::move(given.of_body)),
          names_units_(given.names_units) {}

    std::vector<RoleChoice> choose() {
        guess_ground();
        join_linings();
        guess_rooms();
        take_leaves();
        guess_assemblies();
        guess_roofless();
        take_party_walls();
        part_units(
            model_, rooms_.bounds(), named_units_,
            [this](std::span<const BodyId> bodies) {
                return rooms_.large_enough(bodies) ? rooms_.room_of(bodies).volume_m3 : 0;
            },
            limits_.least_unit_volume_m3, choices_);
        part_roofs();
        guess_the_rest();
        std::vector<RoleChoice> all;
        for (auto& choice : choices_) all.push_back(std::move(*choice));
        group_slats(model_, limits_, all);
        for (Warning& warning : glass_like_warnings(model_, rooms_.bounds(), all))
            warnings_.push_back(std::move(warning));
        return all;
    }

  private:
    void guess_ground() {
        const auto ground = ground_body(rooms_.bounds());
        if (ground && !choices_[*ground])
            choices_[*ground] = ground_choice(rooms_.bounds()[*ground]);
    }

    /// A skin and the linings within it enclose one room together.
    void join_linings() {
        const LiningSearch search{model_,
                                  rooms_.bounds(),
                                  rooms_.room_volumes_m3(),
                                  rooms_.outermost(),
                                  rooms_.subtrees(),
                                  gear_reach_m};
        for (const std::string& unit : noonshell::join_linings(search, choices_)) {
            warn_of_guessed_unit(unit);
        }
    }

    void guess_rooms() {
        for (std::size_t b = 0; b < model_.bodies.size(); ++b) {
            if (choices_[b] || !rooms_.is_room(BodyId(b))) continue;
            const Body& body = model_.bodies[b];
            const double hollow_m3 = rooms_.measure(BodyId(b)).hollow_volume_m3;
            const bool plain = body.solid &&
                               rooms_.measure(BodyId(b)).thickness_m >= hollow_thickness_m &&
                               hollow_m3 <= 0;
            const std::string kind = plain        ? "closed body"
                                     : body.solid ? "hollow body"
                                                  : "open shell";
            // The room's own figure, as the table of units gives it.
            const double room_m3 = hollow_m3 > 0 ? hollow_m3 : rooms_.room_m3(BodyId(b));
            choices_[b] =
                RoleChoice{Role::unit, true, kind + " that encloses " + figure_text(room_m3, "m3")};
            warn_of_guessed_unit(body.id);
        }
    }

    /// Leaves that stand in the doorways of a hollow body are of its unit. What is called a window
    /// is left to be named a pane.
    void take_leaves() {
        std::vector<BodyId> plates;
        for (std::size_t b = 0; b < model_.bodies.size(); ++b) {
            const bool plate = rooms_.measure(BodyId(b)).least_extent_m < limits_.thin_plate_m;
            if (!choices_[b] && plate && !is_called_window(model_.bodies[b].name))
                plates.emplace_back(b);
        }
        for (std::size_t b = 0; b < model_.bodies.size() && !plates.empty(); ++b) {
            const BodyMeasure& measure = rooms_.measure(BodyId(b));
            const bool hollow = choices_[b] && choices_[b]->role == Role::unit &&
                                choices_[b]->unit.empty() && measure.hollow_volume_m3 <= 0 &&
                                !(model_.bodies[b].solid && is_filled_room(measure));
            if (!hollow) continue;
            const std::string& hull = model_.bodies[b].id;
            for (const BodyId leaf :
                 leaves_in_openings(model_, rooms_.bounds(), BodyId(b), plates)) {
                choices_[b]->unit = hull;
                choices_[leaf.index()] =
                    RoleChoice{Role::unit, true, "fills an opening of " + hull, hull};
                std::erase(plates, leaf);
            }
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
            if (!guess_together(rooms_.bodies_in(static_cast<std::int32_t>(a)),
                                model_.assemblies[a].id))
                continue;
            take_frame_and_gear(static_cast<std::int32_t>(a));
            mark(rooms_.bodies_in(static_cast<std::int32_t>(a)).front(), holds_unit);
        }
        std::vector<BodyId> loose;
        for (std::size_t b = 0; b < model_.bodies.size(); ++b) {
            if (model_.bodies[b].assembly < 0) loose.push_back(BodyId(b));
        }
        guess_together(loose, "unit");
    }

    void mark(BodyId body, std::vector<bool>& assemblies) const {
        for (std::int32_t a = model_.bodies[body.index()].assembly; a >= 0;
             a = rooms_.parent_of(a)) {
            assemblies[static_cast<std::size_t>(a)] = true;
        }
    }

    bool guess_together(const std::vector<BodyId>& bodies, const std::string& name) {
        std::vector<BodyId> free;
        for (const BodyId b : bodies) {
            if (choices_[b.index()] && choices_[b.index()]->role == Role::unit) return false;
            if (!choices_[b.index()]) free.push_back(b);
        }
        if (free.size() < 2 || !rooms_.large_enough(free)) return false;
        const Enclosure room = rooms_.room_of(free);
        if (room.volume_m3 < limits_.least_unit_volume_m3) return false;
        const std::string why = "one of " + std::to_string(free.size()) +
                                " bodies that together enclose " +
                                figure_text(room.volume_m3, "m3");
        for (const BodyId b : free) choices_[b.index()] = RoleChoice{Role::unit, true, why, name};
        warn_of_guessed_unit(name);
        return true;
    }

    /// Where the panels of `assembly` enclose a room, what surrounds them closely (frame, floor,
    /// door gear) belongs to the unit too, and the outer assembly gives the name.
    void take_frame_and_gear(std::int32_t assembly) {
        Eigen::AlignedBox3d reach;
        for (const BodyId b : rooms_.bodies_in(assembly)) {
            reach.extend(rooms_.bounds()[b.index()].low_m);
            reach.extend(rooms_.bounds()[b.index()].high_m);
        }
        reach.min().array() -= gear_reach_m;
        reach.max().array() += gear_reach_m;
        std::string unit = model_.assemblies[static_cast<std::size_t>(assembly)].id;
        for (std::int32_t a = rooms_.parent_of(assembly); a >= 0; a = rooms_.parent_of(a)) {
            const bool close = std::ranges::all_of(rooms_.bodies_in(a), [&](BodyId b) {
                const auto& choice = choices_[b.index()];
                if (choice) return choice->role != Role::unit || choice->unit == unit;
                return reach.contains(rooms_.bounds()[b.index()].low_m) &&
                       reach.contains(rooms_.bounds()[b.index()].high_m);
            });
            if (!close) return;
            const bool adds = std::ranges::any_of(rooms_.bodies_in(a),
                                                  [&](BodyId b) { return !choices_[b.index()]; });
            if (!adds) continue;
            const std::string outer = adds_only_plates(a, assembly)
                                          ? unit
                                          : model_.assemblies[static_cast<std::size_t>(a)].id;
            for (const BodyId b : rooms_.bodies_in(a)) {
                auto& choice = choices_[b.index()];
                if (!choice || choice->role == Role::unit) {
                    choice = RoleChoice{Role::unit, true,
                                        "part of a room's panels, frame, floor or gear", outer};
                }
            }
            unit = outer;
        }
    }

    /// Whether the root of the file adds no more than a few plates, drawn beside the assembly of
    /// the room: it is the site then and lends no name.
    bool adds_only_plates(std::int32_t outer, std::int32_t inner) const {
        if (rooms_.parent_of(outer) >= 0) return false;
        std::size_t n_added = 0;
        for (const BodyId b : rooms_.bodies_in(outer)) {
            if (choices_[b.index()]) continue;
            const BodyMeasure& measure = rooms_.measure(b);
            if (measure.least_extent_m >= limits_.thin_plate_m ||
                measure.outer_area_m2 < 2 * limits_.least_plate_area_m2)
                return false;
            ++n_added;
        }
        return 2 * n_added < rooms_.bodies_in(inner).size();
    }

    /// Plates that close an open side of a room belong to it: the first one, where they part two.
    /// So does the roof plate of a single room; over several it will be parted among them.
    void take_party_walls() {
        std::vector<BodyId> plates;
        for (std::size_t b = 0; b < model_.bodies.size(); ++b) {
            const BodyMeasure& measure = rooms_.measure(BodyId(b));
            if (!choices_[b] && measure.least_extent_m < limits_.thin_plate_m &&
                measure.outer_area_m2 >= 2 * limits_.least_plate_area_m2 &&
                !is_called_window(model_.bodies[b].name)) {
                plates.emplace_back(b);
            }
        }
        std::map<std::string, std::vector<BodyId>> units;
        for (std::size_t b = 0; b < model_.bodies.size() && !plates.empty(); ++b) {
            if (choices_[b] && choices_[b]->role == Role::unit && !choices_[b]->unit.empty())
                units[choices_[b]->unit].emplace_back(b);
        }
        std::map<BodyId, std::vector<std::pair<std::string, BodyRooms::Closing>>> closed_by;
        for (const auto& [unit, bodies] : units) {
            const Enclosure& room = rooms_.room_of(bodies);
            if (room.found() && room.mouth_share < least_mouth_share) continue;
            for (const BodyRooms::Closing& closing : rooms_.closing_sides(bodies, plates))
                closed_by[closing.plate].emplace_back(unit, closing);
        }
        for (const auto& [plate, closed] : closed_by) {
            const auto& [unit, closing] = closed.front();
            // One roof over several rooms is no room's own.
            const double face_m2 = rooms_.measure(plate).outer_area_m2 / 2;
            const bool joins = closing.as_roof ? closed.size() == 1
                                               : closing.closed_m2 >= least_closing_share * face_m2;
            if (joins) {
                choices_[plate.index()] =
                    RoleChoice{Role::unit, true, "closes an open side of " + unit, unit};
                continue;
            }
            std::vector<BodyId>& rooms = roofs_over_several_[plate];
            for (const auto& [below, of] : closed) {
                if (of.as_roof) rooms.push_back(units.at(below).front());
            }
        }
    }

    /// One roof over several rooms; by now units have their names.
    void part_roofs() {
        for (const auto& [plate, rooms] : roofs_over_several_) {
            RoleChoice choice{Role::shade, true, "", ""};
            for (const BodyId room : rooms) choice.roof_of.push_back(choices_[room.index()]->unit);
            if (choice.roof_of.size() < 2) continue;
            choice.why = "roof of " + choice.roof_of.front() +
                         (choice.roof_of.size() == 2
                              ? " and " + choice.roof_of.back()
                              : " and " + std::to_string(choice.roof_of.size() - 1) + " more") +
                         ", each of its part; the rest stands over and casts shade";
            choices_[plate.index()] = std::move(choice);
        }
    }

    /// Panels without a roof of their own are a room where something lies on their walls.
    void guess_roofless() {
        for (std::size_t a = model_.assemblies.size(); a-- > 0;) {
            const auto& all = rooms_.bodies_in(static_cast<std::int32_t>(a));
            const bool holds_unit = std::ranges::any_of(all, [&](BodyId b) {
                return choices_[b.index()] && choices_[b.index()]->role == Role::unit;
            });
            if (holds_unit) continue;
            guess_under_others(all, model_.assemblies[a].id);
        }
        for (std::size_t b = 0; b < model_.bodies.size(); ++b) {
            const bool plate = rooms_.measure(BodyId(b)).least_extent_m < limits_.thin_plate_m;
            if (!choices_[b] && !plate) guess_under_others(std::vector{BodyId(b)}, {});
        }
    }

    void guess_under_others(const std::vector<BodyId>& bodies, const std::string& name) {
        std::vector<BodyId> free, others;
        for (const BodyId b : bodies) {
            if (!choices_[b.index()]) free.push_back(b);
        }
        if (free.empty() || !rooms_.large_enough(free)) return;
        for (std::size_t b = 0; b < model_.bodies.size(); ++b) {
            const bool is_ground = choices_[b] && choices_[b]->role == Role::context;
            if (!is_ground && !std::ranges::binary_search(free, BodyId(b))) others.emplace_back(b);
        }
        const std::string& called = name.empty() ? model_.bodies[free.front().index()].id : name;
        const double room_m3 = rooms_.room_under(free, others).volume_m3;
        if (room_m3 >= limits_.least_unit_volume_m3) {
            const std::string why =
                "without a roof of " + std::string(free.size() > 1 ? "their" : "its") +
                " own: what lies on the walls closes " + figure_text(room_m3, "m3");
            for (const BodyId b : free)
                choices_[b.index()] = RoleChoice{Role::unit, true, why, name};
            warn_of_guessed_unit(called);
            return;
        }
        const double roofed_m3 = rooms_.room_if_roofed(free).volume_m3;
        if (roofed_m3 < limits_.least_unit_volume_m3) return;
        // Of assemblies within each other the inner one is told.
        const bool is_new = std::ranges::none_of(free, [&](BodyId b) { return told_.contains(b); });
        told_.insert(free.begin(), free.end());
        if (!is_new) return;
        warnings_.push_back({"room-without-roof",
                             called + " would enclose " + figure_text(roofed_m3, "m3") +
                                 " if a roof lay on its walls, and counts as no room: add a roof, "
                                 "or name it a unit",
                             called});
    }

    void guess_the_rest() {
        for (std::size_t b = 0; b < model_.bodies.size(); ++b) {
            if (!choices_[b])
                choices_[b] = guessed_choice(model_.bodies[b], rooms_.measure(BodyId(b)),
                                             rooms_.bounds()[b], limits_);
        }
    }

    void warn_of_guessed_unit(const std::string& id) {
        // Where none of them names anything, that has been said once for all.
        if (!names_units_) return;
        warnings_.push_back({"unit-guessed",
                             "no pattern names this body; taken for a unit although units are "
                             "named by pattern: name it a unit, shade, context or ignore",
                             id});
    }

    const Model& model_;
    const RoleGuessLimits& limits_;
    std::span<const NamedUnit> named_units_;
    BodyRooms& rooms_;
    std::vector<Warning>& warnings_;
    std::vector<std::optional<RoleChoice>> choices_;
    bool names_units_;
    std::set<BodyId> told_;                                     ///< of rooms without a roof
    std::map<BodyId, std::vector<BodyId>> roofs_over_several_;  ///< first bodies of the rooms
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
    BodyRooms rooms(model, limits);
    PatternChoices given = choose_by_patterns(model, patterns, names, rooms, warnings);
    return RoleGuesser(model, limits, patterns.named_units, std::move(given), rooms, warnings)
        .choose();
}

}  // namespace noonshell
