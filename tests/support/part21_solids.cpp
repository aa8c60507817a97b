#include "tests/support/part21_solids.hpp"

#include <algorithm>
#include <cmath>
#include <fstream>
#include <iterator>
#include <limits>
#include <map>
#include <stdexcept>
#include <tuple>

namespace noonshell::test_support {

namespace {

using Point = std::array<double, 3>;

Point operator+(const Point& a, const Point& b) {
    return {a[0] + b[0], a[1] + b[1], a[2] + b[2]};
}
Point operator-(const Point& a, const Point& b) {
    return {a[0] - b[0], a[1] - b[1], a[2] - b[2]};
}
Point operator*(double k, const Point& a) {
    return {k * a[0], k * a[1], k * a[2]};
}
double dot(const Point& a, const Point& b) {
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}
Point cross(const Point& a, const Point& b) {
    return {a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]};
}
Point unit(const Point& a) {
    return (1 / std::sqrt(dot(a, a))) * a;
}

/// Columns and origin of a frame.
struct Frame {
    Point x{1, 0, 0}, y{0, 1, 0}, z{0, 0, 1}, at{0, 0, 0};

    Point out(const Point& p) const { return at + p[0] * x + p[1] * y + p[2] * z; }
    Point in(const Point& p) const {
        const Point d = p - at;
        return {dot(d, x), dot(d, y), dot(d, z)};
    }
};

/// How points move through a chain of frames.
using Move = std::vector<std::pair<Frame, Frame>>;  ///< out of the first frame, into the second

Point moved(const Move& chain, Point p) {
    for (const auto& [from, to] : chain) p = to.out(from.in(p));
    return p;
}

/// The text of a record split into its parts at the outermost commas.
std::vector<std::string> split(const std::string& text) {
    std::vector<std::string> parts;
    std::string part;
    int depth = 0;
    bool in_text = false;
    for (const char c : text) {
        if (c == '\'') in_text = !in_text;
        if (!in_text) {
            if (c == '(') ++depth;
            if (c == ')') --depth;
            if (std::isspace(static_cast<unsigned char>(c)) != 0) continue;
            if (c == ',' && depth == 0) {
                parts.push_back(part);
                part.clear();
                continue;
            }
        }
        part += c;
    }
    if (!part.empty()) parts.push_back(part);
    return parts;
}

std::string inside(const std::string& list) {  // "(...)" without its brackets
    if (list.size() < 2 || list.front() != '(') throw std::runtime_error("no list: " + list);
    return list.substr(1, list.size() - 2);
}

struct Record {
    std::string keyword;  ///< empty for one that joins several entities
    std::vector<std::string> values;
    std::string text;
};

class File {
  public:
    explicit File(const std::filesystem::path& file) {
        std::ifstream in(file, std::ios::binary);
        const std::string all{std::istreambuf_iterator<char>(in), {}};
        std::string statement;
        bool in_text = false;
        for (const char c : all) {
            if (c == '\'') in_text = !in_text;
            if (c != ';' || in_text) {
                if (c != '\n' && c != '\r') statement += c;
                continue;
            }
            keep(statement);
            statement.clear();
        }
    }

    const Record& at(const std::string& reference) const {
        const auto found = records_.find(reference);
        if (found == records_.end()) throw std::runtime_error("nothing at " + reference);
        return found->second;
    }
    const Record& at(const std::string& reference, const std::string& keyword) const {
        const Record& record = at(reference);
        if (record.keyword != keyword) {
            throw std::runtime_error(reference + ": " + keyword + " expected: " + record.text);
        }
        return record;
    }
    std::vector<std::string> all(const std::string& keyword) const {
        std::vector<std::string> list;
        for (const auto& [reference, record] : records_) {
            if (record.keyword == keyword) list.push_back(reference);
        }
        return list;
    }

