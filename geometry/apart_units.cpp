#include "geometry/apart_units.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <map>
#include <utility>

#include "geometry/relief.hpp"

namespace noonshell {

namespace {

using Bounds3 = Eigen::AlignedBox3d;

/// Bodies whose boxes along the model's axes lie no farther than a gap from
/// each other.
struct Piece {
    std::vector<BodyId> bodies;
    Bounds3 box;
};

std::vector<Piece> found_pieces(std::span<const BodyId> bodies, std::span<const BodyBounds> bounds,
                                double gap_m) {
    std::vector<Piece> pieces;
    for (const BodyId body : bodies) {
        Piece piece{{body}, Bounds3(bounds[body.index()].low_m, bounds[body.index()].high_m)};
        // What joins a piece makes it larger: it may reach further pieces then.
        for (bool joined = true; joined;) {
            const auto near = std::ranges::find_if(pieces, [&](const Piece& other) {
                return piece.box.exteriorDistance(other.box) <= gap_m;
            });
            joined = near != pieces.end();
            if (!joined) break;
            piece.bodies.insert(piece.bodies.end(), near->bodies.begin(), near->bodies.end());
            piece.box.extend(near->box);
            pieces.erase(near);
        }
        std::ranges::sort(piece.bodies);
        pieces.push_back(std::move(piece));
    }
    std::ranges::sort(pieces, {}, [](const Piece& piece) { return piece.bodies.front(); });
    return pieces;
}

}  // namespace

void part_units(const Model& model, std::span<const BodyBounds> bounds,
                std::span<const NamedUnit> kept, const RoomFinder& room_m3, double least_room_m3,
                std::vector<std::optional<RoleChoice>>& choices) {
    std::map<std::string, std::vector<BodyId>> groups;
    for (std::size_t b = 0; b < choices.size(); ++b) {
        if (!choices[b] || choices[b]->role != Role::unit || choices[b]->unit.empty()) continue;
        if (model.bodies[b].n_faces > 0) groups[choices[b]->unit].emplace_back(b);
    }
    for (const NamedUnit& unit : kept) groups.erase(unit.name);
    for (const auto& [name, bodies] : groups) {
        const std::vector<Piece> pieces = found_pieces(bodies, bounds, closed_gap_m);
        if (pieces.size() < 2) continue;
        std::vector<const Piece*> rooms;
        for (const Piece& piece : pieces) {
            if (room_m3(piece.bodies) >= least_room_m3) rooms.push_back(&piece);
        }
        if (rooms.size() < 2) continue;
        for (const Piece& piece : pieces) {
            const auto nearest = std::ranges::min_element(rooms, {}, [&](const Piece* room) {
                return room == &piece ? -1.0 : piece.box.exteriorDistance(room->box);
            });
            const std::string part = name + "-" + std::to_string(nearest - rooms.begin() + 1);
            for (const BodyId body : piece.bodies) {
                choices[body.index()]->unit = part;
                choices[body.index()]->why +=
                    "; " + name + " stands in pieces apart: " + std::to_string(rooms.size()) +
                    " rooms";
            }
        }
    }
}

}  // namespace noonshell
