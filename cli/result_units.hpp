// Energy in the units that people read. The only conversions of results.
#pragma once

namespace noonshell {

constexpr double kwh_of_joules(double joules) {
    return joules / 3.6e6;
}
constexpr double kwh_of_watt_hours(double watt_hours) {
    return watt_hours / 1000;
}
constexpr double kilowatts(double watts) {
    return watts / 1000;
}

}  // namespace noonshell
