#include "geometry/step_solids.hpp"

#include <Eigen/Geometry>
#include <array>
#include <charconv>
#include <map>
#include <utility>

#include "geometry/occt_text.hpp"

namespace noonshell {

namespace {

std::string links(const std::vector<std::uint32_t>& numbers) {
    std::string list;
    for (const std::uint32_t number : numbers) list += (list.empty() ? "" : ",") + link(number);
    return "(" + list + ")";
}

/// The shortest text that reads back as the same number; STEP asks for a point in it.
std::string real(double value) {
    std::array<char, 32> digits{};
    const double plain = value == 0 ? 0.0 : value;  // no "-0."
    const auto end = std::to_chars(digits.data(), digits.data() + digits.size(), plain).ptr;
    std::string text(digits.data(), end);
    const auto exponent = text.find('e');
    if (text.find('.') == text.npos) text.insert(std::min(exponent, text.size()), ".");
    if (const auto e = text.find('e'); e != text.npos) text[e] = 'E';
    return text;
}

std::string triple(const Vec3& v) {
    return "(" + real(v.x()) + "," + real(v.y()) + "," + real(v.z()) + ")";
}

/// A text of ISO 10303-21: quotes and backslashes doubled, what is not ASCII escaped.
std::string quoted(const std::string& name) {
    std::string text = "'";
    for (const char c : one_line(name)) {
        if (c == '\'' || c == '\\') text += c;
        text += c;
    }
    return with_step_escapes(text + "'");
}

/// Writes the solids of one part with shared corners and edges.
class SolidWriter {
  public:
    SolidWriter(StepEdit& edit, const StepTarget& target) : edit_(edit), target_(target) {}

    /// Returns the solid; its faces are appended to `face_records`.
    std::uint32_t add(const Prism& prism, std::vector<std::uint32_t>& face_records) {
        corners_.clear();
        edges_.clear();
        std::vector<std::uint32_t> faces;
        for (const auto& polygon : faces_of(prism)) faces.push_back(add_face(polygon));
        face_records.insert(face_records.end(), faces.begin(), faces.end());
        const std::uint32_t shell = edit_.add("CLOSED_SHELL(''," + links(faces) + ")");
        return edit_.add("MANIFOLD_SOLID_BREP(''," + link(shell) + ")");
    }

    std::uint32_t axes(const Vec3& at, const Vec3& z, const Vec3& x) {
        return edit_.add("AXIS2_PLACEMENT_3D(''," + link(point(at)) + "," + link(direction(z)) +
                         "," + link(direction(x)) + ")");
    }

  private:
    struct Corner {
        Vec3 at;  ///< in the file's axes and unit
        std::uint32_t point = 0, vertex = 0;
    };

    std::uint32_t point(const Vec3& at) {
        return edit_.add("CARTESIAN_POINT(''," + triple(at) + ")");
    }
    std::uint32_t direction(const Vec3& d) { return edit_.add("DIRECTION(''," + triple(d) + ")"); }

    /// Corners of the same prism come with the same bits from faces_of().
    std::size_t corner(const Vec3& at_m) {
        const Vec3 at = target_.to_file * at_m / target_.unit_m;
        for (std::size_t k = 0; k < corners_.size(); ++k) {
            if (corners_[k].at == at) return k;
        }
        const std::uint32_t p = point(at);
        corners_.push_back({at, p, edit_.add("VERTEX_POINT(''," + link(p) + ")")});
        return corners_.size() - 1;
    }

    std::uint32_t oriented_edge(std::size_t from, std::size_t to) {
        const auto back = edges_.find({to, from});
        if (back != edges_.end()) {
            return edit_.add("ORIENTED_EDGE('',*,*," + link(back->second) + ",.F.)");
        }
        const Corner &a = corners_[from], &b = corners_[to];
        const Vec3 along = b.at - a.at;
        const std::uint32_t vector =
            edit_.add("VECTOR(''," + link(direction(along.normalized())) + "," + real(1) + ")");
        const std::uint32_t line = edit_.add("LINE(''," + link(a.point) + "," + link(vector) + ")");
        const std::uint32_t edge = edit_.add("EDGE_CURVE(''," + link(a.vertex) + "," +
                                             link(b.vertex) + "," + link(line) + ",.T.)");
        edges_[{from, to}] = edge;
        return edit_.add("ORIENTED_EDGE('',*,*," + link(edge) + ",.T.)");
    }

    std::uint32_t add_face(const std::vector<Vec3>& polygon) {
        std::vector<std::size_t> at;
        for (const Vec3& p : polygon) at.push_back(corner(p));
        std::vector<std::uint32_t> loop;
        for (std::size_t k = 0; k < at.size(); ++k) {
            loop.push_back(oriented_edge(at[k], at[(k + 1) % at.size()]));
        }
        const Vec3 a = corners_[at[0]].at, b = corners_[at[1]].at, c = corners_[at[2]].at;
        const Vec3 along = (b - a).normalized();
        const std::uint32_t plane =
            edit_.add("PLANE(''," + link(axes(a, along.cross(c - a).normalized(), along)) + ")");
        const std::uint32_t edges = edit_.add("EDGE_LOOP(''," + links(loop) + ")");
        const std::uint32_t bound = edit_.add("FACE_OUTER_BOUND(''," + link(edges) + ",.T.)");
        return edit_.add("ADVANCED_FACE('',(" + link(bound) + ")," + link(plane) + ",.T.)");
    }

