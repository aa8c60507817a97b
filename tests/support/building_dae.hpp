// The equations of the heat run as a system of differential and algebraic equations in time,
//   F(t, y, y') = 0,
// integrated by SUNDIALS' IDA (variable order and step, error controlled). Cells, films and gaps
// are the project's own; how they are taken through time shares nothing with it: no step of fixed
// length, no linearised face, no lagged longwave, no elimination.
#pragma once

#include <cstddef>
#include <functional>
#include <span>
#include <vector>

#include "thermal/heat_patches.hpp"
#include "thermal/simulate.hpp"

namespace noonshell::test_models {

/// Free running only: no plant, no ventilation by the clock. Light, wind and gains are constant
/// within the hour; the rest goes in straight lines between the steps of the surroundings.
class BuildingDae {
  public:
    /// What they refer to must outlive it. Throws std::invalid_argument for rooms with a plant or
    /// ventilation, or where faces take the wind at their own height over other land than open.
    BuildingDae(const HeatInputs& inputs, const Building& building, int refine = 1);

    std::size_t size() const { return n_unknowns_; }

    /// From the period's mean everywhere through `n_hours` hours (the period repeats), to the
    /// tolerance given [K and share]. `each_hour(hour, means)` receives the mean air temperature of
    /// every room over that hour.
    void run(std::size_t n_hours, double tolerance,
             const std::function<void(std::size_t, std::span<const double>)>& each_hour);

    /// Residual at a time within the hour that was set; for IDA.
    void residual(double t_s, const double* y, const double* slope, double* out) const;

  private:
    struct WallUnknowns {
        std::size_t a, cells, b;  // first index of each
    };
    void set_hour(std::size_t hour);
    double at(const std::vector<double>& by_step, double t_s) const;
    double light_w_m2(const OpenFace& face) const;
    FaceConditions conditions(const OpenFace& face, double t_s) const;
    double forced_w_m2k(const OpenFace& face) const;
    void find_longwave(double t_s, const double* y) const;
    void wall(const LayeredWall& layers, const WallUnknowns& at, const double* y,
              const double* slope, double to_a_w_m2, double to_b_w_m2, double* out) const;
    double inside(const InsideFace& face, double face_c, const double* y, double* out) const;
    std::vector<double> ids() const;

    const HeatInputs in_;
    const Building& building_;
    Patches patches_;
    std::size_t hour_ = 0;
    std::size_t n_unknowns_ = 0;
    std::vector<WallUnknowns> open_, shared_, ground_;
    std::vector<std::size_t> sheet_, shade_;  // unknown of a cladding (or none), of a shade
    std::size_t air_ = 0, radiant_ = 0;       // first of the rooms'
    std::vector<double> air_capacity_j_k_;
    mutable std::vector<double> longwave_in_, leaving_;  // #surfaces
};

}  // namespace noonshell::test_models
