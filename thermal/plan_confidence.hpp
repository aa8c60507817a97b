// How sure a plan is: what of it stays when inputs are not what they were taken to be.
#pragma once

#include <atomic>
#include <cstdint>
#include <span>
#include <string_view>
#include <vector>

#include "thermal/plan_goal.hpp"
#include "thermal/plan_limits.hpp"
#include "thermal/purchase_costs.hpp"
#include "thermal/simulate.hpp"

namespace noonshell {

/// Half the width of every range; within it any value is as likely as any other. What the defaults
/// say is from memory: aged reflectance, the scatter of weathered white coatings between sites;
/// emittance, of paints; wind, that of forced coefficients between correlations; leaks, between
/// units of one make; sky, the misfit of clear-sky emissivities; prices and insulation as built,
/// own choice; g-value, films on glass of other makes, own choice; another year's air and sun, the
/// scatter of seasons between years.
struct InputSpread {
    double aged_reflectance = 0.08;
    double emittance = 0.05;
    double wind_share = 0.3;  ///< of forced convection
    double leakage_share = 0.5;
    double sky_longwave_share = 0.05;
    double insulation_share = 0.15;  ///< of the resistance that a treatment adds
    double price_share = 0.2;        ///< of each treatment, of call-outs, of electricity
    double g_value = 0.03;           ///< of panes with a film
    double year_air_k = 1;           ///< of air, ground and with them the sky, the period through
    double year_sun_share = 0.05;    ///< of all sunlight, the period through
};

/// The inputs that are drawn, each on its own.
enum class UncertainKind : std::uint8_t {
    wind,
    leakage,
    sky,
    aged_reflectance,
    emittance,
    insulation,
    g_value,
    year_air,
    year_sun,
    price,
    call_out_price,
    electricity_price
};

std::string_view to_string(UncertainKind kind);

struct UncertainInput {
    UncertainKind kind = UncertainKind::wind;
    std::size_t treatment = 0;  ///< of aged_reflectance, emittance, insulation, g_value and price
    bool of_treatment() const;
};

struct RankSpread {
    SurfaceId surface;
    double rank = 0;           ///< with the inputs as they are; 1 is the best saving per cost
    double low = 0, high = 0;  ///< of 90 % of the samples
};

/// Rank correlations (Spearman) over the samples, -1 to 1.
struct InputWeight {
    UncertainInput input;
    double on_saving = 0;  ///< with what the plan saves
    double on_plan = 0;    ///< with the share of the plan's cost that stays
};

struct PlanConfidence {
    std::size_t samples = 0;
    std::vector<double> stays;               ///< share of samples, #plan as given
    std::vector<RankSpread> ranks;           ///< of surfaces that can be bought for, best first
    std::vector<InputWeight> inputs;         ///< most weight on either first
    double saving_low = 0, saving_high = 0;  ///< what the plan saves in 90 % of the samples
    /// Share of samples in which the plan leaves no unit above a limit; 1 where there are none.
    double within_limits = 1;
};

/// A limit of one unit, as the plan's own runs see it.
struct SampledLimit {
    LimitedUnit limited;
    double bare = 0, planned = 0;   ///< the figure without and with the plan
    std::vector<double> taken_off;  ///< by each finish on its own, #finishes
    double scale = 1;               ///< what of that is left in a plan
};

struct ConfidenceQuestion {
    const HeatInputs& inputs;
    const Building& base;
    std::span<const Treatment> treatments;
    const std::vector<Finish>& finishes;
    const PurchaseCosts& costs;
    std::vector<double> alone;      ///< #finishes, saving on its own, counted costs left out
    std::vector<double> scale{};    ///< #finishes, what of that is left in a plan
    std::vector<double> counted{};  ///< #finishes, costs to be taken off
    Choice plan{};
    double budget = 0;
    PlanGoal goal = PlanGoal::cooling_energy;
    PlanPrices prices{};
    std::vector<SampledLimit> limits{};
    /// One a day of the period [C], where goal or limits look at rooms without cooling.
    std::span<const double> daily_limit_c{};
    InputSpread spread{};
    std::size_t samples = 256;
    HeatOptions heat{};
    unsigned threads = 0;
    const std::atomic<bool>* stop = nullptr;
};

std::vector<UncertainInput> uncertain_inputs(const ConfidenceQuestion& question);

/// What finishes do at one sample of the inputs.
struct SampledEffects {
    std::vector<double> savings;  ///< #finishes, without counted costs and scale
    std::vector<double> bare;     ///< figures of the building as it is, #limits
    /// What each finish takes off those figures, #limits of #finishes each, without scale.
    std::vector<std::vector<double>> taken_off;
};

/// What every finish saves alone and takes off the figures that have limits, and these themselves,
/// at either end of every range of physics; a parabola through both ends and the middle says what
/// lies between, and the inputs' effects add up. Found by single trials over at most 24 days of the
/// period.
class SavingModel {
  public:
    explicit SavingModel(const ConfidenceQuestion& question);
    /// `at`: -1..1 for every input of uncertain_inputs().
    SampledEffects effects(std::span<const double> at) const;

  private:
    struct Bend {
        std::size_t limit, finish;  // no_limit: of the saving; no_finish: of the bare figure
        std::size_t input;
        double slope, curve;
    };
    static constexpr std::size_t no_limit = ~std::size_t{0}, no_finish = ~std::size_t{0};

    void add_bend(std::size_t limit, std::size_t finish, std::size_t input, double low,
                  double high);

    const ConfidenceQuestion& question_;
    std::vector<UncertainInput> inputs_;
    std::vector<Bend> bends_;
};

/// Draws the inputs from a lattice (lattice_points.hpp) and plans each sample anew by the integer
/// programme over the modelled savings, scaled as in the plan. The plan stays where the new one
/// does not promise more by more than the programme promises over it with the inputs as they are
/// (the plan is of whole re-runs, the programme is not). Under limits each sample's programme has
/// to meet them first, and a plan that leaves units further above them than the new one does not
/// stay. Deterministic for any number of threads. Throws Interrupted.
PlanConfidence confidence_of(const ConfidenceQuestion& question);

}  // namespace noonshell
