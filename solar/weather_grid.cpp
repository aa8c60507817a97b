#include "solar/weather_grid.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <cstdio>
#include <string_view>

#include "geometry/child_process.hpp"
#include "solar/csv_table.hpp"
#include "solar/hour_sun.hpp"
#include "solar/missing.hpp"
#include "solar/netcdf_cell.hpp"
#include "solar/netcdf_file.hpp"
#include "solar/netcdf_height.hpp"
#include "solar/netcdf_time.hpp"
#include "solar/netcdf_units.hpp"
#include "solar/weather_grid_bytes.hpp"
#include "solar/weather_grid_join.hpp"

namespace noonshell {

namespace {

using namespace std::chrono;

/// [cf2023] standard names by WeatherQuantity.
constexpr std::array<std::string_view, n_weather_quantities> standard_names{
    "air_temperature",
    "dew_point_temperature",
    "relative_humidity",
    "wind_speed",
    "wind_from_direction",
    "surface_air_pressure",
    "surface_downwelling_shortwave_flux_in_air",
    "surface_direct_along_beam_shortwave_flux_in_air",
    "surface_direct_downwelling_shortwave_flux_in_air",
    "surface_diffuse_downwelling_shortwave_flux_in_air",
    "surface_downwelling_longwave_flux_in_air",
    "cloud_area_fraction"};
constexpr std::string_view energy_prefix = "integral_wrt_time_of_";
constexpr double screen_m = 2, mast_m = 10;  // where air and wind are measured

std::string degrees_text(double value, char positive, char negative) {
    std::array<char, 32> text{};
    std::snprintf(text.data(), text.size(), "%.2f %c", std::abs(value),
                  value < 0 ? negative : positive);
    return text.data();
}

/// Reads one file; a call leads to the finished samples.
class GridReader {
  public:
    GridReader(const std::filesystem::path& file, const Site& site, const WeatherGridFormat& format,
               int longest_fill_h)
        : file_(file),
          site_(site),
          format_(format),
          longest_fill_h_(longest_fill_h),
          cells_(file_, site.latitude_deg, site.longitude_deg) {}

    WeatherGrid read() {
        const NetcdfVariable& first = first_variable();
        times_ = netcdf_times(file_, first, format_.stamp);
        WeatherSamples& samples = grid_.samples;
        samples.file = file_.name();
        samples.interval_s = times_.interval_s;
        place_cell(cells_.nearest(first));
        if (times_.found_at_half) samples.source += ", times at half past taken as middles";
        if (!times_.by_bounds)
            samples.stamps = StampReading{"weather.netcdf.stamp", times_.stamp, times_.interval_s};
        take_clock();
        for (std::size_t i = 0; i < n_weather_quantities; ++i)
            take(static_cast<WeatherQuantity>(i));
        take_component(east(), grid_.wind_east);
        take_component(north(), grid_.wind_north);
        return std::move(grid_);
    }

  private:
    InputPlace place(const std::string& entity) const {
        return {.file = file_.name(), .line = {}, .column = {}, .entity = entity};
    }

    // ---- Which variable

    /// Of several variables of one name that with the height nearest to the wanted one; a variable
    /// without a height is taken to have it.
    const NetcdfVariable* find(std::string_view standard_name,
                               std::optional<double> wanted_m = std::nullopt) const {
        const NetcdfVariable* found = nullptr;
        for (const NetcdfVariable& variable : file_.variables()) {
            const auto name = file_.text(variable, "standard_name");
            if (!name || !variable.is_number) continue;
            const bool energy = std::string_view(*name).starts_with(energy_prefix);
            if (name->substr(energy ? energy_prefix.size() : 0) != standard_name) continue;
            const double before = found ? height_ratio(*found, wanted_m) : 0;
            const double here = height_ratio(variable, wanted_m);
            if (found && here == before)
                throw InputError(place(variable.name),
                                 "one variable of the standard_name " + std::string(standard_name) +
                                     " (or its name in the site file)",
                                 "a second one beside " + found->name);
            if (!found || here < before) found = &variable;
        }
        return found;
    }

    /// How far a variable's height is from the wanted one, as a ratio above 1.
    double height_ratio(const NetcdfVariable& variable, std::optional<double> wanted_m) const {
        if (!wanted_m) return 1;
        const auto nearest = nearest_height(netcdf_heights(file_, variable), *wanted_m);
        return nearest ? std::max(nearest->height_m / *wanted_m, *wanted_m / nearest->height_m) : 1;
    }