  private:
    void keep(const std::string& statement) {
        const auto hash = statement.find('#'), equals = statement.find('=');
        if (hash == statement.npos || equals == statement.npos) return;
        if (statement.substr(0, hash).find_first_not_of(' ') != statement.npos) return;
        Record record;
        const auto begin = statement.find_first_not_of(' ', equals + 1);
        const auto open = statement.find('(', begin);
        record.text = statement.substr(begin);
        record.keyword = statement.substr(begin, open - begin);
        while (record.keyword.ends_with(' ')) record.keyword.pop_back();
        const auto close = statement.rfind(')');
        record.values = split(statement.substr(open + 1, close - open - 1));
        std::string reference = statement.substr(hash, equals - hash);
        while (reference.ends_with(' ')) reference.pop_back();
        records_[reference] = std::move(record);
    }
    std::map<std::string, Record> records_;
};

/// The values of one entity of a record that joins several.
std::vector<std::string> part_of(const Record& record, const std::string& keyword) {
    const auto at = record.text.find(keyword + "(");
    if (at == record.text.npos) throw std::runtime_error("no " + keyword + ": " + record.text);
    const auto open = at + keyword.size();
    auto end = open;
    for (int depth = 0; end < record.text.size(); ++end) {
        if (record.text[end] == '(') ++depth;
        if (record.text[end] == ')' && --depth == 0) break;
    }
    return split(record.text.substr(open + 1, end - open - 1));
}

class Solids {
  public:
    explicit Solids(const std::filesystem::path& file) : file_(file) {}

    std::vector<Part21Solid> read() {
        for (const auto& link : file_.all("SHAPE_DEFINITION_REPRESENTATION")) {
            const Record& record = file_.at(link);
            const Record& shape = file_.at(record.values[0]);
            holder_[record.values[1]] = shape.values[2];
        }
        for (const auto& relation : file_.all("SHAPE_REPRESENTATION_RELATIONSHIP")) {
            const Record& record = file_.at(relation);
            const auto &a = record.values[2], &b = record.values[3];
            if (holder_.contains(a)) holder_.try_emplace(b, holder_.at(a));
            if (holder_.contains(b)) holder_.try_emplace(a, holder_.at(b));
        }
        for (const auto& brep : file_.all("ADVANCED_BREP_SHAPE_REPRESENTATION")) {
            for (const auto& item : split(inside(file_.at(brep).values[1]))) {
                if (file_.at(item).keyword == "MANIFOLD_SOLID_BREP") add(item, brep);
            }
        }
        std::sort(solids_.begin(), solids_.end(), [](const auto& a, const auto& b) {
            return std::tie(a.name, a.bounds_m) < std::tie(b.name, b.bounds_m);
        });
        return std::move(solids_);
    }

  private:
    struct Place {
        std::string path;
        Move move;
    };

    static std::string name_in(const std::string& quoted) {
        return quoted.size() < 2 ? quoted : quoted.substr(1, quoted.size() - 2);
    }
    Point triple(const Record& record) const {
        const auto xyz = split(inside(record.values[1]));
        if (xyz.size() != 3) throw std::runtime_error("not three: " + record.text);
        return {std::stod(xyz[0]), std::stod(xyz[1]), std::stod(xyz[2])};
    }
    Point point(const std::string& reference) const {
        return triple(file_.at(reference, "CARTESIAN_POINT"));
    }

    double metres(const std::string& representation) const {
        const Record& context = file_.at(file_.at(representation).values[2]);
        for (const auto& unit_reference :
             split(inside(part_of(context, "GLOBAL_UNIT_ASSIGNED_CONTEXT")[0]))) {
            if (file_.at(unit_reference).text.find("LENGTH_UNIT(") != std::string::npos) {
                return length_of(unit_reference);
            }
        }
        throw std::runtime_error("no length unit: " + representation);
    }
    double length_of(const std::string& reference) const {
        const Record& record = file_.at(reference);
        if (record.text.find("CONVERSION_BASED_UNIT(") != std::string::npos) {
            const Record& measure = file_.at(part_of(record, "CONVERSION_BASED_UNIT")[1]);
            const std::string& value = measure.values[0];  // LENGTH_MEASURE(25.4), or 25.4 alone
            const auto open = value.find('(');
            return std::stod(open == value.npos ? value : value.substr(open + 1)) *
                   length_of(measure.values[1]);
        }
        const auto si = part_of(record, "SI_UNIT");
        if (si[0] == "$") return 1;
        if (si[0] == ".MILLI.") return 1e-3;
        throw std::runtime_error("unit: " + record.text);
    }

