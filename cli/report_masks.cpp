#include "cli/report_masks.hpp"

#include <cstdint>
#include <limits>
#include <map>
#include <vector>

#include "cli/packed_numbers.hpp"
#include "cli/sights.hpp"
#include "solar/ray_scene.hpp"
#include "solar/sky_mask.hpp"

namespace noonshell {

namespace {

constexpr double mask_step_deg = 3;
constexpr std::size_t most_surfaces = 1000;

/// Numbers of what is seen, in order of their first sight; what is beyond a byte shares the last.
class Sights {
  public:
    explicit Sights(const Inspection& inspection) : inspection_(inspection) {}

    std::uint8_t number(std::uint32_t seen) {
        switch (seen) {
            case SkyMask::sky:
                return 0;
            case SkyMask::behind:
                return 1;
            case SkyMask::hills:
                return 2;
            case SkyMask::ground:
                return 3;
            default:
                return number_of(sight_name(inspection_, seen));
        }
    }

    Json names() const { return names_; }

  private:
    std::uint8_t number_of(const std::string& name) {
        constexpr std::size_t first = 4, most = std::numeric_limits<std::uint8_t>::max() - first;
        const auto found = numbers_.find(name);
        if (found != numbers_.end()) return found->second;
        const bool last = names_.size() + 1 >= most;
        if (names_.size() < most) names_.push_back(json_text(last ? "others" : name));
        const auto number = static_cast<std::uint8_t>(names_.size() - 1 + first);
        numbers_.emplace(name, number);
        return number;
    }

    const Inspection& inspection_;
    std::map<std::string, std::uint8_t> numbers_;
    Json names_ = Json::array();
};

std::vector<std::uint8_t> above_horizon(const SkyMask& mask, Sights& sights) {
    std::vector<std::uint8_t> numbers;
    for (std::uint32_t e = 0; e < mask.n_elevations; ++e) {
        if (mask.elevation_deg(e) < 0) continue;
        for (std::uint32_t a = 0; a < mask.n_azimuths; ++a)
            numbers.push_back(sights.number(mask.at(a, e)));
    }
    return numbers;
}

}  // namespace

Json report_masks(const RunResult& result) {
    const Envelope& scenery = result.light.scenery;
    const std::size_t n_surfaces = result.envelope().surfaces.size();
    if (n_surfaces > most_surfaces) return nullptr;
    const RayScene scene(scenery.blockers);
    Sights sights(result.inspection);
    Json surfaces = Json::array();
    for (std::size_t s = 0; s < n_surfaces; ++s) {
        const FacetId facet = middle_facet(scenery, SurfaceId(s));
        if (!facet.valid()) {
            surfaces.push_back(nullptr);
            continue;
        }
        const SkyMask mask =
            sky_mask(scenery, scene, result.place.site, facet.index(),
                     {.azimuth_step_deg = mask_step_deg, .elevation_step_deg = mask_step_deg});
        surfaces.push_back(packed_small(above_horizon(mask, sights)));
    }
    return {{"azimuth_step_deg", mask_step_deg},
            {"elevation_step_deg", mask_step_deg},
            {"names", sights.names()},
            {"surfaces", std::move(surfaces)}};
}

}  // namespace noonshell
