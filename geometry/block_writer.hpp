// Writes simple placed blocks as a STEP file: the demo site and the tests make their models with
// it.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "geometry/model.hpp"

namespace noonshell {

/// A box with its lower corner at `corner_m` before turning, turned about the vertical axis through
/// that corner, then tilted about its own X edge.
struct Block {
    std::string name;
    std::string assembly;  ///< name of the sub-assembly that holds it; empty for the root
    Vec3 corner_m{0, 0, 0};
    Vec3 size_m{1, 1, 1};
    double turn_deg = 0;  ///< counter-clockwise seen from above
    double tilt_deg = 0;  ///< about the block's own X edge, positive lifts the far Y side
    std::optional<Rgb> colour;
};

enum class StepSchema { ap203, ap214, ap242 };
enum class LengthUnit { millimetre, metre, inch };

struct BlockWriteOptions {
    StepSchema schema = StepSchema::ap214;
    LengthUnit unit = LengthUnit::millimetre;
    std::string root_name = "site";
};

/// Writes the blocks as solids with names and colours. Throws std::runtime_error when the file
/// cannot be written. The same input gives the same bytes (time stamp and writer fields are fixed).
void write_blocks(const std::vector<Block>& blocks, const std::filesystem::path& file,
                  const BlockWriteOptions& options = {});

}  // namespace noonshell
