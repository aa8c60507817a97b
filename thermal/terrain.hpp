// Wind on site from that of a weather station, by the roughness of the land around.
#pragma once

namespace noonshell {

enum class Terrain {
    open,      ///< few obstacles, as around most weather stations
    suburban,  ///< houses, trees, sheds, for more than 500 m upwind
    city       ///< half of the buildings higher than 20 m, for more than 800 m upwind
};

/// Wind speed at that height over this terrain, over that at 10 m of a station in open country:
/// [ashrae2021] ch. 24 eq (4) with table 1 (values from memory). `height_m` above 0.
double wind_over_that_of_a_station(Terrain terrain, double height_m);

/// Height that correlations of outside convection take the wind at [m].
inline constexpr double wind_height_m = 10;

/// Least height that the wind by a face is taken at [m]: between grass and stones the law does not
/// hold; own choice.
inline constexpr double least_wind_height_m = 1;

/// The same by a face whose middle lies `height_m` above the ground, at least at the least height;
/// to the millimetre, so that faces of one storey have one wind.
double wind_by_face_over_that_of_a_station(Terrain terrain, double height_m);

}  // namespace noonshell
