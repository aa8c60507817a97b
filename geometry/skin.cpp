#include "geometry/skin.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

namespace noonshell {

namespace {

std::int32_t tag_of(const Patch& patch, const FaceTags& tags) {
    return tags.empty() ? -1 : tags[patch.face.index()];
}

/// Whether something hidden stands close behind a hole, as a floor does between cross-members.
bool is_backed(const PlaneRegion& hole, const PlaneFrame& frame, const RayMesh& mesh) {
    // Several rays a piece: one of them may slip through a joint.
    double backed = 0, whole = 0;
    for (const ConvexPolygon& piece : hole.convex_pieces()) {
        const Vec2 middle = area_centroid(piece);
        const double share = signed_area(piece) / static_cast<double>(piece.size());
        for (const Vec2& corner : piece) {
            const Vec3 start =
                frame.to_space(0.6 * middle + 0.4 * corner) + relief_depth_m * frame.normal;
            whole += share;
            if (mesh.blocked(start, -frame.normal, 0, 2 * relief_depth_m)) backed += share;
        }
    }
    return backed > whole / 2;
}

/// Closes holes that are backed; the others are openings.
void settle_holes(Patch& patch, const RayMesh& mesh, std::vector<SkinOpening>& openings) {
    PlaneRegion outline = projected(patch, patch.frame);
    bool closed = false;
    for (const PlaneRegion& hole : outline.holes()) {
        const double area = hole.area_m2();
        if (is_backed(hole, patch.frame, mesh)) {
            outline = outline.with(hole);
            patch.developed_area_m2 += area;  // of what lies hidden behind it, at least
            closed = true;
        } else if (area >= least_opening_m2) {
            openings.push_back({patch.frame.normal, area});
        }
    }
    if (closed) set_outline(patch, outline.convex_pieces());
}

/// Of a face that reaches beyond the walls, the part within them is inside from this share on.
constexpr double least_within_indoors = 0.05;

/// The inside of a wall, seen through an open end, is at most this share of its outside.
constexpr double most_inside_share = 0.05;

/// Whether a patch is a strip of the inner face of a wall whose outer face is `wall`.
bool is_inside_of(const Patch& strip, const Patch& wall) {
    constexpr double opposite_cosine = -0.99;
    if (strip.area_m2 > most_inside_share * wall.area_m2) return false;
    if (strip.frame.normal.dot(wall.frame.normal) > opposite_cosine) return false;
    const double thickness_m = strip.frame.normal.dot(strip.centroid_m - wall.centroid_m);
    return thickness_m > 0 && thickness_m <= relief_depth_m;
}

/// Takes away what is inner skin though it sees the open ahead: strips beside an open end. A niche
/// of its own size is a side.
void drop_inner_strips(std::vector<Patch>& patches, const std::map<FaceId, double>& all_round) {
    const std::vector<Patch> all = patches;
    std::erase_if(patches, [&](const Patch& patch) {
        const bool open = std::ranges::any_of(patch.stands_for, [&](const FaceId face) {
            return all_round.at(face) >= enough_all_round;
        });
        if (open) return false;
        if (patch.stands_for.size() == 1 && patch.area_m2 < least_side_area_m2) return true;
        return std::ranges::any_of(all,
                                   [&](const Patch& wall) { return is_inside_of(patch, wall); });
    });
}

/// A flat side may differ by this share from the shadow of the faces that it stands for.
constexpr double most_outline_difference = 0.005;

/// Whether every flat side has the area that its faces cast along its normal, each by itself.
bool covers_alone(const std::vector<Patch>& flat, const std::vector<Patch>& faces) {
    return std::ranges::all_of(flat, [&](const Patch& side) {
        if (side.stands_for.size() < 2) return true;
        double shadow_m2 = 0;
        for (const Patch& face : faces) {
            if (!std::ranges::binary_search(side.stands_for, face.face)) continue;
            shadow_m2 += face.area_m2 * std::max(0.0, face.frame.normal.dot(side.frame.normal));
        }
        return std::abs(side.area_m2 - shadow_m2) <= most_outline_difference * shadow_m2;
    });
}

/// Of the two sides of a sheet: the one away from the room, else the one with the wider view.
bool sees_more(const Openness& a, const Openness& b) {
    const bool a_in = a.indoors > most_indoors, b_in = b.indoors > most_indoors;
    return a_in == b_in ? a.all_round > b.all_round : b_in;
}

/// Faces of a unit that see the open, turned the way that they see it.
class OuterFaces {
  public:
    explicit OuterFaces(const FaceTags& tags) : tags_(tags) {}

