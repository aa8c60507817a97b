#include "geometry/unit_shapes.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <optional>
#include <set>
#include <utility>

#include "geometry/body_measure.hpp"
#include "geometry/borrowed_sides.hpp"
#include "geometry/compass.hpp"
#include "geometry/congruence.hpp"
#include "geometry/enclosure.hpp"
#include "geometry/lids.hpp"
#include "geometry/plain_text.hpp"
#include "geometry/skin.hpp"
#include "geometry/unit_gaps.hpp"
#include "geometry/unit_openings.hpp"
#include "geometry/visibility.hpp"

namespace noonshell {

namespace {

/// A skin whose area vectors do not cancel to this share of its area lacks a side.
constexpr double open_share = 0.02;

/// Dropped faces are told from this share of the skin on.
constexpr double told_dropped_share = 0.01;

/// Wider openings between parts are told one by one: a part is missing there [m].
constexpr double widest_joint_m = 0.3;

/// An opening of which this share was measured between parts is not told once more.
constexpr double told_twice_share = 0.5;

/// Of an opening that a neighbour closes, less than this share left is play.
constexpr double most_left_open = 0.1;

/// Two unit normals look the same way within 45 degrees: cosine.
constexpr double same_way = 0.7;

/// What is narrower than this in the mean and has no larger side beside it is the edge of walls,
/// floor and roof about an open side [m].
constexpr double widest_rim_m = 0.08;

std::string number(double value) {
    return plain_figure(value);
}

std::string toward(const Vec3& normal, double north_deg) {
    constexpr double steep = 0.7;  // of a unit normal: beyond 45 degrees of slope
    if (std::abs(normal.z()) > steep) return normal.z() > 0 ? "above" : "below";
    return "to the " + std::string(compass_words(compass_azimuth_deg(normal, north_deg)));
}

/// A level way from the first corner of a body to another one: it turns as the body turns.
Vec3 level_way(const Model& model, BodyId id) {
    constexpr double least_m = 0.01;
    const Body& body = model.bodies[id.index()];
    std::optional<Vec3> first;
    for (std::uint32_t f = body.first_face; f < body.first_face + body.n_faces; ++f) {
        const Face& face = model.faces[f];
        for (std::uint32_t t = 0; t < 3 * face.n_triangles; ++t) {
            const Vec3 at = model.mesh.corner(face.first_triangle + t / 3, static_cast<int>(t % 3));
            if (!first) first = at;
            const Vec3 way(at.x() - first->x(), at.y() - first->y(), 0);
            if (way.norm() >= least_m) return way.normalized();
        }
    }
    return Vec3::UnitX();
}

class UnitShaper {
  public:
    UnitShaper(const Model& model, const std::vector<RoleChoice>& roles, const TaggedFaces& tagged,
               double north_deg, std::vector<Warning>& warnings)
        : model_(model),
          roles_(roles),
          tagged_(tagged),
          north_deg_(north_deg),
          warnings_(warnings) {
        for (std::size_t b = 0; b < roles.size(); ++b) {
            if (roles[b].role == Role::pane) panes_.push_back(BodyId(b));
            if (roles[b].role == Role::unit || roles[b].role == Role::shade)
                closing_.push_back(BodyId(b));
        }
    }

    UnitShapes shape() {
        UnitShapes shapes;
        shapes.units = grouped();
        for (UnitShape& unit : shapes.units) shape_one(unit);
        std::erase_if(shapes.units, [](const UnitShape& unit) { return unit.patches.empty(); });
        for (const auto& [roof, zones] : beyond_rooms_)
            shapes.roof_rests[roof] = rest_of(roof, zones);
        return shapes;
    }

  private:
    std::vector<UnitShape> grouped() {
        std::vector<UnitShape> units;
        std::map<std::string, std::size_t> at;
        std::set<std::string> ids;
        for (std::size_t b = 0; b < roles_.size(); ++b) {
            if (roles_[b].role != Role::unit) continue;
            const std::string& body = model_.bodies[b].id;
            // A body by itself and a group may bear the same name.
            const std::string& group = roles_[b].unit;
            const std::string key = group.empty() ? "body " + body : "group " + group;
            const auto [found, is_new] = at.try_emplace(key, units.size());
            if (is_new) {
                std::string id = group.empty() ? body : group;
                while (!ids.insert(id).second) id += "-2";
                units.emplace_back().id = std::move(id);
            }
            units[found->second].bodies.push_back(BodyId(b));
        }
        for (std::size_t b = 0; b < roles_.size(); ++b) {
            for (const std::string& group : roles_[b].roof_of) {
                const auto found = at.find("group " + group);
                if (found != at.end()) roofs_of_[units[found->second].id].push_back(BodyId(b));
            }
        }
        return units;
    }

