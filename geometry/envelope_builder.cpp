// Builds the envelope: bodies to patches, patches to sides, sides to facets, facets to contacts.
#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <set>
#include <string>
#include <utility>

#include "geometry/contacts.hpp"
#include "geometry/envelope.hpp"
#include "geometry/envelope_checks.hpp"
#include "geometry/facets.hpp"
#include "geometry/patches.hpp"
#include "geometry/sides.hpp"

namespace noonshell {

namespace {

/// More facets than this are a slip of the facet size, not a model (memory: some 300 bytes each).
constexpr double most_facets = 2e7;

/// The work on one model; the steps run in the order in which they are declared.
class EnvelopeBuilder {
  public:
    EnvelopeBuilder(const Model& model, const std::vector<RoleChoice>& roles,
                    const EnvelopeOptions& options)
        : model_(model), roles_(roles), options_(options) {
        envelope_.north_deg = options.north_deg;
    }

    Envelope build() {
        for (const Role role : {Role::unit, Role::shade}) add_bodies(role);
        if (envelope_.units.empty()) {
            throw NoUnitError("no body with triangles has the role unit (" +
                              std::to_string(model_.bodies.size()) + " bodies)");
        }
        set_ground();
        check_facet_count();
        cut_surfaces();
        warn();
        cover_contacts();
        append_facets();
        describe_units();
        add_blockers();
        return std::move(envelope_);
    }

  private:
    void add_bodies(Role role) {
        for (std::size_t b = 0; b < model_.bodies.size(); ++b) {
            if (roles_[b].role == role) add_body(BodyId(b), role == Role::unit);
        }
    }

    void add_body(BodyId id, bool is_unit) {
        const Body& body = model_.bodies[id.index()];
        const std::vector<Patch> patches = planar_patches(model_, id);
        if (patches.empty()) {
            envelope_.warnings.push_back({"body-without-faces",
                                          body.id + " has no face with an area; it is left out",
                                          body.id});
            return;
        }
        UnitId unit;
        if (is_unit) {
            unit = UnitId(envelope_.units.size());
            envelope_.units.push_back({body.id, {id}, 0, 0, {}, {}});
        }
        body_patches_.push_back({id, patches_.size(), patches.size()});
        const double north = options_.north_deg;
        const auto sides = is_unit ? unit_sides(patches, north) : shade_sides(patches, north);
        for (const Side& side : sides) add_surface(side, body.id, id, unit, patches);
    }

    void add_surface(const Side& side, const std::string& owner, BodyId body, UnitId unit,
                     const std::vector<Patch>& patches) {
        const SurfaceId id(envelope_.surfaces.size());
        Surface surface;
        surface.id = owner + "/" + side.name;
        surface.unit = unit;
        surface.body = body;
        surface.kind = side.kind;
        surface.azimuth_deg = side.azimuth_deg;
        surface.tilt_deg = side.tilt_deg;
        surface.normal = side.normal;
        std::set<FaceId> faces;
        for (const std::uint32_t p : side.patches) {
            faces.insert(patches[p].face);
            patches_.push_back(patches[p]);
            patch_surface_.push_back(id);
            may_rest_.push_back(unit.valid() ? 1 : 0);
        }
        surface.n_faces = static_cast<std::uint32_t>(faces.size());
        if (unit.valid()) envelope_.units[unit.index()].surfaces.push_back(id);
        envelope_.surfaces.push_back(std::move(surface));
    }

    void set_ground() {
        envelope_.ground_z_m = options_.ground_z_m;
        if (!std::isnan(options_.ground_z_m)) return;
        double lowest = std::numeric_limits<double>::infinity();
        for (const Patch& patch : patches_) {
            for (const std::uint32_t t : patch.triangles) {
                for (int k = 0; k < 3; ++k) lowest = std::min(lowest, model_.mesh.corner(t, k).z());
            }
        }
        envelope_.ground_z_m = lowest;
    }