    void add(const Body& body, Patch patch, const FaceOpenness& seen) {
        const bool turned = !body.solid && sees_more(seen.behind, seen.front);
        if (!is_outer(turned ? seen.behind : seen.front)) return;
        if (turned) patch = flipped(patch);
        all_round_[patch.face] = (turned ? seen.behind : seen.front).all_round;
        patch.tag = tag_of(patch, tags_);
        patches_.push_back(std::move(patch));
    }

    Skin skin(const RayMesh& mesh) {
        Skin skin = flatten_relief(std::move(patches_), true);
        drop_inner_strips(skin.patches, all_round_);
        for (Patch& patch : skin.patches) settle_holes(patch, mesh, skin.openings);
        return skin;
    }

  private:
    const FaceTags& tags_;
    std::vector<Patch> patches_;
    std::map<FaceId, double> all_round_;  ///< openness of the outer faces
};

template <class Visit>
void for_each_face(const Model& model, std::span<const BodyId> bodies,
                   std::span<const FaceOpenness> openness, const Visit& visit) {
    std::size_t first = 0;
    for (const BodyId id : bodies) {
        const Body& body = model.bodies[id.index()];
        const auto seen_from = openness.subspan(first, body.n_faces);
        first += body.n_faces;
        for (Patch& patch : planar_patches(model, id)) {
            const FaceOpenness& seen = seen_from[patch.face.index() - body.first_face];
            visit(body, std::move(patch), seen);
        }
    }
}

void add_overhang(Patch patch, const FaceOpenness& seen, std::vector<OverhangPatch>& overhangs) {
    const bool front = seen.front.all_round >= least_open_share;
    const bool behind = seen.behind.all_round >= least_open_share;
    if (!front && !behind) return;
    if (!front) patch = flipped(patch);
    overhangs.push_back({std::move(patch), front && behind});
}

}  // namespace

Skin skin_of_closed_body(const Model& model, BodyId body, const FaceTags& tags) {
    std::vector<Patch> patches = planar_patches(model, body);
    for (Patch& patch : patches) patch.tag = tag_of(patch, tags);
    return flatten_relief(std::move(patches), false);
}

std::vector<Patch> shade_patches(const Model& model, BodyId body) {
    return shade_patches(planar_patches(model, body));
}

std::vector<Patch> shade_patches(std::span<const Patch> faces) {
    std::vector<Patch> all(faces.begin(), faces.end());
    Skin flat = flatten_relief(all, false);
    return covers_alone(flat.patches, all) ? std::move(flat.patches) : std::move(all);
}

Skin skin_by_visibility(const Model& model, std::span<const BodyId> bodies,
                        std::span<const FaceOpenness> openness, const RayMesh& mesh,
                        const FaceTags& tags) {
    OuterFaces outer(tags);
    for_each_face(model, bodies, openness,
                  [&](const Body& body, Patch patch, const FaceOpenness& seen) {
                      outer.add(body, std::move(patch), seen);
                  });
    return outer.skin(mesh);
}

Skin skin_within_walls(const Model& model, std::span<const BodyId> bodies,
                       std::span<const FaceOpenness> openness, const RayMesh& mesh,
                       const FaceTags& tags, const OverhangZone& zone,
                       std::vector<OverhangPatch>& overhangs) {
    OuterFaces outer(tags);
    for_each_face(model, bodies, openness,
                  [&](const Body& body, Patch patch, const FaceOpenness& seen) {
                      CutPatch cut;
                      if (tag_of(patch, tags) < 0) cut = cut_at_walls(patch, zone);
                      if (!cut.beyond) return outer.add(body, std::move(patch), seen);
                      if (cut.within) {
                          FaceOpenness there = openness_of_patch(*cut.within, mesh, !body.solid);
                          there.front.indoors = seen.front.indoors > least_within_indoors ? 1 : 0;
                          there.behind.indoors = seen.behind.indoors > least_within_indoors ? 1 : 0;
                          outer.add(body, std::move(*cut.within), there);
                      }
                      const FaceOpenness there = openness_of_patch(*cut.beyond, mesh, !body.solid);
                      add_overhang(std::move(*cut.beyond), there, overhangs);
                  });
    return outer.skin(mesh);
}

}  // namespace noonshell
