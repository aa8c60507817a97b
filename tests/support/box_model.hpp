// Models made by hand, without the CAD kernel: boxes and other simple solids with outward faces.
#pragma once

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>
#include <numbers>
#include <string>
#include <utility>
#include <vector>

#include "geometry/model.hpp"
#include "geometry/roles.hpp"

namespace noonshell::test_models {

/// A box with its lower corner at `corner_m`, turned about the vertical axis through that corner.
struct Box {
    std::string name;
    Vec3 corner_m{0, 0, 0};
    Vec3 size_m{1, 1, 1};
    double turn_deg = 0;  ///< counter-clockwise seen from above
    Role role = Role::unit;
};

/// What build_envelope takes: a model and one role per body.
struct BoxModel {
    Model model;
    std::vector<RoleChoice> roles;
};

/// A planar polygon, counter-clockwise seen from outside; convex, for it is cut into a fan.
using Polygon3 = std::vector<Vec3>;

inline Vec3 turned(const Vec3& point, double turn_deg) {
    const double turn = turn_deg * std::numbers::pi / 180.0;
    const double c = std::cos(turn), s = std::sin(turn);
    return {c * point.x() - s * point.y(), s * point.x() + c * point.y(), point.z()};
}

/// The box whose vertical axis, about which it is turned, runs through the middle of its plan;
/// `foot_m` is the middle of its lower face.
inline Box centred_box(std::string name, const Vec3& foot_m, const Vec3& size_m,
                       double turn_deg = 0, Role role = Role::unit) {
    const Vec3 half(size_m.x() / 2, size_m.y() / 2, 0);
    return {std::move(name), foot_m - turned(half, turn_deg), size_m, turn_deg, role};
}

/// Adds one face made of convex polygons to the model's last body and keeps areas up to date.
inline void add_face(Model& model, const std::vector<Polygon3>& polygons, bool planar = true) {
    TriangleMesh& mesh = model.mesh;
    Face face;
    face.body = BodyId(model.bodies.size() - 1);
    face.planar = planar;
    face.first_triangle = static_cast<std::uint32_t>(mesh.triangles.size());
    for (const Polygon3& polygon : polygons) {
        const auto base = static_cast<std::uint32_t>(mesh.vertices_m.size());
        mesh.vertices_m.insert(mesh.vertices_m.end(), polygon.begin(), polygon.end());
        for (std::uint32_t k = 1; k + 1 < polygon.size(); ++k) {
            mesh.triangles.push_back({base, base + k, base + k + 1});
            mesh.triangle_face.emplace_back(model.faces.size());
            face.area_m2 += (polygon[k] - polygon[0]).cross(polygon[k + 1] - polygon[0]).norm() / 2;
        }
    }
    face.n_triangles = static_cast<std::uint32_t>(mesh.triangles.size()) - face.first_triangle;
    model.bodies.back().area_m2 += face.area_m2;
    ++model.bodies.back().n_faces;
    model.faces.push_back(std::move(face));
}

/// Starts a body without faces; follow with add_face and finish_body.
inline void start_body(BoxModel& out, std::string name, Role role) {
    Body body;
    body.id = name;
    body.path = "site/" + name;
    body.name = std::move(name);
    body.solid = true;
    body.first_face = static_cast<std::uint32_t>(out.model.faces.size());
    out.model.bodies.push_back(std::move(body));
    out.roles.push_back({role, false, "set by hand"});
}

/// Volume of the last body by the divergence theorem, and the model's extent.
inline void finish_body(BoxModel& out) {
    Model& model = out.model;
    Body& body = model.bodies.back();
    for (std::size_t t = model.faces[body.first_face].first_triangle;
         t < model.mesh.triangles.size(); ++t) {
        const Vec3 a = model.mesh.corner(t, 0);
        body.volume_m3 += a.dot(model.mesh.corner(t, 1).cross(model.mesh.corner(t, 2))) / 6;
    }
    constexpr double far = std::numeric_limits<double>::infinity();
    model.bbox_m = {far, far, far, -far, -far, -far};
    for (const Vec3& v : model.mesh.vertices_m) {
        for (int k = 0; k < 3; ++k) {
            auto& low = model.bbox_m[static_cast<std::size_t>(k)];
            auto& high = model.bbox_m[static_cast<std::size_t>(k + 3)];
            low = std::min(low, v[k]);
            high = std::max(high, v[k]);
        }
    }
}

/// Adds an upright prism over a convex plan (x, y; counter-clockwise seen from above): first its
/// upright faces in plan order, then the lower, then the upper face.
inline void add_prism(BoxModel& out, std::string name, const Polygon3& plan_m, double height_m,
                      Role role = Role::unit) {
    start_body(out, std::move(name), role);
    const Vec3 up(0, 0, height_m);
    Polygon3 upper;
    for (std::size_t k = 0; k < plan_m.size(); ++k) {
        const Vec3 &p = plan_m[k], &q = plan_m[(k + 1) % plan_m.size()];
        add_face(out.model, {{p, q, q + up, p + up}});
        upper.push_back(p + up);
    }
    add_face(out.model, {Polygon3(plan_m.rbegin(), plan_m.rend())});
    add_face(out.model, {upper});
    finish_body(out);
}

inline void add_box(BoxModel& out, const Box& box) {
    const double x = box.size_m.x(), y = box.size_m.y();
    Polygon3 plan{{0, 0, 0}, {x, 0, 0}, {x, y, 0}, {0, y, 0}};
    for (Vec3& p : plan) p = box.corner_m + turned(p, box.turn_deg);
    add_prism(out, box.name, plan, box.size_m.z(), box.role);
}

/// One body per box, in order.
inline BoxModel box_model(const std::vector<Box>& boxes) {
    BoxModel out;
    out.model.file = "by-hand.step";
    out.model.schema = "none";
    out.model.length_unit = "metre";
    for (const Box& box : boxes) add_box(out, box);
    return out;
}

}  // namespace noonshell::test_models
