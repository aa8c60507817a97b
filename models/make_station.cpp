// Writes the STEP file of the demo, an invented desert field station: make_station FILE.step
// Everything here is made up but the container sizes, which are those of ISO 668.
#include <exception>
#include <iostream>
#include <string>
#include <vector>

#include "geometry/block_writer.hpp"

namespace {

using noonshell::Block;
using noonshell::Rgb;
using noonshell::Vec3;

// ISO 668 outside sizes [m]: 20 and 40 foot long, standard height and high cube.
constexpr double length_20 = 6.058, length_40 = 12.192, width = 2.438;
constexpr double height_standard = 2.591, height_high = 2.896;

// Standard units of the lower level stand on piers that lift their roofs to those of the high
// cubes.
constexpr double on_ground = 0.0, on_piers = height_high - height_standard;
constexpr double pad = 0.010;  // bearing pads between the levels
constexpr double upper = height_high + pad;

constexpr Rgb sand{0.76F, 0.66F, 0.45F}, rust{0.50F, 0.14F, 0.07F}, blue{0.07F, 0.19F, 0.33F},
    ochre{0.55F, 0.30F, 0.09F}, grey{0.42F, 0.43F, 0.44F};

enum class Along { x, y };

struct Size {
    double length_m, height_m;
};
constexpr Size standard_20{length_20, height_standard}, high_40{length_40, height_high};

Block unit(const char* name, const char* level, Size size, Along along, Vec3 corner_m, Rgb colour) {
    const Vec3 size_m = along == Along::x ? Vec3(size.length_m, width, size.height_m)
                                          : Vec3(width, size.length_m, size.height_m);
    return {name, level, corner_m, size_m, 0, 0, colour};
}

// Two rows back to back in the south and one row beyond a court; 20 mm between neighbours.
std::vector<Block> lower_level() {
    const auto row = [](const char* name, Size size, Vec3 corner_m, Rgb colour) {
        return unit(name, "lower", size, Along::x, corner_m, colour);
    };
    return {
        row("mess", high_40, {0, 0, on_ground}, sand),
        row("kitchen", standard_20, {12.212, 0, on_piers}, ochre),
        row("store", standard_20, {0, 2.458, on_piers}, rust),
        row("workshop", high_40, {6.078, 2.458, on_ground}, blue),
        row("lab-1", standard_20, {0, 13.000, on_piers}, sand),
        row("lab-2", standard_20, {6.078, 13.000, on_piers}, sand),
        row("clinic", standard_20, {16.000, 13.000, on_ground}, ochre),
    };
}

// Each rests on two or three units below and hangs over at one end or both.
std::vector<Block> upper_level() {
    return {
        unit("bunk-1", "upper", standard_20, Along::y, {1.000, -0.600, upper}, blue),
        unit("bunk-2", "upper", standard_20, Along::y, {3.458, -0.600, upper}, blue),
        unit("office", "upper", high_40, Along::x, {9.000, 1.200, upper}, sand),
        unit("bridge", "upper", high_40, Along::y, {9.600, 4.000, upper}, rust),
        unit("bunk-3", "upper", standard_20, Along::x, {3.039, 12.200, upper}, blue),
    };
}

// Two shade roofs 0.7 to 1.0 m above the roofs, the second sloped; an overhang and a fin on
// brackets 100 mm off the south wall of the mess.
std::vector<Block> shades() {
    const double bunk_roof = upper + height_standard;
    return {
        {"canopy-1", "shades", {0.700, -1.000, bunk_roof + 0.8}, {5.500, 6.900, 0.05}, 0, 0, grey},
        {"canopy-2", "shades", {2.700, 11.900, bunk_roof + 0.7}, {6.700, 3.000, 0.05}, 0, 5, grey},
        {"overhang", "shades", {6.200, -1.300, 2.450}, {5.600, 1.200, 0.06}, 0, 0, grey},
        {"fin", "shades", {6.020, -1.700, 0.100}, {0.060, 1.600, 2.320}, 0, 0, grey},
    };
}

}  // namespace

int main(int argc, char** argv) {
    if (argc != 2 || argv[1][0] == '-' || argv[1][0] == '\0') {
        std::cerr << "usage: make_station FILE.step\n";
        return 2;
    }
    try {
        std::vector<Block> blocks;
        for (const auto& part : {lower_level(), upper_level(), shades()}) {
            blocks.insert(blocks.end(), part.begin(), part.end());
        }
        noonshell::BlockWriteOptions options;
        options.root_name = "station";
        noonshell::write_blocks(blocks, argv[1], options);
    } catch (const std::exception& error) {
        std::cerr << "make_station: " << error.what() << '\n';
        return 1;
    }
    return 0;
}
