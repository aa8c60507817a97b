#include "solar/netcdf_cell.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <string>
#include <string_view>

#include "geometry/diagnostics.hpp"
#include "solar/great_circle.hpp"

namespace noonshell {

namespace {

bool is_coordinate(const NetcdfFile& file, const NetcdfVariable& variable, bool latitude) {
    constexpr std::array<std::string_view, 4> north{"degrees_north", "degree_north", "degrees_N",
                                                    "degree_N"};
    constexpr std::array<std::string_view, 4> east{"degrees_east", "degree_east", "degrees_E",
                                                   "degree_E"};
    if (!variable.is_number) return false;
    const auto name = file.text(variable, "standard_name");
    if (name) return *name == (latitude ? "latitude" : "longitude");
    const auto units = file.text(variable, "units");
    return units && std::ranges::count(latitude ? north : east, *units) > 0;
}

/// Per-dimension indices of entry `k` of a variable, of the dimensions longer than 1.
void add_indices(const NetcdfFile& file, const NetcdfVariable& variable, std::size_t k,
                 NetcdfCell& cell) {
    for (std::size_t i = variable.dimensions.size(); i-- > 0;) {
        const std::size_t dimension = variable.dimensions[i];
        const std::size_t size = file.dimensions()[dimension].size;
        cell.index.emplace_back(dimension, k % size);
        k /= size;
    }
}

}  // namespace

const NetcdfVariable& NetcdfCellFinder::coordinate_of(const NetcdfVariable& variable,
                                                      bool latitude) const {
    const auto fits = [&](const NetcdfVariable& coordinate) {
        return std::ranges::all_of(coordinate.dimensions, [&](std::size_t dimension) {
            return file_.dimensions()[dimension].size == 1 ||
                   std::ranges::count(variable.dimensions, dimension) > 0;
        });
    };
    for (const NetcdfVariable& candidate : file_.variables())
        if (is_coordinate(file_, candidate, latitude) && fits(candidate)) return candidate;
    throw InputError(
        {.file = file_.name(), .line = {}, .column = {}, .entity = variable.name},
        std::string(latitude ? "a latitude" : "a longitude") + " that belongs to this variable",
        "none");
}

NetcdfCell NetcdfCellFinder::search(const NetcdfVariable& latitude,
                                    const NetcdfVariable& longitude) const {
    const std::vector<double> lat = file_.read(latitude), lon = file_.read(longitude);
    const bool together = latitude.dimensions == longitude.dimensions;
    const InputPlace place{.file = file_.name(), .line = {}, .column = {}, .entity = latitude.name};
    if (!together && (latitude.dimensions.size() > 1 || longitude.dimensions.size() > 1))
        throw InputError(place, "latitude and longitude over the same dimensions, or one each",
                         "others");
    NetcdfCell best;
    best.distance_km = std::numeric_limits<double>::infinity();
    std::size_t best_i = 0, best_j = 0;
    for (std::size_t i = 0; i < lat.size(); ++i) {
        if (!(std::abs(lat[i]) <= 90)) continue;
        const std::size_t first = together ? i : 0, end = together ? i + 1 : lon.size();
        for (std::size_t j = first; j < end; ++j) {
            if (!(std::abs(lon[j]) <= 360)) continue;
            const double km = great_circle_km(latitude_deg_, longitude_deg_, lat[i], lon[j]);
            if (km >= best.distance_km) continue;
            best = {lat[i], lon[j], km, {}};
            best_i = i;
            best_j = j;
        }
    }
    if (!std::isfinite(best.distance_km)) throw InputError(place, "places on the earth", "none");
    best.longitude_deg = std::remainder(best.longitude_deg, 360);
    add_indices(file_, latitude, best_i, best);
    if (!together) add_indices(file_, longitude, best_j, best);
    return best;
}

const NetcdfCell& NetcdfCellFinder::nearest(const NetcdfVariable& variable) {
    const NetcdfVariable& latitude = coordinate_of(variable, true);
    const NetcdfVariable& longitude = coordinate_of(variable, false);
    const std::pair key(latitude.id, longitude.id);
    const auto known = found_.find(key);
    if (known != found_.end()) return known->second;
    return found_.emplace(key, search(latitude, longitude)).first->second;
}

}  // namespace noonshell
