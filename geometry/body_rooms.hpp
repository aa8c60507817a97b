// Private to geometry/: how large the bodies of a model are, which of them lie below each assembly,
// and the rooms that they enclose.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "geometry/body_measure.hpp"
#include "geometry/congruence.hpp"
#include "geometry/enclosure.hpp"
#include "geometry/model.hpp"
#include "geometry/roles.hpp"

namespace noonshell {

class BodyRooms {
  public:
    /// `model` and `limits` must outlive this.
    BodyRooms(const Model& model, const RoleGuessLimits& limits);

    const std::vector<BodyBounds>& bounds() const { return bounds_; }
    const BodyMeasure& measure(BodyId body) const { return measures_[body.index()]; }

    /// That the body encloses by itself; 0 for none [m3].
    double room_m3(BodyId body) const { return room_m3_[body.index()]; }
    const std::vector<double>& room_volumes_m3() const { return room_m3_; }
    bool is_room(BodyId body) const { return room_m3(body) >= limits_.least_unit_volume_m3; }
    /// The outermost room that each body lines.
    const std::vector<BodyId>& outermost() const { return outermost_; }
    /// A room that is not the lining of another one.
    bool is_outer_room(BodyId body) const {
        return is_room(body) && outermost_[body.index()] == body;
    }

    /// Index of the assembly that holds this one; -1 at the root.
    std::int32_t parent_of(std::int32_t assembly) const {
        return model_.assemblies[static_cast<std::size_t>(assembly)].parent;
    }
    /// All bodies below each assembly.
    const std::vector<std::vector<BodyId>>& subtrees() const { return subtrees_; }
    /// All bodies below an assembly, ascending.
    const std::vector<BodyId>& bodies_in(std::int32_t assembly) const {
        return subtrees_[static_cast<std::size_t>(assembly)];
    }

    /// Whether the extent of some bodies could hold a room at all: most need no closer look.
    bool large_enough(std::span<const BodyId> bodies) const;

    /// The room that some bodies enclose together.
    const Enclosure& room_of(std::span<const BodyId> bodies);

    /// The room that bodies without a roof enclose below what lies on their walls.
    Enclosure room_under(std::span<const BodyId> bodies, std::span<const BodyId> others) const;
    /// That they would enclose if a roof lay on them.
    Enclosure room_if_roofed(std::span<const BodyId> bodies) const;

    /// What a plate closes of an open side of a room.
    struct Closing {
        BodyId plate;
        double closed_m2 = 0;
        bool as_roof = false;  ///< of a room that has none of its own
    };
    /// Of those `plates` that close something of the room of `bodies`.
    std::vector<Closing> closing_sides(std::span<const BodyId> bodies,
                                       std::span<const BodyId> plates) const;

  private:
    double room_of_body(BodyId id);
    bool could_close(std::span<const BodyId> bodies, BodyId plate) const;
    double lowest_m(std::span<const BodyId> bodies) const;
    Enclosure measured_room(std::span<const BodyId> bodies, std::vector<RayMesh::Triangle> lid,
                            RoomPlan* plan = nullptr) const;

    const Model& model_;
    const RoleGuessLimits& limits_;
    std::vector<BodyBounds> bounds_;
    std::vector<BodyMeasure> measures_;
    std::vector<double> room_m3_;
    std::vector<BodyId> outermost_;
    std::vector<std::vector<BodyId>> subtrees_;
    CongruentAnswers<Enclosure> rooms_;
};

}  // namespace noonshell
