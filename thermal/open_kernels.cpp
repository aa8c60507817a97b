#include "thermal/open_kernels.hpp"

#include <cmath>

#include "thermal/outside_face.hpp"
#include "thermal/room_solver.hpp"

namespace noonshell {

namespace {

NOONSHELL_INLINE OutsideFace outside_of(const OpenBlock& b, std::size_t k) {
    return {.emittance = b.emittance[k],
            .natural_hot = b.natural_hot[k],
            .natural_cool = b.natural_cool[k],
            .relief_ratio = b.relief_ratio[k]};
}

NOONSHELL_INLINE FaceConditions around_of(const OpenBlock& b, std::size_t k) {
    return {.absorbed_w_m2 = b.absorbed_w_m2[k],
            .transmitted_w_m2 = 0,
            .longwave_in_w_m2 = b.longwave_in_w_m2[k],
            .air_c = b.air_c[k],
            .forced_w_m2k = b.forced_w_m2k[k]};
}

}  // namespace

NOONSHELL_EVERY_WIDTH void begin_walls(OpenBlock& b) {
    prepare_lanes(b.walls);
    for (std::size_t k = 0; k < lanes_per_block; ++k) {
        b.wall_guess_c[k] = 2 * b.face_c[k] - b.face_before_c[k];
        b.guess_c[k] = 2 * b.sheet_c[k] - b.sheet_before_c[k];
        b.inside_guess_c[k] = 2 * b.inside_c[k] - b.inside_before_c[k];
    }
    b.moving.of.fill(1);
    b.settled = false;
}

NOONSHELL_EVERY_WIDTH void line_outside(OpenBlock& b, OutsideConvection model) {
    for (std::size_t k = 0; k < lanes_per_block; ++k) {
        const FaceLine line = linearise(outside_of(b, k), model, around_of(b, k), b.guess_c[k]);
        b.h[k] = b.exposed[k] * line.h_w_m2k;
        b.q[k] = b.exposed[k] * line.q_w_m2;
    }
}

NOONSHELL_EVERY_WIDTH void join_walls(OpenBlock& b) {
    for (std::size_t k = 0; k < lanes_per_block; ++k) {
        b.film_air_c[k] = b.moving[k] > 0 ? b.room_air_c[k] : b.film_air_c[k];
        b.film_radiant_c[k] = b.moving[k] > 0 ? b.room_radiant_c[k] : b.film_radiant_c[k];
        const InsideFilms films =
            films_of(b.inside, k, b.inside_guess_c[k], b.film_air_c[k], b.film_radiant_c[k]);
        const double kept = b.walls.ab[k] / (b.h[k] + b.walls.aa[k]);
        FaceInStep face;
        face.area_m2 = b.inside.area_m2[k];
        face.slope_w_m2k =
            (b.walls.bb[k] - b.walls.ab[k]) + kept * ((b.walls.aa[k] - b.walls.ab[k]) + b.h[k]);
        face.source_w_m2 = kept * (b.q[k] + b.walls.r_a[k]) + b.walls.r_b[k] + b.inside_sun_w_m2[k];
        face.convective_w_m2k = films.convective_w_m2k;
        face.radiative_w_m2k = films.radiative_w_m2k;
        face.set_weight();
        const FaceTerms terms = terms_of(face);
        b.slope_w_m2k[k] = face.slope_w_m2k;
        b.source_w_m2[k] = face.source_w_m2;
        b.convective_w_m2k[k] = face.convective_w_m2k;
        b.radiative_w_m2k[k] = face.radiative_w_m2k;
        b.weight_m2k_w[k] = face.weight_m2k_w;
        b.air_air_w_k[k] = terms.air_air_w_k;
        b.air_radiant_w_k[k] = terms.air_radiant_w_k;
        b.radiant_radiant_w_k[k] = terms.radiant_radiant_w_k;
        b.air_source_w[k] = terms.air_source_w;
        b.radiant_source_w[k] = terms.radiant_source_w;
    }
}

NOONSHELL_EVERY_WIDTH void close_walls(OpenBlock& b) {
    for (std::size_t k = 0; k < lanes_per_block; ++k) {
        const double inside_c = (b.source_w_m2[k] + b.convective_w_m2k[k] * b.room_air_c[k] +
                                 b.radiative_w_m2k[k] * b.room_radiant_c[k]) *
                                b.weight_m2k_w[k];
        const double face_c =
            (b.q[k] + b.walls.r_a[k] + b.walls.ab[k] * inside_c) / (b.h[k] + b.walls.aa[k]);
        const double sheet_c = b.sheet_fixed_c[k] + b.sheet_per_wall[k] * face_c;
        const double moved = b.exposed[k] * std::max(std::abs(sheet_c - b.guess_c[k]),
                                                     std::abs(face_c - b.wall_guess_c[k]));
        const bool moving = moved >= b.settle_k[k];
        b.inside_now_c[k] = inside_c;
        b.face_now_c[k] = face_c;
        b.sheet_now_c[k] = sheet_c;
        b.moving[k] = moving ? 1 : 0;
        b.guess_c[k] = moving ? sheet_c : b.guess_c[k];
        b.wall_guess_c[k] = moving ? face_c : b.wall_guess_c[k];
        b.inside_guess_c[k] = moving ? inside_c : b.inside_guess_c[k];
    }
    double still_moving = 0;
    for (std::size_t k = 0; k < lanes_per_block; ++k) still_moving += b.moving[k];
    b.settled = still_moving == 0;
}

NOONSHELL_EVERY_WIDTH void balance_outside(OpenBlock& b, OutsideConvection model) {
    for (std::size_t k = 0; k < lanes_per_block; ++k) {
        b.exact_w_m2[k] = net_heat_w_m2(outside_of(b, k), model, around_of(b, k), b.sheet_now_c[k]);
        b.taken_w_m2[k] =
            b.walls.aa[k] * b.face_now_c[k] - b.walls.ab[k] * b.inside_now_c[k] - b.walls.r_a[k];
    }
}

NOONSHELL_EVERY_WIDTH void advance_walls(OpenBlock& b) {
    for (std::size_t k = 0; k < lanes_per_block; ++k) {
        b.inward_w[k] = b.inside.area_m2[k] *
                        (b.convective_w_m2k[k] * (b.inside_now_c[k] - b.room_air_c[k]) +
                         b.radiative_w_m2k[k] * (b.inside_now_c[k] - b.room_radiant_c[k]) -
                         b.inside_sun_w_m2[k]);
        b.face_before_c[k] = b.face_c[k];
        b.face_c[k] = b.face_now_c[k];
        b.sheet_before_c[k] = b.sheet_c[k];
        b.sheet_c[k] = b.sheet_now_c[k];
        b.inside_before_c[k] = b.inside_c[k];
        b.inside_c[k] = b.inside_now_c[k];
    }
    advance_lanes(b.walls, b.face_c, b.inside_c);
}

}  // namespace noonshell