    Frame frame(const std::string& reference, double unit_m) const {
        const Record& record = file_.at(reference, "AXIS2_PLACEMENT_3D");
        Frame out;
        out.at = unit_m * point(record.values[1]);
        out.z = unit(triple(file_.at(record.values[2], "DIRECTION")));
        const Point wish = triple(file_.at(record.values[3], "DIRECTION"));
        out.x = unit(wish - dot(wish, out.z) * out.z);
        out.y = cross(out.z, out.x);
        return out;
    }

    std::vector<Place> places(const std::string& definition) const {
        std::vector<Place> out;
        for (const auto& reference : file_.all("CONTEXT_DEPENDENT_SHAPE_REPRESENTATION")) {
            const Record& link = file_.at(reference);
            const Record& use = file_.at(file_.at(link.values[1]).values[2]);
            if (use.values[4] != definition) continue;
            const Record& relation = file_.at(link.values[0]);
            const auto pair = part_of(relation, "REPRESENTATION_RELATIONSHIP");
            const auto move =
                file_
                    .at(part_of(relation, "REPRESENTATION_RELATIONSHIP_WITH_TRANSFORMATION")[0],
                        "ITEM_DEFINED_TRANSFORMATION")
                    .values;
            if (holder_.at(pair[2]) != definition || holder_.at(pair[3]) != use.values[3]) {
                throw std::runtime_error("representations of another part: " + relation.text);
            }
            check_held(move[2], pair[2]);
            check_held(move[3], pair[3]);
            for (Place place : places(use.values[3])) {
                place.path += "/" + name_in(use.values[1]);
                place.move.insert(place.move.begin(), {frame(move[2], metres(pair[2])),
                                                       frame(move[3], metres(pair[3]))});
                out.push_back(std::move(place));
            }
        }
        if (out.empty()) {
            const Record& formation = file_.at(file_.at(definition).values[2]);
            out.push_back({name_in(file_.at(formation.values[2], "PRODUCT").values[1]), {}});
        }
        return out;
    }

    /// ISO 10303-43: each end of a move is an item of the representation that it belongs to.
    void check_held(const std::string& item, const std::string& representation) const {
        const auto items = split(inside(file_.at(representation).values[1]));
        if (std::find(items.begin(), items.end(), item) == items.end()) {
            throw std::runtime_error(item + " is no item of " + representation);
        }
    }

    /// Corners in order, as seen from outside counter-clockwise.
    std::vector<Point> loop(const std::string& bound, double unit_m) const {
        const Record& record = file_.at(bound);
        std::vector<Point> corners;
        std::string first, last;
        for (const auto& oriented :
             split(inside(file_.at(record.values[1], "EDGE_LOOP").values[1]))) {
            const Record& use = file_.at(oriented, "ORIENTED_EDGE");
            const Record& edge = file_.at(use.values[3], "EDGE_CURVE");
            check_straight(edge);
            const bool forward = use.values[4] == ".T.";
            const std::string from = edge.values[forward ? 1 : 2],
                              to = edge.values[forward ? 2 : 1];
            if (first.empty()) first = from;
            if (!last.empty() && last != from) throw std::runtime_error("an open loop: " + bound);
            last = to;
            corners.push_back(unit_m * point(file_.at(from, "VERTEX_POINT").values[1]));
        }
        if (first != last) throw std::runtime_error("an open loop: " + bound);
        if (record.values[2] == ".F.") std::reverse(corners.begin(), corners.end());
        return corners;
    }

