// Units, shades and surfaces of two versions of a model: they follow their bodies.
#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <numeric>
#include <string>
#include <utility>

#include "geometry/change.hpp"
#include "geometry/matching.hpp"
#include "geometry/owners.hpp"
#include "geometry/pairing.hpp"
#include "geometry/renamed_parts.hpp"

namespace noonshell {

namespace {

/// A turn of a normal by one radian counts like this distance [m].
constexpr double normal_weight_m = 3.0;
/// A surface that stays where it was while its unit or shade is gone may differ by this [m].
constexpr double same_point_m = 0.02;

std::vector<std::uint32_t> unmatched(const std::vector<std::uint32_t>& partner) {
    std::vector<std::uint32_t> left;
    for (std::uint32_t k = 0; k < partner.size(); ++k) {
        if (partner[k] == Change::none) left.push_back(k);
    }
    return left;
}

/// One version as the matcher sees it.
struct Version {
    Version(const Model& of_model, const Envelope& of_envelope)
        : model(of_model),
          envelope(of_envelope),
          owners(owners_of(of_model, of_envelope)),
          owner_partner(owners.size(), Change::none),
          surface_partner(of_envelope.surfaces.size(), Change::none) {}

    const Surface& surface(std::uint32_t s) const { return envelope.surfaces[s]; }

    const Model& model;
    const Envelope& envelope;
    std::vector<Owner> owners;
    std::vector<std::uint32_t> owner_partner, surface_partner;
};

/// What belongs to which entry of the list of owners.
struct Belongings {
    std::vector<std::uint32_t> of_body, of_surface;

    /// `entry` by owner.
    Belongings(const Version& version, const std::vector<std::uint32_t>& entry)
        : of_body(version.model.bodies.size(), Change::none),
          of_surface(version.envelope.surfaces.size(), Change::none) {
        for (std::size_t k = 0; k < version.owners.size(); ++k) {
            for (const BodyId body : version.owners[k].bodies) of_body[body.index()] = entry[k];
            for (const std::uint32_t s : version.owners[k].surfaces) {
                of_surface[s] = entry[k];
                // Panes that are bodies are none of the unit's own.
                std::uint32_t& pane = of_body[version.surface(s).body.index()];
                if (pane == Change::none) pane = entry[k];
            }
        }
    }
};

/// The side's name within its unit, without the number of repeated names.
std::string_view side_name(const Owner& owner, const Surface& surface) {
    std::string_view name = surface.id;
    const std::string prefix = owner.id + "/";
    name.remove_prefix(name.starts_with(prefix) ? prefix.size() : name.find_last_of('/') + 1);
    return without_number(name);
}

double angle_deg(const Vec3& a, const Vec3& b) {
    return std::atan2(a.cross(b).norm(), a.dot(b)) * 180 / std::numbers::pi;
}

ShapePoint surface_point(const Vec3& centroid_m, const Vec3& normal, double area_m2) {
    return shape_point(centroid_m, normal_weight_m * normal, std::sqrt(area_m2));
}

class SurfaceMatcher {
  public:
    SurfaceMatcher(BodyMatches matches, Version old_version, Version new_version)
        : old_(std::move(old_version)),
          new_(std::move(new_version)),
          move_(matches.move),
          body_of_(old_.model.bodies.size(), Change::none) {
        matches_.bodies = std::move(matches);
        note_bodies();
    }

    ModelMatches match() {
        match_owners();
        match_parts();
        for (std::uint32_t o = 0; o < old_.owners.size(); ++o) {
            if (old_.owner_partner[o] != Change::none) match_sides(o, old_.owner_partner[o]);
        }
        match_spots();
        list_owners();
        list_surfaces();
        set_owners();
        return std::move(matches_);
    }

  private:
    void note_bodies() {
        for (const Change& change : matches_.bodies.bodies) {
            if (change.matched()) body_of_[change.old_index] = change.new_index;
        }
    }

    void match_parts() {
        for (std::size_t o = 0; o < old_.owners.size(); ++o) {
            const std::uint32_t n = old_.owner_partner[o];
            if (n == Change::none) continue;
            match_renamed_parts(matches_.bodies, {old_.model, old_.owners[o].bodies},
                                {new_.model, new_.owners[n].bodies});
        }
        note_bodies();
    }