    /// Above the ground: of screens and of masts.
    static std::optional<double> wanted_height_m(WeatherQuantity quantity) {
        using enum WeatherQuantity;
        switch (quantity) {
            case dry_bulb:
            case dew_point:
            case relative_humidity:
                return screen_m;
            case wind_speed:
            case wind_direction:
                return mast_m;
            default:
                return std::nullopt;
        }
    }

    const NetcdfVariable* find(WeatherQuantity quantity) const {
        const auto index = static_cast<std::size_t>(quantity);
        const std::string& name = format_.variables[index];
        return name.empty() ? find(standard_names[index], wanted_height_m(quantity))
                            : file_.variable(name);
    }

    const NetcdfVariable* component(const std::string& name, std::string_view standard) const {
        return name.empty() ? find(standard, mast_m) : file_.variable(name);
    }
    const NetcdfVariable* east() const { return component(format_.wind_east, "eastward_wind"); }
    const NetcdfVariable* north() const { return component(format_.wind_north, "northward_wind"); }

    /// The dry bulb, else the first of the others: its time axis and cell are the file's.
    const NetcdfVariable& first_variable() const {
        for (std::size_t i = 0; i < n_weather_quantities; ++i)
            if (const NetcdfVariable* variable = find(static_cast<WeatherQuantity>(i)))
                return *variable;
        for (const NetcdfVariable* variable : {east(), north()})
            if (variable) return *variable;
        throw InputError(place({}), "weather, by standard_names or the names in the site file",
                         "no such variable");
    }

    // ---- Where and when

    static std::string cell_text(const NetcdfCell& cell) {
        return degrees_text(cell.latitude_deg, 'N', 'S') + " " +
               degrees_text(cell.longitude_deg, 'E', 'W');
    }

    void place_cell(const NetcdfCell& cell) {
        constexpr double far_km = 50;
        grid_.latitude_deg = cell.latitude_deg;
        grid_.longitude_deg = cell.longitude_deg;
        grid_.distance_km = cell.distance_km;
        const std::string where = cell_text(cell);
        grid_.samples.source =
            std::filesystem::path(file_.name()).filename().string() + ", cell at " + where;
        if (cell.distance_km <= far_km) return;
        grid_.warnings.push_back({"weather-cell-far",
                                  "the nearest cell, at " + where + ", is " +
                                      std::to_string(std::lround(cell.distance_km)) +
                                      " km from the site",
                                  file_.name()});
    }

    void take_clock() {
        SampleClock clock(times_.interval_s, seconds(0), longest_fill_h_);
        for (const sys_seconds begin : times_.interval_begin)
            open_.push_back(clock.take(begin, place("time")));
        grid_.samples.begin_utc = clock.begins();
    }

    // ---- Values

    /// The variable at the cell, by time, in its own unit; at one height where it has several.
    std::vector<double> raw(const NetcdfVariable& variable,
                            const std::optional<NetcdfHeight>& height) {
        const NetcdfCell& cell = cells_.nearest(variable);
        std::vector<std::size_t> start, count;
        bool in_time = false;
        for (const std::size_t dimension : variable.dimensions) {
            const std::size_t size = file_.dimensions()[dimension].size;
            const auto along = std::ranges::find(cell.index, dimension,
                                                 &std::pair<std::size_t, std::size_t>::first);
            const bool time = dimension == times_.dimension;
            in_time = in_time || time;
            const bool level = height && height->dimension == dimension;
            if (level) {
                start.push_back(*height->index);
                count.push_back(1);
                continue;
            }
            if (!time && along == cell.index.end() && size != 1)
                throw InputError(
                    place(variable.name), "dimensions of time and place only",
                    file_.dimensions()[dimension].name + " of length " + std::to_string(size));
            start.push_back(time || along == cell.index.end() ? 0 : along->second);
            count.push_back(time ? size : 1);
        }
        if (!in_time)
            throw InputError(place(variable.name),
                             "the time axis " + file_.dimensions()[times_.dimension].name,
                             "a variable without it");
        std::vector<double> values = file_.read(variable, start, count);
        if (std::ranges::all_of(values, [](double v) { return std::isnan(v); }))
            refuse_masked(variable, cell, std::move(start), std::move(count));
        return values;
    }

