#include "tests/benchmark/sun_case.hpp"

#include <array>

#include "geometry/step_reader.hpp"
#include "tests/support/settlement.hpp"

namespace noonshell::benchmark {

namespace {

constexpr double north_deg = 14;

/// Clear-sky depths and temperatures by month, invented, in the range of hot deserts.
std::array<MonthNormals, 12> desert_months() {
    constexpr std::array tau_b{0.34, 0.37, 0.42, 0.48, 0.52, 0.53,
                               0.55, 0.54, 0.50, 0.45, 0.38, 0.35};
    constexpr std::array tau_d{2.35, 2.25, 2.12, 2.02, 1.97, 1.97,
                               1.95, 1.97, 2.02, 2.10, 2.25, 2.32};
    std::array<MonthNormals, 12> months;
    for (std::size_t m = 0; m < months.size(); ++m) {
        months[m].mean_high_c = 32;
        months[m].mean_low_c = 16;
        months[m].dew_point_c = 3;
        months[m].wind_m_s = 3.5;
        months[m].tau_b = tau_b[m];
        months[m].tau_d = tau_d[m];
    }
    return months;
}

void darken(Weather& weather, int day_stride) {
    constexpr std::size_t hours_of_day = 24;
    const auto stride = static_cast<std::size_t>(day_stride);
    for (std::size_t h = 0; h < weather.size(); ++h) {
        if (h / hours_of_day % stride == stride / 2) continue;
        weather.direct_normal_w_m2[h] = weather.diffuse_w_m2[h] = weather.global_w_m2[h] = 0;
    }
}

SunCase at_the_station(std::string name, Envelope building, int day_stride, double sun_step_s) {
    SunCase result;
    result.name = std::move(name);
    result.site = {.latitude_deg = 27.4,
                   .longitude_deg = 29.6,
                   .elevation_m = 160,
                   .utc_offset_h = 2,
                   .north_deg = north_deg,
                   .ground_albedo = 0.4};
    result.weather = typical_clear_year(result.site, desert_months(), 2023);
    result.path = sun_path(result.site, result.weather, sun_step_s);
    darken(result.weather, day_stride);
    result.building = std::move(building);
    result.reflectance.assign(result.building.surfaces.size(), 0.3);
    return result;
}

EnvelopeOptions envelope_options(double facet_size_m) {
    EnvelopeOptions options;
    options.north_deg = north_deg;
    options.facet_size_m = facet_size_m;
    options.ground_z_m = 0;
    return options;
}

}  // namespace

SunCase demo_case(int day_stride, double facet_size_m, double sun_step_s) {
    const Model model = read_step(NOONSHELL_SOURCE_DIR "/models/station.step");
    std::vector<Warning> warnings;
    const auto roles = choose_roles(model, {}, {}, warnings);
    return at_the_station("demo, 12 units",
                          build_envelope(model, roles, envelope_options(facet_size_m)), day_stride,
                          sun_step_s);
}

SunCase preview_case(int days_apart) {
    return demo_case(days_apart, 1.0, 1800);
}

SiteSunOptions preview_options() {
    return {.ground = {.cell_m = 2, .finest_cell_m = 1},
            .points_per_facet = 2,
            .rays_per_facet = 64,
            .part_size_m = 2.5,
            .surface_tolerance = 0};
}

SunCase settlement_case(int day_stride, double facet_size_m) {
    return at_the_station("settlement, 400 units",
                          test_models::settlement({}, envelope_options(facet_size_m)), day_stride,
                          600);
}

std::vector<Vec3> lit_suns(const SunCase& sun_case) {
    std::vector<Vec3> suns;
    const SunPath& path = sun_case.path;
    for (std::size_t h = 0; h < path.n_hours(); ++h) {
        const Weather& weather = sun_case.weather;
        if (weather.direct_normal_w_m2[h] <= 0 && weather.diffuse_w_m2[h] <= 0) continue;
        for (auto i = path.hour_begin[h]; i < path.hour_begin[h + 1]; ++i) {
            suns.push_back(path.direction[i]);
        }
    }
    return suns;
}

ExposureOptions direct_options(std::uint32_t points_per_facet) {
    ExposureOptions options;
    options.points_per_facet = points_per_facet;
    options.surface_tolerance = 0;
    return options;
}

Sunlight trace(const SunCase& sun_case, const ExposureOptions& options) {
    const RayScene scene(sun_case.building.blockers);
    return trace_sunlight(sun_case.building, scene, sun_case.path, sun_case.weather, options);
}

SiteSun find(const SunCase& sun_case, const SiteSunOptions& options) {
    return find_sun(sun_case.building, sun_case.site, sun_case.weather, sun_case.path,
                    sun_case.reflectance, options);
}

std::vector<double> surface_direct(const SunCase& sun_case, const Sunlight& sunlight) {
    std::vector<double> means;
    const FacetArrays& facets = sun_case.building.facets;
    for (const Surface& surface : sun_case.building.surfaces) {
        double sum = 0, area = 0;
        for (auto f = surface.first_facet; f < surface.first_facet + surface.n_facets; ++f) {
            sum += facets.area_m2[f] * sunlight.direct_wh_m2[f];
            area += facets.area_m2[f];
        }
        means.push_back(area > 0 ? sum / area : 0);
    }
    return means;
}

}  // namespace noonshell::benchmark