    void join_owners(std::uint32_t o, std::uint32_t n) {
        old_.owner_partner[o] = n;
        new_.owner_partner[n] = o;
    }
    bool free_owners(std::uint32_t o, std::uint32_t n) const {
        return old_.owner_partner[o] == Change::none && new_.owner_partner[n] == Change::none;
    }

    /// By the area of the bodies they share, then by id, then by place.
    void match_owners() {
        for (const auto& [o, n] : shared_bodies()) {
            if (free_owners(o, n)) join_owners(o, n);
        }
        for (const std::uint32_t o : unmatched(old_.owner_partner)) {
            for (const std::uint32_t n : unmatched(new_.owner_partner)) {
                if (old_.owners[o].id == new_.owners[n].id && free_owners(o, n)) join_owners(o, n);
            }
        }
        std::vector<ShapePoint> old_points, new_points;
        for (const Owner& owner : old_.owners) {
            old_points.push_back(
                shape_point(move_.point(owner.shape.centre_m), move_.scale * owner.shape.sizes_m));
        }
        for (const Owner& owner : new_.owners)
            new_points.push_back(shape_point(owner.shape.centre_m, owner.shape.sizes_m));
        const auto allowed = [this](std::uint32_t o, std::uint32_t n) {
            return may_be_same(old_.owners[o].shape, new_.owners[n].shape, move_);
        };
        for (const auto& [o, n] :
             pair_nearest(old_points, unmatched(old_.owner_partner), new_points,
                          unmatched(new_.owner_partner), {allowed, {}})) {
            join_owners(o, n);
        }
    }

    /// Owners that share bodies, those with the most area in common first.
    std::vector<IndexPair> shared_bodies() const {
        std::vector<std::uint32_t> owner_of(new_.model.bodies.size(), Change::none);
        for (std::uint32_t n = 0; n < new_.owners.size(); ++n) {
            for (const BodyId body : new_.owners[n].bodies) owner_of[body.index()] = n;
        }
        std::map<IndexPair, double> area;
        for (std::uint32_t o = 0; o < old_.owners.size(); ++o) {
            for (const BodyId body : old_.owners[o].bodies) {
                const std::uint32_t partner = body_of_[body.index()];
                if (partner == Change::none || owner_of[partner] == Change::none) continue;
                area[{o, owner_of[partner]}] +=
                    move_.scale * move_.scale * old_.model.bodies[body.index()].area_m2 +
                    new_.model.bodies[partner].area_m2;
            }
        }
        std::vector<std::pair<double, IndexPair>> ordered;
        for (const auto& [pair, shared] : area) ordered.emplace_back(shared, pair);
        std::stable_sort(ordered.begin(), ordered.end(),
                         [](const auto& a, const auto& b) { return a.first > b.first; });
        std::vector<IndexPair> pairs;
        for (const auto& [shared, pair] : ordered) pairs.push_back(pair);
        return pairs;
    }

    void join_surfaces(std::uint32_t o, std::uint32_t n) {
        old_.surface_partner[o] = n;
        new_.surface_partner[n] = o;
    }

    /// Where an old unit's surfaces are to be looked for in its new place.
    struct Carried {
        std::vector<Vec3> normals;       ///< #old surfaces; set for this unit's only
        std::vector<ShapePoint> points;  ///< likewise
    };

    Carried carried_along(const Owner& before, const Owner& after) const {
        const Change change = change_of(&before.shape, &after.shape, move_);
        const CommonMove own{1, false, change.turned_deg, Vec3::Zero()};
        Carried carried{std::vector<Vec3>(old_.surface_partner.size(), Vec3::Zero()),
                        std::vector<ShapePoint>(old_.surface_partner.size())};
        for (const std::uint32_t s : before.surfaces) {
            const Surface& surface = old_.surface(s);
            const auto turned = [&](const Vec3& v) { return own.direction(move_.direction(v)); };
            carried.normals[s] = turned(surface.normal);
            const Vec3 at = after.shape.centre_m +
                            move_.scale * turned(surface.centroid_m - before.shape.centre_m);
            carried.points[s] =
                surface_point(at, carried.normals[s], move_.scale * move_.scale * surface.area_m2);
        }
        return carried;
    }