    /// A cell without any value, as of land models over the sea; names the nearest with some.
    void refuse_masked(const NetcdfVariable& variable, const NetcdfCell& cell,
                       std::vector<std::size_t> start, std::vector<std::size_t> count) const {
        const auto& dimensions = variable.dimensions;
        const auto index_of = [](const NetcdfCell& of, std::size_t dimension) {
            const auto along =
                std::ranges::find(of.index, dimension, &std::pair<std::size_t, std::size_t>::first);
            return along == of.index.end() ? std::optional<std::size_t>() : along->second;
        };
        for (std::size_t i = 0; i < dimensions.size(); ++i) {
            const std::size_t size = file_.dimensions()[dimensions[i]].size;
            if (dimensions[i] == times_.dimension) {
                start[i] = size / 2;  // whole cells are masked: one time speaks for all
                count[i] = 1;
            } else if (index_of(cell, dimensions[i])) {
                start[i] = 0;
                count[i] = size;
            }
        }
        const std::vector<double> slice = file_.read(variable, start, count);
        const auto has_value = [&](const NetcdfCell& other) {
            std::size_t at = 0;
            for (std::size_t i = 0; i < dimensions.size(); ++i)
                at =
                    at * count[i] + (count[i] > 1 ? index_of(other, dimensions[i]).value_or(0) : 0);
            return !std::isnan(slice[at]);
        };
        const auto other = cells_.nearest_where(variable, has_value);
        throw InputError(
            place(variable.name), "values at the cell nearest to the site",
            "none at any time: the cell at " + cell_text(cell) + " is masked" +
                (other ? "; the nearest with values is at " + cell_text(*other) + ", " +
                             std::to_string(std::lround(other->distance_km)) + " km from the site"
                       : ", and so are all others"));
    }

    // ---- Heights

    /// The height that a variable is read at; warns where it is not the wanted one.
    std::optional<NetcdfHeight> height_of(const NetcdfVariable& variable,
                                          std::optional<double> wanted_m) {
        constexpr double near = 1.6;  // screens stand at 1.25 to 2 m
        if (!wanted_m) return std::nullopt;
        const auto height = nearest_height(netcdf_heights(file_, variable), *wanted_m);
        if (!height || height_ratio(variable, wanted_m) <= near) return height;
        std::array<char, 160> text{};
        if (*wanted_m == mast_m)
            std::snprintf(text.data(), text.size(),
                          "wind is told at %g m: taken to 10 m by a factor of %.3f (power law of "
                          "open country)",
                          height->height_m, wind_to_10_m(height->height_m));
        else
            std::snprintf(text.data(), text.size(),
                          "air is told at %g m, not at %g m above the ground: it is taken as it "
                          "stands",
                          height->height_m, *wanted_m);
        const bool said = std::ranges::any_of(
            grid_.warnings, [&](const Warning& warning) { return warning.text == text.data(); });
        if (!said) grid_.warnings.push_back({"weather-height", text.data(), file_.name()});
        return height;
    }

    static double wind_factor(const std::optional<NetcdfHeight>& height) {
        return height ? wind_to_10_m(height->height_m) : 1;
    }

    WeatherUnit unit(const NetcdfVariable& variable, WeatherMeasure measure) const {
        const std::string text = file_.text(variable, "units").value_or("");
        if (const auto known = netcdf_unit(measure, text)) return *known;
        std::string expected = "units as one of";
        for (const std::string_view name : weather_unit_names(measure))
            expected += " " + std::string(name);
        throw InputError(place(variable.name), expected,
                         text.empty() ? "none" : "\"" + text + "\"");
    }

    bool over_time(const NetcdfVariable& variable, std::string_view method) const {
        const std::string methods = file_.text(variable, "cell_methods").value_or("");
        const std::string axis = file_.dimensions()[times_.dimension].name;
        for (const std::string& name : {axis, std::string("time")})
            if (methods.find(name + ": " + std::string(method)) != std::string::npos) return true;
        return false;
    }

    /// Values by time laid on the samples' intervals, open ones missing.
    void lay_out(const std::vector<double>& values, WeatherSeries& series) const {
        for (std::size_t i = 0; i < values.size(); ++i) {
            series.values.insert(series.values.end(), open_[i], missing);
            series.values.push_back(values[i]);
        }
    }

    void require_plausible(const NetcdfVariable& variable, const WeatherQuantityInfo& spec,
                           std::vector<double>& values) const {
        for (std::size_t i = 0; i < values.size(); ++i) {
            if (std::isnan(values[i])) continue;
            const double value = plausible(spec, values[i]);
            if (std::isnan(value)) {
                std::array<char, 96> expected{}, seen{};
                std::snprintf(expected.data(), expected.size(), "%g to %g %s", spec.lowest,
                              spec.highest, weather_unit_names(spec.measure).front().data());
                std::snprintf(seen.data(), seen.size(), "%g at ", values[i]);
                throw InputError(place(variable.name), expected.data(),
                                 seen.data() + clock_text(times_.at[i], seconds(0)) + " UTC");
            }
            values[i] = value;
        }
    }