    StepEdit& edit_;
    const StepTarget& target_;
    std::vector<Corner> corners_;
    std::map<std::pair<std::size_t, std::size_t>, std::uint32_t> edges_;
};

/// Writes products of the kind that the file has already: AP203 wants others than AP214.
class ProductWriter {
  public:
    ProductWriter(StepEdit& edit, const StepRecords& records, const StepTarget& target)
        : edit_(edit),
          definition_(target.definition),
          formation_(records.read(definition_).at(2).reference),
          product_(records.read(formation_).at(2).reference) {
        const StepValue product = records.read(product_);
        for (const StepValue& context : product.at(3).items) {
            contexts_.push_back(context.reference);
        }
    }

    /// The definition of a new product with this shape.
    std::uint32_t add(const std::string& name, std::uint32_t representation) {
        const std::string text = quoted(name);
        const std::uint32_t product =
            edit_.add("PRODUCT(" + text + "," + text + ",''," + links(contexts_) + ")");
        edit_.add("PRODUCT_RELATED_PRODUCT_CATEGORY('part',$,(" + link(product) + "))");
        const std::uint32_t formation =
            edit_.add(with_references(edit_.body(formation_), {{product_, product}}));
        const std::uint32_t definition =
            edit_.add(with_references(edit_.body(definition_), {{formation_, formation}}));
        const std::uint32_t shape =
            edit_.add("PRODUCT_DEFINITION_SHAPE('',''," + link(definition) + ")");
        edit_.add("SHAPE_DEFINITION_REPRESENTATION(" + link(shape) + "," + link(representation) +
                  ")");
        return definition;
    }

  private:
    StepEdit& edit_;
    std::uint32_t definition_, formation_, product_;
    std::vector<std::uint32_t> contexts_;
};

struct NewPart {
    std::string name;
    std::uint32_t definition = 0, representation = 0, axes = 0;
};

void place(StepEdit& edit, const NewPart& parent, const NewPart& child, std::size_t n) {
    const std::uint32_t use = edit.add(
        "NEXT_ASSEMBLY_USAGE_OCCURRENCE('added-" + std::to_string(n) + "'," + quoted(child.name) +
        ",''," + link(parent.definition) + "," + link(child.definition) + ",$)");
    const std::uint32_t shape = edit.add("PRODUCT_DEFINITION_SHAPE('',''," + link(use) + ")");
    const std::uint32_t move = edit.add("ITEM_DEFINED_TRANSFORMATION('',''," + link(child.axes) +
                                        "," + link(parent.axes) + ")");
    const std::uint32_t relation =
        edit.add("(REPRESENTATION_RELATIONSHIP('',''," + link(child.representation) + "," +
                 link(parent.representation) + ")REPRESENTATION_RELATIONSHIP_WITH_TRANSFORMATION(" +
                 link(move) + ")SHAPE_REPRESENTATION_RELATIONSHIP())");
    edit.add("CONTEXT_DEPENDENT_SHAPE_REPRESENTATION(" + link(relation) + "," + link(shape) + ")");
}

}  // namespace

std::vector<std::vector<std::uint32_t>> add_solids(StepEdit& edit, const StepRecords& records,
                                                   const StepTarget& target,
                                                   const std::string& assembly,
                                                   const std::vector<PrismBody>& bodies) {
    SolidWriter solids(edit, target);
    ProductWriter products(edit, records, target);
    std::vector<std::vector<std::uint32_t>> faces(bodies.size());
    std::vector<NewPart> parts;
    std::vector<std::uint32_t> places;
    for (std::size_t b = 0; b < bodies.size(); ++b) {
        NewPart part;
        part.name = bodies[b].name;
        part.axes = solids.axes(Vec3::Zero(), Vec3::UnitZ(), Vec3::UnitX());
        std::vector<std::uint32_t> items{part.axes};
        for (const Prism& prism : bodies[b].prisms) items.push_back(solids.add(prism, faces[b]));
        part.representation = edit.add("ADVANCED_BREP_SHAPE_REPRESENTATION(''," + links(items) +
                                       "," + link(target.context) + ")");
        part.definition = products.add(part.name, part.representation);
        parts.push_back(part);
        places.push_back(solids.axes(Vec3::Zero(), Vec3::UnitZ(), Vec3::UnitX()));
    }
    NewPart root;
    root.name = assembly;
    root.representation =
        edit.add("SHAPE_REPRESENTATION(''," + links(places) + "," + link(target.context) + ")");
    root.definition = products.add(assembly, root.representation);
    for (std::size_t b = 0; b < parts.size(); ++b) {
        root.axes = places[b];
        place(edit, root, parts[b], b + 1);
    }
    return faces;
}

}  // namespace noonshell