    void shape_one(UnitShape& unit) {
        const BodyMeasure measure = measure_body(model_, unit.bodies.front());
        const Body& body = model_.bodies[unit.bodies.front().index()];
        const bool filled = unit.bodies.size() == 1 && body.solid && is_filled_room(measure);
        if (filled) {
            take_skin(unit, skin_of_closed_body(model_, unit.bodies.front(), tagged_.of_face));
            unit.volume_m3 = body.volume_m3;
            unit.how = "volume of the closed solid, outside measure";
            return;
        }
        const auto roofs = roofs_of_.find(unit.id);
        if (roofs != roofs_of_.end() && shape_bodies(unit, roofs->second)) return;
        shape_bodies(unit, {});
    }

    /// The skin and the room of a unit of panels, of hollow bodies or of shells. `roofs` lie on it
    /// and on other units: it takes what of them is over its room. False where its walls do not
    /// tell how much that is; then nothing was done.
    bool shape_bodies(UnitShape& unit, const std::vector<BodyId>& roofs) {
        const BodyMeasure measure = measure_body(model_, unit.bodies.front());
        std::vector<BodyId> bodies = unit.bodies;
        bodies.insert(bodies.end(), roofs.begin(), roofs.end());
        std::ranges::sort(bodies);
        std::vector<BodyId> blocking = bodies;
        blocking.insert(blocking.end(), panes_.begin(), panes_.end());
        const RayMesh mesh = ray_mesh_of(model_, blocking);
        // Panes elsewhere, and roofs that reach on, would make two units differ that are otherwise
        // the same.
        if (!panes_.empty() || !roofs.empty()) seen_ = CongruentAnswers<Seen>(model_);
        const auto look = [&](const std::vector<RayMesh::Triangle>& lid) {
            return look_at(unit.bodies, bodies, blocking, mesh, lid);
        };
        Seen seen = seen_.get(bodies, [&] { return look({}); });
        if (!roofs.empty()) seen_ = CongruentAnswers<Seen>(model_);
        const bool roofless = !seen.room.found();
        if (roofless && !roofs.empty()) return false;
        if (roofless) seen = look(lid_over(unit, roofless));
        Skin skin = skin_by_visibility(model_, bodies, seen.openness, mesh, tagged_.of_face);
        RoomPlan plan;
        if (seen.room.loggia_m2 > 0) room_of(unit.bodies, blocking, lid_over(unit, roofless), plan);
        auto zone = find_overhang_zone(skin.patches, plan);
        if (!zone && !roofs.empty()) return false;
        if (!zone && seen.room.loggia_m2 > 0) {
            // The walls about a loggia cannot be told from those of the room.
            for (FaceOpenness& of : seen.openness) of.front.in_loggia = of.behind.in_loggia = 0;
            skin = skin_by_visibility(model_, bodies, seen.openness, mesh, tagged_.of_face);
            zone = find_overhang_zone(skin.patches, {});
        }
        if (zone) {
            std::vector<OverhangPatch> overhangs;
            skin = skin_within_walls(model_, bodies, seen.openness, mesh, tagged_.of_face, *zone,
                                     overhangs);
            const auto is_of_roof = [&](BodyId b) { return std::ranges::count(roofs, b) > 0; };
            std::erase_if(overhangs,
                          [&](const OverhangPatch& of) { return is_of_roof(of.patch.body); });
            for (Patch& patch : skin.patches) {
                if (is_of_roof(patch.body)) patch.body = unit.bodies.front();
            }
            for (const BodyId roof : roofs) beyond_rooms_[roof].push_back(*zone);
            unit.overhangs = overhangs_by_height(std::move(overhangs), *zone);
        }
        UnitOpenings between_parts = openings_as_placed(seen, unit.bodies.front());
        if (roofless || lacks_a_side(skin, between_parts)) {
            borrow_sides(unit, others_of(bodies), blocking, roofless, skin, between_parts);
            if (bodies.size() > 1) drop_rims(skin);
        }
        warn_of_openings(unit.id, skin, between_parts);
        Vec3 missing = Vec3::Zero();
        if (!seen.between_solids) missing = warn_of_missing_side(unit.id, skin);
        UnitGaps gaps = measure_unit_gaps(model_, bodies, skin, missing);
        add_joints(between_parts, gaps);
        tell_gaps(unit, gaps);
        take_skin(unit, std::move(skin));
        take_room(unit, seen.room, measure);
        if (roofless && seen.room.found())
            unit.how += "; it has no roof of its own: up to the top of its walls";
        warn_of_rooms(unit.id, seen.room);
        return true;
    }

