// The layers of defence in turn, on the whole building: reflect the sun, wrap the steel, let a
// vented cladding carry the heat away, film the panes.
#pragma once

#include <functional>
#include <span>
#include <vector>

#include "solar/weather.hpp"
#include "thermal/comfort.hpp"
#include "thermal/simulate.hpp"
#include "thermal/treatment.hpp"
#include "thermal/unit_figures.hpp"

namespace noonshell {

/// The building with the layers of a stage on every surface where they fit.
struct DefenceStage {
    std::vector<std::size_t> treatments;  ///< in place, the latest last; empty: as it stands
    double treated_area_m2 = 0;           ///< in the open, with any of them
    double cost = 0;                      ///< of all of them
    SurfaceId
        hottest_surface;  ///< of the units' surfaces that hold metal; none without one in the open
    Peak peak_steel_c;
    UnitId hottest_unit;  ///< without cooling; none without units
    Peak peak_free_air_c;
    std::vector<double> cooling_j, heating_j;  ///< #units
    std::vector<Peak> peak_cooling_w;          ///< #units
    std::vector<UnitFigures> units;            ///< #units
    GapFigures gaps;  ///< fastest and hottest; of the heat, all claddings' air together
};

/// The light on the building with other outside reflectances, #surfaces.
using Relight = std::function<Exposure(std::span<const double> reflectance)>;

/// One treatment of each kind, the first in the list, in the order coating, outside insulation,
/// vented cladding, window film; kinds that the list lacks are left out.
std::vector<std::size_t> layers_of_defence(std::span<const Treatment> treatments);

/// What the stages start from.
struct DefenceBase {
    const Building& building;
    const Response& with_plant;  ///< its loads as put_loads() leaves them
    const Response& free;        ///< of free_running(building)
};

/// The building as it stands, then with each layer added to those before. Each stage is run anew,
/// its light with it. A film without a pane that it fits is no layer. Coatings count with their
/// aged reflectance.
std::vector<DefenceStage> defence_in_turn(const HeatInputs& inputs, const DefenceBase& base,
                                          std::span<const Treatment> treatments,
                                          const Weather& weather, AdaptiveModel comfort,
                                          const Relight& relight, const HeatOptions& options,
                                          unsigned threads = 0);

}  // namespace noonshell
