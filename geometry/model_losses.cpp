#include "geometry/model_losses.hpp"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <map>
#include <tuple>
#include <utility>

#include "geometry/plain_text.hpp"
#include "geometry/same_surface.hpp"

namespace noonshell {

namespace {

std::vector<SurfaceMoments> moments_of_bodies(const Model& model) {
    std::vector<SurfaceMoments> moments;
    for (const Body& body : model.bodies) {
        const Face& first = model.faces[body.first_face];
        const Face& last = model.faces[body.first_face + body.n_faces - 1];
        moments.push_back(surface_moments(model.mesh, first.first_triangle,
                                          last.first_triangle + last.n_triangles));
    }
    return moments;
}

/// Copies the kept bodies of `from`, with their faces and triangles, to an emptied model.
class Compaction {
  public:
    explicit Compaction(Model& model)
        : model_(model),
          bodies_(std::exchange(model.bodies, {})),
          faces_(std::exchange(model.faces, {})),
          mesh_(std::exchange(model.mesh, {})),
          new_vertex_(mesh_.vertices_m.size(), unused) {}

    const std::vector<Body>& bodies() const { return bodies_; }

    void keep(std::size_t at) {
        Body body = std::move(bodies_[at]);
        const auto first =
            std::exchange(body.first_face, static_cast<std::uint32_t>(model_.faces.size()));
        for (std::uint32_t f = first; f < first + body.n_faces; ++f)
            keep_face(std::move(faces_[f]));
        model_.bodies.push_back(std::move(body));
    }

  private:
    static constexpr std::uint32_t unused = 0xFFFFFFFFu;

    void keep_face(Face face) {
        TriangleMesh& mesh = model_.mesh;
        const auto first =
            std::exchange(face.first_triangle, static_cast<std::uint32_t>(mesh.triangles.size()));
        face.body = BodyId(model_.bodies.size());
        for (std::uint32_t t = first; t < first + face.n_triangles; ++t) {
            auto corners = mesh_.triangles[t];
            for (auto& corner : corners) corner = vertex(corner);
            mesh.triangles.push_back(corners);
            mesh.triangle_face.push_back(FaceId(model_.faces.size()));
        }
        model_.faces.push_back(std::move(face));
    }

    std::uint32_t vertex(std::uint32_t old) {
        if (new_vertex_[old] == unused) {
            new_vertex_[old] = static_cast<std::uint32_t>(model_.mesh.vertices_m.size());
            model_.mesh.vertices_m.push_back(mesh_.vertices_m[old]);
        }
        return new_vertex_[old];
    }

    Model& model_;
    std::vector<Body> bodies_;
    std::vector<Face> faces_;
    TriangleMesh mesh_;
    std::vector<std::uint32_t> new_vertex_;
};

std::string percent(double share) {
    char text[32];
    std::snprintf(text, sizeof text, share < 0.1 ? "%.2g %%" : "%.0f %%", 100 * share);
    return text;
}

constexpr std::uint32_t n_entities_named = 3;

/// One warning for all bodies whose placements lack the same record.
void fold_lost_placements(Model& model) {
    std::map<std::string, std::pair<std::size_t, std::uint32_t>> first;  // place in folded, bodies
    std::vector<Warning> folded;
    for (Warning& warning : model.warnings) {
        if (warning.code != "placement-lost") {
            folded.push_back(std::move(warning));
            continue;
        }
        const auto [found, is_new] =
            first.try_emplace(warning.text, folded.size(), std::uint32_t{0});
        auto& [at, n] = found->second;
        if (is_new) {
            folded.push_back(warning);
        } else if (n < n_entities_named) {
            folded[at].where += ", " + warning.where;
        }
        ++n;
    }
    for (const auto& [text, place] : first) {
        const auto& [at, n] = place;
        if (n > n_entities_named) {
            folded[at].where += " and " + std::to_string(n - n_entities_named) + " more";
        }
    }
    model.warnings = std::move(folded);
}

/// Takes one more entity into a row of the same body and reason.
void add_to(LeftOut& row, const LeftOut& more) {
    row.area_m2 += more.area_m2;
    row.count += more.count;
    if (row.count <= n_entities_named && !more.entity.empty()) {
        row.entity += (row.entity.empty() ? "" : ", ") + more.entity;
    }
    if (row.name != more.name) row.name.clear();
}

}  // namespace

void drop_coincident_bodies(Model& model) {
    const auto first = first_of_same(moments_of_bodies(model));
    bool any = false;
    for (std::size_t i = 0; i < first.size(); ++i) any = any || first[i] != i;
    if (!any) return;
    std::vector<std::string> ids;
    for (const Body& body : model.bodies) ids.push_back(body.id);
    Compaction compaction(model);
    for (std::size_t i = 0; i < first.size(); ++i) {
        const Body& body = compaction.bodies()[i];
        if (first[i] == i) {
            compaction.keep(i);
            continue;
        }
        // Without its placement, a body may have fallen onto another one.
        const std::string& other = ids[first[i]];
        const bool misplaced = std::ranges::any_of(model.warnings, [&](const Warning& warning) {
            return warning.code == "placement-lost" &&
                   (warning.where == body.id || warning.where == other);
        });
        model.left_out.push_back(
            {.entity = body.step_entity == 0 ? "" : "#" + std::to_string(body.step_entity),
             .name = {},
             .reason = misplaced ? "it stands at the same place as " + other +
                                       ", and the placement of one of them cannot be read"
                                 : "the same body stands at the same place already: " + other,
             .area_m2 = body.area_m2,
             .is_double = !misplaced,
             .body = body.id});
    }
}

void fold_left_out(Model& model) {
    std::vector<LeftOut> folded;
    std::map<std::tuple<std::string, std::string, bool, bool>, std::size_t> first;
    for (LeftOut& row : model.left_out) {
        const auto [found, is_new] =
            first.try_emplace({row.body, row.reason, row.is_double, row.area_known}, folded.size());
        if (is_new || row.body.empty()) {
            folded.push_back(std::move(row));
        } else {
            add_to(folded[found->second], row);
        }
    }
    for (LeftOut& row : folded) {
        if (row.count > n_entities_named) {
            row.entity += " and " + std::to_string(row.count - n_entities_named) + " more";
        }
    }
    model.left_out = std::move(folded);
}

void note_lost_area(Model& model, double limit) {
    fold_left_out(model);
    fold_lost_placements(model);
    double lost_m2 = 0, kept_m2 = 0;
    std::size_t n_unknown = 0;
    for (const LeftOut& left : model.left_out) {
        if (left.is_double) continue;
        lost_m2 += left.area_m2;
        if (!left.area_known) n_unknown += left.count;
    }
    for (const Face& face : model.faces) kept_m2 += face.area_m2;
    if (lost_m2 + kept_m2 > 0) model.lost_area_share = lost_m2 / (lost_m2 + kept_m2);
    if (model.lost_area_share <= limit && n_unknown == 0) return;
    std::string text = percent(model.lost_area_share) + " of the file's area was left out";
    if (n_unknown > 0) {
        const std::string entities = counted(n_unknown, "entity", "entities") + " of unknown area";
        text = lost_m2 > 0 ? "at least " + percent(model.lost_area_share) + " of the area, " +
                                 entities + ", was left out"
                           : entities + (n_unknown == 1 ? " was" : " were") + " left out";
    }
    text += ": results are only as good as what is left";
    model.warnings.insert(model.warnings.begin(), {"lost-area", text, model.file});
}

}  // namespace noonshell
