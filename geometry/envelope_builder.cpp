// Builds the envelope: bodies to patches, patches to sides, sides to facets, facets to contacts.
#include <Eigen/Geometry>
#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <map>
#include <set>
#include <sstream>
#include <string>
#include <utility>

#include "geometry/blockers.hpp"
#include "geometry/body_measure.hpp"
#include "geometry/contacts.hpp"
#include "geometry/envelope.hpp"
#include "geometry/envelope_checks.hpp"
#include "geometry/facets.hpp"
#include "geometry/panes.hpp"
#include "geometry/patches.hpp"
#include "geometry/plain_text.hpp"
#include "geometry/shade_shape.hpp"
#include "geometry/sides.hpp"
#include "geometry/skin.hpp"
#include "geometry/unit_figures.hpp"
#include "geometry/unit_shapes.hpp"

namespace noonshell {

namespace {

/// More facets than this are a slip of the facet size, not a model (memory: some 300 bytes each).
constexpr double most_facets = 4e6;

/// Where no ground is given, a shade that ends farther below all units does not stand on it: a
/// storey on stilts and a plinth.
constexpr double deepest_below_m = 5;

/// The work on one model; the steps run in the order in which they are declared.
class EnvelopeBuilder {
  public:
    EnvelopeBuilder(const Model& model, const std::vector<RoleChoice>& roles,
                    const EnvelopeOptions& options)
        : model_(model), roles_(roles), options_(options) {
        envelope_.north_deg = options.north_deg;
    }

    Envelope build() {
        add_units();
        add_shades();
        if (envelope_.units.empty()) {
            throw NoUnitError("no body with triangles has the role unit (" +
                              counted(model_.bodies.size(), "body", "bodies") + ")");
        }
        set_ground();
        check_facet_count();
        cut_surfaces();
        warn();
        cover_contacts();
        append_facets();
        describe_units(model_, options_, envelope_);
        block_rays();
        return std::move(envelope_);
    }

  private:
    void add_units() {
        const TaggedFaces tagged = tag_faces(model_, roles_, options_.apart, envelope_.warnings);
        UnitShapes shaped =
            shape_units(model_, roles_, tagged, options_.north_deg, envelope_.warnings);
        std::vector<UnitShape>& shapes = shaped.units;
        roof_rests_ = std::move(shaped.roof_rests);
        for (std::size_t b = 0; b < model_.bodies.size(); ++b) {
            if (roles_[b].role == Role::pane) put_into_wall(BodyId(b), shapes);
        }
        for (const UnitShape& shape : shapes) add_unit(shape, tagged.tags);
        for (UnitShape& shape : shapes) {
            std::map<std::string, int> n;
            for (UnitOverhang& overhang : shape.overhangs) {
                const char* what = overhang.low ? "-ledge" : "-eaves";
                std::string name = shape.id + (overhang.loggia ? "-loggia" : what);
                if (const int k = ++n[name]; k > 1) name += "-" + std::to_string(k);
                overhangs_.emplace_back(std::move(name), std::move(overhang));
            }
        }
        for (std::size_t b = 0; b < model_.bodies.size(); ++b) {
            if (roles_[b].role == Role::unit && model_.bodies[b].n_faces == 0) warn_of_no_faces(b);
        }
    }

    /// The pane whose opening this one shares; null where it has its own.
    static const UnitPane* behind_which(const Patch& pane, const std::vector<UnitPane>& panes) {
        constexpr double most_shared = 0.5, same_plane = 0.99;
        for (const UnitPane& other : panes) {
            if (pane.frame.normal.dot(other.patch.frame.normal) < same_plane ||
                std::abs(pane.frame.height_m(other.patch.centroid_m)) > 2 * relief_depth_m)
                continue;
            const PlaneRegion shared =
                projected(pane, pane.frame).within(projected(other.patch, pane.frame));
            if (shared.area_m2() > most_shared * pane.area_m2) return &other;
        }
        return nullptr;
    }

    /// Gives a pane to the wall that it lies in, whose opening it takes out.
    void put_into_wall(BodyId pane, std::vector<UnitShape>& shapes) {
        const std::string& id = model_.bodies[pane.index()].id;
        for (UnitShape& shape : shapes) {
            auto found = find_wall_of_pane(model_, pane, shape.patches);
            if (!found) continue;
            if (const UnitPane* first = behind_which(found->pane, shape.panes)) {
                envelope_.warnings.push_back(
                    {"pane-behind-pane",
                     id + " stands in the same opening as " + first->name +
                         ": they are one window, and the first counts; give it a construction "
                         "of both",
                     id});
                return;
            }
            cut_out(shape.patches[found->wall], projected(found->pane, found->pane.frame));
            shape.panes.push_back({id, pane, std::move(found->pane)});
            return;
        }
        loose_panes_.push_back(pane);
        envelope_.warnings.push_back({"pane-without-wall",
                                      id + " is a pane, but no wall of a unit lies about it; it "
                                           "blocks the sun like a shade",
                                      id});
    }