    void check_facet_count() const {
        double area = 0;
        for (const Patch& patch : patches_) area += patch.area_m2;
        const double size = options_.facet_size_m;
        if (area / (size * size) <= most_facets) return;
        throw InputError({{}, {}, {}, "[model] facet_size_m"},
                         "at least " + std::to_string(std::sqrt(area / most_facets)) +
                             " m for a model with " + std::to_string(area) + " m2 of faces",
                         std::to_string(size));
    }

    void cut_surfaces() {
        for (std::uint32_t p = 0; p < patches_.size(); ++p) {
            for (auto& facet : cut_into_facets(patches_[p], p, options_.facet_size_m)) {
                facets_.push_back(std::move(facet));
            }
        }
    }

    void warn() {
        std::vector<BodyParts> parts;
        std::size_t facet = 0;
        for (const BodyPatches& of : body_patches_) {
            const std::size_t begin = facet;
            while (facet < facets_.size() && facets_[facet].patch < of.first + of.count) ++facet;
            parts.push_back({of.body, std::span(patches_).subspan(of.first, of.count),
                             std::span(facets_).subspan(begin, facet - begin), patches_});
        }
        append(overlap_warnings(model_, parts));
        append(below_ground_warnings(model_, parts, envelope_.ground_z_m));
        for (std::size_t b = 0; b < model_.bodies.size(); ++b) {
            if (roles_[b].role != Role::pane) continue;
            const std::string& id = model_.bodies[b].id;
            envelope_.warnings.push_back({"pane-not-modelled",
                                          id + " is a pane; it blocks the sun and lets no light in",
                                          id});
        }
    }

    void append(std::vector<Warning> warnings) {
        for (Warning& warning : warnings) envelope_.warnings.push_back(std::move(warning));
    }

    void cover_contacts() {
        const ContactSearch search{patches_, patch_surface_, options_.contact_gap_m};
        SplitFacets split = split_at_contacts(search, std::move(facets_));
        facets_ = std::move(split.facets);
        envelope_.contacts = std::move(split.contacts);
        const auto resting = cover_by_ground(search, may_rest_, envelope_.ground_z_m, facets_);
        envelope_.contacts.insert(envelope_.contacts.end(), resting.begin(), resting.end());
        std::sort(envelope_.contacts.begin(), envelope_.contacts.end(),
                  [](const Contact& p, const Contact& q) {
                      return std::pair(p.a, p.b) < std::pair(q.a, q.b);
                  });
    }

    void append_facets() {
        FacetArrays& arrays = envelope_.facets;
        for (const PatchFacet& facet : facets_) {
            const SurfaceId id = patch_surface_[facet.patch];
            Surface& surface = envelope_.surfaces[id.index()];
            if (surface.n_facets == 0) {
                surface.first_facet = static_cast<std::uint32_t>(arrays.size());
            }
            append_facet(arrays, facet, patches_[facet.patch], id);
            ++surface.n_facets;
            const double area = arrays.area_m2.back();
            surface.area_m2 += area;
            if (!facet.covered) surface.exposed_area_m2 += area;
            surface.centroid_m += area * arrays.centroid_m.back();
        }
        std::uint32_t next = 0;
        for (Surface& surface : envelope_.surfaces) {
            if (surface.n_facets == 0) surface.first_facet = next;
            next = surface.first_facet + surface.n_facets;
            if (surface.area_m2 > 0) surface.centroid_m /= surface.area_m2;
        }
    }

    void describe_units() {
        for (Unit& unit : envelope_.units) {
            const Body& body = model_.bodies[unit.bodies.front().index()];
            for (const SurfaceId s : unit.surfaces) {
                const Surface& surface = envelope_.surfaces[s.index()];
                if (surface.kind == SurfaceKind::floor) unit.floor_area_m2 += surface.area_m2;
            }
            unit.how = "floor area of its lowest side that faces down";
            if (unit.floor_area_m2 <= 0) floor_from_plan(unit);
            if (body.volume_m3 > 0) {
                unit.volume_m3 = body.volume_m3;
                unit.how += "; volume of the closed solid, outside measure";
            } else {
                volume_from_height(unit, body);
            }
        }
    }

