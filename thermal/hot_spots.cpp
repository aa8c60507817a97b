#include "thermal/hot_spots.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "geometry/diagnostics.hpp"
#include "solar/common_year.hpp"
#include "solar/parallel.hpp"
#include "thermal/heat_patches.hpp"
#include "thermal/open_lanes.hpp"
#include "thermal/outside_conditions.hpp"
#include "thermal/room_solver.hpp"
#include "thermal/touch.hpp"

namespace noonshell {

namespace {

Patches walls_in_the_open(const HeatInputs& inputs, const Building& building, int refine) {
    Patches patches = make_patches(inputs.envelope,
                                   {inputs.exchange.surfaces, inputs.exposure.sunlit_ground_share},
                                   building, inputs.surroundings.step_s, refine, nullptr);
    std::erase_if(patches.open, [](const OpenPatch& patch) { return patch.sheltered; });
    patches.shared.clear();
    patches.ground.clear();
    patches.shades.clear();
    return patches;
}

void raise(Peak& peak, double value, std::size_t step) {
    if (std::isnan(peak.value) || value > peak.value) peak = {value, step};
}

class SpotRun {
  public:
    SpotRun(const HeatInputs& inputs, const Patches& patches, const Exposure& of_parts,
            const Trace& trace, const HeatOptions& options)
        : in_(inputs),
          patches_(patches),
          of_parts_(of_parts),
          trace_(trace),
          options_(options),
          outside_(inputs, patches, nullptr, &trace),
          open_(patches, inputs.surroundings.convection, inputs.surroundings.step_s,
                options.settle_k, inputs.surroundings.mean_air_c()),
          floor_sun_w_m2_(inputs.envelope.units.size(), 0.0),
          rooms_(inputs.envelope.units.size()),
          hour_sum_c_(patches.open.size()),
          before_c_(patches.open.size()) {
        const std::size_t n = inputs.envelope.surfaces.size();
        const Peak none{std::numeric_limits<double>::quiet_NaN(), 0};
        result_.outside_c.assign(n, none);
        result_.steel_c.assign(n, none);
        result_.touch_h.assign(n * bare_metal_touch_thresholds().size(), 0.0);
    }

    HotSpots run(std::size_t begin, std::size_t end) {
        const Surroundings& around = in_.surroundings;
        const std::size_t n = around.n_steps();
        const auto warm_up = static_cast<std::size_t>(std::lround(
            options_.warm_up_days * static_cast<double>(hours_per_day * around.steps_per_hour)));
        for (std::size_t i = warm_up; i > 0; --i) advance((begin + n - i % n) % n);
        for (std::size_t p = 0; p < before_c_.size(); ++p) before_c_[p] = open_.outermost_c(p);
        for (std::size_t step = begin; step < end; ++step) {
            advance(step);
            record(step);
        }
        return std::move(result_);
    }

  private:
    void advance(std::size_t step) {
        constexpr std::size_t steps_between_polls = 256;
        if (step % steps_between_polls == 0 && options_.stop != nullptr && options_.stop->load())
            throw Interrupted();
        for (std::size_t u = 0; u < rooms_.size(); ++u) {
            const std::size_t at = step * rooms_.size() + u;
            rooms_[u].air_c = static_cast<double>(trace_.room_air_c[at]);
            rooms_[u].radiant_c = static_cast<double>(trace_.room_radiant_c[at]);
        }
        outside_.set(step, {});
        light_up(step);
        open_.begin(conditions_, floor_sun_w_m2_, in_.surroundings.pressure_pa[outside_.hour()],
                    in_.surroundings.wind_on_site(outside_.hour()));
        for (int loop = 0; loop < options_.most_inner_loops; ++loop) {
            open_.line(rooms_);
            if (open_.close(rooms_)) break;
        }
        open_.finish();
    }

    /// As OutsideConditions has it for whole surfaces: a step where two hours meet takes both.
    void light_up(std::size_t step) {
        const Surroundings& around = in_.surroundings;
        const std::size_t hour = outside_.hour(), next = (hour + 1) % around.n_hours;
        const bool hours_meet = (step + 1) % around.steps_per_hour == 0;
        conditions_.assign(outside_.of_patches().begin(), outside_.of_patches().end());
        for (std::size_t p = 0; p < patches_.open.size(); ++p) {
            const OpenFace& face = patches_.open[p].outside;
            const auto light = [&](std::size_t of_hour) {
                const std::size_t at = of_parts_.at(of_hour, face.surface);
                return of_parts_.direct_w_m2[at] + of_parts_.sky_w_m2[at] +
                       of_parts_.ground_w_m2[at] + of_parts_.bounced_w_m2[at];
            };
            conditions_[p].absorbed_w_m2 =
                face.absorptance * (hours_meet ? 0.5 * (light(hour) + light(next)) : light(hour));
        }
    }

