#include "geometry/tessellated_bodies.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <unordered_map>

#include "geometry/occt_text.hpp"
#include "geometry/step_item_colours.hpp"
#include "geometry/step_placements.hpp"
#include "geometry/tessellated_faces.hpp"

namespace noonshell {

namespace {

/// Corners nearer than this are one corner, when it is asked whether triangles close.
constexpr double weld_m = 1e-6;
constexpr double least_cross_m2 = 1e-12;
constexpr double off_plane_m = 1e-5;

/// A solid, a shell, or all loose faces of one representation.
struct TessellatedItem {
    std::uint32_t entity = 0;
    std::uint32_t representation = 0;
    std::string name;
    bool stands_for_brep = false;
    std::vector<std::uint32_t> styled_as;  ///< entities that may carry its colour, itself first
    std::vector<TessellatedFace> faces;
};

std::vector<TessellatedItem> collect_items(const StepRecords& records) {
    std::vector<TessellatedItem> items;
    std::set<std::uint32_t> inside;  // shells of solids, faces of shells: they come with those
    for (const char* keyword : {"TESSELLATED_SOLID", "TESSELLATED_SHELL"}) {
        for (const auto number : records.with(keyword)) {
            if (inside.contains(number)) continue;
            const StepValue record = records.read(number);
            TessellatedItem item;
            item.entity = number;
            item.styled_as.push_back(number);
            item.name = one_line(record.at(0).text);
            item.stands_for_brep = record.at(2).kind == StepValue::Kind::reference;
            std::vector<StepValue> parts = record.at(1).items;
            for (std::size_t i = 0; i < parts.size(); ++i) {
                inside.insert(parts[i].reference);
                const StepValue part = records.read(parts[i].reference);
                if (part.is("TESSELLATED_SHELL") && parts[i].reference != number && i < 100000) {
                    item.styled_as.push_back(parts[i].reference);
                    for (const StepValue& face : part.at(1).items) parts.push_back(face);
                } else if (!part.is("TESSELLATED_EDGE") && !part.is("TESSELLATED_VERTEX")) {
                    item.faces.push_back(read_tessellated_face(records, parts[i].reference));
                }
            }
            items.push_back(std::move(item));
        }
    }
    for (const auto number : tessellated_faces(records)) {
        if (inside.contains(number)) continue;
        TessellatedItem item;
        item.entity = number;
        item.styled_as.push_back(number);
        item.faces.push_back(read_tessellated_face(records, number));
        item.stands_for_brep = item.faces.back().stands_for_brep;
        item.name = item.faces.back().name;
        items.push_back(std::move(item));
    }
    return items;
}

/// By item, also through TESSELLATED_GEOMETRIC_SET: the representation that lists it.
std::map<std::uint32_t, std::uint32_t> representations(const StepRecords& records) {
    std::map<std::uint32_t, std::uint32_t> of;
    for (const char* keyword : {"TESSELLATED_SHAPE_REPRESENTATION",
                                "TESSELLATED_SHAPE_REPRESENTATION_WITH_ACCURACY_PARAMETERS",
                                "SHAPE_REPRESENTATION", "ADVANCED_BREP_SHAPE_REPRESENTATION"}) {
        for (const auto number : records.with(keyword)) {
            const StepValue record = records.read(number);
            for (const StepValue& item : record.at(1).items) {
                of.try_emplace(item.reference, number);
                const StepValue set = records.read(item.reference);
                if (!set.is("TESSELLATED_GEOMETRIC_SET")) continue;
                for (const StepValue& child : set.at(1).items) {
                    of.try_emplace(child.reference, number);
                }
            }
        }
    }
    return of;
}

/// Triangles that use each edge once in each direction close a volume.
bool closes(const Model& model, std::size_t first_triangle) {
    std::map<std::array<long long, 3>, int> ids;
    const auto id = [&](const Vec3& v) {
        const std::array<long long, 3> key = {std::llround(v.x() / weld_m),
                                              std::llround(v.y() / weld_m),
                                              std::llround(v.z() / weld_m)};
        return ids.try_emplace(key, static_cast<int>(ids.size())).first->second;
    };
    std::map<std::pair<int, int>, int> balance;
    for (std::size_t t = first_triangle; t < model.mesh.triangles.size(); ++t) {
        const std::array<int, 3> v = {id(model.mesh.corner(t, 0)), id(model.mesh.corner(t, 1)),
                                      id(model.mesh.corner(t, 2))};
        for (std::size_t k = 0; k < 3; ++k) {
            const int a = v[k], b = v[(k + 1) % 3];
            balance[{std::min(a, b), std::max(a, b)}] += a < b ? 1 : -1;
        }
    }
    return !balance.empty() &&
           std::ranges::all_of(balance, [](const auto& edge) { return edge.second == 0; });
}

std::array<double, 6> box_of(const Model& model, std::size_t first, std::size_t last) {
    std::array<double, 6> box = {1e300, 1e300, 1e300, -1e300, -1e300, -1e300};
    for (std::size_t t = first; t < last; ++t) {
        for (int k = 0; k < 3; ++k) {
            const Vec3 v = model.mesh.corner(t, k);
            for (int i = 0; i < 3; ++i) {
                const auto low = static_cast<std::size_t>(i);
                box[low] = std::min(box[low], v[i]);
                box[low + 3] = std::max(box[low + 3], v[i]);
            }
        }
    }
    return box;
}

/// Adds the triangles of one face, placed; false when none of them has any area.
bool place_face(const TessellatedFace& from, BodyId body, double unit_m,
                const Eigen::Affine3d& to_model, Model& model) {
    TriangleMesh& mesh = model.mesh;
    Face face;
    face.body = body;
    face.step_entity = from.entity;
    face.name = from.name;
    face.first_triangle = static_cast<std::uint32_t>(mesh.triangles.size());
    const auto first = static_cast<std::uint32_t>(mesh.vertices_m.size());
    std::vector<Vec3> points;
    for (const Vec3& p : from.points) points.emplace_back(to_model * (unit_m * p));
    std::map<std::uint32_t, std::uint32_t> used;  // a list of points may serve many faces
    const bool turn = to_model.linear().determinant() < 0;
    Vec3 normal = Vec3::Zero();
    for (auto t : from.triangles) {
        if (turn) std::swap(t[1], t[2]);
        const Vec3 cross = (points[t[1]] - points[t[0]]).cross(points[t[2]] - points[t[0]]) / 2;
        if (!(cross.norm() > least_cross_m2)) continue;
        face.area_m2 += cross.norm();
        normal += cross;
        for (auto& corner : t) {
            const auto [at, is_new] =
                used.try_emplace(corner, static_cast<std::uint32_t>(used.size()));
            if (is_new) mesh.vertices_m.push_back(points[corner]);
            corner = first + at->second;
        }
        mesh.triangles.push_back(t);
        mesh.triangle_face.push_back(FaceId(model.faces.size()));
        ++face.n_triangles;
    }
    if (face.n_triangles == 0) return false;
    face.planar = normal.norm() > 0;
    for (std::size_t i = first; i < mesh.vertices_m.size() && face.planar; ++i) {
        const Vec3 from_first = mesh.vertices_m[i] - mesh.vertices_m[first];
        face.planar = std::abs(from_first.dot(normal.normalized())) < off_plane_m;
    }
    model.faces.push_back(std::move(face));
    return true;
}

/// Volume by the divergence theorem; the triangles are turned round when it is negative.
double outward_volume(Model& model, std::size_t first_triangle, Body& body) {
    double volume = 0;
    const Vec3 origin = model.mesh.corner(first_triangle, 0);
    for (std::size_t t = first_triangle; t < model.mesh.triangles.size(); ++t) {
        const Vec3 a = model.mesh.corner(t, 0) - origin, b = model.mesh.corner(t, 1) - origin;
        volume += a.dot(b.cross(model.mesh.corner(t, 2) - origin)) / 6;
    }
    if (volume < 0) {
        for (std::size_t t = first_triangle; t < model.mesh.triangles.size(); ++t) {
            std::swap(model.mesh.triangles[t][1], model.mesh.triangles[t][2]);
        }
        body.repaired.emplace_back("solid that was inside out turned round");
    }
    return std::abs(volume);
}

class TessellationReader {
  public:
    TessellationReader(std::string_view text, Model& model)
        : records_(text), placements_(records_), model_(model) {
        for (const Body& body : model.bodies) {
            ids_.insert(body.id);
            const Face& first = model.faces[body.first_face];
            const Face& last = model.faces[body.first_face + body.n_faces - 1];
            brep_boxes_.push_back(
                box_of(model, first.first_triangle, last.first_triangle + last.n_triangles));
            next_part_ = std::max(next_part_, body.part + 1);
        }
    }

