#include "geometry/unit_figures.hpp"

#include <algorithm>
#include <limits>
#include <string>

#include "geometry/body_measure.hpp"
#include "geometry/plain_text.hpp"

namespace noonshell {

namespace {

void take_figures(const EnvelopeOptions& options, Unit& unit) {
    for (const UnitFigure& figure : options.unit_figures) {
        if (!matches_pattern(figure.unit, unit.id)) continue;
        const bool both = figure.floor_area_m2 && figure.volume_m3;
        if (figure.floor_area_m2) unit.floor_area_m2 = *figure.floor_area_m2;
        if (figure.volume_m3) unit.volume_m3 = *figure.volume_m3;
        if (both)
            unit.how = "floor area and volume given";
        else if (figure.floor_area_m2)
            unit.how = "floor area given; " + unit.how;
        else if (figure.volume_m3)
            unit.how = "volume given; " + unit.how;
    }
}

/// For a unit without a floor of its own: what its upward faces cover in plan.
void floor_from_plan(const Envelope& envelope, Unit& unit) {
    for (const SurfaceId s : unit.surfaces) {
        const Surface& surface = envelope.surfaces[s.index()];
        for (std::size_t f = 0; f < surface.n_facets; ++f) {
            const std::size_t facet = surface.first_facet + f;
            unit.floor_area_m2 +=
                envelope.facets.area_m2[facet] * std::max(0.0, envelope.facets.normal[facet].z());
        }
    }
}

void volume_from_height(const Model& model, Unit& unit, std::vector<Warning>& warnings) {
    double low = std::numeric_limits<double>::infinity(), high = -low;
    for (const BodyId b : unit.bodies) {
        const BodyBounds bounds = bounds_of_body(model, b);
        low = std::min(low, bounds.low_m.z());
        high = std::max(high, bounds.high_m.z());
    }
    unit.volume_m3 = unit.floor_area_m2 * (high - low);
    const bool solid = std::ranges::all_of(
        unit.bodies, [&](BodyId body) { return model.bodies[body.index()].solid; });
    const std::string what = !solid                   ? "is not a closed solid and encloses no room"
                             : unit.bodies.size() > 1 ? "is closed bodies that enclose no room"
                                                      : "is a closed body that encloses no room";
    unit.how += "; " + what + ": volume is floor area times height";
    warnings.push_back(
        {"unit-not-closed", unit.id + " " + what + "; its volume is estimated", unit.id});
}

/// Halls are larger than any container, cabin or house; beyond these, lengths are rather wrong.
constexpr double largest_likely_volume_m3 = 2000, largest_likely_floor_m2 = 1000;

/// One warning for all units, with the largest.
void warn_of_vast_rooms(const Model& model, Envelope& envelope) {
    const Unit* largest = nullptr;
    std::size_t n = 0;
    for (const Unit& unit : envelope.units) {
        if (unit.volume_m3 <= largest_likely_volume_m3 &&
            unit.floor_area_m2 <= largest_likely_floor_m2) {
            continue;
        }
        ++n;
        if (largest == nullptr || unit.volume_m3 > largest->volume_m3) largest = &unit;
    }
    if (largest == nullptr) return;
    const std::string text = "a room of " + plain_figure(largest->floor_area_m2) + " m2 and " +
                             plain_figure(largest->volume_m3) +
                             " m3 is larger than those of containers and houses (up to " +
                             plain_figure(largest_likely_floor_m2) + " m2, " +
                             plain_figure(largest_likely_volume_m3) + " m3)";
    const std::string cause =
        n == envelope.units.size()
            ? "; likely cause: the length unit that the file declares (" + model.length_unit +
                  "): check the size of the model and the export"
            : std::string(
                  "; the other units are not: name it a context if it is ground or terrain");
    envelope.warnings.push_back({"unit-size",
                                 text +
                                     (n == 1 ? ""
                                             : ", and so are those of " + std::to_string(n - 1) +
                                                   (n == 2 ? " more unit" : " more units")) +
                                     cause,
                                 largest->id});
}

}  // namespace

void describe_units(const Model& model, const EnvelopeOptions& options, Envelope& envelope) {
    for (Unit& unit : envelope.units) {
        if (unit.floor_area_m2 <= 0) {
            for (const SurfaceId s : unit.surfaces) {
                const Surface& surface = envelope.surfaces[s.index()];
                if (surface.kind == SurfaceKind::floor) unit.floor_area_m2 += surface.area_m2;
            }
            std::string how = "floor area of its lowest side that faces down";
            if (unit.floor_area_m2 <= 0) {
                floor_from_plan(envelope, unit);
                how = "no side faces down: floor area is its roof seen from above";
            }
            unit.how = how + (unit.how.empty() ? "" : "; ") + unit.how;
        }
        if (unit.volume_m3 <= 0) volume_from_height(model, unit, envelope.warnings);
        take_figures(options, unit);
    }
    warn_of_vast_rooms(model, envelope);
    for (const UnitFigure& figure : options.unit_figures) {
        const bool named = std::ranges::any_of(envelope.units, [&](const Unit& unit) {
            return matches_pattern(figure.unit, unit.id);
        });
        if (named) continue;
        envelope.warnings.push_back({"unit-figure-matches-nothing",
                                     "no unit has this name; its floor area and volume are "
                                     "given in vain",
                                     figure.unit});
    }
}

}  // namespace noonshell
