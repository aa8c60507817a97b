#include "cli/site_file.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <string_view>
#include <utility>

#include "cli/settings_reader.hpp"
#include "cli/site_shades.hpp"
#include "cli/site_tables.hpp"
#include "cli/toml_reader.hpp"
#include "cli/utf8.hpp"

namespace noonshell {

namespace {

using Keys = std::span<const std::string_view>;

constexpr std::array<std::string_view, 19> root_keys = {
    "outside_finish", "site",          "model", "unit",     "surface",
    "shade_roof",     "overhang",      "fin",   "ground",   "weather",
    "material",       "construction",  "room",  "own_room", "doorway",
    "treatment",      "planned_shade", "plan",  "run"};
constexpr std::array<std::string_view, 4> colours_by = {"sun", "peak outside", "inward", "rank"};
constexpr std::array<std::string_view, 8> site_keys = {
    "latitude_deg", "longitude_deg", "elevation_m",         "time_zone",
    "north_deg",    "ground_albedo", "context_reflectance", "horizon"};
constexpr std::array<std::string_view, 13> model_keys = {
    "file",      "up",      "against",      "units",           "shades",       "panes",
    "contexts",  "ignores", "pane_colours", "lost_area_limit", "facet_size_m", "contact_gap_m",
    "ground_z_m"};
constexpr std::array<std::string_view, 12> run_keys = {
    "sun_step_min",   "heat_step_min", "points_per_facet",
    "rays_per_facet", "sky",           "accuracy_percent",
    "colour_by",      "output",        "outside_convection",
    "terrain",        "seed",          "wind_by_height"};
/// In the order of Terrain.
constexpr std::array<std::string_view, 3> terrains = {"open", "suburban", "city"};
/// In the order of OutsideConvection.
constexpr std::array<std::string_view, 3> convections = {"combined", "iso 6946", "mcadams"};
constexpr std::array<std::string_view, 2> skies = {"anisotropic", "isotropic"};

constexpr double seconds_per_minute = 60;
constexpr double minutes_per_hour = 60;

InputPlace place_or_file(const std::optional<TomlTable>& table, const TomlTable& root,
                         std::string_view name) {
    if (table) return table->place();
    return {root.place().file, {}, {}, std::string(name)};
}

SiteSettings read_site_table(const TomlTable& root, const std::filesystem::path& folder,
                             std::vector<InputRecord>& inputs) {
    SettingsReader reader(root.table("site", site_keys), "site", inputs);
    SiteSettings site;
    site.place = place_or_file(reader.table(), root, "site");
    site.latitude_deg = reader.number("latitude_deg", NumberRange::between(-90, 90));
    site.longitude_deg = reader.number("longitude_deg", NumberRange::between(-180, 180));
    site.elevation_m = reader.number("elevation_m", NumberRange::between(-430, 9000));
    site.time_zone = reader.text("time_zone");
    if (site.time_zone) site.time_zone_place = reader.table()->place("time_zone");
    site.north_deg = reader.number("north_deg", NumberRange::between(-360, 360), 0,
                                   "the model's +Y axis is taken for north");
    site.ground_albedo = reader.number("ground_albedo", NumberRange::between(0, 1), 0.2,
                                       "[ashrae2021] ch. 14, for mixed ground");
    site.context_reflectance =
        reader.number("context_reflectance", NumberRange::between(0, 1), site.context_reflectance,
                      "common practice: 0.2 to 0.3 for buildings around");
    if (const auto horizon = reader.text("horizon")) site.horizon = folder / *horizon;
    return site;
}

ModelSettings read_model_table(const TomlTable& root, const std::filesystem::path& folder,
                               std::vector<InputRecord>& inputs) {
    SettingsReader reader(root.table("model", model_keys), "model", inputs);
    constexpr std::string_view guess = "none: roles are guessed from the shape";
    ModelSettings model;
    model.place = place_or_file(reader.table(), root, "model");
    if (const auto file = reader.text("file")) model.file = folder / *file;
    if (const auto against = reader.text("against")) model.against = folder / *against;
    const std::string up = reader.text("up", "z", "own choice: as most CAD programs write STEP");
    model.up_given = reader.has("up");
    const auto axis = up_axis_from(up);
    if (!axis)
        throw reader.table()->error("up", "\"z\", \"y\", \"x\", \"-z\", \"-y\" or \"-x\"",
                                    "\"" + up + "\"");
    model.up = *axis;
    model.lost_area_limit = reader.number("lost_area_limit", NumberRange::between(0, 1),
                                          model.lost_area_limit, "own choice");
    model.patterns.units = reader.texts("units", {}, guess);
    model.patterns.shades = reader.texts("shades", {}, guess);
    model.patterns.panes = reader.texts("panes", {}, guess);
    model.patterns.contexts = reader.texts("contexts", {}, guess);
    model.patterns.ignores = reader.texts("ignores", {}, guess);
    model.patterns.pane_colours = read_colours(reader, "pane_colours");
    EnvelopeOptions& options = model.envelope;
    options.apart.panes = model.patterns.panes;
    options.apart.pane_colours = model.patterns.pane_colours;
    options.facet_size_m = reader.number("facet_size_m", NumberRange::between(0.02, 100),
                                         options.facet_size_m, "own choice");
    options.contact_gap_m =
        reader.number("contact_gap_m", NumberRange::between(0, 0.5), options.contact_gap_m,
                      "own choice: stacked units stand "
                      "some centimetres apart");
    if (const auto z = reader.number("ground_z_m", NumberRange::between(-1e5, 1e5)))
        options.ground_z_m = *z;
    else
        reader.record_default("ground_z_m", std::string("lowest point of the model"), "own choice");
    return model;
}

/// A step in minutes that divides the hour.
double step_s(SettingsReader& reader, std::string_view key, double longest_min, double fallback_min,
              std::string_view source) {
    const double minutes =
        reader.number(key, NumberRange::between(0.1, longest_min), fallback_min, source);
    const double per_hour = minutes_per_hour / minutes;
    if (std::abs(per_hour - std::round(per_hour)) > 1e-9)
        throw reader.table()->error(key, "minutes that divide 60", to_text(minutes));
    return minutes * seconds_per_minute;
}

RunSettings read_run_table(const TomlTable& root, const std::filesystem::path& folder,
                           std::vector<InputRecord>& inputs) {
    SettingsReader reader(root.table("run", run_keys), "run", inputs);
    RunSettings run;
    run.sun_step_s = step_s(reader, "sun_step_min", 60, 10, "own choice");
    run.heat_step_s = step_s(reader, "heat_step_min", 15, 10, "own choice");
    run.points_per_facet = static_cast<std::uint32_t>(
        reader.whole("points_per_facet", 2, 1024, run.points_per_facet, "own choice"));
    run.rays_per_facet = static_cast<std::uint32_t>(
        reader.whole("rays_per_facet", 16, 65536, run.rays_per_facet, "own choice"));
    if ((run.rays_per_facet & (run.rays_per_facet - 1)) != 0)
        throw reader.table()->error("rays_per_facet", "a power of two",
                                    std::to_string(run.rays_per_facet));
    constexpr std::int64_t most_seeds = 1'000'000;
    run.seed = static_cast<std::uint32_t>(
        reader.whole("seed", 0, most_seeds, static_cast<std::int64_t>(run.seed), "own choice"));
    const bool even = reader.choice("sky", skies, skies[0], "[perez1990]") == skies[1];
    run.sky = even ? SkyModel::even : SkyModel::anisotropic;
    const std::string convection = reader.choice("outside_convection", convections, convections[0],
                                                 "[yazdanian1994] by wind with [ashrae2021] ch. 4 "
                                                 "by warmth; correlations spread by some 30 %");
    run.outside_convection = static_cast<OutsideConvection>(
        std::find(convections.begin(), convections.end(), convection) - convections.begin());
    const std::string terrain =
        reader.choice("terrain", terrains, terrains[0],
                      "own choice: the site lies as open as weather stations do");
    run.terrain = static_cast<Terrain>(std::find(terrains.begin(), terrains.end(), terrain) -
                                       terrains.begin());
    run.wind_by_height =
        reader.boolean("wind_by_height", false,
                       "own choice: [yazdanian1994] was measured against the wind at 10 m");
    run.accuracy = 0.01 * reader.number("accuracy_percent", NumberRange::between(0, 50), 0,
                                        "own choice: points and rays as set, their error told");
    const std::string by = reader.choice("colour_by", colours_by, colours_by[0], "own choice");
    run.colour_by = static_cast<ColourBy>(std::find(colours_by.begin(), colours_by.end(), by) -
                                          colours_by.begin());
    if (const auto output = reader.text("output")) run.output = folder / *output;
    return run;
}

SiteFile read_tables(const TomlTable& root, const std::filesystem::path& file) {
    const std::filesystem::path folder = file.parent_path();
    SiteFile site;
    site.file = file;
    site.site = read_site_table(root, folder, site.inputs);
    read_ground_regions(root, site.inputs, site.site);
    site.model = read_model_table(root, folder, site.inputs);
    site.model.envelope.north_deg = site.site.north_deg;
    read_units(root, site.inputs, site.model);
    read_own_surfaces(root, site.inputs, site.model);
    site.model.shades = read_shades(root, site.inputs);
    site.weather = read_weather_table(root, folder, site.inputs);
    const OwnMaterials own = read_materials(root, site.inputs);
    site.constructions = read_constructions(root, own, site.inputs);
    site.room = read_room_table(root, site.inputs);
    site.treatments = read_treatments(root, own, site.inputs, site.treatment_places);
    site.treatments_are_examples = site.treatments.empty();
    if (site.treatments_are_examples) site.treatments = shipped_examples(site.inputs);
    read_planned_shades(root, site);
    site.plan = read_plan_table(root, site.inputs);
    site.run = read_run_table(root, folder, site.inputs);
    return site;
}

}  // namespace

SiteFile read_site_file(const std::filesystem::path& file) {
    return read_tables(read_toml(file, root_keys), file);
}

SiteFile parse_site_file(const std::string& content, const std::filesystem::path& file) {
    return read_tables(parse_toml(content, printable(file.string()), root_keys), file);
}

}  // namespace noonshell
