#include "geometry/envelope_checks.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <cstdio>
#include <limits>
#include <map>
#include <optional>
#include <string>
#include <utility>

#include "geometry/body_overlap.hpp"
#include "geometry/contacts.hpp"
#include "geometry/containment.hpp"
#include "geometry/visibility.hpp"

namespace noonshell {

namespace {

std::string told_number(double value) {
    char text[32];
    std::snprintf(text, sizeof text, "%.6g", value);
    return text;
}

void require_range(double value, double low, double high, const char* key, const char* unit) {
    if (value >= low && value <= high) return;  // false for NaN
    throw InputError({{}, {}, {}, std::string("[model] ") + key},
                     "a number from " + told_number(low) + " to " + told_number(high) + " " + unit,
                     told_number(value));
}

std::vector<Vec3> corners_of(std::span<const Patch> patches) {
    std::vector<Vec3> corners;
    for (const Patch& patch : patches) {
        for (const ConvexPolygon& polygon : patch.outline) {
            for (const Vec2& corner : polygon) corners.push_back(patch.frame.to_space(corner));
        }
    }
    return corners;
}

/// What casts shade or has a room: bodies that belong together.
struct Group {
    std::span<const BodyId> bodies;
    std::string name;
    bool has_room = false;
    bool is_context = false;  ///< only whether it stands in a room is of interest
    BodyBounds bounds{};
    std::optional<RayMesh> mesh{};
};

/// Whether a shade is what a unit carries beyond its walls.
bool is_overhang(const Envelope& envelope, const Shade& shade) {
    return std::ranges::any_of(envelope.units, [&](const Unit& unit) {
        return std::ranges::binary_search(unit.bodies, shade.bodies.front());
    });
}

std::vector<Group> groups_of(const Model& model, const std::vector<RoleChoice>& roles,
                             const Envelope& envelope, std::span<const BodyId> all,
                             BodyOverlaps& overlaps) {
    std::vector<Group> groups;
    for (const Unit& unit : envelope.units) groups.push_back({unit.bodies, unit.id, true});
    for (const Shade& shade : envelope.shades) {
        if (!is_overhang(envelope, shade)) groups.push_back({shade.bodies, shade.id});
    }
    for (std::size_t b = 0; b < roles.size(); ++b) {
        if (roles[b].role == Role::context && roles[b].guessed && model.bodies[b].n_faces > 0)
            groups.push_back({all.subspan(b, 1), model.bodies[b].id, false, true});
    }
    for (Group& group : groups) {
        group.bounds = overlaps.bounds(group.bodies.front());
        for (const BodyId body : group.bodies) {
            const BodyBounds& one = overlaps.bounds(body);
            group.bounds.low_m = group.bounds.low_m.cwiseMin(one.low_m);
            group.bounds.high_m = group.bounds.high_m.cwiseMax(one.high_m);
        }
    }
    return groups;
}

bool bounds_meet(const BodyBounds& a, const BodyBounds& b) {
    return (a.low_m.array() <= b.high_m.array()).all() &&
           (b.low_m.array() <= a.high_m.array()).all();
}

/// The first bodies of two groups that run into each other.
std::optional<std::pair<BodyId, BodyId>> meeting_bodies(const Group& a, const Group& b,
                                                        BodyOverlaps& overlaps) {
    for (const BodyId p : a.bodies) {
        if (!bounds_meet(overlaps.bounds(p), b.bounds)) continue;
        for (const BodyId q : b.bodies) {
            if (overlaps.overlap(p, q)) return std::pair(p, q);
        }
    }
    return std::nullopt;
}

/// The same body once more, moved by a little.
bool is_drawn_twice(const Model& model, BodyOverlaps& overlaps,
                    const std::pair<BodyId, BodyId>& bodies) {
    constexpr double near_m = 0.02, same_share = 0.01;
    const BodyBounds &p = overlaps.bounds(bodies.first), &q = overlaps.bounds(bodies.second);
    const Body& a = model.bodies[bodies.first.index()];
    const Body& b = model.bodies[bodies.second.index()];
    return (p.low_m - q.low_m).cwiseAbs().maxCoeff() <= near_m &&
           (p.high_m - q.high_m).cwiseAbs().maxCoeff() <= near_m &&
           std::abs(a.area_m2 - b.area_m2) <= same_share * a.area_m2 &&
           std::abs(a.volume_m3 - b.volume_m3) <= same_share * a.volume_m3;
}

bool is_inside(const Model& model, const Group& inner, Group& outer) {
    constexpr double most_openness = 0.1;
    if (!outer.has_room || !fits_into(inner.bounds, outer.bounds)) return false;
    if (!outer.mesh) outer.mesh = ray_mesh_of(model, outer.bodies);
    return std::ranges::all_of(inner.bodies, [&](BodyId body) {
        return lies_within(model, body, *outer.mesh, most_openness);
    });
}

}  // namespace

void validate(const EnvelopeOptions& options) {
    require_range(options.facet_size_m, 0.02, 100.0, "facet_size_m", "m");
    require_range(options.contact_gap_m, 0.0, 0.5, "contact_gap_m", "m");
    if (!std::isfinite(options.north_deg)) {
        throw InputError({{}, {}, {}, "[site] north_deg"}, "a finite angle in degrees",
                         told_number(options.north_deg));
    }
    if (std::isinf(options.ground_z_m)) {
        throw InputError({{}, {}, {}, "[model] ground_z_m"}, "a finite height in metres",
                         told_number(options.ground_z_m));
    }
}

std::vector<Warning> overlap_warnings(const Model& model, const std::vector<RoleChoice>& roles,
                                      const Envelope& envelope) {
    BodyOverlaps overlaps(model);
    std::vector<BodyId> all;
    for (std::size_t b = 0; b < model.bodies.size(); ++b) all.emplace_back(b);
    std::vector<Group> groups = groups_of(model, roles, envelope, all, overlaps);
    std::vector<Warning> warnings;
    std::map<std::size_t, std::vector<std::string>> inside;
    for (std::size_t i = 0; i < groups.size(); ++i) {
        for (std::size_t j = i + 1; j < groups.size(); ++j) {
            Group &p = groups[i], &q = groups[j];
            if (!bounds_meet(p.bounds, q.bounds)) continue;
            const bool with_context = p.is_context || q.is_context;
            if (with_context && !p.has_room && !q.has_room) continue;
            if (const auto met = with_context ? std::nullopt : meeting_bodies(p, q, overlaps)) {
                const std::string& a = model.bodies[met->first.index()].id;
                const std::string& b = model.bodies[met->second.index()].id;
                const char* what =
                    is_drawn_twice(model, overlaps, *met)
                        ? " are nearly the same body at nearly the same place: drawn twice? Name "
                          "one of them in ignore"
                        : " run into each other; surfaces inside the other body count as shaded";
                warnings.push_back({"bodies-overlap", a + " and " + b + what, a + ", " + b});
                continue;
            }
            if (is_inside(model, p, q)) {
                inside[j].push_back(p.name);
            } else if (is_inside(model, q, p)) {
                inside[i].push_back(q.name);
            }
        }
    }
    for (const auto& [outer, names] : inside) {
        const std::string more = names.size() > 1
                                     ? " and " + std::to_string(names.size() - 1) + " more stand"
                                     : " stands";
        warnings.push_back({"body-inside",
                            names.front() + more + " inside " + groups[outer].name +
                                "; hardly any sun gets there: ignore what is furniture",
                            names.front() + ", " + groups[outer].name});
    }
    return warnings;
}

std::vector<Warning> below_ground_warnings(const Model& model, std::span<const BodyParts> parts,
                                           double ground_z_m) {
    std::vector<Warning> warnings;
    for (const BodyParts& part : parts) {
        double lowest = std::numeric_limits<double>::infinity();
        for (const Vec3& corner : corners_of(part.patches)) lowest = std::min(lowest, corner.z());
        if (lowest >= ground_z_m - contact_overlap_m - snap_distance_m) continue;
        const std::string& id = model.bodies[part.body.index()].id;
        warnings.push_back({"below-ground",
                            id + " reaches " + told_number(ground_z_m - lowest) +
                                " m below the ground at z = " + told_number(ground_z_m) + " m",
                            id});
    }
    return warnings;
}

}  // namespace noonshell
