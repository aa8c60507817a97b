// How much of the sun clear glass lets in from where it stands: angle by angle, against normal
// incidence.
#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "geometry/envelope.hpp"
#include "solar/sun_path.hpp"
#include "thermal/construction.hpp"

namespace noonshell {

/// Transmittance of `sheets` of glass one behind the other for unpolarised light at an angle of
/// incidence, [duffie2013] eq. (5.1.1) to (5.3.1): Fresnel's reflection at each face (index 1.526),
/// reflections between all of them, absorption along the refracted path (Bouguer; extinction length
/// product 0.10 a sheet, 6 mm of clear float glass, common practice). Coatings and films have a
/// dependence of their own that is left out. 0 at 90 degrees.
double glass_transmittance(int sheets, double incidence_deg);

/// The same for light from all directions of the half space alike.
double glass_transmittance_of_diffuse(int sheets);

/// For the panes of a building and the hours of a sun path: what is let in over what would be at
/// normal incidence.
class PaneLight {
  public:
    /// All surfaces whose exposed part lets sun through. `exposed` #surfaces.
    PaneLight(const Envelope& envelope, std::span<const Construction> exposed, const SunPath& path);

    /// Direct light of an hour, the steps with the sun before the pane weighed by their cosine; 1
    /// for surfaces that are no panes.
    double of_beam(SurfaceId surface, std::size_t hour) const;

    /// The same for certain hours of the period.
    PaneLight of_hours(const std::vector<std::size_t>& hours) const;

    bool is_pane(SurfaceId surface) const;

    /// Light from sky, ground and other surfaces, taken as coming from all directions alike.
    double of_diffuse(SurfaceId surface) const { return diffuse_[surface.index()]; }

  private:
    std::size_t n_panes_ = 0;
    std::vector<std::uint32_t> column_;  // #surfaces, of beam_
    std::vector<float> beam_;            // [hour * n_panes + column]
    std::vector<double> diffuse_;        // #surfaces
};

}  // namespace noonshell
