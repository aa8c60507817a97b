#include "cli/sun_details.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "geometry/diagnostics.hpp"

namespace noonshell {

namespace {

constexpr std::size_t shaders_told = 3;
constexpr std::uint32_t points_per_part = 16, quick_points_per_part = 4;

/// Units count as one thing, whatever bodies they are made of; then come all other bodies.
class ShaderNumbers {
  public:
    explicit ShaderNumbers(const Inspection& inspection)
        : inspection_(inspection), of_body_(inspection.model.bodies.size()) {
        const Envelope& envelope = inspection.envelope;
        for (std::size_t b = 0; b < of_body_.size(); ++b) {
            of_body_[b] = static_cast<std::uint32_t>(envelope.units.size() + b);
        }
        for (std::size_t u = 0; u < envelope.units.size(); ++u) {
            for (const BodyId body : envelope.units[u].bodies) {
                of_body_[body.index()] = static_cast<std::uint32_t>(u);
            }
        }
        // Slats go by the number of the first.
        for (const Shade& shade : envelope.shades) {
            const std::uint32_t number = of_body_[shade.bodies.front().index()];
            for (const BodyId body : shade.bodies) of_body_[body.index()] = number;
            if (shade.bodies.size() > 1) slats_.emplace(number, shade.id);
        }
    }

    std::uint32_t of(const Surface& surface) const {
        return surface.unit.valid() ? surface.unit.value : of_body_[surface.body.index()];
    }

    std::vector<std::uint32_t> of_triangles() const {
        const Envelope& envelope = inspection_.envelope;
        std::vector<std::uint32_t> numbers;
        for (std::size_t t = 0; t < envelope.blockers.triangles.size(); ++t) {
            const SurfaceId surface = envelope.triangle_surface[t];
            const FaceId face = envelope.blockers.triangle_face[t];
            numbers.push_back(surface.valid()
                                  ? of(envelope.surfaces[surface.index()])
                                  : of_body_[inspection_.model.faces[face.index()].body.index()]);
        }
        return numbers;
    }

    std::string name(std::uint32_t number) const {
        if (number == ShadeSource::hills) return "hills";
        if (const auto slats = slats_.find(number); slats != slats_.end()) return slats->second;
        const auto& units = inspection_.envelope.units;
        return number < units.size() ? units[number].id
                                     : inspection_.model.bodies[number - units.size()].id;
    }

  private:
    const Inspection& inspection_;
    std::vector<std::uint32_t> of_body_;
    std::map<std::uint32_t, std::string> slats_;  ///< names of shades of several bodies
};

std::vector<std::vector<Shader>> shaders_of(const Inspection& inspection,
                                            const PlaceAndWeather& place, const SunPath& path,
                                            const SiteSun& light, const RayScene& scene,
                                            const ShadeSourceOptions& options) {
    const ShaderNumbers numbers(inspection);
    const auto sources = shade_sources(light.scenery, scene, path, place.weather,
                                       light.exchange.parts, numbers.of_triangles(), options);
    std::vector<std::vector<Shader>> all;
    for (std::size_t s = 0; s < sources.size(); ++s) {
        const std::uint32_t own = numbers.of(inspection.envelope.surfaces[s]);
        std::vector<Shader> shaders;
        for (const ShadeSource& source : sources[s]) {
            if (shaders.size() == shaders_told) break;
            shaders.push_back({numbers.name(source.caster), source.caster == own, source.wh_m2});
        }
        all.push_back(std::move(shaders));
    }
    return all;
}

}  // namespace

std::vector<SurfaceId> surfaces_of_masks(const Envelope& envelope,
                                         const std::vector<std::string>& patterns) {
    std::vector<bool> chosen(envelope.surfaces.size());
    for (const std::string& pattern : patterns) {
        bool any = false;
        for (std::size_t s = 0; s < envelope.surfaces.size(); ++s) {
            if (!matches_pattern(pattern, envelope.surfaces[s].id)) continue;
            if (!middle_facet(envelope, SurfaceId(s)).valid()) continue;
            any = chosen[s] = true;
        }
        if (!any)
            throw InputError({.entity = "--mask"}, "a pattern of surfaces with a part in the open",
                             "\"" + pattern + "\"");
    }
    std::vector<SurfaceId> surfaces;
    for (std::size_t s = 0; s < chosen.size(); ++s) {
        if (chosen[s]) surfaces.emplace_back(s);
    }
    return surfaces;
}

SunDetails sun_details(const Inspection& inspection, const PlaceAndWeather& place,
                       const SunPath& path, const SiteSun& light,
                       const std::vector<SurfaceId>& masked, bool quick, unsigned threads) {
    SunDetails details;
    const auto month = month_of_hour(place.site, place.weather);
    details.months = surface_bins(light.exposure, month, months_of_year);
    details.month_there.assign(months_of_year, false);
    for (const std::uint8_t m : month) details.month_there[m] = true;
    details.times = sun_times(light.scenery, place.site, place.weather, path, light.exchange.parts,
                              light.sunlight, light.exposure);
    const RayScene scene(light.scenery.blockers);
    details.shaders = shaders_of(
        inspection, place, path, light, scene,
        {.points_per_part = quick ? quick_points_per_part : points_per_part, .threads = threads});
    for (const SurfaceId surface : masked) {
        const FacetId facet = middle_facet(light.scenery, surface);
        details.masks.push_back(
            {surface, sky_mask(light.scenery, scene, place.site, facet.index())});
    }
    return details;
}

std::string clock_text(double seconds_after_midnight) {
    const auto minutes = std::lround(seconds_after_midnight / 60);
    return fmt::format("{:02}:{:02}", minutes / 60, minutes % 60);
}

}  // namespace noonshell
