#include "cli/hourly_nc.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <chrono>
#include <functional>
#include <limits>
#include <utility>
#include <vector>

#include "cli/interrupt.hpp"
#include "cli/local_time.hpp"
#include "cli/netcdf_output.hpp"
#include "cli/utf8.hpp"

namespace noonshell {

namespace {

using Type = NetcdfOutput::Type;

/// A chunk of 70 kB: the year of one surface lies in eight of them, one hour of 96 surfaces in six.
constexpr std::size_t chunk_hours = 1095, chunk_items = 16;

constexpr float no_value = std::numeric_limits<float>::quiet_NaN();

/// What is told of every surface or room, hour by hour.
struct Quantity {
    const char* name;
    const char* long_name;
    const char* standard_name;  ///< of the CF table; null where none fits
    const char* units;
    const char* cell_methods;
    std::function<float(std::size_t hour, std::size_t item)> value;
};

constexpr const char* mean_of_area = "time: mean area: mean";
constexpr const char* sum_of_area = "time: mean area: sum";
constexpr const char* mean_of_hour = "time: mean";

/// [cf2020] table of standard names: what it calls irradiances is for level ground, its surface
/// temperature that of the ground; neither fits a wall.
std::vector<Quantity> light_of(const RunResult& result) {
    const Exposure& exposure = result.light.exposure;
    const auto from = [&exposure](const std::vector<double>& values) {
        return [&exposure, &values](std::size_t hour, std::size_t s) {
            return static_cast<float>(values[exposure.at(hour, SurfaceId(s))]);
        };
    };
    return {{"direct_w_m2", "direct sun on the surface", nullptr, "W m-2", mean_of_area,
             from(exposure.direct_w_m2)},
            {"sky_w_m2", "light from the sky on the surface", nullptr, "W m-2", mean_of_area,
             from(exposure.sky_w_m2)},
            {"ground_w_m2", "light from the ground on the surface", nullptr, "W m-2", mean_of_area,
             from(exposure.ground_w_m2)},
            {"bounced_w_m2", "light bounced off other surfaces on the surface", nullptr, "W m-2",
             mean_of_area, from(exposure.bounced_w_m2)}};
}

std::vector<Quantity> heat_of_surfaces(const RunResult& result) {
    const Response& response = result.response;
    const std::size_t n = response.n_surfaces;
    const std::vector<Surface>& surfaces = result.envelope().surfaces;
    return {{"outside_c", "temperature of the outermost face, of the part in the open", nullptr,
             "degC", mean_of_area,
             [&response, &surfaces, n](std::size_t hour, std::size_t s) {
                 return surfaces[s].exposed_area_m2 > 0 ? response.outside_c[hour * n + s]
                                                        : no_value;
             }},
            {"inward_w", "heat from the whole surface into its room, positive inward", nullptr, "W",
             sum_of_area, [&response, &surfaces, n](std::size_t hour, std::size_t s) {
                 return surfaces[s].unit.valid() ? response.inward_w[hour * n + s] : no_value;
             }}};
}

std::vector<Quantity> heat_of_rooms(const RunResult& result) {
    const Response& response = result.response;
    const auto from = [n = response.n_units](const std::vector<float>& values) {
        return [&values, n](std::size_t hour, std::size_t unit) { return values[hour * n + unit]; };
    };
    return {
        {"air_c", "air of the room", "air_temperature", "degC", mean_of_hour, from(response.air_c)},
        {"operative_c", "mean of the air and the radiant temperature of the room", nullptr, "degC",
         mean_of_hour, from(response.operative_c)},
        {"cooling_w", "heat taken out of the room, without that of vapour", nullptr, "W",
         mean_of_hour, from(response.cooling_w)},
        {"heating_w", "heat put into the room", nullptr, "W", mean_of_hour,
         from(response.heating_w)}};
}

/// "2023-01-01T00:00+02:00" as [cf2020] section 4.4 wants it: "2023-01-01 00:00:00 +02:00".
std::string reference_time(const std::string& text) {
    const std::size_t date = 10, clock = 5;
    return fmt::format("{} {}:00 {}", text.substr(0, date), text.substr(date + 1, clock),
                       text.substr(date + 1 + clock));
}

/// Values of one text or number for each surface or room.
struct Items {
    std::string dimension;
    std::vector<std::string> ids;
    std::vector<std::pair<std::string, std::vector<std::string>>> texts;
    struct Figure {
        std::string name, long_name, units;
        std::vector<double> values;
    };
    std::vector<Figure> figures;
};

Items surface_items(const RunResult& result) {
    const Envelope& envelope = result.envelope();
    Items items{
        "surface",
        {},
        {{"surface_kind", {}}, {"surface_room", {}}},
        {{"surface_area_m2", "area of the flat side", "m2", {}},
         {"surface_azimuth_deg", "compass azimuth, clockwise from true north", "degree", {}},
         {"surface_tilt_deg", "tilt: 0 faces up, 90 stands upright", "degree", {}}}};
    for (const Surface& surface : envelope.surfaces) {
        items.ids.push_back(printable(surface.id));
        items.texts[0].second.emplace_back(to_string(surface.kind));
        items.texts[1].second.push_back(
            surface.unit.valid() ? printable(envelope.units[surface.unit.index()].id) : "");
        items.figures[0].values.push_back(surface.area_m2);
        items.figures[1].values.push_back(surface.azimuth_deg);
        items.figures[2].values.push_back(surface.tilt_deg);
    }
    return items;
}

Items rooms_of(const RunResult& result) {
    Items items{
        "room",
        {},
        {},
        {{"room_floor_area_m2", "floor area", "m2", {}}, {"room_volume_m3", "volume", "m3", {}}}};
    for (const Unit& unit : result.envelope().units) {
        items.ids.push_back(printable(unit.id));
        items.figures[0].values.push_back(unit.floor_area_m2);
        items.figures[1].values.push_back(unit.volume_m3);
    }
    return items;
}

/// Facets go by their surface and their number on it, as in facets.csv.
Items facet_items(const RunResult& result, const std::vector<std::size_t>& told) {
    const Envelope& envelope = result.envelope();
    const FacetArrays& facets = envelope.facets;
    Items items{"facet",
                {},
                {{"facet_surface", {}}},
                {{"facet_number", "number of the facet on its surface, from 1", "1", {}},
                 {"facet_area_m2", "area", "m2", {}},
                 {"facet_x_m", "middle of the facet, x of the model", "m", {}},
                 {"facet_y_m", "middle of the facet, y of the model", "m", {}},
                 {"facet_z_m", "middle of the facet, z of the model", "m", {}}}};
    for (const std::size_t i : told) {
        const std::size_t f = result.sun_details.facet_hours.facets[i].index();
        const Surface& surface = envelope.surfaces[facets.surface[f].index()];
        const std::size_t number = f - surface.first_facet + 1;
        items.ids.push_back(fmt::format("{}#{}", printable(surface.id), number));
        items.texts[0].second.push_back(printable(surface.id));
        items.figures[0].values.push_back(static_cast<double>(number));
        items.figures[1].values.push_back(facets.area_m2[f]);
        items.figures[2].values.push_back(facets.centroid_m[f].x());
        items.figures[3].values.push_back(facets.centroid_m[f].y());
        items.figures[4].values.push_back(facets.centroid_m[f].z());
    }
    return items;
}

std::vector<Quantity> light_of_facets(const RunResult& result,
                                      const std::vector<std::size_t>& told) {
    const FacetHours& hours = result.sun_details.facet_hours;
    constexpr std::size_t dark = std::numeric_limits<std::size_t>::max();
    std::vector<std::size_t> row_of_hour(result.place.weather.size(), dark);
    for (std::size_t row = 0; row < hours.hours.size(); ++row) row_of_hour[hours.hours[row]] = row;
    const auto from = [&hours, &told, row_of_hour](const std::vector<float>& values,
                                                   float if_dark) {
        return [&hours, &told, &values, row_of_hour, if_dark](std::size_t hour, std::size_t item) {
            const std::size_t row = row_of_hour[hour];
            return row == dark ? if_dark : values[hours.at(row, told[item])];
        };
    };
    return {{"facet_direct_w_m2", "direct sun on the facet", nullptr, "W m-2", mean_of_area,
             from(hours.direct_w_m2, 0)},
            {"facet_sky_w_m2", "light from the sky on the facet", nullptr, "W m-2", mean_of_area,
             from(hours.sky_w_m2, 0)},
            {"facet_ground_w_m2", "light from the ground on the facet", nullptr, "W m-2",
             mean_of_area, from(hours.ground_w_m2, 0)},
            {"facet_bounced_w_m2", "light bounced off other surfaces on the facet", nullptr,
             "W m-2", mean_of_area, from(hours.bounced_w_m2, 0)},
            {"facet_sunlit_share",
             "share of the facet that the sun reaches, weighed by the cosine of incidence", nullptr,
             "1", mean_of_area, from(hours.sunlit_share, no_value)}};
}

class HourlyFile {
  public:
    HourlyFile(const RunResult& result, const std::filesystem::path& file, const std::string& name)
        : result_(result),
          calendar_(result.calendar()),
          n_hours_(result.place.weather.size()),
          told_facets_(matching_facets(result.envelope(), result.sun_details.facet_hours,
                                       result.choices.netcdf_facets)),
          out_(file, name) {}

