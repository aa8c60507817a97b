#include "geometry/tessellated_faces.hpp"

#include <algorithm>
#include <optional>

#include "geometry/occt_text.hpp"

namespace noonshell {

namespace {

using PointNumbers = std::array<std::uint32_t, 3>;

/// Where the parameters of the four kinds stand. Those of a face carry a link to a B-rep face.
struct FaceKind {
    const char* keyword;
    std::size_t indices, first_list;
    bool complex;
};
constexpr std::array<FaceKind, 4> face_kinds = {{{"TRIANGULATED_FACE", 5, 6, false},
                                                 {"COMPLEX_TRIANGULATED_FACE", 5, 6, true},
                                                 {"TRIANGULATED_SURFACE_SET", 4, 5, false},
                                                 {"COMPLEX_TRIANGULATED_SURFACE_SET", 4, 5, true}}};

/// Indices of the file (1-based, through the face's own list where it has one) to 0-based points.
class PointIndex {
  public:
    PointIndex(const StepValue& own_list, std::size_t n_points) : n_points_(n_points) {
        for (const StepValue& item : own_list.items) list_.push_back(item.number);
    }
    std::optional<std::uint32_t> operator()(const StepValue& value) const {
        double at = value.number;
        if (!list_.empty()) {
            if (!(at >= 1 && at <= static_cast<double>(list_.size()))) return std::nullopt;
            at = list_[static_cast<std::size_t>(at) - 1];
        }
        if (!(at >= 1 && at <= static_cast<double>(n_points_))) return std::nullopt;
        return static_cast<std::uint32_t>(at) - 1;
    }

  private:
    std::vector<double> list_;
    std::size_t n_points_;
};

bool add_triangle(const PointIndex& point, const StepValue& a, const StepValue& b,
                  const StepValue& c, std::vector<PointNumbers>& out) {
    const auto p = point(a), q = point(b), r = point(c);
    if (!p || !q || !r) return false;
    if (*p != *q && *q != *r && *r != *p) out.push_back({*p, *q, *r});
    return true;
}

/// A strip turns at every step: 1 2 3, then 3 2 4, and so on. A fan keeps its first point.
bool add_run(const PointIndex& point, const StepValue& run, bool fan,
             std::vector<PointNumbers>& out) {
    for (std::size_t i = 0; i + 2 < run.items.size(); ++i) {
        const std::size_t first = fan ? 0 : i % 2 == 0 ? i : i + 1;
        const std::size_t second = fan || i % 2 == 0 ? i + 1 : i;
        if (!add_triangle(point, run.at(first), run.at(second), run.at(i + 2), out)) return false;
    }
    return true;
}

}  // namespace

std::vector<std::uint32_t> tessellated_faces(const StepRecords& records) {
    std::vector<std::uint32_t> numbers;
    for (const FaceKind& kind : face_kinds) {
        const auto of_kind = records.with(kind.keyword);
        numbers.insert(numbers.end(), of_kind.begin(), of_kind.end());
    }
    return numbers;
}

TessellatedFace read_tessellated_face(const StepRecords& records, std::uint32_t entity) {
    TessellatedFace face;
    face.entity = entity;
    const StepValue record = records.read(entity);
    const auto kind =
        std::ranges::find_if(face_kinds, [&](const FaceKind& k) { return record.is(k.keyword); });
    if (kind == face_kinds.end()) return face;
    face.name = one_line(record.at(0).text);
    if (is_filler_name(face.name)) face.name.clear();
    face.stands_for_brep = kind->indices == 5 && record.at(4).kind == StepValue::Kind::reference;
    const StepValue points = records.read(record.at(1).reference);
    if (!points.is("COORDINATES_LIST")) return face;
    for (const StepValue& p : points.at(2).items) {
        face.points.emplace_back(p.at(0).number, p.at(1).number, p.at(2).number);
        if (p.items.size() != 3 || !(face.points.back().cwiseAbs().maxCoeff() < 1e12)) return face;
    }
    const PointIndex point(record.at(kind->indices), face.points.size());
    bool good = true;
    for (const StepValue& run : record.at(kind->first_list).items) {
        good = good && add_run(point, run, false, face.triangles);
    }
    if (kind->complex) {
        for (const StepValue& run : record.at(kind->first_list + 1).items) {
            good = good && add_run(point, run, true, face.triangles);
        }
    }
    face.readable = good && !face.triangles.empty();
    return face;
}

}  // namespace noonshell