    void match_sides(std::uint32_t old_owner, std::uint32_t new_owner) {
        const Owner& before = old_.owners[old_owner];
        const Owner& after = new_.owners[new_owner];
        match_pane_bodies(before, after);
        const Carried carried = carried_along(before, after);
        std::vector<ShapePoint> points(new_.surface_partner.size());
        for (const std::uint32_t s : after.surfaces) {
            const Surface& surface = new_.surface(s);
            points[s] = surface_point(surface.centroid_m, surface.normal, surface.area_m2);
        }
        const auto turned_less = [&](std::uint32_t o, std::uint32_t n, double limit_deg) {
            const Surface &p = old_.surface(o), &q = new_.surface(n);
            return (p.kind == SurfaceKind::pane) == (q.kind == SurfaceKind::pane) &&
                   angle_deg(carried.normals[o], q.normal) <= limit_deg;
        };
        const auto same_name = [&](std::uint32_t o, std::uint32_t n) {
            return side_name(before, old_.surface(o)) == side_name(after, new_.surface(n)) &&
                   turned_less(o, n, same_side_deg);
        };
        const auto same_way = [&](std::uint32_t o, std::uint32_t n) {
            return turned_less(o, n, renamed_side_deg);
        };
        pair_surfaces(before.surfaces, after.surfaces, carried.points, points, {same_name, {}});
        pair_surfaces(before.surfaces, after.surfaces, carried.points, points, {same_way, {}});
    }

    void pair_surfaces(std::vector<std::uint32_t> olds, std::vector<std::uint32_t> news,
                       const std::vector<ShapePoint>& old_points,
                       const std::vector<ShapePoint>& new_points, const Pairing& how) {
        std::erase_if(olds, [&](auto s) { return old_.surface_partner[s] != Change::none; });
        std::erase_if(news, [&](auto s) { return new_.surface_partner[s] != Change::none; });
        for (const auto& [o, n] : pair_nearest(old_points, olds, new_points, news, how))
            join_surfaces(o, n);
    }

    /// Panes that are bodies of their own follow them.
    void match_pane_bodies(const Owner& before, const Owner& after) {
        const auto own_body = [](const Owner& owner, const Surface& surface) {
            return surface.kind == SurfaceKind::pane &&
                   std::find(owner.bodies.begin(), owner.bodies.end(), surface.body) ==
                       owner.bodies.end();
        };
        std::map<std::uint32_t, std::uint32_t> pane_of;
        for (const std::uint32_t s : after.surfaces) {
            if (own_body(after, new_.surface(s))) pane_of.emplace(new_.surface(s).body.index(), s);
        }
        for (const std::uint32_t s : before.surfaces) {
            if (!own_body(before, old_.surface(s))) continue;
            const auto found = pane_of.find(body_of_[old_.surface(s).body.index()]);
            if (found == pane_of.end()) continue;
            if (new_.surface_partner[found->second] == Change::none)
                join_surfaces(s, found->second);
        }
    }

    /// Surfaces that stay where they were although their unit or shade is another.
    void match_spots() {
        std::vector<ShapePoint> old_points, new_points;
        for (const Surface& s : old_.envelope.surfaces) {
            old_points.push_back(surface_point(move_.point(s.centroid_m), move_.direction(s.normal),
                                               move_.scale * move_.scale * s.area_m2));
        }
        for (const Surface& s : new_.envelope.surfaces)
            new_points.push_back(surface_point(s.centroid_m, s.normal, s.area_m2));
        const auto allowed = [this](std::uint32_t o, std::uint32_t n) {
            return (old_.surface(o).kind == SurfaceKind::pane) ==
                   (new_.surface(n).kind == SurfaceKind::pane);
        };
        pair_surfaces(unmatched(old_.surface_partner), unmatched(new_.surface_partner), old_points,
                      new_points, {allowed, {}, same_point_m});
    }

