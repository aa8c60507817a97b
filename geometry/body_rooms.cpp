#include "geometry/body_rooms.hpp"

#include <algorithm>
#include <limits>

#include "geometry/linings.hpp"
#include "geometry/role_guess.hpp"
#include "geometry/visibility.hpp"

namespace noonshell {

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
    return rooms_.get(bodies, [&] { return measured_room(bodies); });
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

Enclosure BodyRooms::measured_room(std::span<const BodyId> bodies) const {
    double lowest = std::numeric_limits<double>::infinity();
    for (const BodyId b : bodies) lowest = std::min(lowest, bounds_[b.index()].low_m.z());
    return measure_enclosure(model_, bodies, ray_mesh_of(model_, bodies), lowest);
}

}  // namespace noonshell
