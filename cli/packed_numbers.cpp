#include "cli/packed_numbers.hpp"

#include <zlib.h>

#include <algorithm>
#include <bit>
#include <cmath>
#include <limits>
#include <string>
#include <vector>

#include "geometry/diagnostics.hpp"

namespace noonshell {

namespace {

using Bytes = std::vector<std::uint8_t>;

std::string base64(const Bytes& bytes) {
    static constexpr std::string_view letters =
        "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    std::string text;
    text.reserve((bytes.size() + 2) / 3 * 4);
    for (std::size_t i = 0; i < bytes.size(); i += 3) {
        const std::size_t n = std::min<std::size_t>(3, bytes.size() - i);
        std::uint32_t three = 0;
        for (std::size_t k = 0; k < 3; ++k) three = three << 8 | (k < n ? bytes[i + k] : 0u);
        for (std::size_t k = 0; k < 4; ++k)
            text += k <= n ? letters[three >> (18 - 6 * k) & 63] : '=';
    }
    return text;
}

Bytes compressed(const Bytes& bytes) {
    uLongf size = compressBound(bytes.size());
    Bytes out(size);
    // The buffer is as large as the library asks for: nothing else can go wrong but memory.
    NOONSHELL_CHECK_EQ(compress2(out.data(), &size, bytes.data(), bytes.size(), 6), Z_OK);
    out.resize(size);
    return out;
}

/// All lowest bytes, then all second ones: compresses better than numbers one after the other.
template <class Unsigned>
Bytes planes(std::span<const Unsigned> values) {
    Bytes bytes;
    bytes.reserve(values.size() * sizeof(Unsigned));
    for (std::size_t plane = 0; plane < sizeof(Unsigned); ++plane) {
        for (const Unsigned value : values)
            bytes.push_back(static_cast<std::uint8_t>(value >> (8 * plane) & 0xff));
    }
    return bytes;
}

template <class Unsigned>
Json packed(const char* form, std::span<const Unsigned> values) {
    return {
        {"form", form}, {"count", values.size()}, {"bytes", base64(compressed(planes(values)))}};
}

}  // namespace

Json packed_floats(std::span<const float> values) {
    std::vector<std::uint32_t> bits;
    bits.reserve(values.size());
    for (const float value : values) bits.push_back(std::bit_cast<std::uint32_t>(value));
    return packed<std::uint32_t>("f32", bits);
}

Json packed_whole(std::span<const std::uint32_t> values) {
    return packed<std::uint32_t>("u32", values);
}

Json packed_small(std::span<const std::uint8_t> values) {
    return packed<std::uint8_t>("u8", values);
}

Json packed_steps(std::span<const float> values, double finest_step) {
    constexpr double most_steps = 32000;
    double largest = 0;
    for (const float value : values) {
        if (std::isfinite(value)) largest = std::max(largest, std::abs(double{value}));
    }
    const double step = std::max(finest_step, largest / most_steps);
    std::vector<std::uint16_t> changes;
    changes.reserve(values.size());
    std::uint16_t before = 0;
    for (const float value : values) {
        const auto steps = std::isfinite(value)
                               ? static_cast<std::int16_t>(std::lround(double{value} / step))
                               : std::numeric_limits<std::int16_t>::min();
        const auto now = static_cast<std::uint16_t>(steps);
        changes.push_back(static_cast<std::uint16_t>(now - before));
        before = now;
    }
    Json made = packed<std::uint16_t>("i16", changes);
    made["step"] = step;
    return made;
}

}  // namespace noonshell
