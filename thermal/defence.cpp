#include "thermal/defence.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "solar/parallel.hpp"
#include "thermal/finishes.hpp"
#include "thermal/treatment_rules.hpp"
#include "thermal/unlimited_loads.hpp"

namespace noonshell {

namespace {

constexpr std::array kinds_in_turn = {TreatmentKind::coating, TreatmentKind::outside_insulation,
                                      TreatmentKind::vented_cladding, TreatmentKind::window_film};

bool above(const Peak& a, const Peak& b) {
    return a.value > b.value || std::isnan(b.value);
}

/// Of surfaces that are of steel, or hold some.
void find_hottest(const Envelope& envelope, const Building& bare, const Response& with_plant,
                  DefenceStage& stage) {
    const Peak none{std::numeric_limits<double>::quiet_NaN(), 0};
    stage.peak_steel_c = stage.peak_free_air_c = none;
    for (std::size_t s = 0; s < envelope.surfaces.size(); ++s) {
        const Peak& peak = with_plant.peak_steel_c[s];
        if (!envelope.surfaces[s].unit.valid() || std::isnan(peak.value)) continue;
        if (!holds_metal(bare.exposed[s])) continue;
        if (!above(peak, stage.peak_steel_c)) continue;
        stage.hottest_surface = SurfaceId(s);
        stage.peak_steel_c = peak;
    }
    for (std::size_t u = 0; u < stage.units.size(); ++u) {
        if (!above(stage.units[u].peak_free_air_c, stage.peak_free_air_c)) continue;
        stage.hottest_unit = UnitId(u);
        stage.peak_free_air_c = stage.units[u].peak_free_air_c;
    }
}

void join(const GapFigures& one, GapFigures& all) {
    if (!one.there) return;
    const double carried_j = all.carried_away_j + one.carried_away_j;
    if (!all.there || above(one.air_speed_m_s, all.air_speed_m_s))
        all.air_speed_m_s = one.air_speed_m_s;
    if (!all.there || above(one.outlet_c, all.outlet_c)) all.outlet_c = one.outlet_c;
    all.there = true;
    all.carried_away_j = carried_j;
}

class StageRunner {
  public:
    StageRunner(const HeatInputs& inputs, const DefenceBase& base,
                std::span<const Treatment> treatments, const Weather& weather,
                AdaptiveModel comfort)
        : inputs_(inputs),
          base_(base),
          treatments_(treatments),
          weather_(weather),
          comfort_(comfort) {}

    DefenceStage as_it_stands() const { return figures(base_.with_plant, base_.free); }

    DefenceStage run(const std::vector<std::size_t>& in_place, const Relight& relight,
                     const HeatOptions& options, unsigned threads) const {
        Building building = base_.building;
        double area_m2 = 0, cost = 0;
        for (std::size_t s = 0; s < building.exposed.size(); ++s) {
            const Surface& surface = inputs_.envelope.surfaces[s];
            std::vector<const Treatment*> fitting;
            for (const std::size_t t : in_place) {
                if (fits(treatments_[t], surface)) fitting.push_back(&treatments_[t]);
            }
            if (fitting.empty()) continue;
            building.exposed[s] = defended(building.exposed[s], fitting);
            area_m2 += surface.exposed_area_m2;
            for (const Treatment* t : fitting) cost += cost_of(*t, surface.exposed_area_m2);
        }
        const Exposure light = relight(outside_reflectance(building));
        const HeatInputs inputs{inputs_.envelope, inputs_.exchange, light, inputs_.surroundings,
                                inputs_.panes};
        const std::array buildings = {building, free_running(building)};
        std::array<Response, 2> responses;
        for_each_task(threads, buildings.size(), [&](std::size_t i) {
            HeatOptions own = options;
            own.account = i == 0;     // for the air behind claddings
            own.keep_hours = i == 1;  // for the time too hot
            responses[i] = simulate(inputs, buildings[i], own);
        });
        put_loads(unlimited_run(inputs, building, responses[0], options), responses[0]);
        DefenceStage stage = figures(responses[0], responses[1]);
        stage.treatments = in_place;
        stage.treated_area_m2 = area_m2;
        stage.cost = cost;
        return stage;
    }

  private:
    DefenceStage figures(const Response& with_plant, const Response& free) const {
        DefenceStage stage;
        stage.cooling_j = with_plant.cooling_j;
        stage.heating_j = with_plant.heating_j;
        stage.peak_cooling_w = with_plant.peak_cooling_w;
        stage.units = unit_figures(with_plant, free, weather_, comfort_);
        find_hottest(inputs_.envelope, base_.building, with_plant, stage);
        for (const GapFigures& gap : with_plant.gaps) join(gap, stage.gaps);
        stage.gaps.carried_w = with_plant.gaps_carried_w;
        return stage;
    }

    const HeatInputs& inputs_;
    const DefenceBase& base_;
    std::span<const Treatment> treatments_;
    const Weather& weather_;
    AdaptiveModel comfort_;
};

}  // namespace

std::vector<std::size_t> layers_of_defence(std::span<const Treatment> treatments) {
    std::vector<std::size_t> layers;
    for (const TreatmentKind kind : kinds_in_turn) {
        const auto found =
            std::find_if(treatments.begin(), treatments.end(),
                         [kind](const Treatment& treatment) { return treatment.kind == kind; });
        if (found != treatments.end()) {
            layers.push_back(static_cast<std::size_t>(found - treatments.begin()));
        }
    }
    return layers;
}

std::vector<DefenceStage> defence_in_turn(const HeatInputs& inputs, const DefenceBase& base,
                                          std::span<const Treatment> treatments,
                                          const Weather& weather, AdaptiveModel comfort,
                                          const Relight& relight, const HeatOptions& options,
                                          unsigned threads) {
    for (const Treatment& treatment : treatments) validate(treatment);
    require_suitable_glass(treatments, inputs.envelope, base.building);
    const StageRunner runner(inputs, base, treatments, weather, comfort);
    std::vector<DefenceStage> stages = {runner.as_it_stands()};
    std::vector<std::size_t> layers = layers_of_defence(treatments);
    // A building without panes has no layer of film.
    std::erase_if(layers, [&](std::size_t t) {
        return treatments[t].is_of_panes() &&
               std::ranges::none_of(inputs.envelope.surfaces, [&](const Surface& surface) {
                   return fits(treatments[t], surface);
               });
    });
    const auto tell = [&] {
        if (options.progress) {
            options.progress(static_cast<double>(stages.size() - 1) /
                             static_cast<double>(std::max<std::size_t>(1, layers.size())));
        }
    };
    HeatOptions quiet = options;
    quiet.progress = {};
    for (std::size_t n = 1; n <= layers.size(); ++n) {
        tell();
        const std::vector<std::size_t> in_place(layers.begin(),
                                                layers.begin() + static_cast<std::ptrdiff_t>(n));
        stages.push_back(runner.run(in_place, relight, quiet, threads));
    }
    tell();
    return stages;
}

}  // namespace noonshell
