// Readers of the single tables of a site file; read_site_file() puts them together.
#pragma once

#include <filesystem>
#include <vector>

#include "cli/site_file.hpp"
#include "cli/toml_reader.hpp"

namespace noonshell {

WeatherSettings read_weather_table(const TomlTable& root, const std::filesystem::path& folder,
                                   std::vector<InputRecord>& inputs);

/// [[material]] of the site file; a name that is shipped too is replaced by the site file's own.
std::vector<Material> read_materials(const TomlTable& root, std::vector<InputRecord>& inputs);

std::vector<ConstructionRule> read_constructions(const TomlTable& root,
                                                 const std::vector<Material>& materials,
                                                 std::vector<InputRecord>& inputs);

RoomChoice read_room_table(const TomlTable& root, std::vector<InputRecord>& inputs);

std::vector<Treatment> read_treatments(const TomlTable& root,
                                       const std::vector<Material>& materials,
                                       std::vector<InputRecord>& inputs);

/// The material of that name: the site file's, else the shipped one. Throws InputError at `key`,
/// naming the nearest known material.
const Material& material_named(const TomlTable& table, std::string_view key,
                               const std::vector<Material>& materials);

}  // namespace noonshell
