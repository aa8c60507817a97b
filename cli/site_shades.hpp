// [[shade_roof]], [[overhang]] and [[fin]] of a site file.
#pragma once

#include <array>
#include <string_view>
#include <vector>

#include "cli/input_ledger.hpp"
#include "cli/toml_reader.hpp"
#include "geometry/shade_settings.hpp"

namespace noonshell {

/// Tables of the root that read_shades() reads.
inline constexpr std::array<std::string_view, 3> shade_tables = {"shade_roof", "overhang", "fin"};

/// All shades that the site file adds. Whether their patterns match is found out when they are
/// built.
ShadeSettings read_shades(const TomlTable& root, std::vector<InputRecord>& inputs);

}  // namespace noonshell
