#include "thermal/room_solver.hpp"

#include <algorithm>
#include <cmath>

namespace noonshell {

namespace {

constexpr double settled_k = 1e-7;  // some 1e-5 W in a room of 100 W/K
constexpr int most_sweeps = 200;

/// What the other side's room adds to a face's source [W/m2].
double from_other_room(double link, const FaceInStep& other, const RoomInStep& room) {
    return link * (other.convective_w_m2k * room.air_c + other.radiative_w_m2k * room.radiant_c);
}

SharedTerms shared_terms(const FaceInStep& own, double link, const FaceInStep& other) {
    const double air = own.convective_w_m2k * own.weight_m2k_w * own.area_m2;
    const double radiant = own.radiative_w_m2k * own.weight_m2k_w * own.area_m2;
    return {.air_source_w = air * own.source_w_m2,
            .radiant_source_w = radiant * own.source_w_m2,
            .air_of_air_w_k = air * link * other.convective_w_m2k,
            .air_of_radiant_w_k = air * link * other.radiative_w_m2k,
            .radiant_of_air_w_k = radiant * link * other.convective_w_m2k,
            .radiant_of_radiant_w_k = radiant * link * other.radiative_w_m2k};
}

/// Eliminates the radiant node:
///   (inertia + outdoor + S_aa) T_air - S_ar T_rad = sources + plant
///   -S_ar T_air + S_rr T_rad = radiant sources
void eliminate(RoomInStep& room) {
    room.per_radiant_k_w = 1 / room.radiant_radiant_w_k;
    room.back = room.air_radiant_w_k * room.per_radiant_k_w;
    room.slope_w_k =
        room.inertia_w_k + room.outdoor_w_k + room.air_air_w_k - room.back * room.air_radiant_w_k;
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
    const double radiant_c = (radiant_w + room.air_radiant_w_k * air_c) * room.per_radiant_k_w;
    const double moved =
        std::max(std::abs(air_c - room.air_c), std::abs(radiant_c - room.radiant_c));
    room.air_c = air_c;
    room.radiant_c = radiant_c;
    return moved;
}

}  // namespace

SharedInStep shared_in_step(double aa, double ab, double bb, double r_a, double r_b,
                            const FaceInStep& film_a, const FaceInStep& film_b) {
    const double film_of_a = film_a.convective_w_m2k + film_a.radiative_w_m2k;
    const double film_of_b = film_b.convective_w_m2k + film_b.radiative_w_m2k;
    SharedInStep wall;
    wall.a = film_a;
    wall.b = film_b;
    // Seen from a: (bb + film_b) T_b = ab T_a + r_b + film terms of room b, and the same turned
    // round. aa - ab^2 / (bb + film) is written so that thin steel (aa near 1e4) keeps its small
    // difference.
    wall.link = ab / (bb + film_of_b);
    wall.link_b = ab / (aa + film_of_a);
    wall.a.slope_w_m2k = (aa - ab) + wall.link * ((bb - ab) + film_of_b);
    wall.b.slope_w_m2k = (bb - ab) + wall.link_b * ((aa - ab) + film_of_a);
    wall.a.source_w_m2 = r_a + wall.link * r_b;
    wall.b.source_w_m2 = r_b + wall.link_b * r_a;
    wall.a.set_weight();
    wall.b.set_weight();
    wall.to_a = shared_terms(wall.a, wall.link, wall.b);
    wall.to_b = shared_terms(wall.b, wall.link_b, wall.a);
    return wall;
}

SharedInStep linked_air(std::size_t room_a, std::size_t room_b, double w_k) {
    SharedInStep link;
    link.room_a = room_a;
    link.room_b = room_b;
    link.to_a.air_of_air_w_k = link.to_b.air_of_air_w_k = w_k;
    return link;
}

int solve_rooms(std::span<RoomInStep> rooms, std::span<const SharedInStep> shared,
                std::span<const std::uint32_t> shared_of_room,
                std::span<const std::uint32_t> shared_begin) {
    for (RoomInStep& room : rooms) {
        if (room.active) eliminate(room);
    }
    for (int sweep = 1; sweep <= most_sweeps; ++sweep) {
        double moved = 0;
        for (std::size_t r = 0; r < rooms.size(); ++r) {
            if (!rooms[r].active) continue;
            double air_w = rooms[r].air_source_w, radiant_w = rooms[r].radiant_source_w;
            for (auto k = shared_begin[r]; k < shared_begin[r + 1]; ++k) {
                const SharedInStep& wall = shared[shared_of_room[k]];
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

SharedFaces shared_faces(const SharedInStep& wall, std::span<const RoomInStep> rooms) {
    FaceInStep a = wall.a, b = wall.b;
    const RoomInStep& room_a = rooms[wall.room_a];
    const RoomInStep& room_b = rooms[wall.room_b];
    a.source_w_m2 += from_other_room(wall.link, wall.b, room_b);
    b.source_w_m2 += from_other_room(wall.link_b, wall.a, room_a);
    return {a.temperature_c(room_a.air_c, room_a.radiant_c),
            b.temperature_c(room_b.air_c, room_b.radiant_c)};
}

}  // namespace noonshell