    void add_unit(const UnitShape& shape, const std::vector<FaceTag>& tags) {
        const UnitId id(envelope_.units.size());
        envelope_.units.push_back({shape.id,
                                   shape.bodies,
                                   shape.floor_area_m2,
                                   shape.volume_m3,
                                   shape.how,
                                   {},
                                   shape.repaired});
        const std::size_t first = patches_.size();
        std::vector<Patch> plain;
        for (const Patch& patch : shape.patches) {
            if (patch.tag < 0) plain.push_back(patch);
        }
        for (const Side& side : unit_sides(plain, options_.north_deg)) {
            add_surface(side, shape.id, id, plain);
        }
        for (std::size_t t = 0; t < tags.size(); ++t) add_apart(shape, id, tags[t], t);
        for (const UnitPane& pane : shape.panes) {
            const std::vector<Patch> one{pane.patch};
            for (const Side& side :
                 named_sides(one, options_.north_deg, pane.name, SurfaceKind::pane)) {
                add_surface(side, shape.id, id, one);
            }
        }
        body_patches_.push_back({shape.bodies.front(), first, patches_.size() - first});
    }

    /// The surfaces of a unit's faces with one tag.
    void add_apart(const UnitShape& shape, UnitId id, const FaceTag& tag, std::size_t number) {
        std::vector<Patch> apart;
        for (const Patch& patch : shape.patches) {
            if (patch.tag == static_cast<std::int32_t>(number)) apart.push_back(patch);
        }
        auto sides = named_sides(apart, options_.north_deg, tag.name, SurfaceKind::pane);
        for (Side& side : sides) {
            if (!tag.pane) side.kind = unit_kind(side);
            add_surface(side, shape.id, id, apart);
        }
    }

    void add_shades() {
        std::set<std::string> done;
        for (const auto& [name, overhang] : overhangs_) add_overhang(name, overhang);
        for (std::size_t b = 0; b < model_.bodies.size(); ++b) {
            if (roles_[b].role != Role::shade) continue;
            const std::string& group = roles_[b].unit;
            if (const auto rest = roof_rests_.find(BodyId(b)); rest != roof_rests_.end()) {
                if (rest->second.patches.empty()) continue;
                add_shade({model_.bodies[b].id, {BodyId(b)}, {}},
                          shade_shape(rest->second, BodyId(b), options_.north_deg));
            } else if (group.empty()) {
                add_shade({model_.bodies[b].id, {BodyId(b)}, {}});
            } else if (done.insert(group).second) {
                add_shade({group, slats_of(group), {}});
            }
        }
    }

    std::vector<BodyId> slats_of(const std::string& group) const {
        std::vector<BodyId> bodies;
        for (std::size_t b = 0; b < model_.bodies.size(); ++b) {
            if (roles_[b].role == Role::shade && roles_[b].unit == group)
                bodies.push_back(BodyId(b));
        }
        return bodies;
    }

    /// Slats are drawn as if they were one body: what lies between them is no contact.
    void add_shade(Shade shade) {
        const ShadeShape shape = shade_shape(model_, shade.bodies, options_.north_deg);
        for (const BodyId body : shape.without_area) warn_of_no_faces(body.index());
        if (!shape.patches.empty()) add_shade(std::move(shade), shape);
    }

    /// Eaves, or the edge of a floor: bodies of a unit, yet a shade.
    void add_overhang(const std::string& name, const UnitOverhang& overhang) {
        std::set<BodyId> bodies;
        for (const OverhangPatch& of : overhang.patches) bodies.insert(of.patch.body);
        add_shade({name, {bodies.begin(), bodies.end()}, {}},
                  shade_shape(overhang, *bodies.begin(), options_.north_deg));
    }

    void add_shade(Shade shade, const ShadeShape& shape) {
        const std::size_t first = patches_.size(), first_surface = envelope_.surfaces.size();
        for (const Side& side : shape.sides) add_surface(side, shade.id, UnitId(), shape.patches);
        for (std::size_t k = 0; k < shape.sides.size(); ++k) {
            const std::size_t s = first_surface + k;
            shade.surfaces.push_back(SurfaceId(s));
            if (const auto other = shape.other_side[k])
                envelope_.surfaces[s].other_side = SurfaceId(first_surface + *other);
        }
        body_patches_.push_back({shade.bodies.front(), first, patches_.size() - first});
        envelope_.shades.push_back(std::move(shade));
    }

    void warn_of_no_faces(std::size_t body) {
        const std::string& id = model_.bodies[body].id;
        envelope_.warnings.push_back(
            {"body-without-faces", id + " has no face with an area; it is left out", id});
    }

