#include "thermal/pane_light.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>

#include "geometry/angles.hpp"
#include "geometry/diagnostics.hpp"

namespace noonshell {

namespace {

constexpr double index_of_glass = 1.526;
constexpr double extinction_per_sheet = 0.10;
constexpr double normal_deg = 1e-3;  // where the formulas for both polarisations meet
constexpr std::uint32_t no_pane = ~0u;

/// Share reflected at one face for light polarised across and along the plane of incidence.
struct FaceReflection {
    double across = 0, along = 0;
};

FaceReflection fresnel(double incidence, double refracted) {
    const auto squared = [](double x) { return x * x; };
    return {squared(std::sin(refracted - incidence) / std::sin(refracted + incidence)),
            squared(std::tan(refracted - incidence) / std::tan(refracted + incidence))};
}

/// Transmittance relative to normal incidence, every degree.
class AngleTable {
  public:
    explicit AngleTable(int sheets) {
        const double normal = glass_transmittance(sheets, 0);
        for (std::size_t i = 0; i < share_.size(); ++i)
            share_[i] = glass_transmittance(sheets, static_cast<double>(i)) / normal;
    }

    double at(double incidence_deg) const {
        const double at = std::clamp(incidence_deg, 0.0, 90.0);
        const auto below = std::min<std::size_t>(static_cast<std::size_t>(at), share_.size() - 2);
        const double part = at - static_cast<double>(below);
        return (1 - part) * share_[below] + part * share_[below + 1];
    }

  private:
    std::array<double, 91> share_{};
};

/// Mean over an hour's suns before a face.
double hour_share(const SunPath& path, std::size_t hour, const Vec3& normal,
                  const AngleTable& table) {
    double weights = 0, sum = 0;
    const std::uint32_t begin = path.hour_begin[hour], end = path.hour_begin[hour + 1];
    for (std::uint32_t step = begin; step < end; ++step) {
        const double cosine = path.direction[step].dot(normal);
        if (cosine <= 0) continue;
        const double weight = cosine * path.beam_share_of(step, end - begin);
        weights += weight;
        sum += weight * table.at(std::acos(std::min(1.0, cosine)) / degree);
    }
    return weights > 0 ? sum / weights : 1;
}

}  // namespace

double glass_transmittance(int sheets, double incidence_deg) {
    NOONSHELL_CHECK_GE(sheets, 1);
    if (incidence_deg >= 90) return 0;
    const double incidence = std::max(incidence_deg, normal_deg) * degree;
    const double refracted = std::asin(std::sin(incidence) / index_of_glass);
    const FaceReflection r = fresnel(incidence, refracted);
    const double faces = 2 * sheets - 1;
    const double through =
        0.5 * ((1 - r.across) / (1 + faces * r.across) + (1 - r.along) / (1 + faces * r.along));
    return through * std::exp(-extinction_per_sheet * sheets / std::cos(refracted));
}

double glass_transmittance_of_diffuse(int sheets) {
    constexpr int n = 900;  // midpoints; converged to 1e-6
    double sum = 0;
    for (int i = 0; i < n; ++i) {
        const double angle_deg = 90 * (i + 0.5) / n;
        sum += glass_transmittance(sheets, angle_deg) * std::sin(2 * angle_deg * degree);
    }
    return sum * 90 * degree / n;
}

PaneLight::PaneLight(const Envelope& envelope, std::span<const Construction> exposed,
                     const SunPath& path)
    : column_(envelope.surfaces.size(), no_pane), diffuse_(envelope.surfaces.size(), 1.0) {
    NOONSHELL_CHECK_EQ(exposed.size(), envelope.surfaces.size());
    std::map<int, AngleTable> tables;
    std::vector<std::size_t> panes;
    for (std::size_t s = 0; s < exposed.size(); ++s) {
        if (exposed[s].solar_transmittance <= 0) continue;
        const int sheets = exposed[s].glass_sheets;
        tables.try_emplace(sheets, sheets);
        diffuse_[s] = glass_transmittance_of_diffuse(sheets) / glass_transmittance(sheets, 0);
        column_[s] = static_cast<std::uint32_t>(panes.size());
        panes.push_back(s);
    }
    n_panes_ = panes.size();
    beam_.reserve(path.n_hours() * n_panes_);
    for (std::size_t hour = 0; hour < path.n_hours(); ++hour) {
        for (const std::size_t s : panes)
            beam_.push_back(static_cast<float>(hour_share(path, hour, envelope.surfaces[s].normal,
                                                          tables.at(exposed[s].glass_sheets))));
    }
}

PaneLight PaneLight::of_hours(const std::vector<std::size_t>& hours) const {
    PaneLight part = *this;
    part.beam_.clear();
    for (const std::size_t hour : hours) {
        NOONSHELL_CHECK_LE((hour + 1) * n_panes_, beam_.size());
        const auto begin = beam_.begin() + static_cast<std::ptrdiff_t>(hour * n_panes_);
        part.beam_.insert(part.beam_.end(), begin, begin + static_cast<std::ptrdiff_t>(n_panes_));
    }
    return part;
}

bool PaneLight::is_pane(SurfaceId surface) const {
    return column_[surface.index()] != no_pane;
}

double PaneLight::of_beam(SurfaceId surface, std::size_t hour) const {
    const std::uint32_t column = column_[surface.index()];
    return column == no_pane ? 1 : static_cast<double>(beam_[hour * n_panes_ + column]);
}

}  // namespace noonshell
