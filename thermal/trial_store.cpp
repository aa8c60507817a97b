#include "thermal/trial_store.hpp"

#include <array>
#include <cstring>
#include <span>
#include <string_view>
#include <type_traits>
#include <utility>
#include <vector>

#include "thermal/ground_floor.hpp"

namespace noonshell {

namespace {

// Another one when a stored response has other fields or a run other physics.
constexpr std::string_view store_form = "response 7";

void add_nets(ContentKey& key, const ExchangeNet& net) {
    for (const auto* values : {&net.area_m2, &net.share, &net.sky_share, &net.horizon_share,
                               &net.ground_share, &net.context_share})
        key.add(*values);
    key.add(net.row_begin);
    key.add(net.column);
}

void add_layers(ContentKey& key, const std::vector<Layer>& layers) {
    key.add(layers.size());
    for (const Layer& layer : layers) {
        key.add(layer.material.conductivity_w_mk);
        key.add(layer.material.density_kg_m3);
        key.add(layer.material.specific_heat_j_kgk);
        key.add(layer.thickness_m);
        key.add(layer.resistance_m2k_w.value_or(-1));
    }
}

void add_room(ContentKey& key, const RoomSettings& room) {
    for (const bool flag : {room.cooled, room.heated}) key.add(flag);
    for (const double value :
         {room.cooling_set_point_c, room.heating_set_point_c, room.leakage.air_change_per_h,
          room.leakage.leakage_area_cm2, room.ventilation.least_difference_k,
          room.ventilation.coolest_room_c, room.ventilation.fan_w_per_m3_s,
          room.ventilation.fresh_air_fan_w_per_m3_s, room.moisture_buffer, room.gains_radiant_share,
          room.sun_on_floor_share, room.furniture_j_m2k, room.heating_efficiency})
        key.add(value);
    key.add(room.leakage.shelter_class);
    for (const auto* hours : {&room.ventilation.air_change_per_h, &room.ventilation.fresh_air_per_h,
                              &room.gains_w_m2, &room.moisture_kg_hm2})
        key.add_bytes(std::as_bytes(std::span(*hours)));
    for (const auto* set_points : {&room.cooling_set_points_c, &room.heating_set_points_c}) {
        key.add(set_points->has_value());
        if (*set_points) key.add_bytes(std::as_bytes(std::span(**set_points)));
    }
    for (const double value :
         {room.plant.rated_capacity_w, room.plant.rated_efficiency, room.plant.capacity_falls_per_k,
          room.plant.efficiency_falls_per_k, room.plant.coil_c})
        key.add(value);
}

using Numbers = std::vector<double> Response::*;
using Peaks = std::vector<Peak> Response::*;

constexpr std::array number_fields = {&Response::mean_outside_c,
                                      &Response::inward_j,
                                      &Response::absorbed_j_m2,
                                      &Response::cooling_j,
                                      &Response::heating_j,
                                      &Response::latent_j,
                                      &Response::latent_at_peak_w,
                                      &Response::condensation_h,
                                      &Response::cooling_electricity_j,
                                      &Response::heating_electricity_j,
                                      &Response::hours_not_met_h,
                                      &Response::at_limit_h,
                                      &Response::outdoor_air_m3,
                                      &Response::fan_electricity_j,
                                      &Response::priced_electricity_j};
constexpr std::array peak_fields = {&Response::peak_outside_c,    &Response::peak_steel_c,
                                    &Response::peak_inward_w,     &Response::peak_cooling_w,
                                    &Response::peak_heating_w,    &Response::peak_air_c,
                                    &Response::needed_capacity_w, &Response::peak_load_w};
constexpr std::array size_fields = {&Response::n_hours, &Response::n_surfaces, &Response::n_units,
                                    &Response::steps_per_hour, &Response::steps_not_settled};

class ByteWriter {
  public:
    template <class T>
    void put(const T& value) {
        static_assert(std::is_trivially_copyable_v<T>);
        const std::size_t at = bytes.size();
        bytes.resize(at + sizeof value);
        std::memcpy(bytes.data() + at, &value, sizeof value);
    }
    std::string bytes;
};

class ByteReader {
  public:
    explicit ByteReader(std::string_view bytes) : left_(bytes) {}
    template <class T>
    T take() {
        T value{};
        if (left_.size() < sizeof value) {
            failed_ = true;
            return value;
        }
        std::memcpy(&value, left_.data(), sizeof value);
        left_.remove_prefix(sizeof value);
        return value;
    }
    /// A count of things of at least eight bytes each that can still follow.
    std::size_t count() {
        const auto n = take<std::size_t>();
        if (n <= left_.size() / sizeof(double)) return n;
        failed_ = true;
        return 0;
    }
    bool whole() const { return !failed_ && left_.empty(); }