    /// What of a roof over several units is over none of them.
    UnitOverhang rest_of(BodyId roof, const std::vector<OverhangZone>& zones) const {
        UnitOverhang rest;
        std::vector<Patch> patches = planar_patches(model_, roof);
        for (const OverhangZone& zone : zones) {
            std::vector<Patch> beyond;
            for (const Patch& patch : patches) {
                if (auto cut = cut_at_walls(patch, zone); cut.beyond)
                    beyond.push_back(std::move(*cut.beyond));
            }
            patches = std::move(beyond);
        }
        const bool sheet = !model_.bodies[roof.index()].solid;
        for (Patch& patch : patches) rest.patches.push_back({std::move(patch), sheet});
        return rest;
    }

    /// What rays find out about the bodies of a unit.
    struct Seen {
        std::vector<FaceOpenness> openness;
        Enclosure room;
        bool between_solids = false;  ///< whether openings were looked for
        UnitOpenings openings;        ///< between closed solids
        Vec3 level_way;               ///< of the first body
    };

    /// The floor of the storey above may be the ceiling of a room without a roof: it is measured as
    /// if a roof lay on the walls. `own` bodies are of this unit alone. `lid` closes the room from
    /// above and hides no face from the open.
    Seen look_at(std::span<const BodyId> own, std::span<const BodyId> bodies,
                 std::span<const BodyId> blocking, const RayMesh& mesh,
                 const std::vector<RayMesh::Triangle>& lid) const {
        Seen seen;
        seen.level_way = level_way(model_, own[0]);
        RoomPlan plan;
        seen.room = room_of(own, blocking, lid, plan);
        seen.openness = openness_of_faces(model_, bodies, mesh, plan);
        const bool of_solids = bodies.size() > 1 && std::ranges::all_of(bodies, [&](BodyId b) {
                                   return model_.bodies[b.index()].solid;
                               });
        seen.between_solids = of_solids && seen.room.found();
        if (seen.between_solids) seen.openings = find_unit_openings(model_, blocking, mesh, plan);
        return seen;
    }

    Enclosure room_of(std::span<const BodyId> bodies, std::span<const BodyId> blocking,
                      const std::vector<RayMesh::Triangle>& lid, RoomPlan& plan) const {
        double lowest = std::numeric_limits<double>::infinity();
        for (const BodyId b : bodies)
            lowest = std::min(lowest, bounds_of_body(model_, b).low_m.z());
        std::vector<RayMesh::Triangle> triangles = ray_triangles(model_, blocking);
        triangles.insert(triangles.end(), lid.begin(), lid.end());
        return measure_enclosure(model_, bodies, RayMesh(std::move(triangles)), lowest, &plan);
    }

    std::vector<RayMesh::Triangle> lid_over(const UnitShape& unit, bool roofless) const {
        return roofless ? lid_drawn_over(model_, unit.bodies) : std::vector<RayMesh::Triangle>{};
    }

    std::vector<BodyId> others_of(std::span<const BodyId> bodies) const {
        std::vector<BodyId> others;
        for (const BodyId b : closing_) {
            if (!std::ranges::binary_search(bodies, b)) others.push_back(b);
        }
        return others;
    }

    static bool lacks_a_side(const Skin& skin, const UnitOpenings& openings) {
        const auto wide = [](const UnitOpening& of) { return of.width_m > widest_joint_m; };
        if (std::ranges::any_of(openings.open, wide) || !skin.openings.empty()) return true;
        double area = 0;
        Vec3 sum = Vec3::Zero();
        for (const Patch& patch : skin.patches) {
            area += patch.area_m2;
            sum += patch.area_m2 * patch.frame.normal;
        }
        return sum.norm() > open_share * area;
    }