    void set_instant(const NetcdfVariable& variable, WeatherSeries& series) const {
        series.is_mean = over_time(variable, "mean");
        series.instant_s =
            series.is_mean ? times_.interval_s / 2.0
                           : static_cast<double>((times_.at[0] - times_.interval_begin[0]).count());
    }

    void take(WeatherQuantity quantity) {
        const NetcdfVariable* variable = find(quantity);
        if (!variable) return;
        const WeatherQuantityInfo& spec = info(quantity);
        const WeatherUnit in = unit(*variable, spec.measure);
        const auto height = height_of(*variable, wanted_height_m(quantity));
        std::vector<double> values = raw(*variable, height);
        const bool flux = spec.measure == WeatherMeasure::irradiance;
        if (flux && in.per_interval) to_intervals(*variable, quantity, in, values);
        if (flux && !in.per_interval && over_time(*variable, "point")) {
            refuse_far_instants(*variable, spec);
            average_instants(values);
        }
        for (double& value : values) value = in.to_si(value, times_.interval_s);
        require_plausible(*variable, spec, values);
        if (quantity == WeatherQuantity::wind_speed)
            for (double& value : values) value *= wind_factor(height);
        WeatherSeries& series = grid_.samples[quantity];
        set_instant(*variable, series);
        lay_out(values, series);
    }

    // ---- Fluxes

    /// From instants to the mean of each interval, by the trapezoid.
    void average_instants(std::vector<double>& values) const {
        const seconds after_begin = times_.at[0] - times_.interval_begin[0];
        const std::vector<double> at = values;
        if (after_begin == seconds(times_.interval_s))
            for (std::size_t i = 1; i < at.size(); ++i) values[i] = (at[i - 1] + at[i]) / 2;
        else if (after_begin == seconds(0))
            for (std::size_t i = 0; i + 1 < at.size(); ++i) values[i] = (at[i] + at[i + 1]) / 2;
    }

    /// Of light that comes and goes between two readings the mean cannot be known.
    void refuse_far_instants(const NetcdfVariable& variable,
                             const WeatherQuantityInfo& spec) const {
        if (times_.interval_s <= 3600 || spec.over_the_hour != OverTheHour::sunlight) return;
        throw InputError(place(variable.name),
                         "means or sums of sunlight over intervals of more than an hour",
                         "instants (cell_methods \"time: point\") every " +
                             std::to_string(times_.interval_s / 3600) + " h");
    }

    bool is_one_interval(std::size_t i) const {
        return times_.upper[i] - times_.lower[i] == seconds(times_.interval_s);
    }

    /// Energies since a start into energies by interval; those by interval stay.
    void to_intervals(const NetcdfVariable& variable, WeatherQuantity quantity,
                      const WeatherUnit& in, std::vector<double>& values) const {
        const bool bounded = !times_.upper.empty();
        bool since_start = format_.accumulation == Accumulation::since_start;
        if (!format_.accumulation && bounded)
            for (std::size_t i = 0; i < values.size(); ++i)
                since_start = since_start || !is_one_interval(i);
        if (!format_.accumulation && !bounded)
            refuse_light_at_night(variable, quantity, in, values);
        if (since_start) take_differences(values);
    }

    /// [i] less [i - 1], unless a new run begins between them.
    void take_differences(std::vector<double>& values) const {
        constexpr double noise_share = 1e-4;  // packed sums wobble by some steps of their scale
        const bool bounded = !times_.upper.empty();
        double largest = 0;
        for (const double value : values)
            if (value > largest) largest = value;
        const std::vector<double> sum = values;
        for (std::size_t i = 0; i < sum.size(); ++i) {
            const bool follows = i > 0 && times_.interval_begin[i] - times_.interval_begin[i - 1] ==
                                              seconds(times_.interval_s);
            const bool new_run = bounded ? i == 0 || times_.lower[i] != times_.lower[i - 1]
                                         : i > 0 && sum[i] < sum[i - 1] - noise_share * largest;
            if (new_run)
                values[i] = !bounded || is_one_interval(i) ? sum[i] : missing;
            else
                values[i] = follows ? sum[i] - sum[i - 1] : missing;
            if (values[i] < 0 && values[i] > -2 * noise_share * largest) values[i] = 0;
        }
    }