    void run() {
        const auto representation = representations(records_);
        std::vector<TessellatedItem> items = collect_items(records_);
        if (items.empty()) return;
        colours_ = item_colours(records_);
        // What the kernel found empty may be the part that these triangles stand for.
        std::erase_if(model_.left_out, [](const LeftOut& left) {
            return left.reason == "this part holds no geometry";
        });
        for (TessellatedItem& item : items) {
            if (item.stands_for_brep && !model_.bodies.empty()) continue;
            if (is_filler_name(item.name)) item.name.clear();
            const auto found = representation.find(item.entity);
            item.representation = found == representation.end() ? 0 : found->second;
            place(item);
        }
    }

  private:
    void leave_out(std::uint32_t entity, const std::string& body, const std::string& reason,
                   bool area_known = false) {
        model_.left_out.push_back({.entity = "#" + std::to_string(entity),
                                   .name = {},
                                   .reason = "tessellated geometry, not read: " + reason,
                                   .area_known = area_known,
                                   .body = body});
    }

    void place(const TessellatedItem& item) {
        const double unit_m = placements_.unit_m(item.representation);
        if (!(unit_m > 0)) {
            return leave_out(item.entity, item.name, "the file does not say its length unit");
        }
        bool complete = true;
        for (const PartInstance& at : placements_.instances(item.representation, complete)) {
            place_at(item, at, unit_m);
        }
        if (!complete) {
            leave_out(item.entity, item.name, "a placement of its part cannot be read");
        }
        ++next_part_;
    }