    static void set_names(Change& change, const std::string* before, const std::string* after) {
        if (before != nullptr) change.old_id = *before;
        if (after != nullptr) change.new_id = *after;
        change.renamed = before != nullptr && after != nullptr && *before != *after;
    }

    /// Calls `list(old index, new index)` for what is there in the new version, then for what is
    /// gone.
    template <class List>
    static void for_changes(const std::vector<std::uint32_t>& old_partner,
                            const std::vector<std::uint32_t>& new_partner, const List& list) {
        for (std::uint32_t n = 0; n < new_partner.size(); ++n) list(new_partner[n], n);
        for (const std::uint32_t o : unmatched(old_partner)) list(o, Change::none);
    }

    void list_owners() {
        for_changes(
            old_.owner_partner, new_.owner_partner, [this](std::uint32_t o, std::uint32_t n) {
                const Owner* before = o == Change::none ? nullptr : &old_.owners[o];
                const Owner* after = n == Change::none ? nullptr : &new_.owners[n];
                Change change = change_of(before ? &before->shape : nullptr,
                                          after ? &after->shape : nullptr, move_);
                change.old_index = o;
                change.new_index = n;
                set_names(change, before ? &before->id : nullptr, after ? &after->id : nullptr);
                matches_.owners.push_back(std::move(change));
            });
    }

    void list_surfaces() {
        for_changes(
            old_.surface_partner, new_.surface_partner, [this](std::uint32_t o, std::uint32_t n) {
                const Surface* before = o == Change::none ? nullptr : &old_.surface(o);
                const Surface* after = n == Change::none ? nullptr : &new_.surface(n);
                Change change = surface_change(before, after);
                change.old_index = o;
                change.new_index = n;
                set_names(change, before ? &before->id : nullptr, after ? &after->id : nullptr);
                matches_.surfaces.push_back(std::move(change));
            });
    }

    Change surface_change(const Surface* before, const Surface* after) const {
        Change change;
        if (before != nullptr) change.old_area_m2 = before->area_m2;
        if (after != nullptr) change.new_area_m2 = after->area_m2;
        if (before != nullptr) change.centre_m = before->centroid_m;
        if (after != nullptr) change.centre_m = after->centroid_m;
        if (before == nullptr || after == nullptr) return change;
        change.moved_m = after->centroid_m - move_.point(before->centroid_m);
        change.turned_deg = angle_deg(move_.direction(before->normal), after->normal);
        const double old_area = move_.scale * move_.scale * before->area_m2;
        change.resized = std::abs(after->area_m2 - old_area) > same_area_share * old_area;
        change.moved = change.moved_m.norm() >= same_place_m || change.turned_deg >= same_turn_deg;
        return change;
    }

    /// Tells bodies and surfaces which entry of the list of owners they belong to.
    void set_owners() {
        std::vector<std::uint32_t> old_entry(old_.owners.size(), Change::none);
        std::vector<std::uint32_t> new_entry(new_.owners.size(), Change::none);
        for (std::uint32_t k = 0; k < matches_.owners.size(); ++k) {
            const Change& owner = matches_.owners[k];
            if (!owner.is_new()) old_entry[owner.old_index] = k;
            if (!owner.is_gone()) new_entry[owner.new_index] = k;
        }
        const Belongings old_ones(old_, old_entry), new_ones(new_, new_entry);
        for (Change& body : matches_.bodies.bodies) {
            body.owner = body.is_gone() ? old_ones.of_body[body.old_index]
                                        : new_ones.of_body[body.new_index];
        }
        for (Change& surface : matches_.surfaces) {
            surface.owner = surface.is_gone() ? old_ones.of_surface[surface.old_index]
                                              : new_ones.of_surface[surface.new_index];
        }
    }

    Version old_, new_;
    CommonMove move_;
    std::vector<std::uint32_t> body_of_;  ///< #old bodies
    ModelMatches matches_;
};

}  // namespace

ModelMatches match_surfaces(BodyMatches matches, const Model& old_model,
                            const Envelope& old_envelope, const Model& new_model,
                            const Envelope& new_envelope) {
    return SurfaceMatcher(std::move(matches), Version(old_model, old_envelope),
                          Version(new_model, new_envelope))
        .match();
}

}  // namespace noonshell
