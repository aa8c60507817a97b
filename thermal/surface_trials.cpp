#include "thermal/surface_trials.hpp"

#include <algorithm>
#include <stdexcept>
#include <utility>

#include "solar/reflectance_change.hpp"

namespace noonshell {

namespace {

// A unit that takes in less than this share of the light that the change turns away (or lets in)
// keeps its base conditions.
constexpr double light_that_counts = 0.005;
// A neighbour in contact over less than this share of the unit's outside keeps them as well: two
// films and a gap pass less than the sheet.
constexpr double contact_that_counts = 0.01;
// A shade that the changed surface sees less of than this keeps its temperature.
constexpr double view_that_counts = 0.02;

/// Taken in or let through.
double not_reflected(const Construction& construction) {
    return construction.outside_absorptance + construction.solar_transmittance;
}

/// Marks neighbours with enough of their outside in contact with `own`.
void mark_contacts(const Envelope& envelope, UnitId own, ActivePart& part) {
    const auto unit_of = [&envelope](SurfaceId s) { return envelope.surfaces[s.index()].unit; };
    std::vector<double> contact_m2(envelope.units.size(), 0.0);
    for (const Contact& c : envelope.contacts) {
        if (c.on_ground() || !unit_of(c.a).valid() || !unit_of(c.b).valid()) continue;
        if (unit_of(c.a) == own) contact_m2[unit_of(c.b).index()] += c.area_m2;
        if (unit_of(c.b) == own) contact_m2[unit_of(c.a).index()] += c.area_m2;
    }
    double outside_m2 = 0;
    for (const SurfaceId s : envelope.units[own.index()].surfaces) {
        outside_m2 += envelope.surfaces[s.index()].area_m2;
    }
    for (std::size_t u = 0; u < contact_m2.size(); ++u) {
        if (contact_m2[u] > contact_that_counts * outside_m2) part.units[u] = 1;
    }
}

/// Marks the rooms behind the doors of `own`.
void mark_doorways(const Building& building, UnitId own, ActivePart& part) {
    for (const Doorway& door : building.doorways) {
        if (door.a == own) part.units[door.b.index()] = 1;
        if (door.b == own) part.units[door.a.index()] = 1;
    }
}

/// Marks units that take in enough of the light that the changed surface turns away.
void mark_light(const Envelope& envelope, const Building& building, const ReflectanceChange& change,
                ActivePart& part) {
    const double own_area_m2 = envelope.surfaces[change.surface.index()].area_m2;
    std::vector<double> taken(envelope.units.size(), 0.0);
    for (std::size_t j = 0; j < envelope.surfaces.size(); ++j) {
        const Surface& surface = envelope.surfaces[j];
        if (!surface.unit.valid()) continue;
        taken[surface.unit.index()] +=
            change.coupling[j] * surface.area_m2 * not_reflected(building.exposed[j]) / own_area_m2;
    }
    for (std::size_t u = 0; u < taken.size(); ++u) {
        if (taken[u] > light_that_counts) part.units[u] = 1;
    }
}

/// Marks shades that the changed surface sees enough of, each with all its surfaces.
void mark_shades(const HeatInputs& inputs, SurfaceId changed, ActivePart& part) {
    const std::vector<Surface>& surfaces = inputs.envelope.surfaces;
    const ExchangeNet& x = inputs.exchange.surfaces;
    for (auto k = x.row_begin[changed.index()]; k < x.row_begin[changed.index() + 1]; ++k) {
        const Surface& seen = surfaces[x.column[k]];
        if (seen.unit.valid() || x.share[k] < view_that_counts) continue;
        for (std::size_t s = 0; s < surfaces.size(); ++s) {
            if (!surfaces[s].unit.valid() && surfaces[s].body == seen.body) part.surfaces[s] = 1;
        }
    }
}

ActivePart touched_part(const HeatInputs& inputs, const Building& building,
                        const ReflectanceChange& change) {
    const Envelope& envelope = inputs.envelope;
    ActivePart part{std::vector<std::uint8_t>(envelope.units.size(), 0),
                    std::vector<std::uint8_t>(envelope.surfaces.size(), 0)};
    const UnitId own = envelope.surfaces[change.surface.index()].unit;
    part.units[own.index()] = 1;
    mark_contacts(envelope, own, part);
    mark_doorways(building, own, part);
    mark_light(envelope, building, change, part);
    mark_shades(inputs, change.surface, part);
    return part;
}

}  // namespace

SurfaceTrials::SurfaceTrials(const HeatInputs& inputs, const Building& base,
                             const Trace& base_trace, std::span<const SurfaceId> changed)
    : inputs_(inputs), base_(base), trace_(base_trace) {
    // What a new reflectance of each of them does to the light on the others.
    auto lists = light_couplings(inputs.envelope, inputs.exchange, inputs.exposure, changed);
    coupling_.resize(inputs.envelope.surfaces.size());
    for (std::size_t i = 0; i < changed.size(); ++i)
        coupling_[changed[i].index()] = std::move(lists[i]);
}

SurfaceTrials::Outcome SurfaceTrials::run(SurfaceId surface, const Construction& construction,
                                          const HeatOptions& options) const {
    const std::vector<double>& coupling = coupling_.at(surface.index());
    if (coupling.empty()) throw std::out_of_range("a surface that was not to be tried");
    Building changed = base_;
    Construction& own = changed.exposed[surface.index()];
    const ReflectanceChange change{.surface = surface,
                                   .change = not_reflected(own) - not_reflected(construction),
                                   .coupling = coupling};
    own = construction;
    Outcome outcome{touched_part(inputs_, base_, change), {}};
    outcome.response = simulate_part(inputs_, changed, options, outcome.active, trace_, change);
    return outcome;
}

Exposure SurfaceTrials::light_with(std::span<const double> reflectance) const {
    // Only differences count: the base light may have been found with other figures.
    const std::vector<double> base = outside_reflectance(base_);
    const auto n = static_cast<std::ptrdiff_t>(base.size());
    std::vector<double> now(inputs_.exposure.reflectance.begin(),
                            inputs_.exposure.reflectance.begin() + n);
    for (std::size_t s = 0; s < base.size(); ++s) {
        if (reflectance[s] != base[s]) now[s] += reflectance[s] - base[s];
    }
    return relit_by(inputs_.exposure, coupling_, now);
}

}  // namespace noonshell
