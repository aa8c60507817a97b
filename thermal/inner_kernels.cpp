#include "thermal/inner_kernels.hpp"

#include "thermal/room_solver.hpp"

namespace noonshell {

namespace {

NOONSHELL_INLINE void set_films(InnerFaces& f, std::size_t k) {
    const InsideFilms films =
        films_of(f.what, k, f.face_c[k], f.room_air_c[k], f.room_radiant_c[k]);
    f.convective_w_m2k[k] = films.convective_w_m2k;
    f.radiative_w_m2k[k] = films.radiative_w_m2k;
}

/// A face whose heat from within is source - slope T, `link` of it from the films of `other`.
NOONSHELL_INLINE void set_terms(InnerFaces& f, const InnerFaces& other, double slope_w_m2k,
                                double source_w_m2, double link, std::size_t k) {
    FaceInStep face;
    face.area_m2 = f.what.area_m2[k];
    face.slope_w_m2k = slope_w_m2k;
    face.source_w_m2 = source_w_m2;
    face.convective_w_m2k = f.convective_w_m2k[k];
    face.radiative_w_m2k = f.radiative_w_m2k[k];
    face.set_weight();
    const FaceTerms own = terms_of(face);
    const double air = face.convective_w_m2k * face.weight_m2k_w * face.area_m2;
    const double radiant = face.radiative_w_m2k * face.weight_m2k_w * face.area_m2;
    f.source_w_m2[k] = face.source_w_m2;
    f.weight_m2k_w[k] = face.weight_m2k_w;
    f.air_air_w_k[k] = own.air_air_w_k;
    f.air_radiant_w_k[k] = own.air_radiant_w_k;
    f.radiant_radiant_w_k[k] = own.radiant_radiant_w_k;
    f.air_source_w[k] = air * face.source_w_m2;
    f.radiant_source_w[k] = radiant * face.source_w_m2;
    f.air_of_air_w_k[k] = air * link * other.convective_w_m2k[k];
    f.air_of_radiant_w_k[k] = air * link * other.radiative_w_m2k[k];
    f.radiant_of_air_w_k[k] = radiant * link * other.convective_w_m2k[k];
    f.radiant_of_radiant_w_k[k] = radiant * link * other.radiative_w_m2k[k];
}

/// A face's temperature with its room and the other side's as they came out.
NOONSHELL_INLINE double face_c(const InnerFaces& f, const InnerFaces& other, double link,
                               std::size_t k) {
    const double from_other = link * (other.convective_w_m2k[k] * other.room_air_c[k] +
                                      other.radiative_w_m2k[k] * other.room_radiant_c[k]);
    return (f.source_w_m2[k] + from_other + f.convective_w_m2k[k] * f.room_air_c[k] +
            f.radiative_w_m2k[k] * f.room_radiant_c[k]) *
           f.weight_m2k_w[k];
}

NOONSHELL_INLINE double inward_w(const InnerFaces& f, std::size_t k) {
    return f.what.area_m2[k] *
           (f.convective_w_m2k[k] * (f.face_c[k] - f.room_air_c[k]) +
            f.radiative_w_m2k[k] * (f.face_c[k] - f.room_radiant_c[k]) - f.sun_w_m2[k]);
}

}  // namespace

/// Seen from a: (bb + film_b) T_b = ab T_a + r_b + film terms of room b, and the same turned round.
/// aa - ab^2 / (bb + film) is written so that thin steel (aa near 1e4) keeps its small difference.
/// On the ground T_a is known.
NOONSHELL_EVERY_WIDTH void begin_inner_walls(InnerBlock& block) {
    const WallLanes& w = block.walls;
    InnerFaces &a = block.a, &b = block.b;
    prepare_lanes(block.walls);
    for (std::size_t k = 0; k < lanes_per_block; ++k) set_films(a, k);
    for (std::size_t k = 0; k < lanes_per_block; ++k) set_films(b, k);
    for (std::size_t k = 0; k < lanes_per_block; ++k) {
        const double film_of_a = a.convective_w_m2k[k] + a.radiative_w_m2k[k];
        const double film_of_b = b.convective_w_m2k[k] + b.radiative_w_m2k[k];
        const double ground = block.on_ground[k];
        const double to_a = w.ab[k] / (w.bb[k] + film_of_b);
        const double to_b = (1 - ground) * (w.ab[k] / (w.aa[k] + film_of_a));
        const double source_a = w.r_a[k] + a.sun_w_m2[k], source_b = w.r_b[k] + b.sun_w_m2[k];
        block.to_a[k] = to_a;
        block.to_b[k] = to_b;
        set_terms(a, b, (w.aa[k] - w.ab[k]) + to_a * ((w.bb[k] - w.ab[k]) + film_of_b),
                  source_a + to_a * source_b, to_a, k);
        set_terms(b, a,
                  (w.bb[k] - w.ab[k]) + ground * w.ab[k] + to_b * ((w.aa[k] - w.ab[k]) + film_of_a),
                  source_b + ground * (w.ab[k] * block.ground_c) + to_b * source_a, to_b, k);
    }
}

NOONSHELL_EVERY_WIDTH void finish_inner_walls(InnerBlock& block) {
    InnerFaces &a = block.a, &b = block.b;
    const double ground_c = block.ground_c;
    for (std::size_t k = 0; k < lanes_per_block; ++k) {
        const double a_c = face_c(a, b, block.to_a[k], k);
        a.face_c[k] = block.on_ground[k] > 0 ? ground_c : a_c;
        b.face_c[k] = face_c(b, a, block.to_b[k], k);
    }
    for (std::size_t k = 0; k < lanes_per_block; ++k) a.inward_w[k] = inward_w(a, k);
    for (std::size_t k = 0; k < lanes_per_block; ++k) b.inward_w[k] = inward_w(b, k);
    advance_lanes(block.walls, a.face_c, b.face_c);
}

}  // namespace noonshell
