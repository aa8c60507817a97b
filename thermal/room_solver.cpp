#include "thermal/room_solver.hpp"

#include <algorithm>
#include <cmath>

namespace noonshell {

namespace {

constexpr double settled_k = 1e-7;  // some 1e-5 W in a room of 100 W/K
constexpr int most_sweeps = 200;

/// Eliminates the radiant node:
///   (inertia + outdoor + S_aa) T_air - S_ar T_rad = sources + plant
///   -S_ar T_air + S_rr T_rad = radiant sources
void eliminate(RoomInStep& room) {
    const FaceTerms& faces = room.faces;
    room.per_radiant_k_w = 1 / faces.radiant_radiant_w_k;
    room.back = faces.air_radiant_w_k * room.per_radiant_k_w;
    room.slope_w_k =
        room.inertia_w_k + room.outdoor_w_k + faces.air_air_w_k - room.back * faces.air_radiant_w_k;
    room.per_slope_k_w = 1 / room.slope_w_k;
    room.source_w = room.inertia_w + room.outdoor_w_k * room.outdoor_c + room.gains_air_w;
}

/// Solves one room with its neighbours as they are; returns how far it moved [K].
double solve_one(RoomInStep& room, double air_source_w, double radiant_source_w) {
    const double radiant_w = radiant_source_w + room.gains_radiant_w;
    const double source_w = room.source_w + air_source_w + room.back * radiant_w;
    double air_c = source_w * room.per_slope_k_w;
    room.plant_w = 0;
    if (room.cooled && air_c > room.cooling_set_point_c) {
        air_c = room.cooling_set_point_c;
        room.plant_w = room.slope_w_k * air_c - source_w;
    }
    if (room.heated && air_c < room.heating_set_point_c) {
        air_c = room.heating_set_point_c;
        room.plant_w = room.slope_w_k * air_c - source_w;
    }
    if (-room.plant_w > room.most_cooling_w) {
        room.plant_w = -room.most_cooling_w;
        air_c = (source_w + room.plant_w) * room.per_slope_k_w;
    }
    const double radiant_c =
        (radiant_w + room.faces.air_radiant_w_k * air_c) * room.per_radiant_k_w;
    const double moved =
        std::max(std::abs(air_c - room.air_c), std::abs(radiant_c - room.radiant_c));
    room.air_c = air_c;
    room.radiant_c = radiant_c;
    return moved;
}

}  // namespace

void link_air(double w_k, RoomLink& doorway) {
    doorway.to_a.air_of_air_w_k = doorway.to_b.air_of_air_w_k = w_k;
}

int solve_rooms(std::span<RoomInStep> rooms, std::span<const RoomLink> shared,
                const RoomLinks& links) {
    for (const std::uint32_t r : links.rooms) eliminate(rooms[r]);
    for (int sweep = 1; sweep <= most_sweeps; ++sweep) {
        double moved = 0;
        for (std::size_t i = 0; i < links.rooms.size(); ++i) {
            const std::size_t r = links.rooms[i];
            double air_w = rooms[r].faces.air_source_w, radiant_w = rooms[r].faces.radiant_source_w;
            for (auto k = links.begin[i]; k < links.begin[i + 1]; ++k) {
                const RoomLink& wall = shared[links.shared[k]];
                const bool is_a = wall.room_a == r;
                const SharedTerms& to = is_a ? wall.to_a : wall.to_b;
                const RoomInStep& other = rooms[is_a ? wall.room_b : wall.room_a];
                air_w += to.air_source_w + to.air_of_air_w_k * other.air_c +
                         to.air_of_radiant_w_k * other.radiant_c;
                radiant_w += to.radiant_source_w + to.radiant_of_air_w_k * other.air_c +
                             to.radiant_of_radiant_w_k * other.radiant_c;
            }
            const double m = solve_one(rooms[r], air_w, radiant_w);
            if (!(m <= moved)) moved = m;  // NaN stays
        }
        if (moved < settled_k) return sweep;
    }
    return 0;
}

}  // namespace noonshell
