#include "geometry/occt_assembly.hpp"

#include <Eigen/Geometry>
#include <TDF_LabelSequence.hxx>
#include <TDataStd_Name.hxx>
#include <TopLoc_Location.hxx>
#include <XCAFDoc_DocumentTool.hxx>
#include <XCAFDoc_GraphNode.hxx>
#include <XCAFDoc_ShapeTool.hxx>
#include <algorithm>
#include <cmath>
#include <map>
#include <set>
#include <utility>

#include "geometry/occt_document.hpp"
#include "geometry/occt_losses.hpp"
#include "geometry/occt_part.hpp"
#include "geometry/occt_text.hpp"

namespace noonshell {

namespace {

std::string label_name(const TDF_Label& label) {
    opencascade::handle<TDataStd_Name> name;
    return label.FindAttribute(TDataStd_Name::GetID(), name) ? to_utf8(name->Get()) : std::string{};
}

std::string join(const std::string& path, const std::string& name) {
    if (path.empty() || name.empty()) return path + name;
    return path + "/" + name;
}

/// Where in the assembly tree the walk stands.
struct Place {
    gp_Trsf to_model;
    std::int32_t assembly = -1;          ///< the one that holds what comes next
    std::string path;                    ///< of the assembly that holds what comes next
    std::string nearest_name;            ///< of the innermost assembly that has a name
    std::optional<Rgb> colour;           ///< of the innermost occurrence that has one
    bool colour_from_above = false;      ///< given for this way through the tree, not for a part
    std::vector<TDF_Label> occurrences;  ///< the way from the root
};

/// Hands out a name, or the name with "-2", "-3"... where it is taken.
class UniqueIds {
  public:
    std::string next(const std::string& name) {
        if (taken_.insert(name).second) return name;
        int& n = repeats_.try_emplace(name, 1).first->second;
        while (true) {
            std::string id = name + "-" + std::to_string(++n);
            if (taken_.insert(id).second) return id;
        }
    }

  private:
    std::set<std::string> taken_;
    std::map<std::string, int> repeats_;
};

/// Walks the assembly tree and appends what it finds to a Model.
class ModelBuilder {
  public:
    ModelBuilder(Model& model, const OcctDocument& loaded, const StepReadOptions& options)
        : model_(model), loaded_(loaded), options_(options) {}

    /// Walks what hangs on a label that no assembly uses.
    void walk_root(const TDF_Label& root);

    AssemblyTally tally;

  private:
    void walk(const TDF_Label& label, const std::string& occurrence_name, const Place& place);
    void walk_occurrence(const TDF_Label& occurrence, const TDF_Label& referred, Place place);
    gp_Trsf placement_of(const TDF_Label& occurrence);
    std::optional<Rgb> colour_from_above(const std::vector<TDF_Label>& way) const;
    void walk_assembly(const TDF_Label& label, const std::string& name, const Place& place);
    void tally_part(const TDF_Label& label, const Part& part, const std::string& name,
                    const Place& place);
    void place_part(const TDF_Label& label, const std::string& name, const Place& place);
    void place_body(const PartBody& from, const Part& part, std::string name, std::string path,
                    std::uint32_t number, const Place& place);
    void place_face(const PartFace& from, BodyId body, const gp_Trsf& to_model);
    const Part& part_at(const TDF_Label& label);
    std::int32_t add_assembly(const std::string& name, const Place& place, const std::string& path);

