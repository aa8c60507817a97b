#include "thermal/outside_conditions.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>

#include "thermal/cube_root.hpp"
#include "thermal/longwave.hpp"

namespace noonshell {

OutsideConditions::OutsideConditions(const HeatInputs& inputs, const Patches& patches,
                                     const ReflectanceChange* change, const Trace* given)
    : in_(inputs), change_(change), given_(given), n_patches_(patches.open.size()) {
    for (const OpenPatch& p : patches.open) faces_.push_back({.face = &p.outside});
    for (const ShadeSheet& sheet : patches.shades) {
        shade_first_.push_back(faces_.size());
        for (const OpenFace& face : sheet.faces) faces_.push_back({.face = &face});
    }
    conditions_.resize(faces_.size());
    find_seen(patches);
    find_winds();
    find_passages();
}

/// Faces of one height share a wind. Roughness counts over glass, which the combined model's forced
/// part was measured on; the others have that of their own plates in them.
void OutsideConditions::find_winds() {
    const Surroundings& around = in_.surroundings;
    std::map<double, std::size_t> known;
    for (FaceNow& now : faces_) {
        const double ratio = around.wind_by_height ? wind_by_face_over_that_of_a_station(
                                                         *around.wind_by_height, now.face->height_m)
                                                   : around.wind_ratio;
        const auto [found, is_new] = known.try_emplace(ratio, winds_.size());
        if (is_new) winds_.push_back({.ratio = ratio});
        now.wind = found->second;
        if (around.convection == OutsideConvection::combined)
            now.forced_factor = forced_over_that_of_glass(now.face->roughness);
    }
}

void OutsideConditions::find_seen(const Patches& patches) {
    const ExchangeNet& x = in_.exchange.surfaces;
    std::vector<std::uint8_t> counts(in_.envelope.surfaces.size(), given_ == nullptr ? 1 : 0);
    for (const OpenPatch& p : patches.open) {
        if (!p.sheltered) counts[p.outside.surface.index()] = 1;
    }
    for (const ShadeSheet& sheet : patches.shades) {
        for (const OpenFace& face : sheet.faces) counts[face.surface.index()] = 1;
    }
    std::vector<std::size_t> end;
    for (const FaceNow& now : faces_) {
        const std::size_t s = now.face->surface.index();
        for (auto k = x.row_begin[s]; k < x.row_begin[s + 1]; ++k) {
            const std::size_t other = x.column[k];
            if (counts[other] != 0)
                seen_.push_back({static_cast<std::uint32_t>(other), x.share[k]});
        }
        end.push_back(seen_.size());
    }
    for (std::size_t i = 0; i < faces_.size(); ++i) {
        const std::size_t begin = i > 0 ? end[i - 1] : 0;
        faces_[i].seen = std::span(seen_).subspan(begin, end[i] - begin);
    }
}

void OutsideConditions::find_passages() {
    on_passages_ = faces_of_passages(in_.envelope, in_.exchange);
    is_run_.assign(in_.envelope.surfaces.size(), 0);
    for (FaceNow& now : faces_) {
        const SurfaceId s = now.face->surface;
        is_run_[s.index()] = 1;
        const std::optional<Passage> passage = passage_before(in_.envelope, in_.exchange, s);
        if (!passage) continue;
        const CloseBy& close = in_.exchange.close_by[s.index()];
        now.passage = passages_.size();
        passages_.push_back({.passage = *passage, .share = close.share});
        for (const CloseBy::Other& other : close.others)
            passages_.back().others.push_back({other.surface.value, other.share});
    }
}

void OutsideConditions::set(std::size_t step, std::span<const double> emitted_w_m2,
                            std::span<const double> outermost_c) {
    look_up_hour(step / in_.surroundings.steps_per_hour);
    for (std::size_t i = 0; i < faces_.size(); ++i) {
        conditions_[i] = conditions_of(faces_[i], step, emitted_w_m2);
        if (faces_[i].passage != no_passage)
            mix_passage_air(faces_[i], step, outermost_c, conditions_[i]);
    }
}

/// A face at the end of the step before.
double OutsideConditions::last_c(SurfaceId surface, std::size_t step,
                                 std::span<const double> outermost_c) const {
    if (given_ == nullptr || (!outermost_c.empty() && is_run_[surface.index()] != 0))
        return outermost_c[surface.index()];
    const std::size_t n_steps = in_.surroundings.n_steps();
    const std::size_t before = (step + n_steps - 1) % n_steps;
    const auto at = std::lower_bound(on_passages_.begin(), on_passages_.end(), surface);
    return static_cast<double>(
        given_->passage_face_c[before * on_passages_.size() +
                               static_cast<std::size_t>(at - on_passages_.begin())]);
}

/// Air and convection as the face has them in the mean of its open part and of that on the passage.
/// The plates are taken as they were a step ago, as all longwave is; free convection, for the air's
/// warming alone, as on a wall.
void OutsideConditions::mix_passage_air(const FaceNow& now, std::size_t step,
                                        std::span<const double> outermost_c,
                                        FaceConditions& around_face) const {
    const PassageNow& own = passages_[now.passage];
    const OutsideConvection model = in_.surroundings.convection;
    double others_c = 0;
    for (const Seen& other : own.others)
        others_c += other.share * last_c(SurfaceId(other.surface), step, outermost_c);
    const double plates_c = 0.5 * (last_c(now.face->surface, step, outermost_c) + others_c);
    const double apart_k = plates_c - around_face.air_c;
    const double natural_w_m2k = natural_coefficient(90, true) * cube_root(std::abs(apart_k));
    const double inner_w_m2k = std::hypot(own.forced_w_m2k, still_air_w_m2k(own.passage));
    const double h_w_m2k = joined_convection_w_m2k(model, natural_w_m2k, inner_w_m2k);
    const double speed_m_s =
        std::hypot(own.speed_m_s, lifted_speed_m_s(own.passage, apart_k, around_face.air_c));
    const double flow_w_m2k = in_.surroundings.air_heat_j_m3k[hour_] * speed_m_s *
                              own.passage.clearance_m / own.passage.length_m;
    const double inner_c = plates_c - apart_k * share_of_open_air(h_w_m2k, flow_w_m2k);
    const double open_w_m2k =
        joined_convection_w_m2k(model, natural_w_m2k, around_face.forced_w_m2k);
    const double weight = own.share * h_w_m2k;
    const double all = weight + (1 - own.share) * open_w_m2k;
    around_face.forced_w_m2k = own.share * inner_w_m2k + (1 - own.share) * around_face.forced_w_m2k;
    around_face.air_c += weight / all * (inner_c - around_face.air_c);
}

void OutsideConditions::look_up_passage(const FaceNow& now, std::size_t hour) {
    PassageNow& own = passages_[now.passage];
    const Surroundings& around = in_.surroundings;
    const double open_m_s = winds_[now.wind].ratio * around.wind_at(hour);
    const WindSide side = side_of(*now.face, hour);
    own.speed_m_s = passage_speed_m_s(own.passage, open_m_s);
    const double open = forced_convection_w_m2k(around.convection, open_m_s, side);
    const double inner = forced_convection_w_m2k(around.convection, own.speed_m_s, side);
    own.forced_w_m2k = open > 0 ? now.forced_w_m2k * inner / open : 0;
}

double OutsideConditions::incident_w_m2(const OpenFace& face, std::size_t hour) const {
    const Exposure& e = in_.exposure;
    const auto total = [&e](std::size_t at) {
        return e.direct_w_m2[at] + e.sky_w_m2[at] + e.ground_w_m2[at] + e.bounced_w_m2[at];
    };
    double incident = total(e.at(hour, face.surface));
    if (change_ != nullptr && change_->surface.valid()) {
        const double changed = total(e.at(hour, change_->surface));
        const double now =
            changed / (1 - change_->coupling[change_->surface.index()] * change_->change);
        incident += change_->coupling[face.surface.index()] * change_->change * now;
    }
    return incident;
}

/// Sun per exposed area in one hour; the exposure counts covered parts as dark.
double OutsideConditions::light_w_m2(const OpenFace& face, std::size_t hour) const {
    if (face.share_of_surface <= 0) return 0;
    return incident_w_m2(face, hour) / face.share_of_surface;
}

OutsideConditions::LetIn OutsideConditions::let_in(const OpenFace& face, std::size_t hour,
                                                   double light_w_m2) const {
    if (face.share_of_surface <= 0) return {};
    const double beam = std::min(
        light_w_m2,
        static_cast<double>(in_.exposure.direct_w_m2[in_.exposure.at(hour, face.surface)]) /
            face.share_of_surface);
    if (in_.panes == nullptr) return {light_w_m2, beam};
    const double of_beam = in_.panes->of_beam(face.surface, hour) * beam;
    return {of_beam + in_.panes->of_diffuse(face.surface) * (light_w_m2 - beam), of_beam};
}

/// Light and wind change with the hour only: looked up once per hour.
void OutsideConditions::look_up_hour(std::size_t hour) {
    if (hour == hour_) return;
    hour_ = hour;
    const std::size_t next = (hour + 1) % in_.surroundings.n_hours;
    look_up_winds(hour);
    for (FaceNow& now : faces_) {
        now.light_w_m2 = light_w_m2(*now.face, hour);
        now.light_next_w_m2 = light_w_m2(*now.face, next);
        now.forced_w_m2k = forced_w_m2k(now, hour);
        if (now.passage != no_passage) look_up_passage(now, hour);
        if (now.face->transmittance <= 0) continue;
        now.let_in = let_in(*now.face, hour, now.light_w_m2);
        now.let_in_next = let_in(*now.face, next, now.light_next_w_m2);
    }
}

void OutsideConditions::look_up_winds(std::size_t hour) {
    const Surroundings& around = in_.surroundings;
    for (Wind& wind : winds_) {
        if (!around.wind_by_height) {
            wind.windward_w_m2k = around.forced_windward_w_m2k[hour];
            wind.leeward_w_m2k = around.forced_leeward_w_m2k[hour];
            wind.unknown_w_m2k = around.forced_unknown_w_m2k[hour];
            continue;
        }
        const double wind_m_s = wind.ratio * around.wind_at(hour);
        const auto forced = [&](WindSide side) {
            return forced_convection_w_m2k(around.convection, wind_m_s, side);
        };
        wind.windward_w_m2k = forced(WindSide::windward);
        wind.leeward_w_m2k = forced(WindSide::leeward);
        wind.unknown_w_m2k = forced(WindSide::unknown);
    }
}

WindSide OutsideConditions::side_of(const OpenFace& face, std::size_t hour) const {
    const std::vector<double>& from_deg = in_.surroundings.wind_from_deg;
    return from_deg.empty() ? WindSide::unknown
                            : wind_side(face.tilt_deg, face.azimuth_deg, from_deg[hour]);
}

double OutsideConditions::forced_w_m2k(const FaceNow& now, std::size_t hour) const {
    const Surroundings& around = in_.surroundings;
    const OpenFace& face = *now.face;
    const Wind& wind = winds_[now.wind];
    const WindSide side = side_of(face, hour);
    const double forced = side == WindSide::windward  ? wind.windward_w_m2k
                          : side == WindSide::leeward ? wind.leeward_w_m2k
                                                      : wind.unknown_w_m2k;
    return forced * around.forced_scale * now.forced_factor;
}

/// In four sums, so that none waits for the one before it.
double OutsideConditions::sum_of(std::span<const Seen> seen, std::span<const double> emitted_w_m2) {
    std::array<double, 4> sums{};
    std::size_t k = 0;
    for (; k + sums.size() <= seen.size(); k += sums.size()) {
        for (std::size_t i = 0; i < sums.size(); ++i)
            sums[i] += seen[k + i].share * emitted_w_m2[seen[k + i].surface];
    }
    for (; k < seen.size(); ++k) sums[0] += seen[k].share * emitted_w_m2[seen[k].surface];
    return (sums[0] + sums[1]) + (sums[2] + sums[3]);
}

/// What arrives beside that of the surfaces seen; in a given run, all that arrived there.
double OutsideConditions::longwave_around_w_m2(const OpenFace& face, std::size_t step) const {
    if (given_ != nullptr) {
        return static_cast<double>(
            given_->longwave_in_w_m2[step * in_.envelope.surfaces.size() + face.surface.index()]);
    }
    const Surroundings& around = in_.surroundings;
    double longwave = face.sky_share * around.sky_longwave_w_m2[step] +
                      face.sunlit_ground_share * around.ground_longwave_w_m2[step];
    // Ground in the building's shade and bodies without a temperature of their own: as the air.
    const double as_air = face.context_share + face.ground_share - face.sunlit_ground_share;
    if (as_air > 0) longwave += as_air * black_w_m2(around.air_c[step]);
    return longwave;
}

/// The two-step formula wants the value at the end of the step, so a step that ends where two hours
/// meet takes the mean of both hours' sun: the energy of each hour is kept and nothing lags by half
/// a step.
FaceConditions OutsideConditions::conditions_of(const FaceNow& now, std::size_t step,
                                                std::span<const double> emitted_w_m2) const {
    const Surroundings& around = in_.surroundings;
    const OpenFace& face = *now.face;
    double longwave = longwave_around_w_m2(face, step);
    if (!emitted_w_m2.empty()) longwave += sum_of(now.seen, emitted_w_m2);
    const bool hours_meet = (step + 1) % around.steps_per_hour == 0;
    const auto at_end = [hours_meet](double value, double next) {
        return hours_meet ? 0.5 * (value + next) : value;
    };
    const double light_w_m2 = at_end(now.light_w_m2, now.light_next_w_m2);
    return {.absorbed_w_m2 = face.absorptance * light_w_m2,
            .transmitted_w_m2 =
                face.transmittance * at_end(now.let_in.all_w_m2, now.let_in_next.all_w_m2),
            .transmitted_beam_w_m2 =
                face.transmittance * at_end(now.let_in.beam_w_m2, now.let_in_next.beam_w_m2),
            .longwave_in_w_m2 = longwave,
            .air_c = around.air_c[step],
            .forced_w_m2k = now.forced_w_m2k};
}

}  // namespace noonshell
