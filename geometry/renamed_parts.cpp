#include "geometry/renamed_parts.hpp"

#include <algorithm>

#include "geometry/change.hpp"
#include "geometry/pairing.hpp"

namespace noonshell {

namespace {

/// First the common move, then the unit's own: a turn about the upright through its middle.
CommonMove carried_by(const CommonMove& common, const PlacedShape& before,
                      const PlacedShape& after) {
    const Change change = change_of(&before, &after, common);
    CommonMove move = common;
    move.turn_deg += change.turned_deg;
    move.shift_m = Vec3::Zero();
    move.shift_m = after.centre_m - move.point(before.centre_m);
    return move;
}

void join(BodyMatches& matches, const Model& old_model, std::uint32_t o, const Model& new_model,
          std::uint32_t n) {
    const BodyId old_id(o), new_id(n);
    const PlacedShape before = placed_shape(old_model, {&old_id, 1});
    const PlacedShape after = placed_shape(new_model, {&new_id, 1});
    Change change = change_of(&before, &after, matches.move);
    change.old_index = o;
    change.new_index = n;
    change.old_id = old_model.bodies[o].id;
    change.new_id = new_model.bodies[n].id;
    change.renamed = old_model.bodies[o].name != new_model.bodies[n].name;
    matches.bodies[n] = std::move(change);
    std::erase_if(matches.bodies, [o](const Change& c) { return c.is_gone() && c.old_index == o; });
}

}  // namespace

void match_renamed_parts(BodyMatches& matches, const OwnedBodies& before,
                         const OwnedBodies& after) {
    std::vector<BodyId> news, olds;
    for (const BodyId body : after.bodies) {
        if (matches.bodies[body.index()].is_new()) news.push_back(body);
    }
    if (news.empty()) return;
    for (std::size_t k = after.model.bodies.size(); k < matches.bodies.size(); ++k) {
        const BodyId gone(matches.bodies[k].old_index);
        if (std::find(before.bodies.begin(), before.bodies.end(), gone) != before.bodies.end())
            olds.push_back(gone);
    }
    if (olds.empty()) return;
    const CommonMove move = carried_by(matches.move, placed_shape(before.model, before.bodies),
                                       placed_shape(after.model, after.bodies));
    std::vector<PlacedShape> old_shapes, new_shapes;
    std::vector<ShapePoint> old_points, new_points;
    std::vector<std::uint32_t> old_list, new_list;
    for (const BodyId& body : olds) {
        const PlacedShape s = placed_shape(before.model, {&body, 1});
        if (!s.empty) old_list.push_back(static_cast<std::uint32_t>(old_shapes.size()));
        old_points.push_back(shape_point(move.point(s.centre_m), move.scale * s.sizes_m));
        old_shapes.push_back(s);
    }
    for (const BodyId& body : news) {
        const PlacedShape s = placed_shape(after.model, {&body, 1});
        if (!s.empty) new_list.push_back(static_cast<std::uint32_t>(new_shapes.size()));
        new_points.push_back(shape_point(s.centre_m, s.sizes_m));
        new_shapes.push_back(s);
    }
    const auto allowed = [&](std::uint32_t o, std::uint32_t n) {
        return may_be_same(old_shapes[o], new_shapes[n], move);
    };
    for (const auto& [o, n] :
         pair_nearest(old_points, old_list, new_points, new_list, {allowed, {}})) {
        join(matches, before.model, static_cast<std::uint32_t>(olds[o].index()), after.model,
             static_cast<std::uint32_t>(news[n].index()));
    }
}

}  // namespace noonshell