    void place_at(const TessellatedItem& item, const PartInstance& at, double unit_m) {
        const std::size_t first_triangle = model_.mesh.triangles.size();
        const std::size_t first_vertex = model_.mesh.vertices_m.size();
        const std::size_t first_left_out = model_.left_out.size();
        Body body;
        body.first_face = static_cast<std::uint32_t>(model_.faces.size());
        body.colour = colour_of(item);
        for (const TessellatedFace& face : item.faces) {
            if (!face.readable) {
                leave_out(face.entity, item.name, "its triangles or points are faulty");
            } else if (!place_face(face, BodyId(model_.bodies.size()), unit_m, at.to_model,
                                   model_)) {
                leave_out(face.entity, item.name, "its triangles have no area to speak of", true);
            } else {
                model_.faces.back().colour = colour_of(face.entity);
            }
        }
        if (is_a_brep(first_triangle)) {
            model_.mesh.triangles.resize(first_triangle);
            model_.mesh.triangle_face.resize(first_triangle);
            model_.mesh.vertices_m.resize(first_vertex);
            model_.faces.resize(body.first_face);
            model_.left_out.resize(first_left_out);
            return;
        }
        body.n_faces = static_cast<std::uint32_t>(model_.faces.size()) - body.first_face;
        if (body.n_faces == 0) return;
        for (auto f = body.first_face; f < model_.faces.size(); ++f) {
            body.area_m2 += model_.faces[f].area_m2;
        }
        body.solid = closes(model_, first_triangle);
        if (body.solid) body.volume_m3 = outward_volume(model_, first_triangle, body);
        name(item, at, body);
        model_.bodies.push_back(std::move(body));
    }

    std::optional<Rgb> colour_of(std::uint32_t entity) const {
        const auto found = colours_.find(entity);
        return found == colours_.end() ? std::nullopt : std::optional(found->second);
    }

    /// Its own colour, that of the shells that it is made of, or that of its representation.
    std::optional<Rgb> colour_of(const TessellatedItem& item) const {
        for (const std::uint32_t entity : item.styled_as) {
            if (const auto colour = colour_of(entity)) return colour;
        }
        return colour_of(item.representation);
    }

    void name(const TessellatedItem& item, const PartInstance& at, Body& body) {
        body.name = !at.name.empty() ? at.name : !item.name.empty() ? item.name : "body";
        body.path = at.path.empty() ? body.name : at.path;
        body.id = body.name;
        for (int n = 2; !ids_.insert(body.id).second; ++n) {
            body.id = body.name + "-" + std::to_string(n);
        }
        body.part = next_part_;
        body.step_entity = item.entity;
        if (body.path.size() > body.name.size() && body.path.ends_with("/" + body.name)) {
            body.assembly =
                assembly_at(body.path.substr(0, body.path.size() - body.name.size() - 1));
        }
    }

    /// The assembly with this path; a new one under the root where the kernel made none.
    std::int32_t assembly_at(const std::string& path) {
        for (std::size_t i = 0; i < model_.assemblies.size(); ++i) {
            if (model_.assemblies[i].path == path) return static_cast<std::int32_t>(i);
        }
        const std::string own = path.substr(path.find_last_of('/') + 1);
        const auto taken = [&](const std::string& id) {
            return std::ranges::any_of(model_.assemblies,
                                       [&](const Assembly& other) { return other.id == id; });
        };
        std::string id = own;
        for (int n = 2; taken(id); ++n) id = own + "-" + std::to_string(n);
        model_.assemblies.push_back({.id = id, .name = own, .path = path});
        return static_cast<std::int32_t>(model_.assemblies.size()) - 1;
    }

    /// A body from a B-rep that fills the same box, to 1 % of the size, is the same thing.
    bool is_a_brep(std::size_t first_triangle) const {
        if (first_triangle == model_.mesh.triangles.size()) return false;
        const auto box = box_of(model_, first_triangle, model_.mesh.triangles.size());
        double size = 0;
        for (std::size_t k = 0; k < 3; ++k) size = std::max(size, box[k + 3] - box[k]);
        return std::ranges::any_of(brep_boxes_, [&](const auto& other) {
            double worst = 0;
            for (std::size_t k = 0; k < 6; ++k)
                worst = std::max(worst, std::abs(box[k] - other[k]));
            return worst < 0.01 * size;
        });
    }

    StepRecords records_;
    StepPlacements placements_;
    Model& model_;
    std::unordered_map<std::uint32_t, Rgb> colours_;  ///< by entity
    std::set<std::string> ids_;
    std::vector<std::array<double, 6>> brep_boxes_;
    std::uint32_t next_part_ = 0;
};

}  // namespace

bool may_hold_tessellation(std::string_view file_text) {
    return file_text.find("TRIANGULATED_") != file_text.npos;
}

void add_tessellated_bodies(std::string_view file_text, Model& model) {
    TessellationReader(file_text, model).run();
}

}  // namespace noonshell