    /// Sides that neighbours close become sides of the unit and are no openings.
    void borrow_sides(const UnitShape& unit, std::span<const BodyId> others,
                      std::span<const BodyId> blocking, bool roofless, Skin& skin,
                      UnitOpenings& openings) {
        const std::span<const BodyId> bodies = unit.bodies;
        RoomPlan plan;
        if (!room_of(bodies, blocking, lid_over(unit, roofless), plan).found()) return;
        std::vector<BorrowedSide> sides = borrowed_sides(
            model_, bodies, others, ray_mesh_of(model_, blocking), plan, skin.patches);
        const auto left_open = [&](const Vec3& normal, double area_m2) {
            for (const BorrowedSide& side : sides)
                if (side.patch.frame.normal.dot(normal) > same_way) area_m2 -= side.clear_m2;
            return area_m2;
        };
        std::erase_if(openings.open, [&](UnitOpening& of) {
            const double left_m2 = left_open(of.normal, of.area_m2);
            of.cut_short = left_m2 < of.area_m2;
            return left_m2 < std::exchange(of.area_m2, left_m2) * most_left_open;
        });
        std::erase_if(skin.openings, [&](SkinOpening& of) {
            const double left_m2 = left_open(of.normal, of.area_m2);
            return left_m2 < std::exchange(of.area_m2, left_m2) * most_left_open;
        });
        double widest_gap_m = 0;
        for (BorrowedSide& side : sides) {
            warn_of_a_shade_for_a_side(unit.id, side.patch);
            widest_gap_m = std::max(widest_gap_m, side.gap_m);
            skin.patches.push_back(std::move(side.patch));
        }
        if (widest_gap_m > closed_gap_m) {
            warnings_.push_back({"unit-open",
                                 "a side of " + unit.id + " is closed by a neighbour that stands " +
                                     number(1000 * widest_gap_m) +
                                     " mm off; no air is reckoned through that gap",
                                 unit.id});
        }
    }

    /// Heat through it is reckoned as to shaded outdoor air.
    void warn_of_a_shade_for_a_side(const std::string& unit, const Patch& side) {
        const BodyId lender = model_.faces[side.face.index()].body;
        if (roles_[lender.index()].role != Role::shade) return;
        const std::string& shade = model_.bodies[lender.index()].id;
        warnings_.push_back({"closed-by-a-shade",
                             number(side.area_m2) + " m2 of " + unit + " " +
                                 toward(side.frame.normal, north_deg_) + " are closed by " + shade +
                                 ", a shade: its sun does not reach the room through it; draw it "
                                 "as part of the unit, or name both in a [[unit]]",
                             unit});
    }

    /// The edges of parts about an open side are no side; about one that a neighbour closes they
    /// are part of it.
    static void drop_rims(Skin& skin) {
        const std::vector<Patch> all = skin.patches;
        const auto is_rim = [&](const Patch& patch) {
            if (patch.of_neighbour) return false;
            const PlaneRegion outline = projected(patch, patch.frame);
            if (2 * outline.area_m2() >= widest_rim_m * outline.perimeter_m()) return false;
            return std::ranges::none_of(all, [&](const Patch& other) {
                return (other.of_neighbour || other.area_m2 > patch.area_m2) &&
                       other.frame.normal.dot(patch.frame.normal) > same_way;
            });
        };
        std::erase_if(skin.patches, is_rim);
    }

    /// What was found of a congruent unit, turned as this one stands.
    UnitOpenings openings_as_placed(const Seen& seen, BodyId first) const {
        const Vec3 from = seen.level_way, to = level_way(model_, first);
        const double c = from.dot(to), s = from.cross(to).z();
        UnitOpenings placed = seen.openings;
        for (UnitOpening& opening : placed.open) {
            const Vec3 n = opening.normal;
            opening.normal = Vec3(c * n.x() - s * n.y(), s * n.x() + c * n.y(), n.z());
        }
        return placed;
    }

    static void add_joints(const UnitOpenings& openings, UnitGaps& gaps) {
        gaps.widest_closed_m = std::max(gaps.widest_closed_m, openings.widest_closed_m);
        for (const UnitOpening& opening : openings.open) {
            if (opening.width_m > widest_joint_m) continue;
            gaps.widest_open_m = std::max(gaps.widest_open_m, opening.width_m);
            gaps.open_length_m += opening.length_m;
            gaps.open_area_m2 += opening.area_m2;
        }
    }

    void take_skin(UnitShape& unit, Skin skin) {
        double area = 0;
        for (const Patch& patch : skin.patches) area += patch.area_m2;
        if (skin.dropped_area_m2 > told_dropped_share * area) {
            warnings_.push_back({"small-parts-dropped",
                                 number(skin.dropped_area_m2) +
                                     " m2 of small faces that stand out "
                                     "from every side of " +
                                     unit.id + " carry neither sun nor heat",
                                 unit.id});
        }
        unit.patches = std::move(skin.patches);
    }

    void tell_opening(const std::string& unit, double area, const Vec3& normal,
                      const std::string& sizes) {
        warnings_.push_back(
            {"unit-open",
             unit + " has an opening of " + number(area) + " m2 " + toward(normal, north_deg_) +
                 sizes + "; no heat, air or sun is reckoned through it: name a pane or add a part",
             unit});
    }

