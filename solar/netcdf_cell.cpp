#include "solar/netcdf_cell.hpp"

#include <algorithm>
#include <array>
#include <cmath>
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

std::optional<NetcdfCell> NetcdfCellFinder::search(const NetcdfVariable& latitude,
                                                   const NetcdfVariable& longitude,
                                                   const CellTest& wanted) const {
    const std::vector<double> lat = file_.read(latitude), lon = file_.read(longitude);
    const bool together = latitude.dimensions == longitude.dimensions;
    if (!together && (latitude.dimensions.size() > 1 || longitude.dimensions.size() > 1))
        throw InputError({.file = file_.name(), .line = {}, .column = {}, .entity = latitude.name},
                         "latitude and longitude over the same dimensions, or one each", "others");
    std::optional<NetcdfCell> best;
    for (std::size_t i = 0; i < lat.size(); ++i) {
        if (!(std::abs(lat[i]) <= 90)) continue;
        const std::size_t first = together ? i : 0, end = together ? i + 1 : lon.size();
        for (std::size_t j = first; j < end; ++j) {
            if (!(std::abs(lon[j]) <= 360)) continue;
            const double km = great_circle_km(latitude_deg_, longitude_deg_, lat[i], lon[j]);
            if (best && km >= best->distance_km) continue;
            NetcdfCell cell{lat[i], std::remainder(lon[j], 360), km, {}};
            add_indices(file_, latitude, i, cell);
            if (!together) add_indices(file_, longitude, j, cell);
            if (!wanted || wanted(cell)) best = std::move(cell);
        }
    }
    return best;
}

const NetcdfCell& NetcdfCellFinder::nearest(const NetcdfVariable& variable) {
    const NetcdfVariable& latitude = coordinate_of(variable, true);
    const NetcdfVariable& longitude = coordinate_of(variable, false);
    const std::pair key(latitude.id, longitude.id);
    const auto known = found_.find(key);
    if (known != found_.end()) return known->second;
    const auto cell = search(latitude, longitude, {});
    if (!cell)
        throw InputError({.file = file_.name(), .line = {}, .column = {}, .entity = latitude.name},
                         "places on the earth", "none");
    return found_.emplace(key, *cell).first->second;
}

std::optional<NetcdfCell> NetcdfCellFinder::nearest_where(const NetcdfVariable& variable,
                                                          const CellTest& wanted) const {
    return search(coordinate_of(variable, true), coordinate_of(variable, false), wanted);
}

}  // namespace noonshell
