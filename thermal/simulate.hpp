// The year of the whole building: outside balances, conduction, rooms, contacts and plant.
#pragma once

#include <atomic>
#include <functional>
#include <span>

#include "geometry/envelope.hpp"
#include "solar/exchange.hpp"
#include "solar/exposure.hpp"
#include "thermal/building.hpp"
#include "thermal/heat_patches.hpp"
#include "thermal/pane_light.hpp"
#include "thermal/response.hpp"
#include "thermal/surroundings.hpp"

namespace noonshell {

struct HeatOptions {
    int refine = 1;          ///< multiplies the cells of every wall
    double settle_k = 0.02;  ///< inner loop ends when outside faces move less [K]; see OpenLanes
    int most_inner_loops = 12;
    double warm_up_days = 20;  ///< taken from the end of the period; a period shorter than this
                               ///< is repeated until its walls no longer change, a longer one where
                               ///< its ends are more than 0.5 K apart; 0: none of it
    int most_repeats = 400;    ///< of a short period
    int most_passes = 6;       ///< over a long one
    bool keep_hours = true;    ///< fill the hourly arrays of the response
    bool account = true;       ///< fill room_balance and outside_residual
    /// Runs the two halves of a long period side by side, each after days of its own to settle:
    /// the answer on two cores in little more than half the time. Whether it does changes the
    /// answer in the last digits; the number of threads does not.
    bool in_halves = false;
    const std::atomic<bool>* stop = nullptr;
    std::function<void(double)> progress;  ///< share done 0..1
};

/// Of a whole building's figure over a run: what saves less moves nothing but the last digits of
/// the iterations.
inline constexpr double share_that_counts = 1e-6;

/// What a run is about; all of it must outlive the run.
struct HeatInputs {
    const Envelope& envelope;
    const ExchangeMatrix& exchange;
    const Exposure& exposure;
    const Surroundings& surroundings;
    const PaneLight* panes = nullptr;  ///< none: panes let in as at normal incidence
};

/// Runs every unit. Fills `trace` when it is given.
Response simulate(const HeatInputs& inputs, const Building& building,
                  const HeatOptions& options = {}, Trace* trace = nullptr);

/// A change of one surface's reflectance in its exact rank-one form (solar/reflectance_change.hpp):
/// incident light of surface j becomes E_j + coupling[j] * change * E_k / (1 - coupling[k] *
/// change), k the changed surface.
struct ReflectanceChange {
    SurfaceId surface;             ///< none: no change
    double change = 0;             ///< new minus old reflectance
    std::vector<double> coupling;  ///< #surfaces
};

/// Runs only the units and shades marked in `active`; all others keep the conditions of `trace`.
Response simulate_part(const HeatInputs& inputs, const Building& building,
                       const HeatOptions& options, const ActivePart& active, const Trace& trace,
                       const ReflectanceChange& change);

}  // namespace noonshell