    /// A sum since the start of a forecast stays high when the sun is down.
    void refuse_light_at_night(const NetcdfVariable& variable, WeatherQuantity quantity,
                               const WeatherUnit& in, const std::vector<double>& values) const {
        constexpr double down_deg = -2, bright_w_m2 = 20;
        constexpr std::size_t looked_at = 480;
        if (info(quantity).over_the_hour != OverTheHour::sunlight) return;
        Site cell = site_;
        cell.latitude_deg = grid_.latitude_deg;
        cell.longitude_deg = grid_.longitude_deg;
        for (std::size_t i = 0; i < std::min(values.size(), looked_at); ++i) {
            if (!(in.to_si(values[i], times_.interval_s) > bright_w_m2)) continue;
            double highest_deg = -90;
            for (seconds at{0}; at < seconds(times_.interval_s); at += hours(1))
                highest_deg = std::max(highest_deg,
                                       highest_elevation_deg(cell, times_.interval_begin[i] + at));
            if (highest_deg >= down_deg) continue;
            throw InputError(place(variable.name),
                             "energy by interval, or weather.netcdf.accumulation = \"since start\"",
                             "sunlight at night, " + clock_text(times_.at[i], seconds(0)) + " UTC");
        }
    }

    // ---- Wind

    /// Of a velocity [m/s]; the speed is made of both when all files are together.
    void take_component(const NetcdfVariable* variable, WeatherSeries& series) {
        if (!variable) return;
        constexpr double fastest = 90;
        static constexpr WeatherQuantityInfo spec{"wind", WeatherMeasure::speed, -fastest, fastest,
                                                  OverTheHour::mean};
        const WeatherUnit in = unit(*variable, spec.measure);
        const auto height = height_of(*variable, mast_m);
        std::vector<double> values = raw(*variable, height);
        for (double& value : values) value = in.to_si(value, times_.interval_s);
        require_plausible(*variable, spec, values);
        for (double& value : values) value *= wind_factor(height);
        set_instant(*variable, series);
        lay_out(values, series);
    }

    NetcdfFile file_;
    const Site& site_;
    const WeatherGridFormat& format_;
    int longest_fill_h_;
    NetcdfCellFinder cells_;
    NetcdfTimes times_;
    std::vector<std::size_t> open_;  ///< intervals left out before each time
    WeatherGrid grid_;
};

/// What must be there in one file or another, and what the site file names.
void require_names(const WeatherGridFormat& format, const WeatherGrid& grid) {
    const WeatherSamples& samples = grid.samples;
    const auto require = [&](const std::string& name, bool there) {
        if (name.empty() || there) return;
        throw InputError(
            {.file = samples.file, .line = {}, .column = {}, .entity = on_one_line(name)},
            "a variable of this name", "none");
    };
    for (std::size_t i = 0; i < n_weather_quantities; ++i)
        require(format.variables[i], samples.has(static_cast<WeatherQuantity>(i)));
    require(format.wind_east, !grid.wind_east.values.empty());
    require(format.wind_north, !grid.wind_north.values.empty());
    if (!samples.has(WeatherQuantity::dry_bulb))
        throw InputError({.file = samples.file, .line = {}, .column = {}, .entity = {}},
                         "a variable of the standard_name air_temperature, or its name as "
                         "weather.netcdf.dry_bulb in the site file",
                         "none");
}

}  // namespace

WeatherGrid read_weather_grids(const std::vector<std::filesystem::path>& files, const Site& site,
                               const WeatherGridFormat& format, int longest_fill_h) {
    constexpr ChildLimits limits{.time_s = 600, .memory_bytes = std::uint64_t{4} << 30};
    std::vector<WeatherGrid> parts;
    for (const std::filesystem::path& file : files) {
        const auto read = [&] { return GridReader(file, site, format, longest_fill_h).read(); };
        try {
            const auto work = [&read] { return grid_or_error_as_bytes(read); };
            parts.push_back(grid_or_error_from_bytes(run_in_child(work, limits)));
        } catch (const ChildFailure& failure) {
            const std::string seen = std::string("one that breaks its library: ") + failure.what();
            throw InputError({.file = file.string()}, "a sound NetCDF file", seen);
        }
    }
    WeatherGrid grid = join_weather_grids(std::move(parts), longest_fill_h);
    require_names(format, grid);
    return grid;
}

WeatherGrid read_weather_grid(const std::filesystem::path& file, const Site& site,
                              const WeatherGridFormat& format, int longest_fill_h) {
    return read_weather_grids({file}, site, format, longest_fill_h);
}

}  // namespace noonshell
