#include "solar/netcdf_height.hpp"

#include <algorithm>
#include <cmath>
#include <sstream>
#include <string>

namespace noonshell {

namespace {

bool is_height(const NetcdfFile& file, const NetcdfVariable& variable) {
    if (!variable.is_number || file.text(variable, "standard_name") != "height") return false;
    const std::string units = file.text(variable, "units").value_or("");
    return units == "m" || units == "meter" || units == "metre" || units == "meters" ||
           units == "metres";
}

}  // namespace

std::vector<NetcdfHeight> netcdf_heights(const NetcdfFile& file, const NetcdfVariable& variable) {
    std::vector<NetcdfHeight> heights;
    std::istringstream names(file.text(variable, "coordinates").value_or(""));
    for (std::string name; names >> name;) {
        const NetcdfVariable* coordinate = file.variable(name);
        if (!coordinate || !is_height(file, *coordinate)) continue;
        const std::vector<double> values = file.read(*coordinate);
        if (values.size() == 1) heights.push_back({values[0], {}, {}});
    }
    for (const std::size_t dimension : variable.dimensions) {
        const NetcdfVariable* coordinate = file.variable(file.dimensions()[dimension].name);
        if (!coordinate || !is_height(file, *coordinate)) continue;
        if (coordinate->dimensions != std::vector{dimension}) continue;
        const std::vector<double> values = file.read(*coordinate);
        for (std::size_t i = 0; i < values.size(); ++i)
            heights.push_back({values[i], dimension, i});
    }
    std::erase_if(heights, [](const NetcdfHeight& h) { return !(h.height_m > 0); });
    return heights;
}

std::optional<NetcdfHeight> nearest_height(const std::vector<NetcdfHeight>& heights,
                                           double wanted_m) {
    if (heights.empty()) return std::nullopt;
    return *std::ranges::min_element(heights, {}, [wanted_m](const NetcdfHeight& h) {
        return std::abs(std::log(h.height_m / wanted_m));
    });
}

double wind_to_10_m(double height_m) {
    constexpr double open_country = 0.14;
    return std::pow(10 / height_m, open_country);
}

}  // namespace noonshell
