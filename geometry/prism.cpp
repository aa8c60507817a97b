#include "geometry/prism.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <set>

namespace noonshell {

namespace {

/// Twice the area, along the normal; any point of the plane may come first.
Vec3 doubled_area(const std::vector<Vec3>& polygon) {
    Vec3 sum(0, 0, 0);
    for (std::size_t k = 1; k + 1 < polygon.size(); ++k) {
        sum += (polygon[k] - polygon[0]).cross(polygon[k + 1] - polygon[0]);
    }
    return sum;
}

template <class Item>
std::string unique_id(const std::vector<Item>& items, const std::string& name) {
    std::set<std::string> taken;
    for (const Item& item : items) taken.insert(item.id);
    std::string id = name;
    for (int n = 2; taken.contains(id); ++n) id = name + "-" + std::to_string(n);
    return id;
}

void append_face(Model& model, BodyId body, const std::vector<Vec3>& polygon) {
    TriangleMesh& mesh = model.mesh;
    Face face;
    face.body = body;
    face.area_m2 = doubled_area(polygon).norm() / 2;
    face.planar = true;
    face.first_triangle = static_cast<std::uint32_t>(mesh.triangles.size());
    face.n_triangles = static_cast<std::uint32_t>(polygon.size() - 2);
    const FaceId id(model.faces.size());
    const auto first = static_cast<std::uint32_t>(mesh.vertices_m.size());
    mesh.vertices_m.insert(mesh.vertices_m.end(), polygon.begin(), polygon.end());
    for (std::uint32_t k = 1; k + 1 < polygon.size(); ++k) {
        mesh.triangles.push_back({first, first + k, first + k + 1});
        mesh.triangle_face.push_back(id);
    }
    model.faces.push_back(std::move(face));
}

void widen_bounds(Model& model, std::size_t first_vertex) {
    for (std::size_t v = first_vertex; v < model.mesh.vertices_m.size(); ++v) {
        for (std::size_t k = 0; k < 3; ++k) {
            const double x = model.mesh.vertices_m[v][static_cast<Eigen::Index>(k)];
            model.bbox_m[k] = std::min(model.bbox_m[k], x);
            model.bbox_m[k + 3] = std::max(model.bbox_m[k + 3], x);
        }
    }
}

BodyId append_body(Model& model, const PrismBody& from, std::int32_t assembly) {
    const BodyId id(model.bodies.size());
    Body body;
    body.id = unique_id(model.bodies, from.name);
    body.name = from.name;
    body.path = model.assemblies[static_cast<std::size_t>(assembly)].path + "/" + from.name;
    body.assembly = assembly;
    for (const Body& other : model.bodies) body.part = std::max(body.part, other.part + 1);
    body.solid = true;
    body.first_face = static_cast<std::uint32_t>(model.faces.size());
    for (const Prism& prism : from.prisms) {
        for (const auto& polygon : faces_of(prism)) {
            append_face(model, id, polygon);
            body.area_m2 += model.faces.back().area_m2;
        }
        body.volume_m3 += volume_m3(prism);
    }
    body.n_faces = static_cast<std::uint32_t>(model.faces.size()) - body.first_face;
    model.bodies.push_back(std::move(body));
    return id;
}

}  // namespace

std::vector<std::vector<Vec3>> faces_of(const Prism& prism) {
    const auto& base = prism.base_m;
    std::vector<std::vector<Vec3>> faces{{base.rbegin(), base.rend()}, base};
    for (Vec3& corner : faces[1]) corner += prism.sweep_m;
    for (std::size_t k = 0; k < base.size(); ++k) {
        const Vec3 &p = base[k], &q = base[(k + 1) % base.size()];
        faces.push_back({p, q, q + prism.sweep_m, p + prism.sweep_m});
    }
    return faces;
}

double volume_m3(const Prism& prism) {
    return doubled_area(prism.base_m).dot(prism.sweep_m) / 2;
}

std::vector<BodyId> append_bodies(Model& model, const std::vector<PrismBody>& bodies,
                                  const std::string& assembly) {
    std::vector<BodyId> added;
    if (bodies.empty()) return added;
    const auto at = static_cast<std::int32_t>(model.assemblies.size());
    model.assemblies.push_back({unique_id(model.assemblies, assembly), assembly, assembly, -1});
    const std::size_t first_vertex = model.mesh.vertices_m.size();
    for (const PrismBody& body : bodies) added.push_back(append_body(model, body, at));
    widen_bounds(model, first_vertex);
    return added;
}

}  // namespace noonshell
