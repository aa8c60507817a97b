#include "thermal/heat_run.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "geometry/diagnostics.hpp"
#include "thermal/bdf2.hpp"
#include "thermal/inside_face.hpp"
#include "thermal/longwave.hpp"

namespace noonshell {

namespace {

constexpr double room_air_heat_j_m3k = 1.2 * 1006.0;

}  // namespace

HeatRun::HeatRun(const HeatInputs& inputs, const Building& building, const HeatOptions& options,
                 const ActivePart* active, const Trace* given, const ReflectanceChange* change)
    : in_(inputs),
      building_(building),
      options_(options),
      given_(given),
      patches_(make_patches(inputs.envelope,
                            {inputs.exchange.surfaces, inputs.exposure.sunlit_ground_share},
                            building, inputs.surroundings.step_s, options.refine, active)),
      live_(live_rooms(patches_, building, active)),
      step_s_(inputs.surroundings.step_s),
      outside_(inputs, patches_, change, given),
      air_(inputs.envelope, building, inputs.surroundings, live_),
      sun_(patches_, building),
      open_(patches_, inputs.surroundings.convection, step_s_, options.settle_k,
            inputs.surroundings.mean_air_c()),
      inner_(patches_, inputs.surroundings.mean_air_c(), inputs.surroundings.deep_ground_c),
      shades_(patches_.shades, patches_.walls, inputs.surroundings.convection, step_s_,
              tangent_over_network * options.settle_k, options.most_inner_loops,
              inputs.surroundings.mean_air_c()) {
    const double start_c = in_.surroundings.mean_air_c();
    between_.resize(patches_.shared.size() + building.doorways.size());
    emitted_.assign(in_.envelope.surfaces.size(), given != nullptr ? 0.0 : black_w_m2(start_c));

    outermost_c_.assign(in_.envelope.surfaces.size(), start_c);
    const std::size_t n_units = in_.envelope.units.size();
    rooms_.resize(n_units);
    inner_faces_.resize(n_units);
    most_w_.assign(n_units, std::numeric_limits<double>::infinity());
    air_now_c_.assign(n_units, start_c);
    air_before_c_ = radiant_now_c_ = radiant_before_c_ = hour_begun_c_ = air_now_c_;
    for (std::size_t u = 0; u < n_units; ++u) {
        const Unit& unit = in_.envelope.units[u];
        const RoomSettings& set = building.rooms[u];
        air_capacity_j_k_.push_back(room_air_heat_j_m3k * unit.volume_m3 +
                                    set.furniture_j_m2k * unit.floor_area_m2);
        RoomInStep& room = rooms_[u];
        room.air_c = room.radiant_c = start_c;
        room.inertia_w_k = bdf2_inertia(air_capacity_j_k_[u], step_s_);
        room.cooled = set.cooled;
        room.heated = set.heated;
        room.cooling_set_point_c = set.cooling_set_point_c;
        room.heating_set_point_c = set.heating_set_point_c;
    }
    set_links();
}

/// The shared walls, then the doorways, of every room that is run.
void HeatRun::set_links() {
    const std::size_t n_shared = patches_.shared.size();
    std::vector<std::vector<std::uint32_t>> of_room(rooms_.size());
    const auto link = [&](std::size_t k, std::size_t a, std::size_t b) {
        between_[k].room_a = a;
        between_[k].room_b = b;
        of_room[a].push_back(static_cast<std::uint32_t>(k));
        if (b != a) of_room[b].push_back(static_cast<std::uint32_t>(k));
    };
    for (std::size_t k = 0; k < n_shared; ++k) {
        const SharedPatch& p = patches_.shared[k];
        link(k, p.a.unit.index(), p.b.unit.index());
    }
    for (std::size_t d = 0; d < building_.doorways.size(); ++d) {
        const Doorway& door = building_.doorways[d];
        link(n_shared + d, door.a.index(), door.b.index());
    }
    links_.rooms = live_.run;
    links_.begin = {0};
    for (const std::uint32_t u : live_.run) {
        links_.shared.insert(links_.shared.end(), of_room[u].begin(), of_room[u].end());
        links_.begin.push_back(static_cast<std::uint32_t>(links_.shared.size()));
    }
}

void HeatRun::advance(std::size_t step, bool account) {
    begin_step(step);
    solve();
    finish_step(step, account);
}

void HeatRun::begin_step(std::size_t step) {
    outside_.set(step, emitted_, outermost_c_);
    sun_.set(outside_.of_patches());
    air_.set_flows(step, air_now_c_);
    open_.begin(outside_.of_patches(), sun_.on_floors_w_m2(),
                in_.surroundings.pressure_pa[outside_.hour()],
                in_.surroundings.wind_on_site(outside_.hour()));
    inner_.begin(rooms_, sun_);
    set_given_rooms(step);
    set_rooms(step);
    add_inner_faces();
}

/// Outside faces and rooms by turns, until no outside face moves from where it was linearised.
void HeatRun::solve() {
    flows_.settled = false;
    for (int loop = 0; loop < options_.most_inner_loops && !flows_.settled; ++loop) {
        open_.line(rooms_);
        for (const std::uint32_t u : live_.run) {
            rooms_[u].faces = inner_faces_[u];
            // A plant's capacity is for heat and vapour together.
            if (has_limit(u))
                rooms_[u].most_cooling_w = air_.most_sensible_w(u, most_w_[u], rooms_[u].air_c);
        }
        open_.add_to(rooms_);
        const bool rooms_settled = solve_rooms(rooms_, between_, links_) > 0;
        flows_.settled = open_.close(rooms_) && rooms_settled && limits_settled();
    }
}

/// Whether plants at their limits give what they can with the air as it came out.
bool HeatRun::limits_settled() const {
    constexpr double tolerance = 1e-4;
    for (const std::uint32_t u : live_.run) {
        const RoomInStep& room = rooms_[u];
        if (room.plant_w >= 0 || !has_limit(u)) continue;
        const double now_w = air_.most_sensible_w(u, most_w_[u], room.air_c);
        const bool at_limit = -room.plant_w >= room.most_cooling_w;
        const double off_w =
            at_limit ? std::abs(now_w - room.most_cooling_w) : -room.plant_w - now_w;
        if (off_w > tolerance * most_w_[u]) return false;
    }
    return true;
}

double HeatRun::gains_w_m2(const RoomSettings& set, std::size_t step) const {
    const Surroundings& around = in_.surroundings;
    const std::size_t hour = step / around.steps_per_hour;
    const double now = set.gains_w_m2[around.week_hour[hour]];
    if ((step + 1) % around.steps_per_hour != 0) return now;
    return 0.5 * (now + set.gains_w_m2[around.week_hour[(hour + 1) % around.n_hours]]);
}

/// Rooms beside those that are run, at the end of the step.
void HeatRun::set_given_rooms(std::size_t step) {
    for (const std::uint32_t u : live_.beside) {
        const std::size_t at = step * rooms_.size() + u;
        rooms_[u].air_c = static_cast<double>(given_->room_air_c[at]);
        rooms_[u].radiant_c = static_cast<double>(given_->room_radiant_c[at]);
        air_.set_given(u, static_cast<double>(given_->room_humidity_kg_kg[at]));
    }
}

/// The rooms' balances of this step without their faces.
void HeatRun::set_rooms(std::size_t step) {
    const Surroundings& around = in_.surroundings;
    const std::size_t hour = step / around.steps_per_hour;
    for (const std::uint32_t u : live_.run) {
        RoomInStep& room = rooms_[u];
        room.air_c = 2 * air_now_c_[u] - air_before_c_[u];  // where the sweeps begin
        room.radiant_c = 2 * radiant_now_c_[u] - radiant_before_c_[u];
        const RoomSettings& set = building_.rooms[u];
        room.inertia_w =
            bdf2_history(air_capacity_j_k_[u], air_now_c_[u], air_before_c_[u], step_s_);
        room.outdoor_w_k = air_.outdoor_m3_s(u) * around.air_heat_j_m3k[hour];
        room.outdoor_c = around.air_c[step];
        const double gains_w = gains_w_m2(set, step) * in_.envelope.units[u].floor_area_m2;
        room.gains_radiant_w = set.gains_radiant_share * gains_w + sun_.radiant_w(u);
        room.gains_air_w = (1 - set.gains_radiant_share) * gains_w;
        most_w_[u] = set.plant.capacity_w(around.air_c[step]);
        const std::size_t week_hour = around.week_hour[hour];
        const std::size_t step_of_hour = step % around.steps_per_hour;
        if (step_of_hour == 0) hour_begun_c_[u] = air_now_c_[u];
        const double share =
            static_cast<double>(step_of_hour + 1) / static_cast<double>(around.steps_per_hour);
        if (set.cooling_set_points_c)
            room.cooling_set_point_c =
                set_point_c(*set.cooling_set_points_c, week_hour, share, hour_begun_c_[u], false);
        if (set.heating_set_points_c)
            room.heating_set_point_c =
                set_point_c(*set.heating_set_points_c, week_hour, share, hour_begun_c_[u], true);
    }
}

/// What passes between rooms, and the sums of those faces that stand while the open ones are found.
void HeatRun::add_inner_faces() {
    for (const auto* rooms : {&live_.run, &live_.beside})
        for (const std::uint32_t u : *rooms) inner_faces_[u] = {};
    inner_.add_to(inner_faces_);
    inner_.link(between_);
    const double air_heat_j_m3k = in_.surroundings.air_heat_j_m3k[outside_.hour()];
    for (const std::uint32_t d : live_.doorways) {
        RoomLink& link = between_[patches_.shared.size() + d];
        link_air(air_.doorway_m3_s(d) * air_heat_j_m3k, link);
        for (const std::size_t room : {link.room_a, link.room_b})
            inner_faces_[room].air_air_w_k += link.to_a.air_of_air_w_k;
    }
}

void HeatRun::finish_step(std::size_t step, bool account) {
    flows_.outside_net_w = flows_.outside_wall_w = flows_.outside_passed_w = 0;
    if (account) account_open();
    open_.finish();
    inner_.finish(rooms_);
    for (const auto* rooms : {&live_.run, &live_.beside}) {
        for (const std::uint32_t u : *rooms) {
            air_before_c_[u] = air_now_c_[u];
            air_now_c_[u] = rooms_[u].air_c;
            radiant_before_c_[u] = radiant_now_c_[u];
            radiant_now_c_[u] = rooms_[u].radiant_c;
        }
    }
    air_.advance_vapour(rooms_, most_w_);
    flows_.settled = shades_.advance(outside_) && flows_.settled;
    if (account) account_shades();
    note_emitted(step);
}

/// Adds the exact outside balances and what the walls (and sheets) took; the two differ by what the
/// linearisation left.
void HeatRun::account_open() {
    open_.balances(open_balance_);
    for (std::size_t p = 0; p < patches_.open.size(); ++p) {
        const OpenPatch& patch = patches_.open[p];
        if (patch.sheltered) continue;
        const double area = patch.outside.area_m2;
        flows_.outside_net_w += area * open_balance_[p].exact;
        flows_.outside_wall_w += area * open_balance_[p].taken;
        flows_.outside_passed_w +=
            area * (outside_.of_patches()[p].absorbed_w_m2 +
                    patch.outside.face.emittance * outside_.of_patches()[p].longwave_in_w_m2);
    }
}

void HeatRun::account_shades() {
    const ShadeAccounts shades = shades_.accounts(outside_);
    flows_.outside_net_w += shades.net_w;
    flows_.outside_wall_w += shades.taken_w;
    flows_.outside_passed_w += shades.passed_w;
}

/// What a grey face sends out: its own and what it throws back of what arrives; beside a given run,
/// what is more than there.
void HeatRun::note_leaving(const OpenFace& face, const FaceConditions& around, double at_c,
                           std::size_t step) {
    const double e = face.face.emittance;
    const std::size_t s = face.surface.index();
    outermost_c_[s] = at_c;
    emitted_[s] = e * black_w_m2(at_c) + (1 - e) * around.longwave_in_w_m2;
    if (given_ != nullptr)
        emitted_[s] -=
            static_cast<double>(given_->outside_longwave_w_m2[step * emitted_.size() + s]);
}

/// Longwave that leaves the surfaces that are run, for the coming step.
void HeatRun::note_emitted(std::size_t step) {
    for (std::size_t p = 0; p < patches_.open.size(); ++p) {
        const OpenPatch& patch = patches_.open[p];
        if (!patch.sheltered)
            note_leaving(patch.outside, outside_.of_patches()[p], open_.outermost_c(p), step);
    }
    for (std::size_t k = 0; k < patches_.shades.size(); ++k) {
        const ShadeSheet& sheet = patches_.shades[k];
        for (std::size_t f = 0; f < sheet.faces.size(); ++f)
            note_leaving(sheet.faces[f], outside_.of_shade(k)[f], shades_.face_c(k, f), step);
    }
}

/// The faces of a room throw back and forth one even field G: G sum A = sum A (e sigma T^4 + (1 -
/// e) G) + gains. The radiant node is no such mean, large sides count for more in it.
void HeatRun::mean_radiant(std::span<double> rooms_c) const {
    std::vector<double> sent_w(rooms_.size(), 0.0), taken_m2(rooms_.size(), 0.0);
    const auto add = [&](const InsideFace& face, double at_c) {
        const double black_m2 = face.area_m2 * face.emittance;
        sent_w[face.unit.index()] += black_m2 * black_w_m2(at_c);
        taken_m2[face.unit.index()] += black_m2;
    };
    for (std::size_t p = 0; p < patches_.open.size(); ++p)
        add(patches_.open[p].inside, open_.inside_c(p));
    for (std::size_t g = 0; g < patches_.ground.size(); ++g)
        add(patches_.ground[g].inside, inner_.ground_inside_c(g));
    for (std::size_t k = 0; k < patches_.shared.size(); ++k) {
        add(patches_.shared[k].a, inner_.shared_a_c(k));
        add(patches_.shared[k].b, inner_.shared_b_c(k));
    }
    for (const std::uint32_t u : live_.run)
        rooms_c[u] = black_c((sent_w[u] + rooms_[u].gains_radiant_w) / taken_m2[u]);
}

double HeatRun::room_stored_j(std::size_t room) const {
    return air_capacity_j_k_[room] * (1.5 * air_now_c_[room] - 0.5 * air_before_c_[room]);
}

double HeatRun::room_doorways_w(std::size_t room) const {
    double sum = 0;
    for (std::size_t d = 0; d < building_.doorways.size(); ++d) {
        const RoomLink& link = between_[patches_.shared.size() + d];
        if (link.room_a != room && link.room_b != room) continue;
        const std::size_t other = link.room_a == room ? link.room_b : link.room_a;
        sum += link.to_a.air_of_air_w_k * (rooms_[other].air_c - rooms_[room].air_c);
    }
    return sum;
}

double HeatRun::room_outdoor_w(std::size_t room) const {
    return rooms_[room].outdoor_w_k * (rooms_[room].outdoor_c - rooms_[room].air_c);
}

/// Sun that a pane lets in falls on the room's inside faces, as radiant gains do.
double HeatRun::transmitted_w(std::size_t open_patch) const {
    const OpenPatch& patch = patches_.open[open_patch];
    return patch.sheltered
               ? 0.0
               : patch.outside.area_m2 * outside_.of_patches()[open_patch].transmitted_w_m2;
}

double HeatRun::room_gains_w(std::size_t room) const {
    return rooms_[room].gains_air_w + rooms_[room].gains_radiant_w + sun_.on_floor_w(room);
}

std::vector<double> HeatRun::wall_temperatures() const {
    std::vector<double> all;
    for (std::size_t p = 0; p < patches_.open.size(); ++p) {
        const std::size_t n_cells = patches_.walls[patches_.open[p].wall].n_cells();
        for (std::size_t cell = 0; cell < n_cells; ++cell) all.push_back(open_.cell_c(p, cell));
    }
    inner_.append_cells_c(all);
    shades_.append_cells_c(all);
    return all;
}

void HeatRun::shift_walls(std::span<const double> from_c, std::span<const double> to_c) {
    std::vector<double> by_k(to_c.begin(), to_c.end());
    for (std::size_t i = 0; i < by_k.size(); ++i) by_k[i] -= from_c[i];
    std::size_t i = 0;
    for (std::size_t p = 0; p < patches_.open.size(); ++p) {
        const std::size_t n_cells = patches_.walls[patches_.open[p].wall].n_cells();
        for (std::size_t cell = 0; cell < n_cells; ++cell, ++i) open_.shift_cell(p, cell, by_k[i]);
    }
    inner_.shift_cells(std::span<const double>(by_k).subspan(i));
}

}  // namespace noonshell
