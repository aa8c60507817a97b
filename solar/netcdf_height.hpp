// Heights above the ground that variables of NetCDF files stand for.
#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "solar/netcdf_file.hpp"

namespace noonshell {

/// Where along which dimension; a scalar coordinate has none.
struct NetcdfHeight {
    double height_m = 0;
    std::optional<std::size_t> dimension, index;
};

/// The heights of a variable by its coordinates of the standard_name "height" in metres ([cf2023]
/// section 4.3 and 5.7): single values that its attribute "coordinates" names, or one of its own
/// dimensions. None where the file says nothing.
std::vector<NetcdfHeight> netcdf_heights(const NetcdfFile& file, const NetcdfVariable& variable);

/// Of these the nearest to a height, by their ratio.
std::optional<NetcdfHeight> nearest_height(const std::vector<NetcdfHeight>& heights,
                                           double wanted_m);

/// Wind at 10 m over that at another height: the power law over open country, exponent 0.14,
/// [ashrae2021] ch. 24 eq. (4) and table 1 (from memory).
double wind_to_10_m(double height_m);

}  // namespace noonshell
