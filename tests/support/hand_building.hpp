// Small buildings made by hand for the heat tests: boxes without facets, with the shares, light and
// weather that the test wants.
#pragma once

#include <array>
#include <cmath>
#include <functional>
#include <numbers>
#include <string>
#include <vector>

#include "geometry/envelope.hpp"
#include "solar/exchange.hpp"
#include "solar/exposure.hpp"
#include "thermal/building.hpp"
#include "thermal/surroundings.hpp"

namespace noonshell::test_models {

inline constexpr std::array<const char*, 6> side_names{"roof",   "wall-n", "wall-e",
                                                       "wall-s", "wall-w", "floor"};

/// Adds a closed box unit standing free: roof, four walls n e s w, floor in the open.
inline UnitId add_free_unit(Envelope& out, const std::string& id, const Vec3& size_m) {
    const UnitId unit(out.units.size());
    const double x = size_m.x(), y = size_m.y(), z = size_m.z();
    out.units.push_back({id, {BodyId(out.units.size())}, x * y, x * y * z, "by hand", {}});
    const std::array<double, 6> area{x * y, x * z, y * z, x * z, y * z, x * y};
    const std::array<double, 6> tilt{0, 90, 90, 90, 90, 180};
    const std::array<double, 6> azimuth{0, 0, 90, 180, 270, 0};
    for (std::size_t k = 0; k < 6; ++k) {
        Surface s;
        s.id = id + "/" + side_names[k];
        s.unit = unit;
        s.body = BodyId(unit.index());
        s.kind = k == 0 ? SurfaceKind::roof : (k == 5 ? SurfaceKind::floor : SurfaceKind::wall);
        s.tilt_deg = tilt[k];
        s.azimuth_deg = azimuth[k];
        s.area_m2 = s.exposed_area_m2 = area[k];
        out.units.back().surfaces.emplace_back(out.surfaces.size());
        out.surfaces.push_back(s);
    }
    return unit;
}

/// Puts two surfaces wholly in contact.
inline void touch(Envelope& out, SurfaceId a, SurfaceId b, double gap_m) {
    out.contacts.push_back({a, b, out.surfaces[a.index()].area_m2, gap_m});
    out.surfaces[a.index()].exposed_area_m2 = out.surfaces[b.index()].exposed_area_m2 = 0;
}

/// Every surface sees sky and ground as a free one of its tilt, and no other surface.
inline ExchangeMatrix free_exchange(const Envelope& envelope) {
    ExchangeMatrix x;
    ExchangeNet& net = x.surfaces;
    net.row_begin.assign(envelope.surfaces.size() + 1, 0);
    net.context_share.assign(envelope.surfaces.size(), 0);
    net.horizon_share = net.context_share;
    x.parts.surface_begin = {0};
    for (const Surface& s : envelope.surfaces) {
        const double c = std::cos(s.tilt_deg * std::numbers::pi / 180);
        net.sky_share.push_back((1 + c) / 2);
        net.ground_share.push_back((1 - c) / 2);
        net.area_m2.push_back(s.exposed_area_m2);
        // Every surface is one part.
        x.parts.surface.emplace_back(x.parts.size());
        x.parts.area_m2.push_back(s.exposed_area_m2);
        x.parts.surface_begin.push_back(static_cast<std::uint32_t>(x.parts.size()));
    }
    x.part_net = net;
    return x;
}

/// Incident light by surface and hour, all counted as direct.
inline Exposure exposure_of(const Envelope& envelope, std::size_t n_hours,
                            const std::function<double(std::size_t, const Surface&)>& light_w_m2) {
    Exposure e;
    e.n_hours = n_hours;
    e.n_surfaces = e.n_parts = envelope.surfaces.size();
    e.reflectance.assign(e.n_surfaces, 0.3);
    e.part_light_wh_m2.assign(e.n_parts, 1.0);
    for (const Surface& s : envelope.surfaces) {
        e.sunlit_ground_share.push_back((1 - std::cos(s.tilt_deg * std::numbers::pi / 180)) / 2);
    }
    for (std::size_t h = 0; h < n_hours; ++h) {
        for (const Surface& s : envelope.surfaces) e.direct_w_m2.push_back(light_w_m2(h, s));
    }
    e.sky_w_m2.assign(e.direct_w_m2.size(), 0);
    e.ground_w_m2 = e.bounced_w_m2 = e.sky_w_m2;
    return e;
}

/// Air by a function of the hour (at step ends), sky and ground as black bodies a fixed difference
/// away from the air, one forced film for all faces.
inline Surroundings surroundings_of(std::size_t n_hours, double step_s, double forced_w_m2k,
                                    const std::function<double(double)>& air_c,
                                    double sky_below_air_k = 0, double ground_above_air_k = 0) {
    Surroundings s;
    s.step_s = step_s;
    s.steps_per_hour = static_cast<std::size_t>(std::lround(3600 / step_s));
    s.n_hours = n_hours;
    const auto sigma_t4 = [](double c) { return 5.670374419e-8 * std::pow(c + 273.15, 4); };
    double sum = 0;
    for (std::size_t i = 1; i <= n_hours * s.steps_per_hour; ++i) {
        const double t = air_c(static_cast<double>(i) * step_s / 3600);
        s.air_c.push_back(t);
        s.sky_longwave_w_m2.push_back(sigma_t4(t - sky_below_air_k));
        s.ground_c.push_back(t + ground_above_air_k);
        s.ground_longwave_w_m2.push_back(sigma_t4(t + ground_above_air_k));
        sum += t;
    }
    s.deep_ground_c = sum / static_cast<double>(s.air_c.size());
    s.forced_unknown_w_m2k.assign(n_hours, forced_w_m2k);
    s.forced_windward_w_m2k = s.forced_leeward_w_m2k = s.forced_unknown_w_m2k;
    s.air_heat_j_m3k.assign(n_hours, 1150);
    s.pressure_pa.assign(n_hours, 101325);
    for (std::size_t h = 0; h < n_hours; ++h) s.week_hour.push_back(h % hours_per_week);
    return s;
}

/// One construction everywhere; rooms without plant, gains or leaks.
inline Building bare_building(const Envelope& envelope, const Construction& construction) {
    RoomSettings room;
    room.cooled = room.heated = false;
    room.leakage.air_change_per_h = 0;
    return plain_building(std::vector<Construction>(envelope.surfaces.size(), construction),
                          std::vector<RoomSettings>(envelope.units.size(), room));
}

inline Construction sheet_of(double thickness_m, double conductivity_w_mk, double density_kg_m3,
                             double specific_heat_j_kgk) {
    Construction c;
    c.name = "test sheet";
    c.layers = {{{"test material", conductivity_w_mk, density_kg_m3, specific_heat_j_kgk, "test"},
                 thickness_m,
                 std::nullopt}};
    return c;
}

}  // namespace noonshell::test_models
