// The standard atmosphere.
#pragma once

namespace noonshell {

/// Pressure at a height above the sea over that at the sea; [ashrae2021] ch. 1 eq. (3), -5000 to
/// 11000 m.
double standard_pressure_ratio(double elevation_m);

/// The pressure itself [Pa], 101325 at the sea.
double standard_pressure_pa(double elevation_m);

}  // namespace noonshell