    void check_straight(const Record& edge) const {
        const Record* curve = &file_.at(edge.values[3]);
        if (curve->keyword == "SURFACE_CURVE" || curve->keyword == "SEAM_CURVE") {
            curve = &file_.at(curve->values[1]);
        }
        if (curve->keyword != "LINE") throw std::runtime_error("curved edge: " + curve->text);
        const Point a = point(file_.at(edge.values[1], "VERTEX_POINT").values[1]);
        const Point b = point(file_.at(edge.values[2], "VERTEX_POINT").values[1]);
        const Point along = unit(triple(file_.at(file_.at(curve->values[2]).values[1])));
        const double same = dot(unit(b - a), along) * (edge.values[4] == ".T." ? 1 : -1);
        if (std::abs(same - 1) > 1e-9)
            throw std::runtime_error("an edge off its line: " + edge.text);
    }

    /// Twice the area vector of a face, and its corners; the plane has to agree with the loops,
    /// which run about the face's own normal: that of the plane, turned round where same_sense is
    /// false.
    Point face(const std::string& reference, double unit_m, std::vector<Point>& corners) const {
        const Record& record = file_.at(reference, "ADVANCED_FACE");
        const Frame plane = frame(file_.at(record.values[2], "PLANE").values[1], unit_m);
        const Point outward = record.values[3] == ".T." ? plane.z : -1.0 * plane.z;
        Point doubled{0, 0, 0};
        for (const auto& bound : split(inside(record.values[1]))) {
            const std::vector<Point> polygon = loop(bound, unit_m);
            for (std::size_t k = 0; k < polygon.size(); ++k) {
                doubled = doubled + cross(polygon[k], polygon[(k + 1) % polygon.size()]);
                if (std::abs(dot(polygon[k] - plane.at, plane.z)) > 1e-6) {
                    throw std::runtime_error("a corner off its plane: " + reference);
                }
            }
            corners.insert(corners.end(), polygon.begin(), polygon.end());
        }
        if (dot(unit(doubled), outward) < 1 - 1e-9) {
            throw std::runtime_error("loops turn against the face: " + reference);
        }
        return doubled;
    }

    void add(const std::string& brep, const std::string& representation) {
        const double unit_m = metres(representation);
        Part21Solid solid;
        std::vector<Point> corners;
        const Record& shell = file_.at(file_.at(brep).values[1], "CLOSED_SHELL");
        for (const auto& reference : split(inside(shell.values[1]))) {
            std::vector<Point> own;
            const Point doubled = face(reference, unit_m, own);
            solid.area_m2 += std::sqrt(dot(doubled, doubled)) / 2;
            solid.volume_m3 += dot(doubled, own[0]) / 6;
            ++solid.n_faces;
            corners.insert(corners.end(), own.begin(), own.end());
        }
        for (const Place& place : places(holder_.at(representation))) {
            Part21Solid here = solid;
            here.name = place.path;
            constexpr double far = std::numeric_limits<double>::infinity();
            here.bounds_m = {far, far, far, -far, -far, -far};
            for (const Point& corner : corners) {
                const Point p = moved(place.move, corner);
                for (std::size_t k = 0; k < 3; ++k) {
                    here.bounds_m[k] = std::min(here.bounds_m[k], p[k]);
                    here.bounds_m[k + 3] = std::max(here.bounds_m[k + 3], p[k]);
                }
            }
            solids_.push_back(here);
        }
    }

    File file_;
    std::map<std::string, std::string> holder_;  ///< product_definition, by representation
    std::vector<Part21Solid> solids_;
};

}  // namespace

std::vector<Part21Solid> read_part21_solids(const std::filesystem::path& file) {
    return Solids(file).read();
}

}  // namespace noonshell::test_support
