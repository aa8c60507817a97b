// Container-sized rooms that users draw of several bodies: skins with linings, plates with wall
// cavities, panels that run through each other, storeys, partitions, rows without assemblies.
#pragma once

#include <filesystem>

#include "geometry/vec3.hpp"

namespace noonshell::test_support {

/// Outside measure of all of them but the storeys [m].
inline const Vec3 lined_room_size_m{6.058, 2.438, 2.591};

/// In closed form, inside measure.
struct RoomFacts {
    double floor_m2, volume_m3;
};

/// "skin", hollow, of 2 mm, and within it "lining", hollow, of `lining_mm`, with `cavity_mm`
/// between; both in the assembly "box". With a window, 1.5 m by 1 m are cut out of both to the
/// south and closed by the body "window".
RoomFacts write_lined_box(const std::filesystem::path& file, double cavity_mm, double lining_mm,
                          bool window = false);

/// The same as twelve plates: six of 2 mm outside, six of 12 mm inside of the cavity.
RoomFacts write_lined_plates(const std::filesystem::path& file, double cavity_mm);

/// Six panels of 100 mm that all run through the corners, into each other.
RoomFacts write_crossed_panels(const std::filesystem::path& file);

/// Walls of 100 mm and 4 m high, and a beam that lies wholly in one of them.
RoomFacts write_beam_in_wall(const std::filesystem::path& file);

/// Two rooms one above the other: 5.2 m high, panels of 50 mm and a slab of 50 mm between.
RoomFacts write_two_storeys(const std::filesystem::path& file);

/// Two rooms side by side with a partition of 50 mm; `doorway`: 0.9 m by 2 m are cut out of it.
RoomFacts write_parted_room(const std::filesystem::path& file, bool doorway);

/// Two boxes of six panels of 50 mm each, all in one assembly "export", `apart_mm` apart along y.
/// The facts are those of one.
RoomFacts write_flat_row(const std::filesystem::path& file, double apart_mm);

/// Outside measure of the house below, without its terrace [m].
inline const Vec3 terrace_house_size_m{8, 6, 3};

struct TerraceHouse {
    double terrace_m = 2;    ///< the roof slab goes on so far to the south
    bool leaf = false;       ///< whether the doorway to the terrace holds a "door" of 50 mm
    bool one_solid = false;  ///< the house but for its leaf; else a slab, four walls and a roof
};

/// Walls and slabs of 200 mm about one room, a doorway of 0.9 m by 2.1 m to the south; all in the
/// assembly "house".
RoomFacts write_terrace_house(const std::filesystem::path& file, const TerraceHouse& house);

/// How far plates reach beyond the walls of the house above, to each side [m].
struct PlateReach {
    double east = 0, north = 0, west = 0, south = 0;
};

/// The same house without doorway and terrace, of plates in the assembly "house": four walls
/// between a floor plate and a "roof" plate that overhang them. `roof_sheet`: the roof is one face
/// without thickness upon the walls.
RoomFacts write_eaves_house(const std::filesystem::path& file, const PlateReach& roof,
                            const PlateReach& floor, bool roof_sheet = false);

}  // namespace noonshell::test_support
