// Outdoor conditions at every heat step: air, sky, wind and the ground's own temperature.
#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "solar/site.hpp"
#include "solar/weather.hpp"
#include "thermal/outside_convection.hpp"
#include "thermal/terrain.hpp"

namespace noonshell {

struct SurroundingsOptions {
    double step_s = 900;  ///< divides 3600
    OutsideConvection convection = OutsideConvection::combined;
    Terrain terrain = Terrain::open;
    bool wind_by_height = false;     ///< forced convection by the wind at each face's own height
    double ground_emittance = 0.95;  ///< dry soil, common practice
    /// Of the ground that warms in the sun; none: that of the site.
    std::optional<double> ground_albedo = std::nullopt;
    /// Of the outdoor air, for the deep ground; none: the mean of the period.
    std::optional<double> yearly_mean_c = std::nullopt;
    /// Of the period's first day, 0 for Monday; none: by its date. The days follow each other from
    /// there, also where months of a typical year come from different years.
    std::optional<std::size_t> first_weekday = std::nullopt;
};

/// Values at the end of every step; the period wraps round when the weather is periodic.
struct Surroundings {
    double step_s = 900;
    std::size_t steps_per_hour = 4;
    std::size_t n_hours = 0;
    OutsideConvection convection = OutsideConvection::combined;
    std::vector<double> air_c;                 ///< #steps, straight lines between hour labels
    std::vector<double> sky_longwave_w_m2;     ///< #steps, on a level face that sees only sky
    std::vector<double> ground_longwave_w_m2;  ///< #steps, leaving the ground
    std::vector<double> ground_c;              ///< #steps, sunlit ground
    std::vector<double> forced_windward_w_m2k, forced_leeward_w_m2k,
        forced_unknown_w_m2k;            ///< #hours, by the wind on site at 10 m
    std::vector<double> wind_m_s;        ///< #hours, of the weather station; empty: calm
    std::vector<double> wind_from_deg;   ///< #hours or empty
    std::vector<double> air_heat_j_m3k;  ///< #hours, heat capacity of outdoor air per volume
    std::vector<double> pressure_pa;     ///< #hours
    std::vector<double> humidity_kg_kg;  ///< #hours, per dry air; empty: bone dry
    std::vector<std::size_t> week_hour;  ///< #hours, 0..167, see WeekHours, in which it begins
    double deep_ground_c = 20;           ///< yearly mean of the outdoor air
    double wind_ratio = 1;               ///< wind on site over that of the station, both at 10 m
    /// Set: faces take the wind at their own height over this terrain in place of that at 10 m.
    std::optional<Terrain> wind_by_height = std::nullopt;
    double forced_scale = 1;  ///< of all forced convection on the building, however it is found

    std::size_t n_steps() const { return air_c.size(); }
    double mean_air_c() const;  ///< of the period; where the heat of a run begins
    double wind_at(std::size_t hour) const { return wind_m_s.empty() ? 0 : wind_m_s[hour]; }
    double wind_on_site(std::size_t hour) const { return wind_ratio * wind_at(hour); }
};

/// Sky by measured downwelling longwave where the weather has it, else by [berdahl1984]; ground by
/// its own surface balance: a column of dry sand in full sun, deep face at the yearly mean of
/// the air (a level plane that sees only sky; the building's shadow on it is left out).
Surroundings make_surroundings(const Site& site, const Weather& weather,
                               const SurroundingsOptions& options = {});

}  // namespace noonshell
