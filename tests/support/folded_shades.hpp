// Shades of many small faces over a plain hut, a box of 4 x 3 x 2.5 m called "hut".
#pragma once

#include <filesystem>

#include "tests/support/corrugation.hpp"

namespace noonshell::test_support {

/// A roof of folded sheet, one solid called "shade": `sheet` along x, straight for `depth_m` along
/// y, its lowest point at `z_m`.
void write_folded_shade(const std::filesystem::path& file, const FoldedSheet& sheet, double depth_m,
                        double z_m);

/// One part called "slats" of `n` flat solids 2 m long and 4 mm thick, turned by 45 degrees about
/// their length, `pitch_m` apart, at 3 m.
void write_slats(const std::filesystem::path& file, int n, double width_m, double pitch_m);

/// A level sheet of 6 x 5 m without thickness, one face called "sail", at `z_m`; its normal points
/// up or down.
void write_sheet_shade(const std::filesystem::path& file, double z_m, bool facing_up);

}  // namespace noonshell::test_support
