// Layers, walls and tables of [ashrae2021] ch. 18 (tables 16 to 18 and 29), and the wall driven by
// them. Resistances are those of the book's R column, heat capacities follow from the other
// columns.
#pragma once

#include <array>
#include <functional>
#include <span>
#include <vector>

#include "thermal/layered_wall.hpp"

namespace noonshell::handbook {

inline Layer film(double resistance_m2k_w) {
    return {{}, 0, resistance_m2k_w};
}

/// A slab whose conductivity gives the printed resistance.
inline Layer slab(double thickness_mm, double density_kg_m3, double specific_heat_kj_kgk,
                  double resistance_m2k_w) {
    const double thickness_m = thickness_mm / 1000;
    return {{"", thickness_m / resistance_m2k_w, density_kg_m3, specific_heat_kj_kgk * 1000, ""},
            thickness_m,
            {}};
}

// Table 18; the films and air spaces with one digit more than printed (1 / printed coefficient).
inline const Layer F01 = film(0.044), F02 = film(0.121), F03 = film(0.162), F04 = film(0.153),
                   F05 = film(0.176);
inline const Layer F08 = slab(0.76, 7824, 0.50, 0.00076 / 45.28);
inline const Layer F09 = slab(6.4, 2528, 0.88, 0.01);
inline const Layer G01 = slab(15.9, 800, 1.09, 0.10);
inline const Layer G03 = slab(12.7, 400, 1.30, 0.19);
inline const Layer I02 = slab(50.8, 43, 1.21, 1.76);
inline const Layer I04 = slab(89.4, 19, 0.96, 1.94);
inline const Layer I05 = slab(154.4, 19, 0.96, 3.34);

struct Wall {
    const char* name;
    std::vector<Layer> layers;  // outdoors to indoors, films included
    double u_w_m2k;             // printed
    std::vector<double> factors_percent;
};

// Tables 16 and 17.
inline const std::array<Wall, 4> walls{{
    {"wall 1, spandrel",
     {F01, F09, F04, I02, F04, G01, F02},
     0.430,
     {18.0, 57.1, 19.8, 4.0, 0.8, 0.2}},
    {"wall 3, metal panel",
     {F01, F08, F04, I02, F04, G01, F02},
     0.431,
     {25.0, 56.1, 15.2, 3.0, 0.6, 0.1}},
    {"wall 7, metal and batt",
     {F01, F08, G03, I04, G01, F02},
     0.418,
     {19.3, 57.5, 18.7, 3.7, 0.7, 0.1}},
    {"roof 1, metal",
     {F01, F08, G03, F05, I05, G01, F03},
     0.2485,
     {6.4, 44.2, 32.7, 11.6, 3.6, 1.1, 0.3, 0.1}},
}};

inline constexpr std::size_t hours = 24;
using Day = std::array<double, hours>;

// Table 29A, total on a wall facing 60 degrees west of south, hours 1 to 24 [W/m2].
inline constexpr Day sun_w_m2{0,     0,     0,     0,     0,     11.8,  48.4,  82.7,
                              112.8, 137.3, 155.9, 178.4, 330.3, 489.8, 597.1, 631.9,
                              578.3, 424.7, 166.0, 0,     0,     0,     0,     0};
// Table 29B: outdoor air, sol-air temperature [C], heat gain and cooling load [W], hours 1 to 24.
inline constexpr Day air_c{23.2, 22.8, 22.4, 22.1, 21.9, 22.1, 22.9, 24.8, 26.9, 28.8, 30.6, 31.7,
                           32.6, 33.1, 33.1, 32.4, 31.6, 30.4, 28.7, 27.5, 26.5, 25.5, 24.7, 23.9};
inline constexpr Day sol_air_c{23.2, 22.8, 22.4, 22.1, 21.9, 22.7, 25.4, 29.2,
                               32.9, 36.1, 38.8, 41.1, 50.0, 59.0, 64.7, 65.8,
                               62.1, 52.9, 37.5, 27.5, 26.5, 25.5, 24.7, 23.9};
inline constexpr Day gain_w{0,  -1, -2, -3, -4, -4, -2, 4,  12, 21, 28, 35,
                            44, 62, 81, 95, 99, 91, 70, 39, 17, 8,  5,  2};
inline constexpr Day load_w{5,  3,  1,  1,  0,  -1, 1,  5,  12, 19, 26, 32,
                            39, 54, 71, 84, 89, 85, 69, 45, 25, 15, 10, 7};
inline constexpr double room_c = 23.9, area_m2 = 5.57, table_u_w_m2k = 0.44;
// Table 19, medium building, carpet, half glass, nonsolar; and the radiant share of wall gain.
inline constexpr Day radiant_percent{49, 17, 9, 5, 3, 2, 2, 1, 1, 1, 1, 1,
                                     1,  1,  1, 1, 1, 1, 1, 1, 0, 0, 0, 0};
inline constexpr double radiant_share = 0.46;

/// Value at a time in hours of a periodic day whose hourly values are joined by straight lines;
/// element 0 stands at hour 0.
inline double joined(const Day& day, double hour) {
    const auto at = static_cast<std::size_t>(hour);
    const double share = hour - static_cast<double>(at);
    return (1 - share) * day[at % hours] + share * day[(at + 1) % hours];
}

/// Heat out of face b [W/m2] at the full hours 0..23 of the last of `days` equal days; face b is
/// held at 0.
inline Day inside_flux(const LayeredWall& wall, const Day& face_a_c, int days) {
    const auto per_hour = static_cast<std::size_t>(3600 / wall.step_s());
    WallState state = wall.uniform_state(0);
    std::vector<double> particular(wall.n_cells());
    Day flux{};
    for (std::size_t step = 0; step < static_cast<std::size_t>(days) * hours * per_hour; ++step) {
        const double hour = static_cast<double>(step % (hours * per_hour) + 1) /
                            static_cast<double>(per_hour);  // at the end of the step
        const double a_c = joined(face_a_c, hour);
        const TwoPort port = wall.prepare(state, particular);
        wall.advance(state, particular, a_c, 0);
        if ((step + 1) % per_hour == 0)
            flux[(step + 1) / per_hour % hours] = port.ab * a_c + port.r_b;
    }
    return flux;
}

}  // namespace noonshell::handbook
