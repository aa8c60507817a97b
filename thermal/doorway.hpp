// An opening between two rooms: warm air leaves above while cool air comes in below.
#pragma once

#include "geometry/ids.hpp"
#include "thermal/week_hours.hpp"

namespace noonshell {

/// An upright opening with air standing on either side of it. The flow each way is
///   Q = C/3 W H sqrt(g H |dT| / T),   C = 0.40 + 0.0045 |dT|
/// ([brown1962], [ashrae2021] ch. 16, natural ventilation, from memory); drafts that a fan
/// or wind drives through the rooms are left out. Several storeys of stairs count as an opening of
/// their clear width and height.
struct Doorway {
    UnitId a, b;
    double width_m = 0.9, height_m = 2.0;
    WeekHours open_share = every_day(always_open());  ///< of the width, 0 to 1

    /// Air that goes either way [m3/s] when it stands open by `share`.
    double flow_m3_s(double a_c, double b_c, double share) const;

  private:
    static constexpr std::array<double, hours_per_day> always_open() {
        std::array<double, hours_per_day> open{};
        open.fill(1);
        return open;
    }
};

}  // namespace noonshell