    void write() {
        describe();
        time_ = out_.dimension("time", n_hours_);
        define_time();
        define_site();
        std::vector<Quantity> of_surfaces = light_of(result_);
        if (result_.with_heat()) {
            for (Quantity& quantity : heat_of_surfaces(result_))
                of_surfaces.push_back(std::move(quantity));
        }
        define(surface_items(result_), std::move(of_surfaces));
        if (result_.with_heat()) define(rooms_of(result_), heat_of_rooms(result_));
        if (!told_facets_.empty())
            define(facet_items(result_, told_facets_), light_of_facets(result_, told_facets_));
        for (const auto& fill : fills_) fill();
        out_.close();
    }

  private:
    void describe() {
        out_.attribute("Conventions", "CF-1.8");
        out_.attribute("title", "Sun and heat by the hour: " +
                                    printable(result_.settings.model.file.filename().string()));
        out_.attribute("source", "Noonshell " NOONSHELL_VERSION ", computed; weather: " +
                                     printable(result_.place.weather.source));
        out_.attribute("comment",
                       "Values are means over the hour that ends at its time. Light is incident, "
                       "before any of it is absorbed, mean over the whole surface, covered parts "
                       "counted as dark.");
    }

    void define_time() {
        const std::string units =
            "hours since " + reference_time(calendar_.text(calendar_.begin()));
        const int time = out_.variable("time", Type::f64, {time_});
        out_.attribute(time, "standard_name", "time");
        out_.attribute(time, "long_name", "end of the hour");
        out_.attribute(time, "units", units);
        out_.attribute(time, "calendar", "standard");
        out_.attribute(time, "axis", "T");
        out_.attribute(time, "bounds", "time_bounds");
        const int bounds =
            out_.variable("time_bounds", Type::f64, {time_, out_.dimension("bound", 2)});
        fills_.emplace_back([this, time, bounds] {
            std::vector<double> ends, both;
            for (std::size_t hour = 0; hour < n_hours_; ++hour) {
                const std::chrono::duration<double, std::ratio<3600>> end =
                    calendar_.end_of_step(hour, 1) - calendar_.begin();
                ends.push_back(end.count());
                both.insert(both.end(), {end.count() - 1, end.count()});
            }
            out_.put(time, ends);
            out_.put(bounds, both);
        });
    }

