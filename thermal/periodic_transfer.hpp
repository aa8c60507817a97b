// Harmonic heat transfer through layers, [iso13786]: an independent check of the transient solver.
#pragma once

#include <complex>
#include <span>

#include "thermal/construction.hpp"

namespace noonshell {

struct PeriodicTransfer {
    double u_w_m2k = 0;                 ///< steady transmittance with the films
    double periodic_w_m2k = 0;          ///< |Y12|
    double decrement = 0;               ///< |Y12| / U
    double shift_h = 0;                 ///< negative: the inside lags
    double inside_capacity_j_m2k = 0;   ///< kappa 1
    double outside_capacity_j_m2k = 0;  ///< kappa 2
    std::complex<double> y12;  ///< inside flux per outside temperature, signs of the standard
};

/// `layers` from inside to outside as in the standard; period [s]; films [m2 K/W].
PeriodicTransfer periodic_transfer(std::span<const Layer> layers, double inside_film_m2k_w,
                                   double outside_film_m2k_w, double period_s = 86400);

}  // namespace noonshell
