#include "geometry/body_rooms.hpp"

#include <algorithm>
#include <limits>
#include <utility>

#include "geometry/borrowed_sides.hpp"
#include "geometry/lids.hpp"
#include "geometry/linings.hpp"
#include "geometry/role_guess.hpp"
#include "geometry/visibility.hpp"

namespace noonshell {

namespace {

/// What is open to two sides is taken for a shelter.
constexpr int least_walls_of_room = 3;

/// A plate closes no room that it stands farther from than the play of a joint [m].
constexpr double closing_reach_m = 0.06;

}  // namespace

BodyRooms::BodyRooms(const Model& model, const RoleGuessLimits& limits)
    : model_(model), limits_(limits), rooms_(model) {
    for (std::size_t b = 0; b < model.bodies.size(); ++b) {
        bounds_.push_back(bounds_of_body(model, BodyId(b)));
        measures_.push_back(measure_body(model, BodyId(b)));
        room_m3_.push_back(room_of_body(BodyId(b)));
    }
    outermost_ = outermost_rooms(model, bounds_, room_m3_, limits.least_unit_volume_m3);
    subtrees_.resize(model.assemblies.size());
    for (std::size_t b = 0; b < model.bodies.size(); ++b) {
        for (std::int32_t a = model.bodies[b].assembly; a >= 0; a = parent_of(a)) {
            subtrees_[static_cast<std::size_t>(a)].push_back(BodyId(b));
        }
    }
}

bool BodyRooms::large_enough(std::span<const BodyId> bodies) const {
    Vec3 low = Vec3::Constant(std::numeric_limits<double>::infinity()), high = -low;
    for (const BodyId b : bodies) {
        low = low.cwiseMin(bounds_[b.index()].low_m);
        high = high.cwiseMax(bounds_[b.index()].high_m);
    }
    const Vec3 size = high - low;
    return size.minCoeff() >= least_room_height_m && size.prod() >= limits_.least_unit_volume_m3;
}

const Enclosure& BodyRooms::room_of(std::span<const BodyId> bodies) {
    return rooms_.get(bodies, [&] { return measured_room(bodies, {}); });
}

double BodyRooms::room_of_body(BodyId id) {
    const Body& body = model_.bodies[id.index()];
    const BodyMeasure& measure = measures_[id.index()];
    if (body.solid && (measure.least_extent_m < limits_.thin_plate_m ||
                       !too_slight(measure, bounds_[id.index()], limits_).empty())) {
        return 0;
    }
    if (body.solid && measure.enclosed_volume_m3 >= limits_.least_unit_volume_m3 &&
        measure.thickness_m >= hollow_thickness_m) {
        return measure.enclosed_volume_m3;
    }
    const BodyId one[] = {id};
    return large_enough(one) ? room_of(one).volume_m3 : 0;
}

Enclosure BodyRooms::room_under(std::span<const BodyId> bodies,
                                std::span<const BodyId> others) const {
    auto lid = lid_of_neighbours(model_, bodies, others);
    return lid.empty() ? Enclosure{} : measured_room(bodies, std::move(lid));
}

Enclosure BodyRooms::room_if_roofed(std::span<const BodyId> bodies) const {
    return measured_room(bodies, lid_drawn_over(model_, bodies));
}

std::vector<BodyRooms::Closing> BodyRooms::closing_sides(std::span<const BodyId> bodies,
                                                         std::span<const BodyId> plates) const {
    const RayMesh mesh = ray_mesh_of(model_, bodies);
    RoomPlan room;
    bool roofed = true;
    std::vector<Closing> closing;
    for (const BodyId plate : plates) {
        if (!could_close(bodies, plate)) continue;
        if (room.storeys_m.empty()) {
            roofed = measure_enclosure(model_, bodies, mesh, lowest_m(bodies), &room,
                                       least_walls_of_room)
                         .found();
            if (!roofed && !measured_room(bodies, lid_drawn_over(model_, bodies), &room).found())
                break;
        }
        double closed_m2 = 0;
        for (const BorrowedSide& side :
             borrowed_sides(model_, bodies, std::span(&plate, 1), mesh, room, {}))
            closed_m2 += side.clear_m2;
        if (closed_m2 > 0) closing.push_back({plate, closed_m2, !roofed});
    }
    return closing;
}

bool BodyRooms::could_close(std::span<const BodyId> bodies, BodyId plate) const {
    const BodyBounds& p = bounds_[plate.index()];
    return std::ranges::any_of(bodies, [&](BodyId id) {
        const BodyBounds& b = bounds_[id.index()];
        return ((p.low_m.array() - b.high_m.array()) <= closing_reach_m).all() &&
               ((b.low_m.array() - p.high_m.array()) <= closing_reach_m).all();
    });
}

double BodyRooms::lowest_m(std::span<const BodyId> bodies) const {
    double lowest = std::numeric_limits<double>::infinity();
    for (const BodyId b : bodies) lowest = std::min(lowest, bounds_[b.index()].low_m.z());
    return lowest;
}

Enclosure BodyRooms::measured_room(std::span<const BodyId> bodies,
                                   std::vector<RayMesh::Triangle> lid, RoomPlan* plan) const {
    for (const RayMesh::Triangle& triangle : ray_triangles(model_, bodies)) lid.push_back(triangle);
    return measure_enclosure(model_, bodies, RayMesh(std::move(lid)), lowest_m(bodies), plan,
                             least_walls_of_room);
}

}  // namespace noonshell
