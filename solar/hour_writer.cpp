#include "solar/hour_writer.hpp"

#include <algorithm>

#include "solar/wide.hpp"

namespace noonshell {

namespace {

constexpr std::size_t writer_lanes = HourWriter::lanes;
/// Of the brightest light: the sums over whole bins, which the hours are scaled to, are exact.
constexpr double hour_tolerance = 1e-4;

/// Straight light on one part or, as means, on a surface.
struct LaneLight {
    std::array<double, writer_lanes> direct{}, sky{}, ground{};
};

/// What a part sees of everything that shines from outside (of far ground: what that throws of the
/// light on it), and its share of its surface.
struct OpenShares {
    double sky = 0, horizon = 0, ground = 0, of_surface = 0;
};

/// The horizon part of the sky may be negative; where it would outweigh the rest there is no light.
/// Returns whether there is any light but that of an even sky, horizon and far ground: `beam`.
NOONSHELL_WIDE bool light_part(const double* direct, const double* dome, const double* circumsolar,
                               const double* horizon, const double* open_ground,
                               const float* lit_cosine, const OpenShares& open, LaneLight& surface,
                               double* arriving, float* beam) {
    float most = 0;
    for (std::size_t k = 0; k < writer_lanes; ++k) {
        const auto lit = static_cast<double>(lit_cosine[k]);
        const double sun = direct[k] * lit, halo = circumsolar[k] * lit;
        const double even_sky = dome[k] * open.sky + horizon[k] * open.horizon;
        const double sky = even_sky + halo;
        const double seen = sky > 0 ? sky : 0.0;
        const double ground = open_ground[k] * open.ground;
        arriving[k] = sun + seen + ground;
        beam[k] = static_cast<float>(sky > 0 ? sun + halo : sun - even_sky);
        most = most > beam[k] ? most : beam[k];
        surface.direct[k] += open.of_surface * sun;
        surface.sky[k] += open.of_surface * seen;
        surface.ground[k] += open.of_surface * ground;
    }
    return most > 0;
}

}  // namespace

EvenLight even_light(const HourSources& sources, std::size_t n_surfaces) {
    const ExchangeNet& net = sources.exchange.part_net;
    std::vector<double> shining(net.size() * writer_lanes, 0.0);
    for (std::size_t p = 0; p < net.size(); ++p) {
        double* own = shining.data() + p * writer_lanes;
        own[EvenLight::dome] = net.sky_share[p];
        own[EvenLight::horizon] = net.horizon_share[p];
        own[EvenLight::open_ground] = sources.off_far_ground[p];
    }
    std::vector<double> from_surfaces(n_surfaces * writer_lanes),
        from_ground(n_surfaces * writer_lanes);
    sources.paths->gather(shining, from_surfaces, from_ground);
    EvenLight light;
    for (std::size_t s = 0; s < n_surfaces; ++s) {
        for (std::size_t kind = 0; kind < EvenLight::kinds; ++kind) {
            light.from_surfaces.push_back(from_surfaces[s * writer_lanes + kind]);
            light.from_ground.push_back(from_ground[s * writer_lanes + kind]);
        }
    }
    return light;
}

HourWriter::HourWriter(const HourSources& sources, const EvenLight& even, Exposure& result)
    : sources_(sources),
      even_(even),
      result_(result),
      n_parts_(sources.exchange.parts.size()),
      arriving_(n_parts_ * writer_lanes),
      beam_(n_parts_ * writer_lanes),
      any_beam_(n_parts_),
      bounced_(result.n_surfaces * writer_lanes),
      ground_(result.n_surfaces * writer_lanes),
      sums_(result.n_bins, n_parts_) {}

void HourWriter::write(std::span<const HourLight> hours, std::span<const std::size_t> rows) {
    const Lanes side_by_side = lanes_of(hours, rows);
    write_straight(hours, side_by_side);
    if (sources_.paths != nullptr) {
        follow_paths(side_by_side);
    } else {
        solve();
    }
    for (std::size_t k = 0; k < hours.size(); ++k) {
        put_thrown(hours[k], k);
        add_to_bin(hours[k], k);
    }
}

HourWriter::Lanes HourWriter::lanes_of(std::span<const HourLight> hours,
                                       std::span<const std::size_t> rows) const {
    Lanes result;
    result.lit.fill(sources_.no_sun.data());
    for (std::size_t k = 0; k < hours.size(); ++k) {
        result.direct[k] = hours[k].direct_normal_w_m2;
        result.dome[k] = hours[k].sky.dome_w_m2;
        result.circumsolar[k] = hours[k].sky.circumsolar_w_m2;
        result.horizon[k] = hours[k].sky.horizon_w_m2;
        result.open_ground[k] = hours[k].global_w_m2;
        result.lit[k] = sources_.lit_cosines(rows[k]);
    }
    return result;
}

/// What parts, and surfaces as their means, get straight from sun, sky and far ground.
void HourWriter::write_straight(std::span<const HourLight> hours, const Lanes& side_by_side) {
    const auto& begin = sources_.exchange.parts.surface_begin;
    const ExchangeNet& net = sources_.exchange.part_net;
    for (std::size_t s = 0; s + 1 < begin.size(); ++s) {
        LaneLight light;
        for (auto p = begin[s]; p < begin[s + 1]; ++p) {
            std::array<float, writer_lanes> lit;
            for (std::size_t k = 0; k < writer_lanes; ++k) lit[k] = side_by_side.lit[k][p];
            const OpenShares open{net.sky_share[p], net.horizon_share[p],
                                  sources_.off_far_ground[p], sources_.share_of_surface[p]};
            any_beam_[p] =
                light_part(side_by_side.direct.data(), side_by_side.dome.data(),
                           side_by_side.circumsolar.data(), side_by_side.horizon.data(),
                           side_by_side.open_ground.data(), lit.data(), open, light,
                           arriving_.data() + p * writer_lanes, beam_.data() + p * writer_lanes)
                    ? 1
                    : 0;
        }
        if (s >= result_.n_surfaces) continue;
        for (std::size_t k = 0; k < hours.size(); ++k) {
            const std::size_t i = result_.at(hours[k].hour, SurfaceId(s));
            result_.direct_w_m2[i] = light.direct[k];
            result_.sky_w_m2[i] = light.sky[k];
            result_.ground_w_m2[i] = light.ground[k];
        }
    }
}

/// The even light of sky and far ground takes the same way in all hours; where the sun stands
/// decides over the rest.
void HourWriter::follow_paths(const Lanes& side_by_side) {
    sources_.paths->gather(beam_, any_beam_, bounced_, ground_);
    for (std::size_t s = 0; s < result_.n_surfaces; ++s) {
        const double* surfaces = even_.from_surfaces.data() + s * EvenLight::kinds;
        const double* ground = even_.from_ground.data() + s * EvenLight::kinds;
        for (std::size_t k = 0; k < writer_lanes; ++k) {
            const std::array<double, EvenLight::kinds> even = {
                side_by_side.dome[k], side_by_side.horizon[k], side_by_side.open_ground[k]};
            for (std::size_t kind = 0; kind < EvenLight::kinds; ++kind) {
                bounced_[s * writer_lanes + k] += surfaces[kind] * even[kind];
                ground_[s * writer_lanes + k] += ground[kind] * even[kind];
            }
        }
    }
}

/// The same as follow_paths(), by one solution for these hours.
void HourWriter::solve() {
    shining_.assign(arriving_.begin(), arriving_.end());
    leaving_.resize(arriving_.size());
    sources_.solver.solve(shining_, hour_tolerance, leaving_);
    const auto& begin = sources_.exchange.parts.surface_begin;
    const std::uint32_t first_ground = sources_.exchange.parts.first_ground;
    for (std::size_t s = 0; s < result_.n_surfaces; ++s) {
        sources_.solver.gather_sum(leaving_, begin[s], begin[s + 1], sources_.share_of_surface,
                                   first_ground,
                                   std::span(bounced_).subspan(s * writer_lanes, writer_lanes),
                                   std::span(ground_).subspan(s * writer_lanes, writer_lanes));
    }
}

void HourWriter::put_thrown(const HourLight& light, std::size_t lane) {
    for (std::size_t s = 0; s < result_.n_surfaces; ++s) {
        const std::size_t i = result_.at(light.hour, SurfaceId(s));
        result_.bounced_w_m2[i] = bounced_[s * writer_lanes + lane];
        result_.ground_w_m2[i] += ground_[s * writer_lanes + lane];
    }
}

void HourWriter::add_to_bin(const HourLight& light, std::size_t lane) {
    const std::size_t bin = sources_.bin_of_hour.empty() ? 0u : sources_.bin_of_hour[light.hour];
    double* arriving = sums_.arriving_wh_m2.data() + bin * n_parts_;
    for (std::size_t p = 0; p < n_parts_; ++p) arriving[p] += arriving_[p * writer_lanes + lane];
    sums_.dome_wh_m2[bin] += light.sky.dome_w_m2;
    sums_.horizon_wh_m2[bin] += light.sky.horizon_w_m2;
    sums_.open_ground_wh_m2[bin] += light.global_w_m2;
}

}  // namespace noonshell
