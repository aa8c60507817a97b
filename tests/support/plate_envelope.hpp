// Small envelopes made by hand from rectangles and boxes, cut into equal facets: what the sun
// needs, without the CAD kernel and without the builder of envelopes.
#pragma once

#include <Eigen/Geometry>
#include <array>
#include <cmath>
#include <numbers>
#include <string>

#include "geometry/envelope.hpp"

namespace noonshell {

class PlateEnvelope {
  public:
    Envelope envelope;

    PlateEnvelope() { envelope.facets.triangle_begin = {0}; }

    /// A rectangle with facets on the side of u x v: one surface of n_u by n_v facets.
    SurfaceId add_plate(const std::string& id, const Vec3& corner_m, const Vec3& u, const Vec3& v,
                        int n_u, int n_v, BodyId body = BodyId::none()) {
        const SurfaceId surface(envelope.surfaces.size());
        if (!body.valid()) body = BodyId(n_bodies_++);
        add_surface(id, corner_m, u, v, body, static_cast<std::uint32_t>(n_u * n_v));
        for (int i = 0; i < n_u; ++i) {
            for (int j = 0; j < n_v; ++j) {
                add_facet(surface, body, corner_m + u * i / n_u + v * j / n_v, u / n_u, v / n_v);
            }
        }
        add_blocker(corner_m, u, v, surface);
        return surface;
    }

    /// A sheet without thickness: a plate, and after it another one on its other side.
    SurfaceId add_sheet(const std::string& id, const Vec3& corner_m, const Vec3& u, const Vec3& v,
                        int n_u, int n_v) {
        const BodyId body(n_bodies_++);
        const SurfaceId front = add_plate(id, corner_m, u, v, n_u, n_v, body);
        const SurfaceId back(envelope.surfaces.size());
        add_surface(id + "/back", corner_m, v, u, body, static_cast<std::uint32_t>(n_u * n_v));
        for (int i = 0; i < n_v; ++i) {
            for (int j = 0; j < n_u; ++j) {
                add_facet(back, body, corner_m + v * i / n_v + u * j / n_u, v / n_v, u / n_u);
            }
        }
        envelope.surfaces[front.index()].other_side = back;
        envelope.surfaces[back.index()].other_side = front;
        return front;
    }

    /// A rectangle that only casts shadows.
    void add_blocker(const Vec3& corner_m, const Vec3& u, const Vec3& v,
                     SurfaceId surface = SurfaceId::none()) {
        TriangleMesh& mesh = envelope.blockers;
        const auto base = static_cast<std::uint32_t>(mesh.vertices_m.size());
        mesh.vertices_m.insert(mesh.vertices_m.end(),
                               {corner_m, corner_m + u, corner_m + u + v, corner_m + v});
        mesh.triangles.push_back({base, base + 1, base + 2});
        mesh.triangles.push_back({base, base + 2, base + 3});
        for (int k = 0; k < 2; ++k) {
            mesh.triangle_face.push_back(FaceId(envelope.triangle_surface.size() / 2));
            envelope.triangle_surface.push_back(surface);
        }
    }

    /// A box about `foot_m`, the middle of its lower face, turned counter-clockwise seen from
    /// above; surfaces id/roof, /floor and four walls with facets no longer than `facet_m`. Returns
    /// the roof; the others follow it.
    SurfaceId add_box(const std::string& id, const Vec3& foot_m, const Vec3& size_m,
                      double turn_deg, double facet_m) {
        const double turn = turn_deg * std::numbers::pi / 180;
        const Vec3 x = Vec3(std::cos(turn), std::sin(turn), 0) * size_m.x();
        const Vec3 y = Vec3(-std::sin(turn), std::cos(turn), 0) * size_m.y();
        const Vec3 z(0, 0, size_m.z());
        const Vec3 low = foot_m - 0.5 * (x + y);
        const BodyId body(n_bodies_++);
        const auto add = [&](const char* side, const Vec3& corner, const Vec3& u, const Vec3& v) {
            return add_plate(id + side, corner, u, v, cells(u, facet_m), cells(v, facet_m), body);
        };
        const SurfaceId roof = add("/roof", low + z, x, y);
        add("/wall-1", low, x, z);
        add("/wall-2", low + x, y, z);
        add("/wall-3", low + x + y, -x, z);
        add("/wall-4", low + y, -y, z);
        add("/floor", low, y, x);
        return roof;
    }

    const Surface& surface(SurfaceId id) const { return envelope.surfaces[id.index()]; }

    /// Area mean over one surface of a quantity with one value per facet.
    template <class Values>
    double mean(SurfaceId id, const Values& per_facet) const {
        const Surface& s = surface(id);
        double sum = 0, area = 0;
        for (std::uint32_t f = s.first_facet; f < s.first_facet + s.n_facets; ++f) {
            sum += envelope.facets.area_m2[f] * static_cast<double>(per_facet[f]);
            area += envelope.facets.area_m2[f];
        }
        return sum / area;
    }

  private:
    std::size_t n_bodies_ = 0;

    static int cells(const Vec3& edge, double facet_m) {
        return std::max(1, static_cast<int>(std::ceil(edge.norm() / facet_m - 1e-9)));
    }

    void add_surface(const std::string& id, const Vec3& corner, const Vec3& u, const Vec3& v,
                     BodyId body, std::uint32_t n_facets) {
        Surface s;
        s.id = id;
        s.body = body;
        s.normal = u.cross(v).normalized();
        s.tilt_deg = std::acos(std::clamp(s.normal.z(), -1.0, 1.0)) * 180 / std::numbers::pi;
        s.centroid_m = corner + 0.5 * (u + v);
        s.area_m2 = s.exposed_area_m2 = u.cross(v).norm();
        s.n_faces = 1;
        s.first_facet = static_cast<std::uint32_t>(envelope.facets.size());
        s.n_facets = n_facets;
        envelope.surfaces.push_back(s);
    }

    void add_facet(SurfaceId surface, BodyId body, const Vec3& corner, const Vec3& u,
                   const Vec3& v) {
        FacetArrays& facets = envelope.facets;
        facets.centroid_m.push_back(corner + 0.5 * (u + v));
        facets.normal.push_back(u.cross(v).normalized());
        facets.area_m2.push_back(u.cross(v).norm());
        facets.face.push_back(FaceId(surface.index()));
        facets.body.push_back(body);
        facets.surface.push_back(surface);
        facets.covered.push_back(0);
        facets.triangles_m.push_back({corner, corner + u, corner + u + v});
        facets.triangles_m.push_back({corner, corner + u + v, corner + v});
        facets.triangle_begin.push_back(static_cast<std::uint32_t>(facets.triangles_m.size()));
    }
};

/// Unit vector toward a sun in axes with +Y north.
inline Vec3 toward_sun(double azimuth_deg, double elevation_deg) {
    const double azimuth = azimuth_deg * std::numbers::pi / 180;
    const double elevation = elevation_deg * std::numbers::pi / 180;
    return {std::sin(azimuth) * std::cos(elevation), std::cos(azimuth) * std::cos(elevation),
            std::sin(elevation)};
}

}  // namespace noonshell