    Model& model_;
    const OcctDocument& loaded_;
    const StepReadOptions& options_;
    std::map<int, Part> parts_;                ///< by the tag of the part's label
    std::map<int, std::uint32_t> first_part_;  ///< Body::part of the first body of each part
    std::uint32_t n_parts_ = 0;
    UniqueIds body_ids_, assembly_ids_;
};

void ModelBuilder::walk(const TDF_Label& label, const std::string& occurrence_name,
                        const Place& place) {
    std::string name = occurrence_name;
    if (is_filler_occurrence_name(name)) name = label_name(label);
    if (is_filler_name(name)) name.clear();
    if (XCAFDoc_ShapeTool::IsAssembly(label)) {
        walk_assembly(label, name, place);
    } else {
        place_part(label, name, place);
    }
}

void ModelBuilder::walk_root(const TDF_Label& root) {
    TDF_Label referred;
    if (XCAFDoc_ShapeTool::GetReferredShape(root, referred)) {
        walk_occurrence(root, referred, {});
    } else {
        walk(root, {}, {});  // a part's own location is already in its shape
    }
}

void ModelBuilder::walk_occurrence(const TDF_Label& occurrence, const TDF_Label& referred,
                                   Place place) {
    place.to_model.Multiply(placement_of(occurrence));
    place.occurrences.push_back(occurrence);
    if (!place.colour_from_above) {
        if (const auto colour = own_colour(occurrence)) place.colour = colour;
    }
    if (const auto colour = colour_from_above(place.occurrences)) {
        place.colour = colour;
        place.colour_from_above = true;
    }
    std::string name = label_name(occurrence);
    if (is_filler_occurrence_name(name))
        name = loaded_.mapped_names.of(XCAFDoc_ShapeTool::GetShape(occurrence), name);
    walk(referred, name, place);
}

gp_Trsf ModelBuilder::placement_of(const TDF_Label& occurrence) {
    if (const gp_Trsf* full = loaded_.operators.of_occurrence.Seek(occurrence)) return *full;
    const TopLoc_Location place = XCAFDoc_ShapeTool::GetLocation(occurrence);
    if (!loaded_.operators.of_mapped_item.empty()) {
        const MappedShape* mapped = loaded_.operators.of(XCAFDoc_ShapeTool::GetShape(occurrence));
        if (mapped != nullptr) {
            tally.operators_used.insert(mapped->step_entity);
            return mapped->placement;
        }
    }
    return place.Transformation();
}

/// A style given to this occurrence from an assembly further up wins over that of one further in.
std::optional<Rgb> ModelBuilder::colour_from_above(const std::vector<TDF_Label>& way) const {
    if (!loaded_.survey.styles_by_occurrence) return std::nullopt;
    for (std::size_t first = 0; first + 1 < way.size(); ++first) {
        TDF_LabelSequence labels;
        for (std::size_t i = first; i < way.size(); ++i) labels.Append(way[i]);
        opencascade::handle<XCAFDoc_GraphNode> style;
        if (!XCAFDoc_ShapeTool::FindSHUO(labels, style)) continue;
        if (const auto colour = own_colour(style->Label())) return colour;
    }
    return std::nullopt;
}

void ModelBuilder::walk_assembly(const TDF_Label& label, const std::string& name,
                                 const Place& place) {
    Place inside = place;
    inside.path = join(place.path, name);
    if (!name.empty()) inside.nearest_name = name;
    inside.assembly = add_assembly(name, place, inside.path);
    TDF_LabelSequence components;
    XCAFDoc_ShapeTool::GetComponents(label, components);
    for (const TDF_Label& component : components) {
        TDF_Label referred;
        if (!XCAFDoc_ShapeTool::GetReferredShape(component, referred)) continue;
        walk_occurrence(component, referred, inside);
    }
}

const Part& ModelBuilder::part_at(const TDF_Label& label) {
    const auto found = parts_.find(label.Tag());
    if (found != parts_.end()) return found->second;
    const Part& part =
        parts_.emplace(label.Tag(), read_part(label, loaded_, options_)).first->second;
    tally.faces_read.insert(part.faces_in_file.begin(), part.faces_in_file.end());
    tally.face_entities.insert(part.face_entities.begin(), part.face_entities.end());
    tally.operators_used.insert(part.operators_used.begin(), part.operators_used.end());
    return part;
}

double box_volume_m3(const PartBody& body) {
    Eigen::AlignedBox3d box;
    for (const PartFace& face : body.faces) {
        for (const Vec3& v : face.vertices_m) box.extend(v);
    }
    return box.isEmpty() ? 0 : box.volume();
}

std::size_t n_with_faces(const Part& part) {
    const auto any = [](const PartBody& body) { return !body.faces.empty(); };
    return static_cast<std::size_t>(std::ranges::count_if(part.bodies, any));
}

/// The body that goes by the part's name: the only one or, where one shell fell apart, the piece
/// around the most room; null where the part holds several by rights.
const PartBody* namesake(const Part& part) {
    const PartBody* best = nullptr;
    if (n_with_faces(part) > 1 && !part.fell_apart) return best;
    const auto size = [](const PartBody& body) {
        return std::pair{box_volume_m3(body), body.area_m2};
    };
    for (const PartBody& body : part.bodies) {
        if (!body.faces.empty() && (best == nullptr || size(body) > size(*best))) best = &body;
    }
    return best;
}

/// Names of the solids and shells of a part whose occurrence is called `name`, or else `part_name`.
std::vector<std::string> own_names(const Part& part, const std::string& name,
                                   const std::string& part_name) {
    std::vector<std::string> names;
    const PartBody* main = namesake(part);
    std::map<std::string, int> numbered;
    if (main != nullptr) ++numbered["-shell-"];
    for (const PartBody& body : part.bodies) {
        const bool only = main == nullptr ? part.bodies.size() == 1 : &body == main;
        if (only) {
            names.push_back(name.empty() && !body.name.empty() ? body.name : part_name);
        } else if (body.faces.empty()) {
            names.push_back(part_name);
        } else if (!body.name.empty() && body.name != part_name) {
            names.push_back(body.name);
        } else {
            const std::string kind = body.solid ? "-solid-" : "-shell-";
            names.push_back(part_name + kind + std::to_string(++numbered[kind]));
        }
    }
    return names;
}

void ModelBuilder::tally_part(const TDF_Label& label, const Part& part, const std::string& name,
                              const Place& place) {
    const auto found = loaded_.definition_of_label.find(label.Tag());
    const std::uint32_t definition = found == loaded_.definition_of_label.end() ? 0 : found->second;
    const double scale = place.to_model.ScaleFactor();
    CountedPart& placed = tally.parts[definition];
    if (placed.n++ == 0) placed.name = name;
    placed.sum_scale2 += scale * scale;
    if (part.bodies.empty()) {
        tally.empty_parts.push_back({definition, name, part.n_edges + part.n_vertices > 0});
    }
}

void ModelBuilder::place_part(const TDF_Label& label, const std::string& name, const Place& place) {
    const Part& part = part_at(label);
    tally.n_edges += part.n_edges;
    tally.n_vertices += part.n_vertices;
    tally_part(label, part, name.empty() ? place.nearest_name : name, place);
    const std::string part_name = !name.empty()                 ? name
                                  : !place.nearest_name.empty() ? place.nearest_name
                                                                : std::string("body");
    const auto [first, is_new] = first_part_.try_emplace(label.Tag(), n_parts_);
    if (is_new) n_parts_ += static_cast<std::uint32_t>(part.bodies.size());
    std::uint32_t number = first->second;
    Place inside = place;
    // The solids of one part belong together as those of an assembly do.
    const bool several = n_with_faces(part) > 1;
    if (several) {
        inside.assembly = add_assembly(part_name, place, join(place.path, name));
    }
    const auto names = own_names(part, name, part_name);
    const std::string path = several ? join(place.path, name) : place.path;
    for (std::size_t i = 0; i < names.size(); ++i) {
        place_body(part.bodies[i], part, names[i], join(path, names[i]), number++, inside);
    }
}

void ModelBuilder::place_body(const PartBody& from, const Part& part, std::string name,
                              std::string path, std::uint32_t number, const Place& place) {
    const double scale = std::abs(place.to_model.ScaleFactor());
    for (LeftOut left : from.left_out) {
        left.body = name;
        left.area_m2 *= scale * scale;
        model_.left_out.push_back(std::move(left));
    }
    if (from.faces.empty()) return;
    Body body;
    body.id = body_ids_.next(name);
    body.assembly = place.assembly;
    body.part = number;
    body.name = std::move(name);
    body.path = std::move(path);
    // An occurrence's colour covers the part's; faces keep their own.
    body.colour = place.colour ? place.colour : from.colour ? from.colour : part.colour;
    body.solid = from.solid;
    body.area_m2 = from.area_m2 * scale * scale;
    body.volume_m3 = from.volume_m3 * scale * scale * scale;
    body.first_face = static_cast<std::uint32_t>(model_.faces.size());
    body.n_faces = static_cast<std::uint32_t>(from.faces.size());
    body.repaired = from.repaired;
    body.step_entity = from.step_entity;
    if (from.meant_solid && !from.solid) {
        model_.warnings.push_back({"solid-not-closed",
                                   "a solid in the file whose faces leave gaps: read as a shell",
                                   body.id});
    }
    const BodyId id{model_.bodies.size()};
    for (const PartFace& face : from.faces) place_face(face, id, place.to_model);
    model_.bodies.push_back(std::move(body));
}

void ModelBuilder::place_face(const PartFace& from, BodyId body, const gp_Trsf& to_model) {
    const double scale = to_model.ScaleFactor();
    TriangleMesh& mesh = model_.mesh;
    Face face;
    face.body = body;
    face.area_m2 = from.area_m2 * scale * scale;
    face.planar = from.planar;
    face.first_triangle = static_cast<std::uint32_t>(mesh.triangles.size());
    face.n_triangles = static_cast<std::uint32_t>(from.triangles.size());
    face.step_entity = from.step_entity;
    face.name = from.name;
    face.colour = from.colour;
    const FaceId id{model_.faces.size()};
    const auto first = static_cast<std::uint32_t>(mesh.vertices_m.size());
    for (const Vec3& v : from.vertices_m) {
        const gp_Pnt p = gp_Pnt(v.x(), v.y(), v.z()).Transformed(to_model);
        mesh.vertices_m.emplace_back(p.X(), p.Y(), p.Z());
    }
    for (auto corners : from.triangles) {
        if (to_model.IsNegative()) std::swap(corners[1], corners[2]);
        mesh.triangles.push_back({first + corners[0], first + corners[1], first + corners[2]});
        mesh.triangle_face.push_back(id);
    }
    model_.faces.push_back(std::move(face));
}

std::int32_t ModelBuilder::add_assembly(const std::string& name, const Place& place,
                                        const std::string& path) {
    const auto at = static_cast<std::int32_t>(model_.assemblies.size());
    const std::string id = assembly_ids_.next(name.empty() ? "assembly" : name);
    model_.assemblies.push_back({.id = id, .name = name, .path = path, .parent = place.assembly});
    return at;
}

}  // namespace

AssemblyTally read_assembly(const OcctDocument& loaded, const StepReadOptions& options,
                            Model& model) {
    ModelBuilder builder(model, loaded, options);
    TDF_LabelSequence roots;
    XCAFDoc_DocumentTool::ShapeTool(loaded.document->Main())->GetFreeShapes(roots);
    for (const TDF_Label& root : roots) builder.walk_root(root);
    note_losses(loaded, builder.tally, model);
    return std::move(builder.tally);
}

}  // namespace noonshell
