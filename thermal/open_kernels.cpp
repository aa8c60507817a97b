#include "thermal/open_kernels.hpp"

#include <cmath>

#include "thermal/inside_face.hpp"
#include "thermal/outside_face.hpp"
#include "thermal/room_solver.hpp"

// Compiled once for each width of the processor's registers and chosen at the start of the program.
// Every lane goes through the same operations in the same order, none of them fused, so that the
// bytes are the same on all.
#if defined(__x86_64__) && defined(__GNUC__) && !defined(__clang__)
#define NOONSHELL_EVERY_WIDTH __attribute__((target_clones("avx512f", "avx2", "default")))
#else
#define NOONSHELL_EVERY_WIDTH
#endif

namespace noonshell {

namespace {

// Inlined into every width of its callers.
#define NOONSHELL_INLINE inline __attribute__((always_inline))

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
    Lanes last, to_room;
    for (CellLanes& cell : b.cells) {
        for (std::size_t k = 0; k < lanes_per_block; ++k) {
            last[k] = cell.past[k] * (2.0 * cell.now_c[k] - 0.5 * cell.before_c[k]) +
                      cell.lower[k] * last[k];
            cell.particular_c[k] = last[k];
        }
    }
    last = {};
    for (std::size_t i = b.cells.size(); i-- > 0;) {
        CellLanes& cell = b.cells[i];
        for (std::size_t k = 0; k < lanes_per_block; ++k) {
            last[k] = cell.particular_c[k] + cell.upper[k] * last[k];
            cell.particular_c[k] = last[k];
            to_room[k] += cell.to_room_w_m2k[k] * last[k];
        }
    }
    for (std::size_t k = 0; k < lanes_per_block; ++k) {
        b.r_a[k] = b.from_outside_w_m2k[k] * last[k];
        b.r_b[k] = to_room[k];
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
        InsideFace inside;
        inside.emittance = b.inside_emittance[k];
        inside.warm_w_m2k = b.warm_w_m2k[k];
        inside.cool_w_m2k = b.cool_w_m2k[k];
        inside.natural_warm = b.natural_warm[k];
        inside.natural_cool = b.inside_natural_cool[k];
        const InsideFilms films =
            inside_films(inside, b.inside_guess_c[k], b.film_air_c[k], b.film_radiant_c[k]);
        const double kept = b.ab[k] / (b.h[k] + b.aa[k]);
        FaceInStep face;
        face.area_m2 = b.area_m2[k];
        face.slope_w_m2k = (b.bb[k] - b.ab[k]) + kept * ((b.aa[k] - b.ab[k]) + b.h[k]);
        face.source_w_m2 = kept * (b.q[k] + b.r_a[k]) + b.r_b[k] + b.inside_sun_w_m2[k];
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
        const double face_c = (b.q[k] + b.r_a[k] + b.ab[k] * inside_c) / (b.h[k] + b.aa[k]);
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
        b.taken_w_m2[k] = b.aa[k] * b.face_now_c[k] - b.ab[k] * b.inside_now_c[k] - b.r_a[k];
    }
}

NOONSHELL_EVERY_WIDTH void advance_walls(OpenBlock& b) {
    for (std::size_t k = 0; k < lanes_per_block; ++k) {
        b.inward_w[k] =
            b.area_m2[k] * (b.convective_w_m2k[k] * (b.inside_now_c[k] - b.room_air_c[k]) +
                            b.radiative_w_m2k[k] * (b.inside_now_c[k] - b.room_radiant_c[k]) -
                            b.inside_sun_w_m2[k]);
        b.face_before_c[k] = b.face_c[k];
        b.face_c[k] = b.face_now_c[k];
        b.sheet_before_c[k] = b.sheet_c[k];
        b.sheet_c[k] = b.sheet_now_c[k];
        b.inside_before_c[k] = b.inside_c[k];
        b.inside_c[k] = b.inside_now_c[k];
    }
    for (CellLanes& cell : b.cells) {
        for (std::size_t k = 0; k < lanes_per_block; ++k) {
            cell.before_c[k] = cell.now_c[k];
            cell.now_c[k] = cell.particular_c[k] + cell.response_a[k] * b.face_c[k] +
                            cell.response_b[k] * b.inside_c[k];
        }
    }
}

}  // namespace noonshell
