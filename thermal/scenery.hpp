// A site with shades built on it, as the planner asks for it.
#pragma once

#include <memory>
#include <span>

#include "geometry/shade_measure.hpp"
#include "geometry/shade_settings.hpp"
#include "thermal/simulate.hpp"

namespace noonshell {

/// A building, its light traced. Surfaces of units stand in the same places whatever shades there
/// are; those of the shades follow.
class Scenery {
  public:
    Scenery() = default;
    Scenery(const Scenery&) = delete;
    Scenery& operator=(const Scenery&) = delete;
    virtual ~Scenery() = default;
    /// All that it refers to lives as long as the scenery.
    virtual HeatInputs inputs() const = 0;
    virtual const Building& building() const = 0;
    /// The light found anew with other outside reflectances, #surfaces. Safe to call from several
    /// threads.
    virtual Exposure light_with(std::span<const double> reflectance) const = 0;
};

/// Builds shades and traces what comes of it.
class ShadeYard {
  public:
    ShadeYard() = default;
    ShadeYard(const ShadeYard&) = delete;
    ShadeYard& operator=(const ShadeYard&) = delete;
    virtual ~ShadeYard() = default;
    /// Throws as build_shades() does.
    virtual ShadeMeasure measure(const ShadeSettings& shades) const = 0;
    virtual std::shared_ptr<const Scenery> with(const ShadeSettings& shades) const = 0;
};

}  // namespace noonshell
