#include "cli/pictures.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <set>
#include <utility>

#include "cli/carpet_picture.hpp"
#include "cli/day_paths.hpp"
#include "cli/sun_files.hpp"
#include "cli/sun_path_picture.hpp"
#include "cli/utf8.hpp"
#include "cli/view_picture.hpp"
#include "geometry/nearest_key.hpp"
#include "solar/ray_scene.hpp"

namespace noonshell {

namespace {

constexpr const char* sun_paths_option = "--sun-paths";
constexpr SkyMaskOptions picture_cells{.azimuth_step_deg = 1, .elevation_step_deg = 1};

/// Surfaces with a part in the open and, with heat, rooms.
struct CarpetItems {
    std::vector<SurfaceId> surfaces;
    std::vector<UnitId> units;
};

std::string nearest_name(const Envelope& envelope, const RunChoices& choices,
                         const std::string& pattern) {
    std::vector<std::string_view> names;
    if (!choices.only_sun) {
        for (const Unit& unit : envelope.units) names.push_back(unit.id);
    }
    for (const Surface& surface : envelope.surfaces) {
        if (surface.exposed_area_m2 > 0) names.push_back(surface.id);
    }
    return std::string(nearest_key(pattern, names));
}

CarpetItems carpet_items(const Envelope& envelope, const RunChoices& choices) {
    std::set<std::size_t> surfaces, units;
    for (const std::string& pattern : choices.carpets) {
        bool met = false;
        for (std::size_t s = 0; s < envelope.surfaces.size(); ++s) {
            const Surface& surface = envelope.surfaces[s];
            if (surface.exposed_area_m2 <= 0 || !matches_pattern(pattern, surface.id)) continue;
            surfaces.insert(s);
            met = true;
        }
        for (std::size_t u = 0; u < envelope.units.size() && !choices.only_sun; ++u) {
            if (!matches_pattern(pattern, envelope.units[u].id)) continue;
            units.insert(u);
            met = true;
        }
        if (!met)
            throw InputError(
                {.entity = "--carpet"},
                fmt::format("a pattern of {}surfaces with a part in the open (nearest: \"{}\")",
                            choices.only_sun ? "" : "units or of ",
                            printable(nearest_name(envelope, choices, pattern))),
                "\"" + pattern + "\"");
    }
    CarpetItems items;
    for (const std::size_t s : surfaces) items.surfaces.emplace_back(s);
    for (const std::size_t u : units) items.units.emplace_back(u);
    return items;
}

class PictureList {
  public:
    /// Of files with the same name the later ones get a number.
    void add(const std::string& stem, std::string svg) {
        std::string name = stem + ".svg";
        for (int n = 2; !taken_.insert(name).second; ++n) name = fmt::format("{}-{}.svg", stem, n);
        list_.push_back({std::move(name), std::move(svg)});
    }
    std::vector<Picture> take() { return std::move(list_); }

  private:
    std::set<std::string> taken_;
    std::vector<Picture> list_;
};

void add_sun_paths(const RunResult& result, PictureList& list) {
    if (result.choices.sun_paths.empty()) return;
    const Envelope& scenery = result.light.scenery;
    const RayScene scene(scenery.blockers);
    const std::vector<DayPath> paths = day_paths(result);
    for (const MaskedFacet& of :
         masked_facets(result.envelope(), result.choices.sun_paths, sun_paths_option)) {
        const std::string& id = result.envelope().surfaces[of.surface.index()].id;
        const std::string part = of.number > 0 ? fmt::format("-facet-{}", of.number) : "";
        const std::string title = of.number > 0 ? fmt::format("{}, facet {}", id, of.number) : id;
        list.add("sun-paths-" + file_name_part(id) + part,
                 sun_paths_svg(
                     result,
                     sky_mask(scenery, scene, result.place.site, of.facet.index(), picture_cells),
                     paths, title));
    }
}

}  // namespace

void require_picture_matches(const Envelope& envelope, const RunChoices& choices) {
    masked_facets(envelope, choices.sun_paths, sun_paths_option);
    carpet_items(envelope, choices);
}

std::vector<Picture> pictures(const RunResult& result) {
    PictureList list;
    std::set<ColourBy> views(result.choices.views.begin(), result.choices.views.end());
    for (const ColourBy by : views)
        list.add(fmt::format("views-{}", view_word(by)), views_svg(result, by));
    add_sun_paths(result, list);
    const CarpetItems carpets = carpet_items(result.envelope(), result.choices);
    for (const SurfaceId surface : carpets.surfaces)
        list.add("carpet-" + file_name_part(result.envelope().surfaces[surface.index()].id),
                 carpet_svg(result, surface));
    for (const UnitId unit : carpets.units)
        list.add("carpet-" + file_name_part(result.envelope().units[unit.index()].id),
                 carpet_svg(result, unit));
    return list.take();
}

}  // namespace noonshell
