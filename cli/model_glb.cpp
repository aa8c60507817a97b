#include "cli/model_glb.hpp"

#include <algorithm>
#include <cmath>
#include <utility>
#include <vector>

#include "cli/coloured_model.hpp"
#include "cli/glb_output.hpp"
#include "cli/json_parts.hpp"
#include "cli/result_units.hpp"
#include "cli/surface_effects.hpp"
#include "geometry/colour_scale.hpp"

namespace noonshell {

namespace {

using LinearRgb = std::array<float, 3>;

constexpr LinearRgb grey{0.45F, 0.45F, 0.45F};

/// IEC 61966-2-1, the inverse of its transfer function: glTF wants colours of corners linear
/// (section 3.9.2).
float linear(float screen_value) {
    return screen_value <= 0.04045F ? screen_value / 12.92F
                                    : std::pow((screen_value + 0.055F) / 1.055F, 2.4F);
}

LinearRgb linear_scale_colour(double share) {
    const Rgb colour = scale_colour(share);
    return {linear(colour[0]), linear(colour[1]), linear(colour[2])};
}

double sun_wh_m2(const FacetSun& sun, std::size_t facet) {
    double sum = 0;
    for (std::size_t bin = 0; bin < sun.n_bins; ++bin) {
        const std::size_t i = bin * sun.n_facets + facet;
        sum += sun.direct_wh_m2[i] + sun.sky_wh_m2[i] + sun.ground_wh_m2[i] + sun.bounced_wh_m2[i];
    }
    return sum;
}

Json extras_of(const RunResult& result, SurfaceId id) {
    const std::size_t s = id.index();
    const Surface& surface = result.envelope().surfaces[s];
    const SurfaceSun& sun = result.sun();
    Json extras = json_surface(result.envelope(), surface);
    // Places and directions are those of the mesh, in its axes.
    extras.erase("normal");
    extras.erase("centroid_m");
    extras["construction"] = json_text(result.building.exposed[s].name);
    extras["sun_kwh_m2"] = kwh_of_watt_hours(sun.total_wh_m2(id));
    extras["direct_kwh_m2"] = kwh_of_watt_hours(sun.direct_wh_m2[s]);
    extras["sky_kwh_m2"] = kwh_of_watt_hours(sun.sky_wh_m2[s]);
    extras["ground_kwh_m2"] = kwh_of_watt_hours(sun.ground_wh_m2[s]);
    extras["bounced_kwh_m2"] = kwh_of_watt_hours(sun.bounced_wh_m2[s]);
    if (result.with_heat() && surface.exposed_area_m2 > 0)
        extras["peak_outside_c"] = result.response.peak_outside_c[s].value;
    if (result.with_heat() && surface.unit.valid())
        extras["inward_kwh"] = kwh_of_joules(result.response.inward_j[s]);
    if (!result.ranked()) return extras;
    if (const Effect* best = best_effect_on(result.ranking, id)) {
        extras["rank"] = result.ranking.rank[s];
        extras["best_treatment"] = json_text(result.settings.treatments[best->treatment].name);
        extras["best_saves_cooling_kwh"] = kwh_of_joules(best->saves_cooling_j);
    }
    return extras;
}

class PaintedModel {
  public:
    explicit PaintedModel(const RunResult& result)
        : result_(result),
          ends_(colour_ends(result, ColourBy::sun)),
          out_("Noonshell " NOONSHELL_VERSION) {
        const auto& box = result.inspection.model.bbox_m;
        origin_m_ = {(box[0] + box[3]) / 2, (box[1] + box[4]) / 2, result.envelope().ground_z_m};
    }

