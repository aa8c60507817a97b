#include "cli/plan_yard.hpp"

#include <utility>

#include "cli/building_choice.hpp"
#include "cli/interrupt.hpp"
#include "geometry/quartered_facets.hpp"
#include "geometry/shade_builder.hpp"

namespace noonshell {

namespace {

class TracedScenery final : public Scenery {
  public:
    TracedScenery(const RunResult& run, const Surroundings& surroundings,
                  const ShadeSettings& shades, unsigned threads)
        : run_(run),
          surroundings_(surroundings),
          envelope_(built_with(run.inspection, shades).envelope) {
        require_same_units();
        SiteFile settings = run.settings;  // records of inputs go no further
        std::vector<Warning> told_before;
        building_ = choose_building(envelope_, settings, told_before);
        SiteSunOptions options = sun_options(run.settings, run.choices);
        options.threads = threads;
        options.stop = &interrupt_flag();
        light_ = find_sun(envelope_, run.place.site, run.place.weather, run.path,
                          outside_reflectance(building_), options);
        if (run.settings.run.accuracy > 0) take_facets(envelope_, light_.scenery);
        panes_.emplace(envelope_, building_.exposed, run.path);
        throw_if_interrupted();
    }
    HeatInputs inputs() const override {
        return {envelope_, light_.exchange, light_.exposure, surroundings_, &*panes_};
    }
    const Building& building() const override { return building_; }
    Exposure light_with(std::span<const double> reflectance) const override {
        return relit(light_, run_.place.site, run_.place.weather, run_.path, reflectance,
                     run_.settings.run.sky, 1);
    }

  private:
    /// Surfaces of the building as it is must keep their places.
    void require_same_units() const {
        const std::vector<Surface>& before = run_.envelope().surfaces;
        NOONSHELL_CHECK_LE(before.size(), envelope_.surfaces.size());
        for (std::size_t s = 0; s < before.size(); ++s)
            NOONSHELL_CHECK_EQ(before[s].id, envelope_.surfaces[s].id);
    }

    const RunResult& run_;
    const Surroundings& surroundings_;
    Envelope envelope_;
    Building building_;
    SiteSun light_;
    std::optional<PaneLight> panes_;
};

}  // namespace

Inspection built_with(const Inspection& inspection, const ShadeSettings& shades) {
    Inspection built = inspection;
    BuiltShades added = add_shades(built.model, built.roles, inspection.envelope, shades);
    built.envelope = build_envelope(built.model, built.roles, inspection.cut);
    built.added.insert(built.added.end(), std::make_move_iterator(added.bodies.begin()),
                       std::make_move_iterator(added.bodies.end()));
    built.warnings.insert(built.warnings.end(), added.warnings.begin(), added.warnings.end());
    return built;
}

ShadeMeasure TracedYard::measure(const ShadeSettings& shades) const {
    return measure_shades(run_.inspection.model, run_.envelope(), shades);
}

std::shared_ptr<const Scenery> TracedYard::with(const ShadeSettings& shades) const {
    return std::make_shared<const TracedScenery>(run_, surroundings_, shades, threads_);
}

ShadeSettings shades_of(const Plan& plan, std::span<const PlannedShade> planned) {
    ShadeSettings all;
    for (const std::size_t t : plan.shades) {
        const ShadeTrial& trial = plan.shade_trials[t];
        const ShadeSettings one = sized(planned[trial.shade], trial.size);
        all.roofs.insert(all.roofs.end(), one.roofs.begin(), one.roofs.end());
        all.overhangs.insert(all.overhangs.end(), one.overhangs.begin(), one.overhangs.end());
        all.fins.insert(all.fins.end(), one.fins.begin(), one.fins.end());
    }
    return all;
}

}  // namespace noonshell