    /// One value each: [cf2020] section 5.7, scalar coordinate variables.
    void define_site() {
        const Site& site = result_.place.site;
        struct Place {
            const char* name;
            const char* units;
            double value;
        };
        for (const Place& place : {Place{"latitude", "degrees_north", site.latitude_deg},
                                   Place{"longitude", "degrees_east", site.longitude_deg},
                                   Place{"altitude", "m", site.elevation_m}}) {
            const int id = out_.variable(place.name, Type::f64, {});
            out_.attribute(id, "standard_name", place.name);
            out_.attribute(id, "units", place.units);
            if (std::string_view(place.name) == "altitude") out_.attribute(id, "positive", "up");
            fills_.emplace_back(
                [this, id, value = place.value] { out_.put(id, std::array{value}); });
        }
    }

    void define(Items items, std::vector<Quantity> quantities) {
        const int dimension = out_.dimension(items.dimension, items.ids.size());
        const std::string id_name = items.dimension + "_id";
        const auto texts = [&](const std::string& name, const std::string& long_name,
                               std::vector<std::string> values) {
            const int id = out_.variable(name, Type::text, {dimension});
            out_.attribute(id, "long_name", long_name);
            fills_.emplace_back([this, id, values = std::move(values)] { out_.put(id, values); });
        };
        const std::size_t n = items.ids.size();
        texts(id_name, "name of the " + items.dimension, std::move(items.ids));
        for (auto& [name, values] : items.texts)
            texts(name, name.substr(name.find('_') + 1) + " of the " + items.dimension,
                  std::move(values));
        for (Items::Figure& figure : items.figures) {
            const int id = out_.variable(figure.name, Type::f64, {dimension});
            out_.attribute(id, "long_name", figure.long_name);
            out_.attribute(id, "units", figure.units);
            fills_.emplace_back(
                [this, id, values = std::move(figure.values)] { out_.put(id, values); });
        }
        for (Quantity& quantity : quantities)
            define(std::move(quantity), dimension, n, id_name + " latitude longitude altitude");
    }