  private:
    std::string_view left_;
    bool failed_ = false;
};

}  // namespace

void add_to(ContentKey& key, const HeatInputs& inputs) {
    key.add(store_form);
    for (const Surface& s : inputs.envelope.surfaces) {
        key.add(s.unit.valid() ? s.unit.index() : static_cast<std::size_t>(-1));
        key.add(s.body.valid() ? s.body.index() : static_cast<std::size_t>(-1));
        key.add(s.kind);
        key.add(s.of_neighbour);
        for (const double value :
             {s.azimuth_deg, s.tilt_deg, s.area_m2, s.developed_area_m2, s.exposed_area_m2,
              s.centroid_m.x(), s.centroid_m.y(), s.centroid_m.z()})
            key.add(value);
    }
    for (const Unit& unit : inputs.envelope.units) {
        key.add(unit.floor_area_m2);
        key.add(unit.volume_m3);
    }
    for (const Contact& contact : inputs.envelope.contacts) {
        key.add(contact.a.index());
        key.add(contact.on_ground() ? static_cast<std::size_t>(-1) : contact.b.index());
        key.add(contact.area_m2);
        key.add(contact.gap_m);
    }
    key.add(characteristic_dimensions_m(inputs.envelope));
    add_nets(key, inputs.exchange.surfaces);
    add_nets(key, inputs.exchange.part_net);
    key.add(inputs.exchange.close_by.size());
    for (const CloseBy& close : inputs.exchange.close_by) {
        for (const double value : {close.share, close.clearance_m, close.covered_m2})
            key.add(value);
        key.add(close.others.size());
        for (const CloseBy::Other& other : close.others) {
            key.add(other.surface.index());
            key.add(other.share);
        }
    }
    const Exposure& light = inputs.exposure;
    key.add(light.row_of_hour);
    for (const auto* values :
         {&light.direct_w_m2, &light.sky_w_m2, &light.ground_w_m2, &light.bounced_w_m2,
          &light.reflectance, &light.part_light_wh_m2, &light.sunlit_ground_share})
        key.add(*values);
    const Surroundings& around = inputs.surroundings;
    key.add(around.step_s);
    key.add(around.convection);
    key.add(around.deep_ground_c);
    key.add(around.wind_ratio);
    key.add(around.forced_scale);
    key.add(around.wind_by_height.has_value());
    if (around.wind_by_height) {
        key.add(*around.wind_by_height);
        key.add(inputs.envelope.ground_z_m);
    }
    key.add(around.week_hour);
    for (const auto* values :
         {&around.air_c, &around.sky_longwave_w_m2, &around.ground_longwave_w_m2, &around.ground_c,
          &around.forced_windward_w_m2k, &around.forced_leeward_w_m2k, &around.forced_unknown_w_m2k,
          &around.wind_m_s, &around.wind_from_deg, &around.air_heat_j_m3k, &around.pressure_pa,
          &around.humidity_kg_kg})
        key.add(*values);
    key.add(inputs.panes != nullptr);
    for (std::size_t s = 0; inputs.panes != nullptr && s < inputs.envelope.surfaces.size(); ++s) {
        if (!inputs.panes->is_pane(SurfaceId(s))) continue;
        key.add(inputs.panes->of_diffuse(SurfaceId(s)));
        for (std::size_t hour = 0; hour < around.n_hours; ++hour)
            key.add(inputs.panes->of_beam(SurfaceId(s), hour));
    }
}

void add_to(ContentKey& key, const Construction& construction) {
    add_layers(key, construction.layers);
    key.add(construction.cladding.has_value());
    if (construction.cladding) {
        add_layers(key, {construction.cladding->sheet});
        key.add(construction.cladding->gap_depth_m);
        key.add(construction.cladding->opening_m2_per_m);
        key.add(construction.cladding->inner_emittance);
        key.add(construction.cladding->mesh_open_share);
        key.add(construction.cladding->wind_coefficient);
    }
    for (const double value : {construction.outside_absorptance, construction.solar_transmittance,
                               construction.outside_emittance, construction.inside_emittance})
        key.add(value);
    key.add(construction.roughness);
}

void add_to(ContentKey& key, const Building& building) {
    for (const auto* list : {&building.exposed, &building.covered}) {
        key.add(list->size());
        for (const Construction& construction : *list) add_to(key, construction);
    }
    key.add(building.rooms.size());
    for (const RoomSettings& room : building.rooms) add_room(key, room);
    key.add_bytes(std::as_bytes(std::span(building.tariff)));
    key.add(building.doorways.size());
    for (const Doorway& door : building.doorways) {
        key.add(door.a.index());
        key.add(door.b.index());
        key.add(door.width_m);
        key.add(door.height_m);
        key.add_bytes(std::as_bytes(std::span(door.open_share)));
    }
}

void add_to(ContentKey& key, const HeatOptions& options) {
    key.add(options.refine);
    key.add(options.settle_k);
    key.add(options.most_inner_loops);
    key.add(options.warm_up_days);
    key.add(options.in_halves);
}

std::string bytes_of(const Response& response) {
    ByteWriter writer;
    for (const auto field : size_fields) writer.put(response.*field);
    writer.put(response.worst_change_k);
    for (const Numbers field : number_fields) {
        writer.put((response.*field).size());
        for (const double value : response.*field) writer.put(value);
    }
    for (const Peaks field : peak_fields) {
        writer.put((response.*field).size());
        for (const Peak& peak : response.*field) {
            writer.put(peak.value);
            writer.put(peak.step);
        }
    }
    return std::move(writer.bytes);
}

std::optional<Response> response_of(const std::string& bytes) {
    ByteReader reader(bytes);
    Response response;
    for (const auto field : size_fields) response.*field = reader.take<std::size_t>();
    response.worst_change_k = reader.take<double>();
    for (const Numbers field : number_fields) {
        (response.*field).resize(reader.count());
        for (double& value : response.*field) value = reader.take<double>();
    }
    for (const Peaks field : peak_fields) {
        (response.*field).resize(reader.count());
        for (Peak& peak : response.*field) {
            peak.value = reader.take<double>();
            peak.step = reader.take<std::size_t>();
        }
    }
    if (!reader.whole()) return std::nullopt;
    return response;
}

}  // namespace noonshell
