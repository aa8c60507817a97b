#include "cli/sun_details.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <map>
#include <utility>

#include "cli/utf8.hpp"
#include "geometry/diagnostics.hpp"
#include "geometry/nearest_key.hpp"
#include "solar/facet_groups.hpp"

namespace noonshell {

namespace {

constexpr std::size_t shaders_told = 3;
constexpr std::uint32_t points_per_part = 16, quick_points_per_part = 4;
constexpr std::uint32_t takers_of_hour = 4, quick_takers_of_hour = 16;

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
        // Slats go by the number of the first, eaves by that of their unit.
        for (const Shade& shade : envelope.shades) {
            const std::uint32_t number = of_body_[shade.bodies.front().index()];
            if (number < envelope.units.size()) continue;
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

std::vector<SurfaceId> open_matches(const Envelope& envelope, const std::string& pattern) {
    std::vector<SurfaceId> matches;
    for (std::size_t s = 0; s < envelope.surfaces.size(); ++s) {
        if (!matches_pattern(pattern, envelope.surfaces[s].id)) continue;
        if (middle_facet(envelope, SurfaceId(s)).valid()) matches.emplace_back(s);
    }
    return matches;
}

InputError no_match(const char* option, const Envelope& envelope, const std::string& pattern) {
    std::vector<std::string_view> names;
    for (std::size_t s = 0; s < envelope.surfaces.size(); ++s) {
        if (middle_facet(envelope, SurfaceId(s)).valid()) names.push_back(envelope.surfaces[s].id);
    }
    const std::string nearest(nearest_key(pattern.substr(0, pattern.rfind('#')), names));
    return {{.entity = option},
            fmt::format("a pattern of surfaces with a part in the open (nearest: \"{}\")",
                        printable(nearest)),
            "\"" + pattern + "\""};
}

/// A name may hold a "#" of its own: only where nothing matches as it stands, digits behind the
/// last one are a facet's number.
std::vector<MaskedFacet> facets_of_mask(const Envelope& envelope, const std::string& text,
                                        const char* option) {
    std::vector<MaskedFacet> masked;
    for (const SurfaceId surface : open_matches(envelope, text))
        masked.push_back({surface, middle_facet(envelope, surface), 0});
    const std::size_t mark = text.rfind('#');
    if (!masked.empty() || mark == std::string::npos) {
        if (masked.empty()) throw no_match(option, envelope, text);
        return masked;
    }
    std::size_t number = 0;
    const char* const end = text.data() + text.size();
    const auto [stop, fault] = std::from_chars(text.data() + mark + 1, end, number);
    const std::vector<SurfaceId> matches = open_matches(envelope, text.substr(0, mark));
    if (matches.empty()) throw no_match(option, envelope, text);
    if (fault != std::errc() || stop != end)
        throw InputError({.entity = option}, "the number of a facet behind #", "\"" + text + "\"");
    std::size_t most = 0;
    for (const SurfaceId id : matches) {
        const Surface& surface = envelope.surfaces[id.index()];
        most = std::max<std::size_t>(most, surface.n_facets);
        if (number < 1 || number > surface.n_facets) continue;
        const FacetId facet(surface.first_facet + number - 1);
        if (takes_light(envelope, facet.index())) masked.push_back({id, facet, number});
    }
    if (masked.empty())
        throw InputError({.entity = option},
                         fmt::format("a facet in the open, of 1 to {}, behind #", most),
                         "\"" + text + "\"");
    return masked;
}

}  // namespace

std::vector<MaskedFacet> masked_facets(const Envelope& envelope,
                                       const std::vector<std::string>& patterns,
                                       const char* option) {
    std::vector<MaskedFacet> masked;
    for (const std::string& text : patterns) {
        const std::vector<MaskedFacet> more = facets_of_mask(envelope, text, option);
        for (const MaskedFacet& one : more) {
            const auto same = [&one](const MaskedFacet& other) {
                return other.surface == one.surface && other.number == one.number;
            };
            if (std::none_of(masked.begin(), masked.end(), same)) masked.push_back(one);
        }
    }
    std::stable_sort(masked.begin(), masked.end(), [](const MaskedFacet& a, const MaskedFacet& b) {
        return std::pair(a.surface.index(), a.number) < std::pair(b.surface.index(), b.number);
    });
    return masked;
}

ChosenFacets choose_facets(const Envelope& envelope, const RunChoices& choices) {
    ChosenFacets chosen{masked_facets(envelope, choices.masks, "--mask"), {}};
    std::vector<bool> told(envelope.surfaces.size());
    const auto tell = [&](const char* option, const std::vector<std::string>& patterns) {
        for (const std::string& pattern : patterns) {
            const std::vector<SurfaceId> matches = open_matches(envelope, pattern);
            if (matches.empty()) throw no_match(option, envelope, pattern);
            for (const SurfaceId surface : matches) told[surface.index()] = true;
        }
    };
    tell("--facets", choices.facets);
    tell("--netcdf-facets", choices.netcdf_facets);
    for (std::size_t s = 0; s < told.size(); ++s) {
        if (!told[s]) continue;
        const Surface& surface = envelope.surfaces[s];
        for (std::size_t i = 0; i < surface.n_facets; ++i)
            chosen.by_hour.emplace_back(surface.first_facet + i);
    }
    return chosen;
}

std::vector<std::size_t> matching_facets(const Envelope& envelope, const FacetHours& hours,
                                         const std::vector<std::string>& patterns) {
    std::vector<bool> matches(envelope.surfaces.size());
    for (std::size_t s = 0; s < matches.size(); ++s) {
        matches[s] = std::any_of(patterns.begin(), patterns.end(), [&](const std::string& pattern) {
            return matches_pattern(pattern, envelope.surfaces[s].id);
        });
    }
    std::vector<std::size_t> places;
    for (std::size_t i = 0; i < hours.facets.size(); ++i) {
        if (matches[envelope.facets.surface[hours.facets[i].index()].index()]) places.push_back(i);
    }
    return places;
}

SunDetails sun_details(const Inspection& inspection, const PlaceAndWeather& place,
                       const SunPath& path, const SiteSun& light,
                       const std::vector<MaskedFacet>& masked, SkyModel sky, bool quick,
                       unsigned threads) {
    SunDetails details;
    const auto month = month_of_hour(place.site, place.weather);
    details.months = surface_bins(light.exposure, month, months_of_year);
    details.month_there.assign(months_of_year, false);
    for (const std::uint8_t m : month) details.month_there[m] = true;
    details.times = sun_times(light.scenery, place.site, place.weather, path, light.exchange.parts,
                              light.sunlight, light.exposure);
    const RayScene scene(light.scenery.blockers);
    details.shaders =
        shaders_of(inspection, place, path, light, scene,
                   {.points_per_part = quick ? quick_points_per_part : points_per_part,
                    .takers_of_hour = quick ? quick_takers_of_hour : takers_of_hour,
                    .threads = threads});
    for (const MaskedFacet& of : masked) {
        details.masks.push_back({of, sky_mask(light.scenery, scene, place.site, of.facet.index())});
    }
    if (light.sunlight.chosen_facets.empty()) return details;
    details.facet_hours = facet_hours(light, place.site, place.weather, path, sky, threads);
    details.facet_times =
        facet_times(light.scenery, place.site, place.weather, path, details.facet_hours);
    return details;
}

std::string clock_text(double seconds_after_midnight) {
    const auto minutes = std::lround(seconds_after_midnight / 60);
    return fmt::format("{:02}:{:02}", minutes / 60, minutes % 60);
}

}  // namespace noonshell
