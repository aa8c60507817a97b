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

/// Solves one room with its neighbours as they are; returns how far its air moved [K].
double solve_one(RoomInStep& room, double air_source_w, double radiant_source_w) {
    //   (inertia + outdoor + S_aa) T_air - S_ar T_rad = sources + plant
    //   -S_ar T_air + S_rr T_rad = radiant sources
    const double radiant_w = radiant_source_w + room.gains_radiant_w;
    const double back = room.air_radiant_w_k / room.radiant_radiant_w_k;
    const double slope =
        room.inertia_w_k + room.outdoor_w_k + room.air_air_w_k - back * room.air_radiant_w_k;
    const double source = room.inertia_w + room.outdoor_w_k * room.outdoor_c + air_source_w +
                          room.gains_air_w + back * radiant_w;
    double air_c = source / slope;
    room.plant_w = 0;
    if (room.cooled && air_c > room.cooling_set_point_c) air_c = room.cooling_set_point_c;
    if (room.heated && air_c < room.heating_set_point_c) air_c = room.heating_set_point_c;
    if (air_c != source / slope) room.plant_w = slope * air_c - source;
    if (-room.plant_w > room.most_cooling_w) {
        room.plant_w = -room.most_cooling_w;
        air_c = (source + room.plant_w) / slope;
    }
    const double radiant_c = (radiant_w + room.air_radiant_w_k * air_c) / room.radiant_radiant_w_k;
    const double moved =
        std::max(std::abs(air_c - room.air_c), std::abs(radiant_c - room.radiant_c));
    room.air_c = air_c;
    room.radiant_c = radiant_c;
    return moved;
}

}  // namespace

void RoomInStep::add_face(const FaceInStep& face) {
    const double w = face.weight_m2k_w;
    const double hc = face.convective_w_m2k, hr = face.radiative_w_m2k, a = face.area_m2;
    // hc (1 - hc w) = hc w (A' + hr): no difference of near-equal numbers.
    air_air_w_k += a * hc * w * (face.slope_w_m2k + hr);
    air_radiant_w_k += a * hc * hr * w;
    radiant_radiant_w_k += a * hr * w * (face.slope_w_m2k + hc);
    air_source_w += a * hc * w * face.source_w_m2;
    radiant_source_w += a * hr * w * face.source_w_m2;
}

SharedInStep shared_in_step(double aa, double ab, double bb, double r_a, double r_b,
                            const FaceInStep& film_a, const FaceInStep& film_b) {
    const double film_of_a = film_a.convective_w_m2k + film_a.radiative_w_m2k;
    const double film_of_b = film_b.convective_w_m2k + film_b.radiative_w_m2k;
    SharedInStep wall{.a = film_a, .b = film_b};
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
    return wall;
}

int solve_rooms(std::span<RoomInStep> rooms, std::span<const SharedInStep> shared,
                std::span<const std::uint32_t> shared_of_room,
                std::span<const std::uint32_t> shared_begin) {
    for (int sweep = 1; sweep <= most_sweeps; ++sweep) {
        double moved = 0;
        for (std::size_t r = 0; r < rooms.size(); ++r) {
            if (!rooms[r].active) continue;
            double air_w = rooms[r].air_source_w, radiant_w = rooms[r].radiant_source_w;
            for (auto k = shared_begin[r]; k < shared_begin[r + 1]; ++k) {
                const SharedInStep& wall = shared[shared_of_room[k]];
                const bool is_a = wall.room_a == r;
                const FaceInStep& own = is_a ? wall.a : wall.b;
                const double added = is_a
                                         ? from_other_room(wall.link, wall.b, rooms[wall.room_b])
                                         : from_other_room(wall.link_b, wall.a, rooms[wall.room_a]);
                const double w = own.weight_m2k_w * own.area_m2 * (own.source_w_m2 + added);
                air_w += own.convective_w_m2k * w;
                radiant_w += own.radiative_w_m2k * w;
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
