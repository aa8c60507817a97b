// The films at an inside face: convection by the direction of heat, longwave to the room's other
// faces through its radiant node (enclosure.hpp).
#pragma once

#include <algorithm>
#include <cmath>

#include "geometry/envelope.hpp"
#include "thermal/cube_root.hpp"
#include "thermal/longwave.hpp"

namespace noonshell {

/// Convection at an inside face by the direction that heat flows through it: the larger of the
/// values of [iso6946] annex C, made for some 5 K, and the free convection of [ashrae2021] ch. 4
/// table 9, which takes over where bare steel stands tens of kelvins off the air. Fans and jets of
/// the plant are left out.
struct InsideFace {
    SurfaceId surface;
    UnitId unit;
    double area_m2 = 0;
    double emittance = 0.9;
    double enclosure_factor = 1;  ///< F of its side of the room, see enclosure.hpp
    double warm_w_m2k = 2.5;      ///< least value when the face is warmer than the air
    double cool_w_m2k = 2.5;      ///< least value when cooler
    double natural_warm = 1.26;   ///< h = C |dT|^(1/3) when warmer [W/(m2 K^(4/3))]
    double natural_cool = 1.26;   ///< the same when cooler
    bool is_floor = false;        ///< sun through panes falls on it

    /// Its exchange with the radiant node over that of a black body: 1 / ((1 - e) / e + 1 / F).
    double share_of_black() const {
        return emittance / (1 - emittance + emittance / enclosure_factor);
    }
};

struct InsideFilms {
    double convective_w_m2k = 0, radiative_w_m2k = 0;
};

/// Films of a face at `face_c` in a room whose radiant node is at `radiant_c`; `share_of_black` is
/// the face's own.
inline InsideFilms inside_films(const InsideFace& face, double share_of_black, double face_c,
                                double air_c, double radiant_c) {
    // Convection turns from its warm to its cool value over this difference to the air, so that a
    // face at air temperature does not flip from step to step.
    constexpr double turn_over_k = 0.5;
    const double excess_k = face_c - air_c;
    const double warm_share = std::clamp(0.5 + 0.5 * excess_k / turn_over_k, 0.0, 1.0);
    const double still = face.cool_w_m2k + warm_share * (face.warm_w_m2k - face.cool_w_m2k);
    const double natural =
        (excess_k > 0 ? face.natural_warm : face.natural_cool) * cube_root(std::abs(excess_k));
    // (T^4 - T_node^4) / (T - T_node)
    const double face_k = face_c + kelvin_at_0_c, node_k = radiant_c + kelvin_at_0_c;
    return {.convective_w_m2k = std::max(still, natural),
            .radiative_w_m2k = share_of_black * stefan_boltzmann_w_m2k4 * (face_k + node_k) *
                               (face_k * face_k + node_k * node_k)};
}

inline InsideFilms inside_films(const InsideFace& face, double face_c, double air_c,
                                double radiant_c) {
    return inside_films(face, face.share_of_black(), face_c, air_c, radiant_c);
}

}  // namespace noonshell
