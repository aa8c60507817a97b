#include "cli/report_scene.hpp"

#include <array>
#include <map>
#include <vector>

#include "cli/packed_numbers.hpp"
#include "cli/result_units.hpp"

namespace noonshell {

namespace {

/// Triangles whose equal corners are one vertex.
class Mesh {
  public:
    void add(const std::array<Vec3, 3>& corners, std::size_t facet, BodyId body) {
        for (const Vec3& corner : corners) triangles_.push_back(vertex(corner));
        facets_.push_back(static_cast<std::uint32_t>(facet));
        bodies_.push_back(body.value);
    }

    void write(Json& scene) const {
        scene["positions_m"] = packed_floats(positions_m_);
        scene["triangles"] = packed_whole(triangles_);
        scene["triangle_facet"] = packed_whole(facets_);
        scene["triangle_body"] = packed_whole(bodies_);
    }

  private:
    std::uint32_t vertex(const Vec3& at_m) {
        const std::array<float, 3> place = {static_cast<float>(at_m.x()),
                                            static_cast<float>(at_m.y()),
                                            static_cast<float>(at_m.z())};
        const auto next = static_cast<std::uint32_t>(positions_m_.size() / 3);
        const auto [found, is_new] = numbers_.try_emplace(place, next);
        if (is_new) positions_m_.insert(positions_m_.end(), place.begin(), place.end());
        return found->second;
    }

    std::map<std::array<float, 3>, std::uint32_t> numbers_;
    std::vector<float> positions_m_;
    std::vector<std::uint32_t> triangles_, facets_, bodies_;
};

/// What takes a colour, by number.
struct Painted {
    std::vector<std::uint32_t> surface;
    std::vector<std::uint8_t> covered;
    std::vector<float> sun_kwh_m2;

    void add(std::size_t of_surface, bool is_covered, double wh_m2) {
        surface.push_back(static_cast<std::uint32_t>(of_surface));
        covered.push_back(is_covered ? 1 : 0);
        sun_kwh_m2.push_back(static_cast<float>(kwh_of_watt_hours(wh_m2)));
    }
};

Painted painted_facets(const FacetArrays& facets, const FacetSun& sun, Mesh& mesh) {
    Painted painted;
    for (std::size_t f = 0; f < facets.size(); ++f) {
        double wh_m2 = 0;
        for (std::size_t bin = 0; bin < sun.n_bins; ++bin) {
            const std::size_t i = bin * sun.n_facets + f;
            wh_m2 +=
                sun.direct_wh_m2[i] + sun.sky_wh_m2[i] + sun.ground_wh_m2[i] + sun.bounced_wh_m2[i];
        }
        painted.add(facets.surface[f].index(), facets.covered[f] != 0, wh_m2);
        for (std::uint32_t t = facets.triangle_begin[f]; t < facets.triangle_begin[f + 1]; ++t)
            mesh.add(facets.triangles_m[t], f, facets.body[f]);
    }
    return painted;
}

Painted painted_surfaces(const std::vector<Surface>& surfaces, const SurfaceSun& sun) {
    Painted painted;
    for (std::size_t s = 0; s < surfaces.size(); ++s)
        painted.add(s, surfaces[s].exposed_area_m2 <= 0, sun.total_wh_m2(SurfaceId(s)));
    return painted;
}

constexpr std::uint32_t no_surface = SurfaceId::none_value;

/// The surface that a face of the model belongs to, the first of both sides of a sheet, #faces.
std::vector<std::uint32_t> surface_of_faces(const Inspection& inspection) {
    std::vector<std::uint32_t> of(inspection.model.faces.size(), no_surface);
    const std::vector<Surface>& surfaces = inspection.envelope.surfaces;
    for (std::size_t s = surfaces.size(); s-- > 0;) {
        for (const FaceId face : surfaces[s].faces)
            of[face.index()] = static_cast<std::uint32_t>(s);
    }
    return of;
}

/// Triangles of faces: all of them, or of those alone that belong to no surface, such as context,
/// posts and gear. `n_painted` stands for no surface.
void add_faces(const Inspection& inspection, bool with_surfaces, std::size_t n_painted,
               Mesh& mesh) {
    const Model& model = inspection.model;
    const std::vector<std::uint32_t> surface = surface_of_faces(inspection);
    for (std::size_t t = 0; t < model.mesh.triangles.size(); ++t) {
        const FaceId face = model.mesh.triangle_face[t];
        const BodyId body = model.faces[face.index()].body;
        const std::uint32_t of = surface[face.index()];
        if (inspection.roles[body.index()].role == Role::ignore) continue;
        if (of != no_surface && !with_surfaces) continue;
        mesh.add({model.mesh.corner(t, 0), model.mesh.corner(t, 1), model.mesh.corner(t, 2)},
                 of == no_surface ? n_painted : of, body);
    }
}

}  // namespace

Json report_scene(const Inspection& inspection, const FacetSun& facets, const SurfaceSun& surfaces,
                  std::size_t most_painted_facets) {
    const Envelope& envelope = inspection.envelope;
    const bool coarse = envelope.facets.size() > most_painted_facets;
    Mesh mesh;
    const Painted painted = coarse ? painted_surfaces(envelope.surfaces, surfaces)
                                   : painted_facets(envelope.facets, facets, mesh);
    add_faces(inspection, coarse, painted.surface.size(), mesh);
    Json scene;
    scene["ground_z_m"] = envelope.ground_z_m;
    mesh.write(scene);
    scene["facet_surface"] = packed_whole(painted.surface);
    scene["facet_covered"] = packed_small(painted.covered);
    scene["facet_sun_kwh_m2"] = packed_steps(painted.sun_kwh_m2, 0.1);
    return scene;
}

}  // namespace noonshell
