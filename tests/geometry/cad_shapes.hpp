// STEP files that the block writer cannot make, written with the CAD kernel directly: shells, faces
// turned the wrong way, hollow and curved bodies, nested placements. Lengths in metres.
#pragma once

#include <filesystem>

namespace noonshell::cad_shapes {

using Path = std::filesystem::path;

/// Root "yard" holds "stack" twice (as "stack-a" moved by (0, 0, 1); as "stack-b" moved by (20, 0,
/// 0) and turned by 90 degrees about the vertical). "stack" holds the part "box", 6 x 2 x 3, twice:
/// "low" at (1, 2, 0) and "high" at (1, 2, 3).
void write_nested_assembly(const Path& file);

/// A box 4 x 2 x 3 with one face red, one green and the part itself blue.
void write_coloured_faces(const Path& file);

/// A wedge without symmetry (a 4 x 3 right triangle, 2 high: 12 m3) and its mirror image in the
/// plane x = 0, as a part of its own.
void write_mirrored_wedge(const Path& file);

enum class BoxForm {
    sound,             ///< a solid
    inside_out,        ///< a solid whose faces all point inward
    one_face_turned,   ///< a solid one of whose faces points inward
    closed_shell,      ///< six faces that share their edges, no solid
    open_shell,        ///< five faces that share their edges
    six_loose_faces,   ///< six faces that share no edge
    five_loose_faces,  ///< five faces that share no edge
    gaping_solid,      ///< a solid whose shell lacks a face
};

/// A box 4 x 2 x 3 (area 52, volume 24) as a part called "box"; where a face is missing it is the
/// top of 8 m2.
void write_box(const Path& file, BoxForm form);

/// Two boxes of 1 x 1 x 1 in one part called "pair", 5 m apart.
void write_two_solids_in_one_part(const Path& file);

/// A box 6 x 3 x 3 that holds a closed hollow of 5 x 2 x 2.
void write_hollow_box(const Path& file);

/// A cylinder of radius 1 and height 2, and a sphere of radius 1.
void write_round_bodies(const Path& file);

/// A flat square of 2 x 2 given as a bilinear spline surface.
void write_flat_spline(const Path& file);

/// Faces of the box 4 x 2 x 3 that stand there twice.
enum class DoubleForm {
    same_face_listed_twice,  ///< the shell lists its top twice
    copy_in_the_shell,       ///< the shell holds a copy of its top, with edges of its own
    copy_among_loose_faces,  ///< six loose faces and a copy of one of them
    near_copy_in_the_shell,  ///< the copy lies 0.2 mm off its top
    near_copy_among_loose_faces,
    copy_first_in_the_shell,  ///< before the top itself
    half_in_the_shell,        ///< a face over half of its top
    half_among_loose_faces,
};
void write_double_faces(const Path& file, DoubleForm form);

/// A box 4 x 2 x 3 three times: twice at one place as parts "first" and "second", and once more as
/// part "beside", moved by 10 m along x.
void write_box_twice(const Path& file);

/// A part "box" (4 x 2 x 3) and a part "sheet": a flat face whose outline crosses itself, an
/// hourglass of two triangles of 1 m2 each, at z = 10.
void write_crossing_outline(const Path& file);

/// Assembly "yard" holds "stack" twice ("left" at x = 0, "right" at x = 20), "stack" holds part
/// "box" twice ("low", "high"). The part is blue; the occurrence right/high alone is red, styled
/// from the yard; the occurrence "low" is green in both stacks.
void write_styled_occurrence(const Path& file);

/// Edges only.
void write_wire(const Path& file);

}  // namespace noonshell::cad_shapes