    void record(std::size_t step) {
        const std::size_t steps_per_hour = in_.surroundings.steps_per_hour;
        const auto thresholds = bare_metal_touch_thresholds();
        const bool hour_ends = (step + 1) % steps_per_hour == 0;
        for (std::size_t p = 0; p < patches_.open.size(); ++p) {
            const std::size_t s = patches_.open[p].outside.surface.index();
            const double outside_c = open_.outermost_c(p);
            raise(result_.outside_c[s], outside_c, step);
            raise(result_.steel_c[s], open_.steel_c(p), step);
            // By the trapezoid, as Response::outside_c.
            hour_sum_c_[p] += 0.5 * (before_c_[p] + outside_c);
            before_c_[p] = outside_c;
            if (!hour_ends) continue;
            const double mean_c = hour_sum_c_[p] / static_cast<double>(steps_per_hour);
            for (std::size_t t = 0; t < thresholds.size(); ++t) {
                if (mean_c >= thresholds[t].threshold_c)
                    result_.touch_h[s * thresholds.size() + t] += 1;
            }
            hour_sum_c_[p] = 0;
        }
    }

    const HeatInputs& in_;
    const Patches& patches_;
    const Exposure& of_parts_;
    const Trace& trace_;
    const HeatOptions& options_;
    OutsideConditions outside_;
    OpenLanes open_;
    std::vector<double> floor_sun_w_m2_;
    std::vector<RoomInStep> rooms_;
    std::vector<FaceConditions> conditions_;
    std::vector<double> hour_sum_c_, before_c_;  // #open patches
    HotSpots result_;
};

void join(const HotSpots& later, HotSpots& all) {
    for (std::size_t s = 0; s < all.outside_c.size(); ++s) {
        if (std::isnan(later.outside_c[s].value)) continue;
        raise(all.outside_c[s], later.outside_c[s].value, later.outside_c[s].step);
        raise(all.steel_c[s], later.steel_c[s].value, later.steel_c[s].step);
    }
    for (std::size_t i = 0; i < all.touch_h.size(); ++i) all.touch_h[i] += later.touch_h[i];
}

}  // namespace

HotSpots hot_spots(const HeatInputs& inputs, const Building& building, const Exposure& of_parts,
                   const Trace& trace, const HeatOptions& options) {
    const Surroundings& around = inputs.surroundings;
    NOONSHELL_CHECK_EQ(of_parts.n_hours, around.n_hours);
    NOONSHELL_CHECK_EQ(of_parts.n_surfaces, inputs.envelope.surfaces.size());
    NOONSHELL_CHECK_EQ(trace.room_air_c.size(), around.n_steps() * inputs.envelope.units.size());
    const Patches patches = walls_in_the_open(inputs, building, options.refine);
    // Cut at the same hour whatever the number of threads: each half warms up for itself.
    const std::size_t middle = around.n_hours / 2 * around.steps_per_hour;
    const std::array<std::size_t, 3> bounds{0, middle, around.n_steps()};
    std::array<HotSpots, 2> halves;
    for_each_task(2, halves.size(), [&](std::size_t i) {
        halves[i] =
            SpotRun(inputs, patches, of_parts, trace, options).run(bounds[i], bounds[i + 1]);
    });
    join(halves[1], halves[0]);
    return std::move(halves[0]);
}

void leave_out_even_faces(const Response& whole, HotSpots& spots) {
    NOONSHELL_CHECK_EQ(whole.peak_outside_c.size(), spots.outside_c.size());
    for (std::size_t s = 0; s < spots.outside_c.size(); ++s) {
        if (spots.outside_c[s].value > whole.peak_outside_c[s].value) continue;
        spots.outside_c[s].value = std::numeric_limits<double>::quiet_NaN();
        spots.steel_c[s].value = std::numeric_limits<double>::quiet_NaN();
    }
}

}  // namespace noonshell
