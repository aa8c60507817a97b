#include "thermal/recorder.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include "solar/common_year.hpp"

namespace noonshell {

namespace {

void raise_peak(Peak& peak, double value, std::size_t step) {
    if (!(value <= peak.value)) peak = {value, step};  // the first one beats NaN
}

}  // namespace

Recorder::Recorder(const HeatInputs& inputs, const Building& building, const HeatOptions& options,
                   const HeatRun& run, Trace* trace)
    : options_(options),
      rooms_(building.rooms),
      tariff_(building.tariff),
      week_hour_(inputs.surroundings.week_hour),
      outdoor_c_(inputs.surroundings.air_c),
      pressure_pa_(inputs.surroundings.pressure_pa),
      step_s_(inputs.surroundings.step_s),
      trace_(trace) {
    const std::size_t n_surfaces = inputs.envelope.surfaces.size();
    const std::size_t n_units = inputs.envelope.units.size();
    const std::size_t n_hours = inputs.surroundings.n_hours;
    out_.n_hours = n_hours;
    out_.n_surfaces = n_surfaces;
    out_.n_units = n_units;
    out_.steps_per_hour = inputs.surroundings.steps_per_hour;
    if (options.keep_hours) {
        out_.outside_c.assign(n_hours * n_surfaces, 0.0f);
        out_.inward_w.assign(n_hours * n_surfaces, 0.0f);
        out_.air_c.assign(n_hours * n_units, 0.0f);
        out_.operative_c.assign(n_hours * n_units, 0.0f);
        out_.humidity_kg_kg.assign(n_hours * n_units, 0.0f);
        out_.cooling_w.assign(n_hours * n_units, 0.0f);
        out_.heating_w.assign(n_hours * n_units, 0.0f);
    }
    const Peak none{std::numeric_limits<double>::quiet_NaN(), 0};
    out_.peak_outside_c.assign(n_surfaces, none);
    out_.peak_steel_c.assign(n_surfaces, none);
    out_.peak_inward_w.assign(n_surfaces, none);
    out_.mean_outside_c.assign(n_surfaces, 0);
    out_.inward_j.assign(n_surfaces, 0);
    out_.peak_cooling_w.assign(n_units, Peak{});
    out_.peak_load_w.assign(n_units, Peak{});
    out_.peak_heating_w.assign(n_units, Peak{});
    out_.peak_air_c.assign(n_units, none);
    out_.cooling_j.assign(n_units, 0);
    out_.heating_j.assign(n_units, 0);
    out_.latent_j.assign(n_units, 0);
    out_.latent_at_peak_w.assign(n_units, 0);
    out_.condensation_h.assign(n_surfaces, 0);
    out_.cooling_electricity_j.assign(n_units, 0);
    out_.heating_electricity_j.assign(n_units, 0);
    out_.needed_capacity_w.assign(n_units, Peak{});
    out_.hours_not_met_h.assign(n_units, 0);
    out_.at_limit_h.assign(n_units, 0);
    out_.outdoor_air_m3.assign(n_units, 0);
    out_.fan_electricity_j.assign(n_units, 0);
    out_.priced_electricity_j.assign(n_units, 0);
    out_.room_balance.assign(n_units, {});
    at_midnight_ = out_.room_balance;
    out_.gaps.assign(n_surfaces, {false, none, none, none, 0});
    inward_w_.assign(n_surfaces, 0);
    outside_c_.assign(n_surfaces, 0);
    outside_before_c_ = outside_c_;
    seen_.assign(n_surfaces, 0);
    for (const OpenPatch& p : run.patches().open) {
        if (!p.sheltered) seen_[p.outside.surface.index()] = 1;
    }
    for (const ShadeSheet& shade : run.patches().shades) {
        for (const OpenFace& face : shade.faces) seen_[face.surface.index()] = 1;
    }
    find_covered(run);
    if (options.account) note_absorbed(inputs, building);
}

void Recorder::find_covered(const HeatRun& run) {
    is_run_.assign(out_.n_units, 0);
    for (const std::uint32_t u : run.live().run) is_run_[u] = 1;
    std::vector<std::uint8_t> covered = seen_;
    if (run.live().run.size() == out_.n_units) std::fill(covered.begin(), covered.end(), 1);
    const Patches& parts = run.patches();
    for (const OpenPatch& p : parts.open) covered[p.inside.surface.index()] = 1;
    for (const GroundPatch& p : parts.ground) covered[p.inside.surface.index()] = 1;
    for (const SharedPatch& p : parts.shared)
        covered[p.a.surface.index()] = covered[p.b.surface.index()] = 1;
    for (std::size_t s = 0; s < covered.size(); ++s) {
        if (covered[s] != 0) covered_.push_back(static_cast<std::uint32_t>(s));
    }
}

void Recorder::note_absorbed(const HeatInputs& inputs, const Building& building) {
    out_.absorbed_j_m2.assign(out_.n_surfaces, 0);
    const Exposure& e = inputs.exposure;
    for (std::size_t h = 0; h < out_.n_hours; ++h) {
        for (std::size_t s = 0; s < out_.n_surfaces; ++s) {
            const std::size_t at = e.at(h, SurfaceId(s));
            out_.absorbed_j_m2[s] += 3600 * (e.direct_w_m2[at] + e.sky_w_m2[at] +
                                             e.ground_w_m2[at] + e.bounced_w_m2[at]);
        }
    }
    for (std::size_t s = 0; s < out_.n_surfaces; ++s) {
        const Surface& surface = inputs.envelope.surfaces[s];
        out_.absorbed_j_m2[s] *= surface.exposed_area_m2 > 0
                                     ? building.exposed[s].outside_absorptance * surface.area_m2 /
                                           surface.exposed_area_m2
                                     : 0;
    }
}

void Recorder::before_period(const HeatRun& run) {
    room_stored_at_start_j_.clear();
    for (std::size_t u = 0; u < out_.n_units; ++u) {
        room_stored_at_start_j_.push_back(run.room_stored_j(u));
    }
    walls_at_start_c_ = run.wall_temperatures();
    note_outside(run);
    radiant_c_.assign(out_.n_units, 0.0);
    run.mean_radiant(radiant_c_);
    radiant_before_c_ = radiant_c_;
}

void Recorder::record(const HeatRun& run, std::size_t step) {
    record_surfaces(run, step);
    record_rooms(run, step);
    if (trace_ != nullptr) record_trace(run, step);
    if (!run.flows().settled) ++out_.steps_not_settled;
    if (options_.account) {
        record_condensation(run, step);
        record_gaps(run, step);
        if ((step + 1) % (hours_per_day * out_.steps_per_hour) == 0) close_day(run);
        const StepFlows& f = run.flows();
        outside_gap_j_ += std::abs(f.outside_net_w - f.outside_wall_w) * step_s_;
        outside_passed_j_ += f.outside_passed_w * step_s_;
    }
}

/// Outermost face temperatures of this instant, one per surface.
void Recorder::note_outside(const HeatRun& run) {
    const Patches& parts = run.patches();
    for (std::size_t p = 0; p < parts.open.size(); ++p) {
        if (!parts.open[p].sheltered) {
            outside_c_[parts.open[p].outside.surface.index()] = run.outside_c(p);
        }
    }
    for (std::size_t k = 0; k < parts.shades.size(); ++k) {
        const std::vector<OpenFace>& faces = parts.shades[k].faces;
        for (std::size_t f = 0; f < faces.size(); ++f)
            outside_c_[faces[f].surface.index()] = run.shade_c(k, f);
    }
}

/// Once for each surface, whatever number of its patches is wet.
void Recorder::record_condensation(const HeatRun& run, std::size_t step) {
    const double pressure_pa = pressure_pa_[step / out_.steps_per_hour];
    std::size_t last = out_.n_surfaces;
    for (std::size_t p = 0; p < run.patches().open.size(); ++p) {
        const InsideFace& face = run.patches().open[p].inside;
        if (face.surface.index() == last) continue;
        if (saturated_humidity_kg_kg(run.inside_c(p), pressure_pa) >=
            run.air().moisture(face.unit.index()).humidity_kg_kg)
            continue;
        last = face.surface.index();
        out_.condensation_h[last] += step_s_ / seconds_per_hour;
    }
}

void Recorder::record_gaps(const HeatRun& run, std::size_t step) {
    double all_w = 0;
    for (std::size_t p = 0; p < run.patches().open.size(); ++p) {
        const OpenPatch& patch = run.patches().open[p];
        if (!patch.clad || patch.sheltered) continue;
        const GapNetwork& air = run.gap(p);
        GapFigures& figures = out_.gaps[patch.outside.surface.index()];
        figures.there = true;
        raise_peak(figures.air_speed_m_s, air.air_speed_m_s, step);
        if (air.air_speed_m_s > 0) raise_peak(figures.outlet_c, air.outlet_c, step);
        const double carried_w = air.carried_away_w_m2 * patch.outside.area_m2;
        raise_peak(figures.carried_w, carried_w, step);
        figures.carried_away_j += carried_w * step_s_;
        all_w += carried_w;
    }
    raise_peak(out_.gaps_carried_w, all_w, step);
}

/// The balance of the day that ends now, by itself.
void Recorder::close_day(const HeatRun& run) {
    for (std::size_t u = 0; u < out_.n_units; ++u) {
        RoomBalance& now = out_.room_balance[u];
        now.stored_j = run.room_stored_j(u) - room_stored_at_start_j_[u];
        now.worst_day = std::max(now.worst_day, between(now, at_midnight_[u]).residual());
        at_midnight_[u] = now;
    }
}

void Recorder::record_surfaces(const HeatRun& run, std::size_t step) {
    const Patches& parts = run.patches();
    for (std::size_t p = 0; p < parts.open.size(); ++p) {
        if (parts.open[p].sheltered) continue;
        raise_peak(out_.peak_steel_c[parts.open[p].outside.surface.index()], run.steel_c(p), step);
    }
    if (!options_.account && !options_.keep_hours) return;
    for (const std::uint32_t s : covered_) {
        inward_w_[s] = 0;
        outside_before_c_[s] = outside_c_[s];
    }
    note_outside(run);
    for (std::size_t p = 0; p < parts.open.size(); ++p) {
        const std::size_t s = parts.open[p].outside.surface.index();
        inward_w_[s] += run.open_inward_w(p) + run.transmitted_w(p);
    }
    for (std::size_t k = 0; k < parts.ground.size(); ++k) {
        inward_w_[parts.ground[k].inside.surface.index()] += run.ground_inward_w(k);
    }
    for (std::size_t k = 0; k < parts.shared.size(); ++k) {
        inward_w_[parts.shared[k].a.surface.index()] += run.shared_a_w(k);
        inward_w_[parts.shared[k].b.surface.index()] += run.shared_b_w(k);
    }
    for (std::size_t k = 0; k < parts.shades.size(); ++k) {
        const std::vector<OpenFace>& faces = parts.shades[k].faces;
        for (std::size_t f = 0; f < faces.size(); ++f)
            raise_peak(out_.peak_steel_c[faces[f].surface.index()], run.shade_c(k, f), step);
    }
    const std::size_t row = step / out_.steps_per_hour * out_.n_surfaces;
    const float part = 1.0f / static_cast<float>(out_.steps_per_hour);
    for (const std::uint32_t s : covered_) {
        if (seen_[s]) {
            raise_peak(out_.peak_outside_c[s], outside_c_[s], step);
            out_.mean_outside_c[s] += outside_c_[s];
        }
        raise_peak(out_.peak_inward_w[s], inward_w_[s], step);
        out_.inward_j[s] += inward_w_[s] * step_s_;
        if (options_.keep_hours) {
            // Mean over the step by the trapezoid: its end alone would lag by half a step.
            out_.outside_c[row + s] +=
                part * static_cast<float>(0.5 * (outside_before_c_[s] + outside_c_[s]));
            out_.inward_w[row + s] += part * static_cast<float>(inward_w_[s]);
        }
    }
}

void Recorder::record_rooms(const HeatRun& run, std::size_t step) {
    const std::size_t row = step / out_.steps_per_hour * out_.n_units;
    const float part = 1.0f / static_cast<float>(out_.steps_per_hour);
    if (options_.keep_hours) {
        std::swap(radiant_before_c_, radiant_c_);
        run.mean_radiant(radiant_c_);
    }
    for (const std::uint32_t u : run.live().run) {
        const RoomInStep& room = run.rooms()[u];
        const double cooling_w = std::max(0.0, -room.plant_w);
        const double heating_w = std::max(0.0, room.plant_w);
        raise_peak(out_.peak_cooling_w[u], cooling_w, step);
        raise_peak(out_.peak_heating_w[u], heating_w, step);
        raise_peak(out_.peak_air_c[u], room.air_c, step);
        out_.cooling_j[u] += cooling_w * step_s_;
        out_.heating_j[u] += heating_w * step_s_;
        record_plant(u, room, run.air().moisture(u), step);
        out_.outdoor_air_m3[u] += run.air().outdoor_m3_s(u) * step_s_;
        note_electricity(u, run.air().fan_w(u), out_.fan_electricity_j, step);
        if (options_.keep_hours) {
            out_.air_c[row + u] +=
                part * static_cast<float>(0.5 * (run.air_before_c(u) + room.air_c));
            out_.operative_c[row + u] +=
                part * static_cast<float>(0.25 * (run.air_before_c(u) + room.air_c +
                                                  radiant_before_c_[u] + radiant_c_[u]));
            out_.humidity_kg_kg[row + u] +=
                part * static_cast<float>(run.air().moisture(u).humidity_kg_kg);
            out_.cooling_w[row + u] += part * static_cast<float>(cooling_w);
            out_.heating_w[row + u] += part * static_cast<float>(heating_w);
        }
        if (!options_.account) continue;
        RoomBalance& balance = out_.room_balance[u];
        balance.heating_j += heating_w * step_s_;
        balance.cooling_j += cooling_w * step_s_;
        balance.air_change_j += run.room_outdoor_w(u) * step_s_;
        const double outdoor_m3_s = run.air().outdoor_m3_s(u);
        if (outdoor_m3_s > 0)
            balance.ventilation_j +=
                run.room_outdoor_w(u) * step_s_ * run.air().ventilation_m3_s(u) / outdoor_m3_s;
        balance.doorways_j += run.room_doorways_w(u) * step_s_;
        balance.gains_j += run.room_gains_w(u) * step_s_;
        balance.passed_j += (cooling_w + heating_w + std::abs(run.room_outdoor_w(u)) +
                             std::abs(run.room_doorways_w(u)) + run.room_gains_w(u)) *
                            step_s_;
    }
    if (!options_.account) return;
    const auto add_flow = [&](UnitId unit, double w) {
        if (is_run_[unit.index()] == 0) return;
        out_.room_balance[unit.index()].through_envelope_j += w * step_s_;
        out_.room_balance[unit.index()].passed_j += std::abs(w) * step_s_;
    };
    const Patches& parts = run.patches();
    for (std::size_t p = 0; p < parts.open.size(); ++p) {
        const UnitId unit = parts.open[p].inside.unit;
        add_flow(unit, run.open_inward_w(p));
        if (is_run_[unit.index()] != 0)
            out_.room_balance[unit.index()].pane_sun_j += run.transmitted_w(p) * step_s_;
    }
    for (std::size_t k = 0; k < parts.ground.size(); ++k) {
        add_flow(parts.ground[k].inside.unit, run.ground_inward_w(k));
    }
    for (std::size_t k = 0; k < parts.shared.size(); ++k) {
        add_flow(parts.shared[k].a.unit, run.shared_a_w(k));
        add_flow(parts.shared[k].b.unit, run.shared_b_w(k));
    }
}

void Recorder::note_electricity(std::size_t unit, double w, std::vector<double>& by_use,
                                std::size_t step) {
    const double joules = w * step_s_;
    by_use[unit] += joules;
    out_.priced_electricity_j[unit] += joules * tariff_[week_hour_[step / out_.steps_per_hour]];
}

void Recorder::record_plant(std::size_t unit, const RoomInStep& room, const RoomMoisture& moisture,
                            std::size_t step) {
    const double latent_w = moisture.latent_w;
    const RoomSettings& set = rooms_[unit];
    const double outdoor_c = outdoor_c_[step];
    if (room.plant_w > 0) {
        note_electricity(unit, room.plant_w / set.heating_efficiency, out_.heating_electricity_j,
                         step);
    } else if (room.plant_w < 0) {
        const double load_w = latent_w - room.plant_w;
        out_.latent_j[unit] += latent_w * step_s_;
        if (load_w > out_.peak_load_w[unit].value) out_.latent_at_peak_w[unit] = latent_w;
        raise_peak(out_.peak_load_w[unit], load_w, step);
        note_electricity(unit, load_w / set.plant.efficiency(outdoor_c), out_.cooling_electricity_j,
                         step);
        raise_peak(out_.needed_capacity_w[unit], load_w / set.plant.capacity_share(outdoor_c),
                   step);
    }
    const bool sensible_at_limit = room.plant_w < 0 && -room.plant_w >= room.most_cooling_w;
    if (sensible_at_limit || moisture.held_back)
        out_.at_limit_h[unit] += step_s_ / seconds_per_hour;
    if (room.cooled && room.air_c > room.cooling_set_point_c + Response::not_met_k) {
        out_.hours_not_met_h[unit] += step_s_ / seconds_per_hour;
    }
}

void Recorder::record_trace(const HeatRun& run, std::size_t step) {
    for (std::size_t s = 0; s < out_.n_surfaces; ++s) {
        trace_->outside_longwave_w_m2[step * out_.n_surfaces + s] =
            static_cast<float>(run.outside_longwave()[s]);
    }
    const std::span<const SurfaceId> on_passages = run.outside().on_passages();
    for (std::size_t k = 0; k < on_passages.size(); ++k)
        trace_->passage_face_c[step * on_passages.size() + k] =
            static_cast<float>(run.outermost_c()[on_passages[k].index()]);
    const auto note_arriving = [&](const OpenFace& face, const FaceConditions& around) {
        trace_->longwave_in_w_m2[step * out_.n_surfaces + face.surface.index()] =
            static_cast<float>(around.longwave_in_w_m2);
    };
    const Patches& parts = run.patches();
    for (std::size_t p = 0; p < parts.open.size(); ++p)
        note_arriving(parts.open[p].outside, run.outside().of_patches()[p]);
    for (std::size_t k = 0; k < parts.shades.size(); ++k) {
        for (std::size_t f = 0; f < parts.shades[k].faces.size(); ++f)
            note_arriving(parts.shades[k].faces[f], run.outside().of_shade(k)[f]);
    }
    for (std::size_t u = 0; u < out_.n_units; ++u) {
        trace_->room_humidity_kg_kg[step * out_.n_units + u] =
            static_cast<float>(run.air().moisture(u).humidity_kg_kg);
        trace_->room_air_c[step * out_.n_units + u] = static_cast<float>(run.rooms()[u].air_c);
        trace_->room_radiant_c[step * out_.n_units + u] =
            static_cast<float>(run.rooms()[u].radiant_c);
    }
}

Response Recorder::finish(const HeatRun& run) {
    const double n_steps = static_cast<double>(out_.n_hours * out_.steps_per_hour);
    for (std::size_t s = 0; s < out_.n_surfaces; ++s) {
        out_.mean_outside_c[s] =
            seen_[s] ? out_.mean_outside_c[s] / n_steps : std::numeric_limits<double>::quiet_NaN();
    }
    close_day(run);  // a part-day at the end; else nothing passed since midnight
    out_.outside_passed_j = outside_passed_j_;
    out_.outside_residual = outside_passed_j_ > 0 ? outside_gap_j_ / outside_passed_j_ : 0;
    const std::vector<double> now_c = run.wall_temperatures();
    for (std::size_t i = 0; i < now_c.size(); ++i) {
        out_.worst_change_k =
            std::max(out_.worst_change_k, std::abs(now_c[i] - walls_at_start_c_[i]));
    }
    return std::move(out_);
}

}  // namespace noonshell
