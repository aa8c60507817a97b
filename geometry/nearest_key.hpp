// The known word that a mistyped one was most likely meant to be.
#pragma once

#include <cstddef>
#include <span>
#include <string_view>

namespace noonshell {

/// Least number of single-character insertions, deletions, substitutions and swaps of neighbours
/// that turn `a` into `b`; no part of the text is edited twice (optimal string alignment). Bytes,
/// without regard to ASCII case.
std::size_t edit_distance(std::string_view a, std::string_view b);

/// The entry of `known` nearest to `word`: one that starts with `word` (a unit left off), else the
/// least edit distance; the earlier entry wins a tie. Empty when `known` is empty.
std::string_view nearest_key(std::string_view word, std::span<const std::string_view> known);

}  // namespace noonshell
