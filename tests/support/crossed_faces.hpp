// Faces whose outline crosses itself, as a slip of a polyline draws them.
#pragma once

#include <filesystem>

namespace noonshell::test_support {

/// A box of 6 m by 4 m by 3 m, one shell of six faces, "hut"; the roof's outline runs crosswise
/// from corner to corner, so that it covers two triangles of 6 m2 each. `alone`: that face only, a
/// shell called "sail".
void write_bow_tie(const std::filesystem::path& file, bool alone);

}  // namespace noonshell::test_support