    void define(Quantity quantity, int dimension, std::size_t n, const std::string& coordinates) {
        const int id = out_.variable(quantity.name, Type::f32, {time_, dimension});
        out_.allow_missing(id);
        out_.compress(id, {std::min(n_hours_, chunk_hours), std::min(n, chunk_items)});
        out_.attribute(id, "long_name", quantity.long_name);
        if (quantity.standard_name != nullptr)
            out_.attribute(id, "standard_name", quantity.standard_name);
        out_.attribute(id, "units", quantity.units);
        out_.attribute(id, "cell_methods", quantity.cell_methods);
        out_.attribute(id, "coordinates", coordinates);
        fills_.emplace_back([this, id, n, value = std::move(quantity.value)] {
            for (std::size_t first = 0; first < n_hours_; first += chunk_hours) {
                throw_if_interrupted();
                const std::size_t hours = std::min(chunk_hours, n_hours_ - first);
                std::vector<float> block;
                block.reserve(hours * n);
                for (std::size_t hour = first; hour < first + hours; ++hour) {
                    for (std::size_t item = 0; item < n; ++item) block.push_back(value(hour, item));
                }
                out_.put(id, {first, 0}, {hours, n}, std::move(block));
            }
        });
    }

    const RunResult& result_;
    const ToldCalendar calendar_;
    const std::size_t n_hours_;
    const std::vector<std::size_t> told_facets_;
    NetcdfOutput out_;
    int time_ = -1;
    /// Values come after all variables are defined.
    std::vector<std::function<void()>> fills_;
};

}  // namespace

void write_hourly_nc(const RunResult& result, const std::filesystem::path& file,
                     const std::string& name) {
    HourlyFile(result, file, name).write();
}

}  // namespace noonshell
