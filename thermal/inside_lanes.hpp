// The inside faces of eight walls side by side; for the kernels alone.
#pragma once

#include "thermal/cell_lanes.hpp"
#include "thermal/inside_face.hpp"

namespace noonshell {

/// The names are those of InsideFace and its members. A lane without a face has no area.
struct InsideLanes {
    Lanes area_m2, share_of_black, warm_w_m2k, cool_w_m2k, natural_warm, natural_cool;

    void put(std::size_t lane, const InsideFace& face) {
        area_m2[lane] = face.area_m2;
        share_of_black[lane] = face.share_of_black();
        warm_w_m2k[lane] = face.warm_w_m2k;
        cool_w_m2k[lane] = face.cool_w_m2k;
        natural_warm[lane] = face.natural_warm;
        natural_cool[lane] = face.natural_cool;
    }
};

/// Films of the face in lane k.
NOONSHELL_INLINE InsideFilms films_of(const InsideLanes& faces, std::size_t k, double face_c,
                                      double air_c, double radiant_c) {
    InsideFace inside;
    inside.warm_w_m2k = faces.warm_w_m2k[k];
    inside.cool_w_m2k = faces.cool_w_m2k[k];
    inside.natural_warm = faces.natural_warm[k];
    inside.natural_cool = faces.natural_cool[k];
    return inside_films(inside, faces.share_of_black[k], face_c, air_c, radiant_c);
}

}  // namespace noonshell
