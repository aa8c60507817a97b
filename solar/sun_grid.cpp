#include "solar/sun_grid.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <string>

#include "geometry/angles.hpp"
#include "geometry/diagnostics.hpp"

namespace noonshell {

namespace {

/// More nodes than this share of the steps are not worth their error.
constexpr double most_nodes_per_step = 0.6;

/// Evenly spaced places that hold [low, high].
struct Line {
    double low = 1e300, high = -1e300;
    std::uint32_t cells = 1;

    void include(double x) {
        low = std::min(low, x);
        high = std::max(high, x);
    }
    void divide(double step) {
        constexpr double rounding = 1e-9;
        cells =
            static_cast<std::uint32_t>(std::max(1.0, std::ceil((high - low) / step - rounding)));
    }
    double at(std::uint32_t i) const { return low + (high - low) * i / cells; }
    std::uint32_t nodes() const { return cells + 1; }
    /// Cell and place in it, 0..1.
    std::pair<std::uint32_t, double> find(double x) const {
        if (!(high > low)) return {0, 0.0};
        const double place = (x - low) / (high - low) * cells;
        const double cell = std::clamp(std::floor(place), 0.0, cells - 1.0);
        return {static_cast<std::uint32_t>(cell), std::clamp(place - cell, 0.0, 1.0)};
    }
};

/// Four neighbours on a line and what each counts for.
struct Reading {
    std::array<std::uint32_t, 4> node{};
    std::array<double, 4> weight{};
};

/// The kernel of [keys1981] with a = -1/2, at the place t of a cell, 0..1.
Reading read_line(const Line& line, double x) {
    const auto [cell, t] = line.find(x);
    Reading reading;
    reading.weight = {0.5 * t * (t * (2 - t) - 1), 1 + 0.5 * t * t * (3 * t - 5),
                      0.5 * t * (1 + t * (4 - 3 * t)), 0.5 * t * t * (t - 1)};
    for (std::uint32_t k = 0; k < 4; ++k) reading.node[k] = cell + k - 1;
    auto& w = reading.weight;
    if (cell == 0) {
        w = {0, w[1] + 2 * w[0], w[2] - w[0], w[3]};
        reading.node[0] = 0;
    }
    if (cell + 1 == line.cells) {
        w = {w[0], w[1] - w[3], w[2] + 2 * w[3], 0};
        reading.node[3] = line.cells;
    }
    return reading;
}

/// Latitude and longitude about the pole; longitude 0 is the upper meridian.
struct PolarAxes {
    Vec3 pole, meridian, west;

    explicit PolarAxes(const Vec3& toward_pole) : pole(toward_pole) {
        const Vec3 up = Vec3::UnitZ() - pole.z() * pole;
        meridian = up.norm() > 1e-6 ? Vec3(up.normalized()) : Vec3(pole.unitOrthogonal());
        west = pole.cross(meridian);
    }
    std::array<double, 2> angles_rad(const Vec3& d) const {
        return {std::asin(std::clamp(pole.dot(d), -1.0, 1.0)),
                std::atan2(west.dot(d), meridian.dot(d))};
    }
    Vec3 direction(double latitude_rad, double longitude_rad) const {
        return std::cos(latitude_rad) *
                   (std::cos(longitude_rad) * meridian + std::sin(longitude_rad) * west) +
               std::sin(latitude_rad) * pole;
    }
};

void check_step(const char* name, double step_deg) {
    if (step_deg > 0) return;
    throw InputError({.file = {}, .line = {}, .column = {}, .entity = name}, "above 0",
                     std::to_string(step_deg));
}

/// Numbers the nodes that a step is read from in order of the grid; returns their old numbers.
std::vector<std::uint32_t> keep_used(std::span<const std::uint32_t> steps, std::size_t n_nodes,
                                     SunGrid& grid) {
    constexpr std::uint32_t unused = ~0u;
    std::vector<std::uint32_t> number(n_nodes, unused), kept;
    for (const std::uint32_t step : steps) {
        for (const std::uint32_t node : grid.nodes_of_step[step]) number[node] = 0;
    }
    for (std::uint32_t node = 0; node < n_nodes; ++node) {
        if (number[node] == unused) continue;
        number[node] = static_cast<std::uint32_t>(kept.size());
        kept.push_back(node);
    }
    for (const std::uint32_t step : steps) {
        for (std::uint32_t& node : grid.nodes_of_step[step]) node = number[node];
    }
    return kept;
}

std::vector<std::uint32_t> steps_of(std::span<const SunRow> rows) {
    std::vector<std::uint32_t> steps;
    for (const SunRow& row : rows) {
        for (auto step = row.begin; step < row.end; ++step) steps.push_back(step);
    }
    return steps;
}

}  // namespace

SunGrid sun_grid(const SunPath& path, std::span<const SunRow> rows, double declination_step_deg,
                 double hour_angle_step_deg) {
    check_step("declination_step_deg", declination_step_deg);
    check_step("hour_angle_step_deg", hour_angle_step_deg);
    const std::vector<std::uint32_t> steps = steps_of(rows);
    SunGrid grid;
    if (path.pole.isZero() || steps.empty()) return grid;
    const PolarAxes axes(path.pole);
    Line declination, hour_angle;
    for (const std::uint32_t step : steps) {
        const auto [latitude, longitude] = axes.angles_rad(path.direction[step]);
        declination.include(latitude);
        hour_angle.include(longitude);
    }
    declination.divide(declination_step_deg * degree);
    hour_angle.divide(hour_angle_step_deg * degree);
    grid.nodes_of_step.resize(path.size());
    grid.weights_of_step.resize(path.size());
    for (const std::uint32_t step : steps) {
        const auto [latitude, longitude] = axes.angles_rad(path.direction[step]);
        const Reading along = read_line(hour_angle, longitude);
        const Reading across = read_line(declination, latitude);
        for (std::size_t k = 0; k < SunGrid::stencil; ++k) {
            grid.nodes_of_step[step][k] =
                across.node[k / 4] * hour_angle.nodes() + along.node[k % 4];
            grid.weights_of_step[step][k] =
                static_cast<float>(across.weight[k / 4] * along.weight[k % 4]);
        }
    }
    const std::size_t n_nodes = std::size_t{hour_angle.nodes()} * declination.nodes();
    const std::vector<std::uint32_t> kept = keep_used(steps, n_nodes, grid);
    if (static_cast<double>(kept.size()) >
        most_nodes_per_step * static_cast<double>(steps.size())) {
        return {};
    }
    for (const std::uint32_t node : kept) {
        grid.node.push_back(axes.direction(declination.at(node / hour_angle.nodes()),
                                           hour_angle.at(node % hour_angle.nodes())));
    }
    return grid;
}

}  // namespace noonshell
