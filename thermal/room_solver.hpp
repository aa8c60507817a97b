// The rooms of one step: air and radiant temperatures of every room together, with the walls
// between rooms and the plant's limits.
//
// Each room has an air node and a radiant node, through which its inside faces exchange longwave
// (enclosure.hpp). An inside face i obeys  A'_i T_si + film = r'_i, so
//   T_si = (r'_i + hc T_air + hr T_rad) / (A'_i + hc + hr),
// and the room's two balances are linear in T_air and T_rad. Rooms that share walls are solved by
// sweeps in fixed order until they no longer move.
#pragma once

#include <cstddef>
#include <cstdint>
#include <limits>
#include <span>
#include <vector>

namespace noonshell {

/// One inside face during one step.
struct FaceInStep {
    double area_m2 = 0;
    double slope_w_m2k =
        0;  ///< A': heat out of the wall's inner end falls by this per K of the face
    double source_w_m2 = 0;  ///< r': heat out of it with the face at 0 C
    double convective_w_m2k = 0, radiative_w_m2k = 0;
    double weight_m2k_w = std::numeric_limits<double>::quiet_NaN();  ///< 1 / (A' + hc + hr)

    /// To be called once slope and films stand.
    void set_weight() { weight_m2k_w = 1.0 / (slope_w_m2k + convective_w_m2k + radiative_w_m2k); }
    double temperature_c(double air_c, double radiant_c) const {
        return (source_w_m2 + convective_w_m2k * air_c + radiative_w_m2k * radiant_c) *
               weight_m2k_w;
    }
};

/// What a face brings to the two balances of its room.
struct FaceTerms {
    double air_air_w_k = 0, air_radiant_w_k = 0, radiant_radiant_w_k = 0;
    double air_source_w = 0, radiant_source_w = 0;

    void add(const FaceTerms& other) {
        air_air_w_k += other.air_air_w_k;
        air_radiant_w_k += other.air_radiant_w_k;
        radiant_radiant_w_k += other.radiant_radiant_w_k;
        air_source_w += other.air_source_w;
        radiant_source_w += other.radiant_source_w;
    }
};

inline FaceTerms terms_of(const FaceInStep& face) {
    const double w = face.weight_m2k_w, a = face.area_m2;
    const double hc = face.convective_w_m2k, hr = face.radiative_w_m2k;
    // hc (1 - hc w) = hc w (A' + hr): no difference of near-equal numbers.
    return {.air_air_w_k = a * hc * w * (face.slope_w_m2k + hr),
            .air_radiant_w_k = a * hc * hr * w,
            .radiant_radiant_w_k = a * hr * w * (face.slope_w_m2k + hc),
            .air_source_w = a * hc * w * face.source_w_m2,
            .radiant_source_w = a * hr * w * face.source_w_m2};
}

/// What a face between rooms takes from the room on its other side into the balances of its own,
/// per kelvin of that room's air and radiant temperature, and its own source.
struct SharedTerms {
    double air_source_w = 0, radiant_source_w = 0;
    double air_of_air_w_k = 0, air_of_radiant_w_k = 0;
    double radiant_of_air_w_k = 0, radiant_of_radiant_w_k = 0;
};

/// What passes between two rooms through a wall or a doorway.
struct RoomLink {
    std::size_t room_a = 0, room_b = 0;
    SharedTerms to_a, to_b;
};

/// One room during one step: sums over its own faces plus air, plant and gains.
struct RoomInStep {
    FaceTerms faces;         ///< sums over the room's faces
    double inertia_w_k = 0;  ///< 3/2 C / dt
    double inertia_w = 0;    ///< C (2 T0 - T-1 / 2) / dt
    double outdoor_w_k = 0, outdoor_c = 0;
    double gains_air_w = 0, gains_radiant_w = 0;
    bool cooled = false, heated = false;
    double cooling_set_point_c = 26, heating_set_point_c = 20;
    double most_cooling_w = std::numeric_limits<double>::infinity();
    // The balances with the radiant node eliminated; solve_rooms() fills them.
    double back = 0, slope_w_k = 0, source_w = 0, per_slope_k_w = 0, per_radiant_k_w = 0;
    // Unknowns: in as a guess (or as given, where it is not solved), out as the solution.
    double air_c = 20, radiant_c = 20;
    double plant_w = 0;  ///< heating positive, cooling negative

    void add_face(const FaceInStep& face) { faces.add(terms_of(face)); }
};

/// Which rooms are solved, and the shared walls and doorways (RoomLink) of each.
struct RoomLinks {
    std::vector<std::uint32_t> rooms;   ///< those solved
    std::vector<std::uint32_t> begin;   ///< #rooms solved + 1, into `shared`
    std::vector<std::uint32_t> shared;  ///< their indices
};

/// Two rooms that pass each other `w_k` of heat with their air, per kelvin between them.
void link_air(double w_k, RoomLink& doorway);

/// Solves the rooms of `links`; others are as given. Returns the number of sweeps, or 0 when they
/// did not settle to 1e-7 K.
int solve_rooms(std::span<RoomInStep> rooms, std::span<const RoomLink> shared,
                const RoomLinks& links);

}  // namespace noonshell
