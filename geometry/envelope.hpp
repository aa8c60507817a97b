// The building as sun and heat see it: units, surfaces by side, facets and contacts.
// Facet arrays are flat, one entry per facet; order is deterministic: units in body order, then
// shades, each with its surfaces roof, walls by azimuth, soffit, floor (shades: top, sides, edges,
// underside); facets by surface, face and cell, the open part of a cell before its covered parts.
#pragma once

#include <array>
#include <cstdint>
#include <limits>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "geometry/apart_faces.hpp"
#include "geometry/diagnostics.hpp"
#include "geometry/ids.hpp"
#include "geometry/model.hpp"
#include "geometry/roles.hpp"
#include "geometry/vec3.hpp"

namespace noonshell {

/// `context` is only in envelopes that with_context (context.hpp) made, `ground` in those that
/// with_ground (ground.hpp) made.
enum class SurfaceKind { roof, wall, floor, soffit, pane, shade, context, ground };

std::string_view to_string(SurfaceKind kind);

/// One room: a closed solid, a hollow one, an open shell, or several bodies that enclose it
/// together.
struct Unit {
    std::string id;
    std::vector<BodyId> bodies;
    double floor_area_m2 = 0;
    double volume_m3 = 0;
    std::string how;  ///< how area and volume were found
    std::vector<SurfaceId> surfaces;
    std::vector<std::string> repaired{};  ///< what was mended of its skin, in plain words
};

/// What casts shade in the open: one body, or slats that make it up together.
struct Shade {
    std::string id;
    std::vector<BodyId> bodies;
    std::vector<SurfaceId> surfaces;
};

/// All faces of one unit or shade that lie on one side.
struct Surface {
    std::string id;  ///< "unit-3/roof", "unit-3/wall-sw", "canopy-1/top"
    UnitId unit;     ///< none for a shade
    BodyId body;     ///< that most of it belongs to; of a shade of several bodies the first
    SurfaceKind kind = SurfaceKind::wall;
    double azimuth_deg = 0;  ///< compass, clockwise from true north; 0 for level surfaces
    double tilt_deg = 0;     ///< 0 faces up, 90 vertical, 180 faces down
    Vec3 normal{0, 0, 1};    ///< model axes, outward, unit length
    Vec3 centroid_m{0, 0, 0};
    double area_m2 = 0;            ///< of the flat side: relief counts as projected on its plane
    double developed_area_m2 = 0;  ///< along every fold of the relief; else the same as area_m2
    double exposed_area_m2 = 0;    ///< not covered by a contact
    std::uint32_t n_faces = 0;
    std::vector<FaceId> faces;      ///< of the model, ascending
    std::uint32_t first_facet = 0;  ///< its facets are consecutive in Envelope::facets
    std::uint32_t n_facets = 0;
    /// The other side of a sheet that is drawn without thickness; none for all else. Both sides
    /// have the same blockers, which are those of one of them in Envelope::triangle_surface.
    SurfaceId other_side{};
    /// Its unit has nothing of its own there: most of it is closed by the floor or the wall of a
    /// neighbour, which it touches.
    bool of_neighbour = false;

    /// Developed over projected area, at least 1: that of plain sheet.
    double relief_ratio() const {
        return developed_area_m2 > area_m2 ? developed_area_m2 / area_m2 : 1.0;
    }
};

/// Struct of arrays, each of length size(). A facet is planar; it is either wholly exposed or
/// wholly covered by a contact.
struct FacetArrays {
    std::vector<Vec3> centroid_m;
    std::vector<Vec3> normal;
    std::vector<double> area_m2;
    std::vector<FaceId> face;
    std::vector<BodyId> body;
    std::vector<SurfaceId> surface;
    std::vector<std::uint8_t> covered;  ///< 1 where a contact keeps the sun out

    /// Triangles that make up facet f: [triangle_begin[f], triangle_begin[f + 1]), #facets + 1.
    std::vector<std::uint32_t> triangle_begin;
    std::vector<std::array<Vec3, 3>> triangles_m;

    std::size_t size() const { return area_m2.size(); }
};

/// Two surfaces that touch or nearly touch, or a surface on the ground.
struct Contact {
    SurfaceId a;
    SurfaceId b;  ///< none when `a` lies on the ground
    double area_m2 = 0;
    double gap_m = 0;  ///< area-weighted mean distance; bodies that run in count as 0
    bool on_ground() const { return !b.valid(); }
};

struct Envelope {
    double north_deg = 0;
    double ground_z_m = 0;
    std::vector<Unit> units;
    std::vector<Shade> shades;
    std::vector<Surface> surfaces;
    FacetArrays facets;
    std::vector<Contact> contacts;
    /// What blocks rays: every body that is not ignored. triangle_surface[t] is none for context.
    TriangleMesh blockers;
    std::vector<SurfaceId> triangle_surface;  ///< #blockers.triangles
    std::vector<Warning> warnings;
};

/// Figures of a unit that the user knows better.
struct UnitFigure {
    std::string unit;  ///< pattern of unit ids
    std::optional<double> floor_area_m2, volume_m3;
};

struct EnvelopeOptions {
    double north_deg = 0;          ///< compass azimuth of the model's +Y axis
    double facet_size_m = 0.5;     ///< largest edge of a facet cell
    double contact_gap_m = 0.060;  ///< facing bodies closer than this are in contact
    double ground_z_m =
        std::numeric_limits<double>::quiet_NaN();  ///< NaN: lowest point of units and shades
    ApartFaces apart{};                            ///< surfaces of their own; panes that are faces
    std::vector<UnitFigure> unit_figures{};
};

/// Groups faces by side, cuts facets and finds contacts. `roles` has one entry per body.
/// Throws NoUnitError when no body has the role unit, InputError for an option out of range.
Envelope build_envelope(const Model& model, const std::vector<RoleChoice>& roles,
                        const EnvelopeOptions& options);

}  // namespace noonshell