    void warn_of_openings(const std::string& unit, const Skin& skin, const UnitOpenings& found) {
        for (const UnitOpening& opening : found.open) {
            if (opening.width_m <= widest_joint_m) continue;
            const std::string sizes =
                ", " + number(opening.length_m) + " m by " + number(opening.width_m) + " m";
            tell_opening(unit, opening.area_m2, opening.normal, opening.cut_short ? "" : sizes);
        }
        for (const SkinOpening& hole : skin.openings) {
            double told = 0;
            for (const UnitOpening& opening : found.open)
                told += opening.normal.dot(hole.normal) > same_way ? opening.area_m2 : 0;
            if (told < told_twice_share * hole.area_m2)
                tell_opening(unit, hole.area_m2, hole.normal, {});
        }
    }

    /// By the area vectors of a skin, which cancel where it closes. Not for parts between which
    /// openings are looked for: a face of theirs that lies partly inside, as the underside of
    /// eaves, is no skin.
    /// Hands out the outward normal of the side that is missing, zero where none is.
    Vec3 warn_of_missing_side(const std::string& unit, const Skin& skin) {
        double area = 0;
        Vec3 sum = Vec3::Zero();
        for (const Patch& patch : skin.patches) {
            area += patch.area_m2;
            sum += patch.area_m2 * patch.frame.normal;
        }
        for (const SkinOpening& opening : skin.openings) sum += opening.area_m2 * opening.normal;
        if (sum.norm() <= open_share * area) return Vec3::Zero();
        tell_opening(unit, sum.norm(), -sum.normalized(), {});
        return -sum.normalized();
    }

    void tell_gaps(UnitShape& unit, const UnitGaps& gaps) {
        constexpr double mm = 1000;
        const std::string limit = number(mm * closed_gap_m) + " mm";
        if (gaps.widest_closed_m > 0) {
            unit.repaired.push_back("gaps up to " +
                                    std::to_string(std::lround(mm * gaps.widest_closed_m)) +
                                    " mm wide closed (limit " + limit + ")");
        }
        if (gaps.widest_open_m <= 0) return;
        warnings_.push_back(
            {"unit-open",
             unit.id + " has gaps wider than " + limit +
                 " between its faces: " + number(gaps.open_length_m) + " m long together, up to " +
                 number(mm * gaps.widest_open_m) + " mm wide, " + number(gaps.open_area_m2) +
                 " m2; its sides end there, and no heat, air or sun is reckoned through them: draw "
                 "the faces up to each other",
             unit.id});
    }

    void warn_of_rooms(const std::string& unit, const Enclosure& room) {
        if (room.loggia_m2 > 0) {
            warnings_.push_back({"roofed-outside",
                                 number(room.loggia_m2) + " m2 of " + unit +
                                     " under its roof lie open to a side: they count as outdoors",
                                 unit});
        }
        if (room.n_rooms <= 1) return;
        warnings_.push_back({"several-rooms",
                             unit + " encloses " + std::to_string(room.n_rooms) +
                                 " rooms that do not hang together and counts as one room, their "
                                 "areas and volumes added up; put an assembly or a [[unit]] of the "
                                 "site file about each",
                             unit});
    }

    static void take_room(UnitShape& unit, const Enclosure& room, const BodyMeasure& first) {
        if (!room.found()) return;
        unit.floor_area_m2 = room.floor_area_m2;
        unit.volume_m3 = room.volume_m3;
        unit.how = "inside measure, along upright lines every " +
                   number(100 * enclosure_line_step_m) + " cm, where it is " +
                   number(least_room_height_m) + " m high or more";
        if (unit.bodies.size() > 1 || first.hollow_volume_m3 <= 0) return;
        unit.volume_m3 = first.hollow_volume_m3;
        unit.how = "floor area along upright lines every " + number(100 * enclosure_line_step_m) +
                   " cm; volume of the closed hollow, inside measure";
    }

    const Model& model_;
    const std::vector<RoleChoice>& roles_;
    const TaggedFaces& tagged_;
    double north_deg_;
    std::vector<Warning>& warnings_;
    std::vector<BodyId> panes_;
    std::vector<BodyId> closing_;  ///< units and shades: what may close the room of another unit
    CongruentAnswers<Seen> seen_{model_};
    std::map<std::string, std::vector<BodyId>> roofs_of_;  ///< that reach on over others, by unit
    std::map<BodyId, std::vector<OverhangZone>> beyond_rooms_;  ///< of the units below such a roof
};

}  // namespace

UnitShapes shape_units(const Model& model, const std::vector<RoleChoice>& roles,
                       const TaggedFaces& tagged, double north_deg,
                       std::vector<Warning>& warnings) {
    return UnitShaper(model, roles, tagged, north_deg, warnings).shape();
}

}  // namespace noonshell
