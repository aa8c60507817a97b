// Layers and outside faces as the tables of a site file write them.
#pragma once

#include <string_view>
#include <vector>

#include "cli/input_ledger.hpp"
#include "cli/settings_reader.hpp"
#include "cli/toml_reader.hpp"
#include "thermal/construction.hpp"

namespace noonshell {

constexpr double metres(double millimetres) {
    return millimetres / 1000;
}

/// Outside to inside, each { material, thickness_mm } or { resistance_m2k_w }; empty when absent.
std::vector<Layer> read_layers(const TomlTable& table, std::string_view key,
                               const std::vector<Material>& materials,
                               std::vector<InputRecord>& inputs);

/// `roughness`, very smooth unless said.
Roughness read_roughness(SettingsReader& reader);

}  // namespace noonshell
