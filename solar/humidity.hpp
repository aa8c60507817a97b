// Moist air: dew point from relative humidity.
#pragma once

namespace noonshell {

/// Saturation pressure of water vapour over liquid water [Pa]; Magnus form of [alduchov1996] eq.
/// (21), within 0.4 % from -40 to 50 degC. Over ice, too, it is that of (supercooled) water, as
/// hygrometers and weather services state relative humidity.
double saturation_pressure_pa(double dry_bulb_c);

/// Dew point [degC] of air at `dry_bulb_c` and a relative humidity in percent, by the same form
/// solved for the temperature. Humidity is held between 0.1 % and 100 %: at 0 there is no dew
/// point.
double dew_point_c(double dry_bulb_c, double relative_humidity_percent);

}  // namespace noonshell
