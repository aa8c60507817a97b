// Private to geometry/: finds out whether faces close a volume, and mends what can be mended.
#pragma once

#include <TopoDS_Shape.hxx>
#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace noonshell {

/// How the faces of a shape meet along their edges.
struct Closure {
    int free_edges = 0;    ///< edges that only one face uses
    int turned_edges = 0;  ///< edges that two faces run along in the same direction
    bool closed() const { return free_edges == 0; }
    bool consistent() const { return turned_edges == 0; }
};

Closure check_closure(const TopoDS_Shape& shape);

/// A shape made sound, as far as it can be.
struct Mended {
    TopoDS_Shape shape;
    bool closed = false;                ///< a solid whose faces all point outward
    std::vector<std::string> repaired;  ///< what was done, in plain words
    std::vector<std::pair<TopoDS_Shape, TopoDS_Shape>> replaced;  ///< new face, face it came from
    std::optional<double> volume_m3;  ///< of a closed solid, where the mending measured it

    /// The face of the file that `face` of the mended shape came from.
    const TopoDS_Shape& origin_of(const TopoDS_Shape& face) const;
};

/// Volume inside closed faces, negative when they are inside out. [m3]
double signed_volume(const TopoDS_Shape& shape);

/// Widest gap that is closed: well above the rounding of exporters, far below any real joint.
inline constexpr double sewing_gap_m = 1e-4;

/// A solid: closes gaps up to `sewing_gap_m`, turns faces that disagree with their neighbours, and
/// turns the whole when it is inside out. What cannot be closed is handed back as it came.
Mended mend_solid(const TopoDS_Shape& solid);

/// A shell or a compound of faces: each closed shell that is in it, or that comes of closing gaps,
/// becomes a solid; the faces that are left come last, as they were, with closed = false.
std::vector<Mended> mend_faces(const TopoDS_Shape& faces);

}  // namespace noonshell
