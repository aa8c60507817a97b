// The whole job: model, place, sun, heat, ranking; or the sun alone.
#pragma once

#include <cmath>
#include <optional>
#include <string>
#include <vector>

#include "cli/carried_over.hpp"
#include "cli/console.hpp"
#include "cli/inspection.hpp"
#include "cli/local_time.hpp"
#include "cli/run_choices.hpp"
#include "cli/site_file.hpp"
#include "cli/site_resolution.hpp"
#include "cli/sun_details.hpp"
#include "solar/bright_parts.hpp"
#include "solar/site_sun.hpp"
#include "thermal/defence.hpp"
#include "thermal/handbook_day.hpp"
#include "thermal/hot_spots.hpp"
#include "thermal/ranking.hpp"
#include "thermal/response.hpp"
#include "thermal/surroundings.hpp"
#include "thermal/unit_figures.hpp"

namespace noonshell {

struct RunResult {
    RunChoices choices;
    SiteFile settings;  ///< with every input that was taken, defaults too
    Inspection inspection;
    PlaceAndWeather place;
    Building building;
    SunPath path;
    SiteSun light;
    SunDetails sun_details;
    // With the sun alone, what follows down to `units` is empty.
    Response response;
    Response free_response;                 ///< the same period without cooling
    std::vector<BrightPart> bright_parts;   ///< #surfaces; none of a preview
    HotSpots hot_spots;                     ///< of these parts; none of a preview
    Ranking ranking;                        ///< where not ranked(): no treatment was tried
    std::vector<UnitFigures> units;         ///< #units
    std::vector<DefenceStage> defence;      ///< where not ranked(): none
    std::optional<HandbookDay> design_day;  ///< of a year
    std::vector<DesignLoad> design_loads;   ///< on it, #units; else empty
    std::vector<Warning> warnings;          ///< all of them, each once
    std::vector<CarriedChoice> carried;     ///< from an earlier version of the model

    const Envelope& envelope() const { return inspection.envelope; }
    const SurfaceSun& sun() const { return light.surfaces; }
    bool with_heat() const { return !choices.only_sun; }
    bool ranked() const { return with_heat() && !choices.preview && !choices.unranked; }

    bool is_cooled() const;  ///< any unit at any time

    /// The brightest part of a surface has a temperature of its own.
    bool has_hot_spot(std::size_t surface) const {
        return !bright_parts.empty() && bright_parts[surface].part.valid() &&
               std::isfinite(hot_spots.outside_c[surface].value);
    }
    /// Time in which the outside of a surface is at or above the n-th of
    /// bare_metal_touch_thresholds(): of its brightest part where that is known.
    double touch_h(std::size_t surface, std::size_t threshold) const;

    /// A view of `place`, made once by whoever writes many dates.
    ToldCalendar calendar() const { return {place.weather, place.site.utc_offset_h}; }

    /// Rated capacity for the larger of the period's and the design day's load [W].
    double needed_in_all_w(std::size_t unit) const;

    bool offers_film() const;  ///< whether a film fits a pane
    /// What electricity costs, in the user's currency.
    double bill_of(double priced_electricity_j) const;

    /// End of the step in which a peak stood, as "2023-07-21T15:15+03:00".
    std::string time_of(const Peak& peak, const ToldCalendar& calendar) const {
        return calendar.text(calendar.end_of_step(peak.step, response.steps_per_hour));
    }
};

/// How the sun of a run is found; threads, progress and chosen facets are left open.
SiteSunOptions sun_options(const SiteFile& settings, const RunChoices& choices);

/// What the site file says of the outdoors. Where parts of the ground have an albedo of their own,
/// the ground warms by the mean albedo of what the building sees of it.
SurroundingsOptions outdoors_of(const SiteFile& settings, const SiteSun& light);

/// Model, place, weather and light alone; the rest stays empty.
RunResult analyse_light(SiteFile settings, const RunChoices& choices, unsigned threads,
                        const Console& console);

/// Runs everything in memory; nothing is written. `threads` 0 means all. Polls interrupt_flag().
RunResult analyse(SiteFile settings, const RunChoices& choices, unsigned threads,
                  const Console& console);

}  // namespace noonshell
