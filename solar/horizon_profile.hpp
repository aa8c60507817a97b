// Hills around the site: how high the skyline stands by compass azimuth.
#pragma once

#include <cstddef>
#include <filesystem>
#include <vector>

namespace noonshell {

/// Skyline by straight lines between given azimuths, closed round the circle; flat when empty. It
/// is far away: the same from every point of the site.
class HorizonProfile {
  public:
    HorizonProfile() = default;
    /// Azimuths in [0, 360), ascending, each once; as many elevations. Throws InvariantError else.
    HorizonProfile(std::vector<double> azimuths_deg, std::vector<double> elevations_deg);

    /// Apparent elevation of the skyline [deg] at any compass azimuth [deg]; 0 when empty.
    double elevation_deg(double azimuth_deg) const;

    bool empty() const { return azimuth_deg_.empty(); }
    std::size_t size() const { return azimuth_deg_.size(); }
    /// The highest and lowest of the given points [deg]; 0 when empty.
    double highest_deg() const;
    double lowest_deg() const;

  private:
    std::vector<double> azimuth_deg_;    ///< #points
    std::vector<double> elevation_deg_;  ///< #points
};

/// Reads a table with the columns "azimuth_deg" (compass, -360 to 360) and "elevation_deg" (-10 to
/// 90), in any order of columns and rows; other columns are passed over. Commas, semicolons, tabs
/// or blanks stand between fields, one of these in all of the file: that of the column names. The
/// circle's end may repeat its beginning. Throws InputError with line and column for a missing
/// column, no rows, a value that is no number or out of range, and an azimuth with two elevations.
HorizonProfile read_horizon_profile(const std::filesystem::path& file);

}  // namespace noonshell
