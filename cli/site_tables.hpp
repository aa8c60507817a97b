// Readers of the single tables of a site file; read_site_file() puts them together.
#pragma once

#include <filesystem>
#include <vector>

#include "cli/settings_reader.hpp"
#include "cli/site_file.hpp"
#include "cli/toml_reader.hpp"
#include "thermal/outside_finish.hpp"

namespace noonshell {

WeatherSettings read_weather_table(const TomlTable& root, const std::filesystem::path& folder,
                                   std::vector<InputRecord>& inputs);

/// [weather] where it names a file: TMY3, or a table by [weather.time] and [weather.columns], or
/// NetCDF by its ending and [weather.netcdf].
void read_weather_file(const TomlTable& weather, const std::filesystem::path& folder,
                       std::vector<InputRecord>& inputs, WeatherSettings& settings);

/// What a site file adds to the shipped materials and finishes, by names of its own.
struct OwnMaterials {
    std::vector<Material> materials;
    std::vector<OutsideFinish> finishes;
};

/// [[material]] and [[outside_finish]] of the site file. Throws InputError for a shipped name.
OwnMaterials read_materials(const TomlTable& root, std::vector<InputRecord>& inputs);

std::vector<ConstructionRule> read_constructions(const TomlTable& root, const OwnMaterials& own,
                                                 std::vector<InputRecord>& inputs);

/// Colours written as "#rrggbb".
std::vector<Rgb> read_colours(SettingsReader& reader, std::string_view key);

/// [[unit]]: units put together from bodies, and figures that the user knows better.
void read_units(const TomlTable& root, std::vector<InputRecord>& inputs, ModelSettings& model);

/// [[surface]]: faces that stay a surface of their own.
void read_own_surfaces(const TomlTable& root, std::vector<InputRecord>& inputs,
                       ModelSettings& model);

/// [[ground]]: parts of the ground with an albedo of their own.
void read_ground_regions(const TomlTable& root, std::vector<InputRecord>& inputs,
                         SiteSettings& site);

RoomChoice read_room_table(const TomlTable& root, std::vector<InputRecord>& inputs);

/// Fills `places`, one of each.
std::vector<Treatment> read_treatments(const TomlTable& root, const OwnMaterials& own,
                                       std::vector<InputRecord>& inputs,
                                       std::vector<TreatmentPlace>& places);

/// The treatments of a file that names none.
std::vector<Treatment> shipped_examples(std::vector<InputRecord>& inputs);

/// [[planned_shade]]: shades that `plan` may buy, after all other shades and treatments were read.
void read_planned_shades(const TomlTable& root, SiteFile& site);

PlanSettings read_plan_table(const TomlTable& root, std::vector<InputRecord>& inputs);

/// The material of that name: the site file's, else the shipped one. Throws InputError at `key`,
/// naming the nearest known material.
const Material& material_named(const TomlTable& table, std::string_view key,
                               const std::vector<Material>& materials);

/// What `outside_finish` names, recorded; null where it is absent. Throws InputError, naming the
/// nearest known finish. The finish lives as long as `own`.
const OutsideFinish* read_outside_finish(SettingsReader& reader, const OwnMaterials& own);

}  // namespace noonshell