    /// For a unit without a floor of its own: what its upward faces cover in plan.
    void floor_from_plan(Unit& unit) const {
        for (const SurfaceId s : unit.surfaces) {
            const Surface& surface = envelope_.surfaces[s.index()];
            for (std::size_t f = 0; f < surface.n_facets; ++f) {
                const std::size_t facet = surface.first_facet + f;
                unit.floor_area_m2 += envelope_.facets.area_m2[facet] *
                                      std::max(0.0, envelope_.facets.normal[facet].z());
            }
        }
        unit.how = "no side faces down: floor area is its roof seen from above";
    }

    void volume_from_height(Unit& unit, const Body& body) {
        double low = std::numeric_limits<double>::infinity(), high = -low;
        for (std::size_t p = 0; p < patches_.size(); ++p) {
            if (patches_[p].body != unit.bodies.front()) continue;
            for (const std::uint32_t t : patches_[p].triangles) {
                for (int k = 0; k < 3; ++k) {
                    low = std::min(low, model_.mesh.corner(t, k).z());
                    high = std::max(high, model_.mesh.corner(t, k).z());
                }
            }
        }
        unit.volume_m3 = unit.floor_area_m2 * (high - low);
        unit.how += "; not a closed solid: volume is floor area times height";
        envelope_.warnings.push_back({"unit-not-closed",
                                      body.id + " is not a closed solid; its volume is estimated",
                                      body.id});
    }

    void add_blockers() {
        std::vector<SurfaceId> surface_of(model_.mesh.triangles.size());
        for (std::size_t p = 0; p < patches_.size(); ++p) {
            for (const std::uint32_t t : patches_[p].triangles) surface_of[t] = patch_surface_[p];
        }
        for (std::size_t b = 0; b < model_.bodies.size(); ++b) {
            if (roles_[b].role == Role::ignore) continue;
            const Body& body = model_.bodies[b];
            for (std::size_t f = body.first_face; f < body.first_face + body.n_faces; ++f) {
                add_blocking_face(FaceId(f), surface_of);
            }
        }
    }

    void add_blocking_face(FaceId id, const std::vector<SurfaceId>& surface_of) {
        const Face& face = model_.faces[id.index()];
        TriangleMesh& blockers = envelope_.blockers;
        std::map<std::uint32_t, std::uint32_t> vertex_of;
        for (std::uint32_t t = face.first_triangle; t < face.first_triangle + face.n_triangles;
             ++t) {
            const Vec3 a = model_.mesh.corner(t, 0);
            const Vec3 twice_area =
                (model_.mesh.corner(t, 1) - a).cross(model_.mesh.corner(t, 2) - a);
            if (twice_area.norm() < 2 * least_triangle_area_m2) continue;
            std::array<std::uint32_t, 3> corners{};
            for (std::size_t k = 0; k < 3; ++k) {
                const std::uint32_t from = model_.mesh.triangles[t][k];
                const auto next = static_cast<std::uint32_t>(blockers.vertices_m.size());
                const auto [found, is_new] = vertex_of.try_emplace(from, next);
                if (is_new) blockers.vertices_m.push_back(model_.mesh.vertices_m[from]);
                corners[k] = found->second;
            }
            blockers.triangles.push_back(corners);
            blockers.triangle_face.push_back(id);
            envelope_.triangle_surface.push_back(surface_of[t]);
        }
    }

    struct BodyPatches {
        BodyId body;
        std::size_t first = 0, count = 0;  ///< in patches_
    };

    const Model& model_;
    const std::vector<RoleChoice>& roles_;
    const EnvelopeOptions& options_;
    Envelope envelope_;
    std::vector<BodyPatches> body_patches_;
    std::vector<Patch> patches_;  ///< by surface, then face
    std::vector<SurfaceId> patch_surface_;
    std::vector<std::uint8_t> may_rest_;
    std::vector<PatchFacet> facets_;
};

}  // namespace

Envelope build_envelope(const Model& model, const std::vector<RoleChoice>& roles,
                        const EnvelopeOptions& options) {
    NOONSHELL_CHECK_EQ(roles.size(), model.bodies.size());
    validate(options);
    return EnvelopeBuilder(model, roles, options).build();
}

}  // namespace noonshell