    void add_surface(const Side& side, const std::string& owner, UnitId unit,
                     const std::vector<Patch>& patches) {
        const SurfaceId id(envelope_.surfaces.size());
        Surface surface;
        surface.id = unique_surface_id(owner + "/" + side.name);
        surface.unit = unit;
        surface.body = patches[side.patches.front()].body;
        surface.kind = side.kind;
        surface.azimuth_deg = side.azimuth_deg;
        surface.tilt_deg = side.tilt_deg;
        surface.normal = side.normal;
        std::set<FaceId> faces;
        double borrowed_m2 = 0;
        for (const std::uint32_t p : side.patches) {
            if (unit.valid() && is_reveal(patches[p], side)) {
                // Of no area seen square to the wall: relief of it.
                faces.insert(patches[p].stands_for.begin(), patches[p].stands_for.end());
                surface.developed_area_m2 += patches[p].developed_area_m2;
                continue;
            }
            if (patches[p].of_neighbour) borrowed_m2 += patches[p].area_m2;
            faces.insert(patches[p].stands_for.begin(), patches[p].stands_for.end());
            surface.developed_area_m2 += patches[p].developed_area_m2;
            patches_.push_back(patches[p]);
            patch_surface_.push_back(id);
        }
        surface.of_neighbour = borrowed_m2 > side.area_m2 / 2;
        surface.faces.assign(faces.begin(), faces.end());
        surface.n_faces = static_cast<std::uint32_t>(faces.size());
        if (unit.valid()) envelope_.units[unit.index()].surfaces.push_back(id);
        envelope_.surfaces.push_back(std::move(surface));
    }

    /// A pane or a surface of its own may bear the name of a side or of its like.
    std::string unique_surface_id(const std::string& wanted) {
        std::string id = wanted;
        for (int n = 2; !surface_ids_.insert(id).second; ++n) {
            id = wanted + "-" + std::to_string(n);
        }
        return id;
    }

    void set_ground() {
        envelope_.ground_z_m = options_.ground_z_m;
        if (!std::isnan(options_.ground_z_m)) return;
        double lowest_unit = std::numeric_limits<double>::infinity(), lowest = lowest_unit;
        for (const Role role : {Role::unit, Role::shade}) {
            for (std::size_t b = 0; b < model_.bodies.size(); ++b) {
                if (roles_[b].role != role || model_.bodies[b].n_faces == 0) continue;
                const BodyBounds bounds = bounds_of_body(model_, BodyId(b));
                // A stray plate far below the building is not what it stands on.
                if (bounds.high_m.z() < lowest_unit - deepest_below_m && role == Role::shade)
                    continue;
                lowest = std::min(lowest, bounds.low_m.z());
            }
            if (role == Role::unit) lowest_unit = lowest;
        }
        envelope_.ground_z_m = lowest;
    }

    void check_facet_count() const {
        double area = 0;
        for (const Patch& patch : patches_) area += patch.area_m2;
        const double size = options_.facet_size_m;
        if (area / (size * size) <= most_facets) return;
        const auto& b = model_.bbox_m;
        std::ostringstream expected, seen;
        expected.precision(4);
        seen << size << " m";
        const auto odd_size = std::ranges::find(model_.warnings, "model-size", &Warning::code);
        const bool odd = odd_size != model_.warnings.end();
        if (odd) {
            expected << "another one (" << odd_size->text
                     << ") or, if it is right, [model] facet_size_m of ";
            seen << " in " << model_.length_unit;
        }
        expected << "at least " << std::sqrt(area / most_facets) << " m for " << area
                 << " m2 of faces in a model of " << b[3] - b[0] << " x " << b[4] - b[1] << " x "
                 << b[5] - b[2] << " m";
        throw InputError({.file = model_.file,
                          .line = {},
                          .column = {},
                          .entity = odd ? "length unit" : "[model] facet_size_m"},
                         expected.str(), seen.str());
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
        for (const BodyPatches& of : body_patches_) {
            parts.push_back({of.body, std::span(patches_).subspan(of.first, of.count)});
        }
        append(overlap_warnings(model_, roles_, envelope_));
        append(below_ground_warnings(model_, parts, envelope_.ground_z_m));
    }

    void append(std::vector<Warning> warnings) {
        for (Warning& warning : warnings) envelope_.warnings.push_back(std::move(warning));
    }

    void cover_contacts() {
        const ContactSearch search{patches_, patch_surface_, options_.contact_gap_m};
        SplitFacets split = split_at_contacts(search, std::move(facets_));
        facets_ = std::move(split.facets);
        envelope_.contacts = std::move(split.contacts);
        const auto resting = cover_by_ground(search, envelope_.ground_z_m, facets_);
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

    void block_rays() {
        const SkinPatches skin{model_, patches_, patch_surface_};
        add_blockers(skin, roles_, loose_panes_, envelope_);
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
    std::vector<PatchFacet> facets_;
    std::vector<BodyId> loose_panes_;
    std::set<std::string> surface_ids_;
    std::vector<std::pair<std::string, UnitOverhang>> overhangs_;  ///< with their names
    std::map<BodyId, UnitOverhang> roof_rests_;                    ///< of roofs over several units
};

}  // namespace

Envelope build_envelope(const Model& model, const std::vector<RoleChoice>& roles,
                        const EnvelopeOptions& options) {
    NOONSHELL_CHECK_EQ(roles.size(), model.bodies.size());
    validate(options);
    return EnvelopeBuilder(model, roles, options).build();
}

}  // namespace noonshell
