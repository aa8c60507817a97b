// Which cell of a gridded NetCDF variable lies nearest to a place.
#pragma once

#include <cstddef>
#include <functional>
#include <map>
#include <optional>
#include <utility>
#include <vector>

#include "solar/netcdf_file.hpp"

namespace noonshell {

/// One cell: where it is, and its index along each of the dimensions that latitude and longitude
/// have.
struct NetcdfCell {
    double latitude_deg = 0, longitude_deg = 0, distance_km = 0;
    std::vector<std::pair<std::size_t, std::size_t>> index;  ///< (dimension of the file, index)
};

/// Finds cells by great-circle distance; the first of equals. Latitude and longitude are variables
/// of these standard_names or units (degrees_north, degrees_east; [cf2023] section 4): one
/// dimension each, the same dimensions both (rotated and curvilinear grids, stations), or single
/// values.
class NetcdfCellFinder {
  public:
    NetcdfCellFinder(const NetcdfFile& file, double latitude_deg, double longitude_deg)
        : file_(file), latitude_deg_(latitude_deg), longitude_deg_(longitude_deg) {}

    /// Throws InputError where `variable` has no such coordinates.
    const NetcdfCell& nearest(const NetcdfVariable& variable);

    /// The nearest of those cells that `wanted` takes; nothing where there is none.
    using CellTest = std::function<bool(const NetcdfCell&)>;
    std::optional<NetcdfCell> nearest_where(const NetcdfVariable& variable,
                                            const CellTest& wanted) const;

  private:
    const NetcdfVariable& coordinate_of(const NetcdfVariable& variable, bool latitude) const;
    std::optional<NetcdfCell> search(const NetcdfVariable& latitude,
                                     const NetcdfVariable& longitude, const CellTest& wanted) const;

    const NetcdfFile& file_;
    double latitude_deg_, longitude_deg_;
    std::map<std::pair<int, int>, NetcdfCell> found_;  ///< by the ids of latitude and longitude
};

}  // namespace noonshell
