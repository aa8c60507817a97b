// The site file as plain values in SI, every one checked, with the record of where it came from.
#pragma once

#include <array>
#include <filesystem>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "cli/input_ledger.hpp"
#include "geometry/diagnostics.hpp"
#include "geometry/envelope.hpp"
#include "geometry/ground.hpp"
#include "geometry/roles.hpp"
#include "geometry/shade_settings.hpp"
#include "geometry/up_axis.hpp"
#include "solar/hour_light.hpp"
#include "solar/weather.hpp"
#include "solar/weather_grid.hpp"
#include "solar/weather_table.hpp"
#include "thermal/building.hpp"
#include "thermal/comfort.hpp"
#include "thermal/construction.hpp"
#include "thermal/outside_convection.hpp"
#include "thermal/plan_confidence.hpp"
#include "thermal/plan_goal.hpp"
#include "thermal/plan_limits.hpp"
#include "thermal/planned_shade.hpp"
#include "thermal/terrain.hpp"
#include "thermal/treatment.hpp"

namespace noonshell {

/// [site]. What is not set comes from the weather file.
struct SiteSettings {
    std::optional<double> latitude_deg, longitude_deg, elevation_m;
    std::optional<std::string> time_zone;
    double north_deg = 0;
    double ground_albedo = 0.2;
    double context_reflectance = 0.25;
    std::optional<std::filesystem::path> horizon;  ///< beside the site file unless absolute
    GroundOptions ground;                          ///< regions of [[ground]]
    std::vector<double> region_albedo;             ///< of ground.regions
    InputPlace place;                              ///< of [site], or the file where it is left out
    InputPlace time_zone_place;                    ///< of the value, where set
};

/// [model]
struct ModelSettings {
    std::filesystem::path file;  ///< beside the site file unless absolute; empty when not set
    InputPlace place;            ///< of [model], or the file where it is left out
    UpAxis up = UpAxis::z;       ///< axis of the file that points up
    bool up_given = false;
    double lost_area_limit = 0.01;
    std::optional<std::filesystem::path> against;  ///< an earlier version, for which names hold too
    RolePatterns patterns;
    EnvelopeOptions envelope;  ///< north_deg is filled from [site]
    ShadeSettings shades;      ///< added to the model
};

/// A TMY3 file.
struct WeatherFile {
    std::filesystem::path file;
    int longest_fill_h = 6;
};
/// A table of text: [weather.time] and [weather.columns].
struct WeatherTableFile {
    std::filesystem::path file;
    WeatherTableFormat format;        ///< utc_offset_h is filled from `zone`
    std::optional<std::string> zone;  ///< of the time stamps; the site's where not set
    InputPlace zone_place;
    int longest_fill_h = 6;
};
/// One NetCDF file or several that belong together: [weather.netcdf].
struct WeatherGridFile {
    std::vector<std::filesystem::path> files;
    WeatherGridFormat format;
    int longest_fill_h = 6;
};
struct TypicalYear {
    std::array<MonthNormals, 12> months;
    ClearSkyModel sky = ClearSkyModel::optical_depths;
};

/// [weather]: exactly one of a file, twelve months of normals, a design day.
struct WeatherSettings {
    std::variant<std::monostate, WeatherFile, WeatherTableFile, WeatherGridFile, TypicalYear,
                 DesignDay>
        kind;
    int year = 2023;  ///< of the sun's path and the calendar, where no file gives it
    std::optional<double> yearly_mean_c;  ///< of the outdoor air; none: the mean of the weather
    InputPlace place;                     ///< of [weather], or the file where it is left out
};

/// [[construction]]: the first whose patterns match a surface's id holds for it.
struct ConstructionRule {
    Construction construction;
    bool names_bridge = false;  ///< one of its layers has a `bridge`
    double bridge_error = 0;    ///< largest, of the wall's resistance with it, as a share
    std::vector<std::string> surfaces;
    std::optional<InputPlace> pane_place;  ///< of the U-value of what is stated as a pane
};

/// Where a [[treatment]] stands.
struct TreatmentPlace {
    InputPlace table;
    InputPlace pane_g_value, pane_u_value;  ///< of the table where they are left out
};

/// [[own_room]]
struct OwnRoom {
    InputPlace place;                ///< of its table
    std::vector<std::string> units;  ///< patterns of unit ids
    RoomSettings settings;
};

/// [[doorway]]
struct DoorwayRule {
    InputPlace place;  ///< of its table
    std::string unit_a, unit_b;
    Doorway doorway;  ///< its units are not set
};

/// [room], and what differs from it.
struct RoomChoice {
    RoomSettings settings;
    AdaptiveModel comfort = AdaptiveModel::en_16798_category_2;  ///< where there is no cooling
    std::optional<std::size_t> first_weekday;                    ///< see SurroundingsOptions
    std::vector<std::size_t> days_off;  ///< of the week, 0 for Monday, of any room
    std::vector<OwnRoom> own;           ///< the first whose patterns match holds for a unit
    std::vector<DoorwayRule> doorways;
};

/// "cooling_energy", "running_cost", "peak_load", "present_value" or "too_hot"; none for other
/// words.
std::optional<PlanGoal> plan_goal_of(std::string_view word);

/// [plan]
struct PlanSettings {
    std::string currency = "units of cost";
    double electricity_price_per_kwh = 0.2;  ///< mean of the week where it goes by the hour
    WeekHours tariff = at_all_hours(1);      ///< as of Building
    PlanGoal goal = PlanGoal::cooling_energy;
    Discounting discounting{};  ///< of a goal that looks over years
    PlanLimits limits{};
    std::vector<std::string> untouched{};  ///< patterns of surfaces
    std::size_t samples = 0;               ///< of uncertain inputs; 0: none
    InputSpread spread{};                  ///< [plan.spread]
};

/// What coloured.step shows: sun in kWh/m2, the highest outside temperature, heat inward in kWh/m2,
/// or the rank.
enum class ColourBy { sun, peak_outside, inward, rank };

/// [run]
struct RunSettings {
    double sun_step_s = 600;
    double heat_step_s = 600;
    std::uint32_t points_per_facet = 4;
    std::uint32_t seed = 0;  ///< of sun points and rays
    std::uint32_t rays_per_facet = 512;
    SkyModel sky = SkyModel::anisotropic;
    OutsideConvection outside_convection = OutsideConvection::combined;
    Terrain terrain = Terrain::open;
    bool wind_by_height = false;  ///< see SurroundingsOptions
    double accuracy = 0;  ///< of every surface's yearly sun, as a part of it; 0: not asked for
    ColourBy colour_by = ColourBy::sun;           ///< of coloured.step
    std::optional<std::filesystem::path> output;  ///< beside the site file unless absolute
};

struct SiteFile {
    std::filesystem::path file;
    SiteSettings site;
    ModelSettings model;
    WeatherSettings weather;
    std::vector<ConstructionRule> constructions;
    RoomChoice room;
    std::vector<Treatment> treatments;  ///< the shipped examples when the file names none
    std::vector<TreatmentPlace> treatment_places;  ///< none of the shipped examples
    bool treatments_are_examples = false;
    std::vector<PlannedShade> planned_shades;
    PlanSettings plan;
    RunSettings run;
    std::vector<InputRecord> inputs;  ///< in the order of the tables
};

/// Reads and checks a site file. Relative paths in it are relative to its folder. Throws InputError
/// with line and column. Files it names are not opened.
SiteFile read_site_file(const std::filesystem::path& file);

/// The same from text; `file` stands for it in messages and gives the folder.
SiteFile parse_site_file(const std::string& content, const std::filesystem::path& file);

}  // namespace noonshell
