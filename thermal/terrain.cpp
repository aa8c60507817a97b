#include "thermal/terrain.hpp"

#include <algorithm>
#include <cmath>

namespace noonshell {

namespace {

struct BoundaryLayer {
    double exponent = 0, thickness_m = 0;
};

constexpr BoundaryLayer of_station{0.14, 270};
constexpr double station_height_m = 10;

BoundaryLayer boundary_layer(Terrain terrain) {
    switch (terrain) {
        case Terrain::suburban:
            return {0.22, 370};
        case Terrain::city:
            return {0.33, 460};
        case Terrain::open:
            break;
    }
    return of_station;
}

}  // namespace

double wind_over_that_of_a_station(Terrain terrain, double height_m) {
    // The same to the last digit where nothing is to be converted.
    if (terrain == Terrain::open) return std::pow(height_m / station_height_m, of_station.exponent);
    const BoundaryLayer here = boundary_layer(terrain);
    return std::pow(of_station.thickness_m / station_height_m, of_station.exponent) *
           std::pow(height_m / here.thickness_m, here.exponent);
}

double wind_by_face_over_that_of_a_station(Terrain terrain, double height_m) {
    constexpr double per_m = 1000;
    return wind_over_that_of_a_station(
        terrain, std::max(least_wind_height_m, std::round(height_m * per_m) / per_m));
}

}  // namespace noonshell