    std::string bytes() {
        const Json matte = {{"metallicFactor", 0}, {"roughnessFactor", 1}};
        painted_ = out_.add_material({{"name", "painted"}, {"pbrMetallicRoughness", matte}});
        std::vector<std::size_t> parts;
        const Envelope& envelope = result_.envelope();
        for (const Unit& unit : envelope.units) parts.push_back(group(unit.id, unit.surfaces));
        for (const Shade& shade : envelope.shades) parts.push_back(group(shade.id, shade.surfaces));
        add_bare_bodies(parts);
        // A model far from its origin keeps its place here and its precision in the meshes.
        const Json root = {{"name", json_text(result_.settings.model.file.filename().string())},
                           {"translation", {origin_m_.x(), origin_m_.z(), -origin_m_.y()}},
                           {"children", parts}};
        return out_.bytes({out_.add_node(root)}, {{"north_deg", result_.envelope().north_deg},
                                                  {"colour_of", "sun_kwh_m2"},
                                                  {"dark_kwh_m2", ends_.low},
                                                  {"light_kwh_m2", ends_.high}});
    }

  private:
    std::array<float, 3> placed(const Vec3& at_m) const {
        const Vec3 from_origin = at_m - origin_m_;
        return {static_cast<float>(from_origin.x()), static_cast<float>(from_origin.z()),
                static_cast<float>(-from_origin.y())};
    }

    void add(const Vec3& a, const Vec3& b, const Vec3& c, const LinearRgb& colour,
             GlbMesh& mesh) const {
        mesh.add({placed(a), placed(b), placed(c)}, colour);
    }

    std::size_t group(const std::string& id, const std::vector<SurfaceId>& surfaces) {
        std::vector<std::size_t> children;
        children.reserve(surfaces.size());
        for (const SurfaceId surface : surfaces) children.push_back(surface_node(surface));
        return out_.add_node({{"name", json_text(id)}, {"children", children}});
    }

    std::size_t surface_node(SurfaceId id) {
        const Envelope& envelope = result_.envelope();
        const Surface& surface = envelope.surfaces[id.index()];
        const FacetArrays& facets = envelope.facets;
        GlbMesh mesh;
        for (std::size_t f = surface.first_facet; f < surface.first_facet + surface.n_facets; ++f) {
            mesh.new_patch();
            const double kwh_m2 = kwh_of_watt_hours(sun_wh_m2(result_.light.facets, f));
            const LinearRgb colour =
                facets.covered[f] != 0 ? grey : linear_scale_colour(ends_.share_of(kwh_m2));
            for (std::uint32_t t = facets.triangle_begin[f]; t < facets.triangle_begin[f + 1];
                 ++t) {
                const auto& [a, b, c] = facets.triangles_m[t];
                add(a, b, c, colour, mesh);
            }
        }
        Json node = {{"name", json_text(surface.id)}, {"extras", extras_of(result_, id)}};
        if (!mesh.empty()) node["mesh"] = out_.add_mesh(mesh, painted_);
        return out_.add_node(std::move(node));
    }

    /// Faces that belong to no surface: neighbours, posts, gear.
    void add_bare_bodies(std::vector<std::size_t>& parts) {
        const Model& model = result_.inspection.model;
        std::vector<bool> is_painted(model.faces.size(), false);
        for (const Surface& surface : result_.envelope().surfaces) {
            for (const FaceId face : surface.faces) is_painted[face.index()] = true;
        }
        std::vector<GlbMesh> bare(model.bodies.size());
        for (std::size_t t = 0; t < model.mesh.triangles.size(); ++t) {
            const FaceId face = model.mesh.triangle_face[t];
            const std::size_t body = model.faces[face.index()].body.index();
            if (is_painted[face.index()]) continue;
            if (result_.inspection.roles[body].role == Role::ignore) continue;
            bare[body].new_patch();
            add(model.mesh.corner(t, 0), model.mesh.corner(t, 1), model.mesh.corner(t, 2), grey,
                bare[body]);
        }
        for (std::size_t b = 0; b < bare.size(); ++b) {
            if (bare[b].empty()) continue;
            parts.push_back(out_.add_node(
                {{"name", json_text(model.bodies[b].id)},
                 {"mesh", out_.add_mesh(bare[b], painted_)},
                 {"extras", {{"role", to_string(result_.inspection.roles[b].role)}}}}));
        }
    }

    const RunResult& result_;
    const ColourEnds ends_;
    Vec3 origin_m_;
    GlbOutput out_;
    std::size_t painted_ = 0;
};

}  // namespace

std::string model_glb(const RunResult& result) {
    return PaintedModel(result).bytes();
}

}  // namespace noonshell
