// Long arrays of numbers as short text: what the report page carries.
#pragma once

#include <cstdint>
#include <span>

#include "cli/json_parts.hpp"

namespace noonshell {

/// Each is an object {"form", "count", "bytes"}, `bytes` being zlib-compressed (RFC 1950)
/// little-endian numbers in base64 (RFC 4648). Bytes are stored plane by plane: all lowest bytes,
/// then all second ones, and so on.
/// - "f32": floats as they are (IEEE 754 single precision; NaN is a gap)
/// - "u32", "u8": whole numbers
/// - "i16": numbers in steps of "step", each stored as the difference from the one before, modulo
///   2^16, starting from 0; the value -32768 is a gap.
Json packed_floats(std::span<const float> values);
Json packed_whole(std::span<const std::uint32_t> values);
Json packed_small(std::span<const std::uint8_t> values);

/// "i16". `finest_step` is used unless the largest value needs a coarser one; NaN becomes a gap.
Json packed_steps(std::span<const float> values, double finest_step);

}  // namespace noonshell
