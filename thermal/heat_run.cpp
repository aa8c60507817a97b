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
      step_s_(inputs.surroundings.step_s),
      outside_(inputs, patches_, change),
      air_(inputs.envelope, building, inputs.surroundings),
      sun_(patches_, building),
      open_(patches_, inputs.surroundings.convection, step_s_, options.settle_k,
            inputs.surroundings.deep_ground_c) {
    const Surroundings& around = in_.surroundings;
    const double start_c = around.deep_ground_c;  // the period's mean
    for (const SharedPatch& p : patches_.shared) {
        const LayeredWall& wall = patches_.walls[p.wall];
        shared_wall_.push_back(wall.uniform_state(start_c));
        shared_particular_.emplace_back(wall.n_cells());
    }
    for (const GroundPatch& p : patches_.ground) {
        const LayeredWall& wall = patches_.walls[p.wall];
        ground_wall_.push_back(wall.steady_state(around.deep_ground_c, around.deep_ground_c));
        ground_particular_.emplace_back(wall.n_cells());
    }
    ground_faces_.resize(patches_.ground.size());
    ground_inside_c_.assign(patches_.ground.size(), start_c);
    shared_step_.resize(patches_.shared.size() + building.doorways.size());
    shared_port_.resize(patches_.shared.size());
    shared_inside_c_.assign(patches_.shared.size(), {start_c, start_c});
    shade_c_.assign(patches_.shades.size(), start_c);
    shade_before_c_ = shade_c_;
    emitted_.assign(in_.envelope.surfaces.size(), black_w_m2(start_c));

    const std::size_t n_units = in_.envelope.units.size();
    rooms_.resize(n_units);
    rooms_without_open_.resize(n_units);
    most_w_.assign(n_units, std::numeric_limits<double>::infinity());
    air_now_c_.assign(n_units, start_c);
    air_before_c_ = radiant_now_c_ = radiant_before_c_ = air_now_c_;
    for (std::size_t u = 0; u < n_units; ++u) {
        const Unit& unit = in_.envelope.units[u];
        air_capacity_j_k_.push_back(room_air_heat_j_m3k * unit.volume_m3 +
                                    building.rooms[u].furniture_j_m2k * unit.floor_area_m2);
        rooms_[u].active = active == nullptr || active->units[u];
        rooms_[u].air_c = rooms_[u].radiant_c = start_c;
    }
    shared_begin_.push_back(0);
    for (std::size_t u = 0; u < n_units; ++u) {
        for (std::size_t k = 0; k < patches_.shared.size(); ++k) {
            const SharedPatch& p = patches_.shared[k];
            if (p.a.unit.index() == u || p.b.unit.index() == u) {
                shared_of_room_.push_back(static_cast<std::uint32_t>(k));
            }
        }
        for (std::size_t d = 0; d < building.doorways.size(); ++d) {
            const Doorway& door = building.doorways[d];
            if (door.a.index() != u && door.b.index() != u) continue;
            shared_of_room_.push_back(static_cast<std::uint32_t>(patches_.shared.size() + d));
        }
        shared_begin_.push_back(static_cast<std::uint32_t>(shared_of_room_.size()));
    }
    flows_.outside_c.resize(patches_.open.size());
    flows_.wall_face_c.resize(patches_.open.size());
    flows_.open_inward_w.resize(patches_.open.size());
    flows_.ground_inward_w.resize(patches_.ground.size());
    flows_.shared_a_w.resize(patches_.shared.size());
    flows_.shared_b_w.resize(patches_.shared.size());
    flows_.shade_c.resize(patches_.shades.size());
}

void HeatRun::advance(std::size_t step, bool account) {
    begin_step(step);
    solve();
    finish_step(step, account);
}

void HeatRun::begin_step(std::size_t step) {
    outside_.set(step, emitted_);
    sun_.set(outside_.of_patches());
    air_.set_flows(step, air_now_c_);
    open_.begin(outside_.of_patches(), sun_.on_floors_w_m2(),
                in_.surroundings.pressure_pa[outside_.hour()],
                in_.surroundings.wind_at(outside_.hour()));
    for (std::size_t k = 0; k < patches_.shared.size(); ++k) {
        shared_port_[k] =
            patches_.walls[patches_.shared[k].wall].prepare(shared_wall_[k], shared_particular_[k]);
    }
    for (std::size_t k = 0; k < patches_.ground.size(); ++k) {
        const GroundPatch& p = patches_.ground[k];
        const TwoPort port = patches_.walls[p.wall].prepare(ground_wall_[k], ground_particular_[k]);
        FaceInStep face = with_films(p.inside, ground_inside_c_[k]);
        face.slope_w_m2k = port.bb;
        face.source_w_m2 =
            port.r_b + port.ab * in_.surroundings.deep_ground_c + sun_.on_face_w_m2(p.inside);
        face.set_weight();
        ground_faces_[k] = face;
    }
    set_shared_faces();
    set_rooms(step);
}

/// Outside faces and rooms by turns, until no outside face moves from where it was linearised.
void HeatRun::solve() {
    flows_.settled = false;
    for (int loop = 0; loop < options_.most_inner_loops && !flows_.settled; ++loop) {
        open_.line(rooms_);
        for (std::size_t u = 0; u < rooms_.size(); ++u) {
            RoomInStep fresh = rooms_without_open_[u];
            fresh.air_c = rooms_[u].air_c;
            fresh.radiant_c = rooms_[u].radiant_c;
            // A plant's capacity is for heat and vapour together.
            if (fresh.active && has_limit(u))
                fresh.most_cooling_w = air_.most_sensible_w(u, most_w_[u], fresh.air_c);
            rooms_[u] = fresh;
        }
        open_.add_to(rooms_);
        const bool rooms_settled =
            solve_rooms(rooms_, shared_step_, shared_of_room_, shared_begin_) > 0;
        flows_.settled = open_.close(rooms_) && rooms_settled && limits_settled();
    }
}

/// Whether plants at their limits give what they can with the air as it came out.
bool HeatRun::limits_settled() const {
    constexpr double tolerance = 1e-4;
    for (std::size_t u = 0; u < rooms_.size(); ++u) {
        const RoomInStep& room = rooms_[u];
        if (!room.active || room.plant_w >= 0 || !has_limit(u)) continue;
        const double now_w = air_.most_sensible_w(u, most_w_[u], room.air_c);
        const bool at_limit = -room.plant_w >= room.most_cooling_w;
        const double off_w =
            at_limit ? std::abs(now_w - room.most_cooling_w) : -room.plant_w - now_w;
        if (off_w > tolerance * most_w_[u]) return false;
    }
    return true;
}

FaceInStep HeatRun::with_films(const InsideFace& face, double face_c) const {
    const RoomInStep& room = rooms_[face.unit.index()];
    const InsideFilms films = inside_films(face, face_c, room.air_c, room.radiant_c);
    FaceInStep out;
    out.area_m2 = face.area_m2;
    out.convective_w_m2k = films.convective_w_m2k;
    out.radiative_w_m2k = films.radiative_w_m2k;
    return out;
}

void HeatRun::set_shared_faces() {
    for (std::size_t k = 0; k < patches_.shared.size(); ++k) {
        const SharedPatch& p = patches_.shared[k];
        const TwoPort& port = shared_port_[k];
        shared_step_[k] = shared_in_step(
            port.aa, port.ab, port.bb, port.r_a + sun_.on_face_w_m2(p.a),
            port.r_b + sun_.on_face_w_m2(p.b), with_films(p.a, shared_inside_c_[k].a_c),
            with_films(p.b, shared_inside_c_[k].b_c));
        shared_step_[k].room_a = p.a.unit.index();
        shared_step_[k].room_b = p.b.unit.index();
    }
    for (std::size_t d = 0; d < building_.doorways.size(); ++d) {
        const Doorway& door = building_.doorways[d];
        shared_step_[patches_.shared.size() + d] =
            linked_air(door.a.index(), door.b.index(),
                       air_.doorway_m3_s(d) * in_.surroundings.air_heat_j_m3k[outside_.hour()]);
    }
}

double HeatRun::gains_w_m2(const RoomSettings& set, std::size_t step) const {
    const Surroundings& around = in_.surroundings;
    const std::size_t hour = step / around.steps_per_hour;
    const double now = set.gains_w_m2[around.week_hour[hour]];
    if ((step + 1) % around.steps_per_hour != 0) return now;
    return 0.5 * (now + set.gains_w_m2[around.week_hour[(hour + 1) % around.n_hours]]);
}

/// The rooms' balances of this step without their faces in the open.
void HeatRun::set_rooms(std::size_t step) {
    const Surroundings& around = in_.surroundings;
    const std::size_t hour = step / around.steps_per_hour;
    for (std::size_t u = 0; u < rooms_.size(); ++u) {
        RoomInStep& room = rooms_without_open_[u];
        room = {};
        room.active = rooms_[u].active;
        if (!room.active) {
            const std::size_t at = step * rooms_.size() + u;
            rooms_[u].air_c = static_cast<double>(given_->room_air_c[at]);
            rooms_[u].radiant_c = static_cast<double>(given_->room_radiant_c[at]);
            continue;
        }
        rooms_[u].air_c = 2 * air_now_c_[u] - air_before_c_[u];  // where the sweeps begin
        rooms_[u].radiant_c = 2 * radiant_now_c_[u] - radiant_before_c_[u];
        const RoomSettings& set = building_.rooms[u];
        room.inertia_w_k = bdf2_inertia(air_capacity_j_k_[u], step_s_);
        room.inertia_w =
            bdf2_history(air_capacity_j_k_[u], air_now_c_[u], air_before_c_[u], step_s_);
        room.outdoor_w_k = air_.outdoor_m3_s(u) * around.air_heat_j_m3k[hour];
        room.outdoor_c = around.air_c[step];
        const double gains_w = gains_w_m2(set, step) * in_.envelope.units[u].floor_area_m2;
        room.gains_radiant_w = set.gains_radiant_share * gains_w + sun_.radiant_w(u);
        room.gains_air_w = (1 - set.gains_radiant_share) * gains_w;
        room.cooled = set.cooled;
        most_w_[u] = set.plant.capacity_w(around.air_c[step]);
        room.heated = set.heated;
        room.cooling_set_point_c = set.cooling_set_point_c;
        room.heating_set_point_c = set.heating_set_point_c;
    }
    for (std::size_t k = 0; k < patches_.ground.size(); ++k) {
        rooms_without_open_[patches_.ground[k].inside.unit.index()].add_face(ground_faces_[k]);
    }
    for (std::size_t k = 0; k < patches_.shared.size(); ++k) {
        const SharedInStep& wall = shared_step_[k];
        for (const bool is_a : {true, false}) {
            FaceInStep face = is_a ? wall.a : wall.b;
            face.source_w_m2 = 0;  // depends on the other room: added in the sweeps
            rooms_without_open_[is_a ? wall.room_a : wall.room_b].add_face(face);
        }
    }
    for (std::size_t d = 0; d < building_.doorways.size(); ++d) {
        const SharedInStep& link = shared_step_[patches_.shared.size() + d];
        for (const std::size_t room : {link.room_a, link.room_b})
            rooms_without_open_[room].add({.air_air_w_k = link.to_a.air_of_air_w_k});
    }
}

void HeatRun::finish_step(std::size_t step, bool account) {
    flows_.outside_net_w = flows_.outside_wall_w = flows_.outside_passed_w = 0;
    if (account) account_open();
    open_.finish();
    for (std::size_t p = 0; p < patches_.open.size(); ++p) {
        flows_.wall_face_c[p] = open_.wall_face_c(p);
        flows_.outside_c[p] = open_.outermost_c(p);
        flows_.open_inward_w[p] = open_.inward_w(p);
    }
    for (std::size_t k = 0; k < patches_.ground.size(); ++k) {
        const GroundPatch& patch = patches_.ground[k];
        const RoomInStep& room = rooms_[patch.inside.unit.index()];
        const FaceInStep& face = ground_faces_[k];
        ground_inside_c_[k] = face.temperature_c(room.air_c, room.radiant_c);
        flows_.ground_inward_w[k] =
            face.area_m2 * (face.source_w_m2 - face.slope_w_m2k * ground_inside_c_[k] -
                            sun_.on_face_w_m2(patch.inside));
        patches_.walls[patch.wall].advance(ground_wall_[k], ground_particular_[k],
                                           in_.surroundings.deep_ground_c, ground_inside_c_[k]);
    }
    for (std::size_t k = 0; k < patches_.shared.size(); ++k) {
        const SharedInStep& wall = shared_step_[k];
        const SharedFaces faces = shared_faces(wall, rooms_);
        shared_inside_c_[k] = faces;
        const auto into = [this](const FaceInStep& f, double face_c, const InsideFace& inside) {
            const RoomInStep& room = rooms_[inside.unit.index()];
            return f.area_m2 *
                   (f.convective_w_m2k * (face_c - room.air_c) +
                    f.radiative_w_m2k * (face_c - room.radiant_c) - sun_.on_face_w_m2(inside));
        };
        flows_.shared_a_w[k] = into(wall.a, faces.a_c, patches_.shared[k].a);
        flows_.shared_b_w[k] = into(wall.b, faces.b_c, patches_.shared[k].b);
        patches_.walls[patches_.shared[k].wall].advance(shared_wall_[k], shared_particular_[k],
                                                        faces.a_c, faces.b_c);
    }
    for (std::size_t u = 0; u < rooms_.size(); ++u) {
        air_before_c_[u] = air_now_c_[u];
        air_now_c_[u] = rooms_[u].air_c;
        radiant_before_c_[u] = radiant_now_c_[u];
        radiant_now_c_[u] = rooms_[u].radiant_c;
    }
    air_.advance_vapour(rooms_, most_w_);
    advance_shades(account);
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

/// A shade is one sheet: all its faces share a temperature, found by Newton's method.
void HeatRun::advance_shades(bool account) {
    const OutsideConvection model = in_.surroundings.convection;
    for (std::size_t k = 0; k < patches_.shades.size(); ++k) {
        const ShadeSheet& sheet = patches_.shades[k];
        const std::span<const FaceConditions> around = outside_.of_shade(k);
        const double inertia = bdf2_inertia(sheet.capacity_j_k, step_s_);
        const double past =
            bdf2_history(sheet.capacity_j_k, shade_c_[k], shade_before_c_[k], step_s_);
        double at_c = 2 * shade_c_[k] - shade_before_c_[k];
        bool settled = false;
        for (int loop = 0; loop < options_.most_inner_loops && !settled; ++loop) {
            double slope = inertia, source = past;
            for (std::size_t f = 0; f < sheet.faces.size(); ++f) {
                const FaceLine line = linearise(sheet.faces[f].face, model, around[f], at_c);
                slope += sheet.faces[f].area_m2 * line.h_w_m2k;
                source += sheet.faces[f].area_m2 * line.q_w_m2;
            }
            const double next_c = source / slope;
            settled = std::abs(next_c - at_c) < options_.settle_k;
            at_c = next_c;
        }
        for (std::size_t f = 0; account && f < sheet.faces.size(); ++f) {
            const OpenFace& face = sheet.faces[f];
            flows_.outside_net_w += face.area_m2 * net_heat_w_m2(face.face, model, around[f], at_c);
            flows_.outside_passed_w +=
                face.area_m2 *
                (around[f].absorbed_w_m2 + face.face.emittance * around[f].longwave_in_w_m2);
        }
        if (account) flows_.outside_wall_w += inertia * at_c - past;
        flows_.settled = flows_.settled && settled;
        shade_before_c_[k] = shade_c_[k];
        shade_c_[k] = at_c;
        flows_.shade_c[k] = at_c;
    }
}

/// What a grey face sends out: its own and what it throws back of what arrives.
void HeatRun::note_leaving(const OpenFace& face, const FaceConditions& around, double at_c) {
    const double e = face.face.emittance;
    emitted_[face.surface.index()] = e * black_w_m2(at_c) + (1 - e) * around.longwave_in_w_m2;
}

/// Longwave that leaves every surface, for the coming step; surfaces outside this run as given.
void HeatRun::note_emitted(std::size_t step) {
    if (given_ != nullptr) {
        const std::size_t n = emitted_.size();
        for (std::size_t s = 0; s < n; ++s) {
            emitted_[s] = static_cast<double>(given_->outside_longwave_w_m2[step * n + s]);
        }
    }
    for (std::size_t p = 0; p < patches_.open.size(); ++p) {
        const OpenPatch& patch = patches_.open[p];
        if (!patch.sheltered) {
            note_leaving(patch.outside, outside_.of_patches()[p], flows_.outside_c[p]);
        }
    }
    for (std::size_t k = 0; k < patches_.shades.size(); ++k) {
        const ShadeSheet& sheet = patches_.shades[k];
        for (std::size_t f = 0; f < sheet.faces.size(); ++f) {
            note_leaving(sheet.faces[f], outside_.of_shade(k)[f], shade_c_[k]);
        }
    }
}

double HeatRun::room_stored_j(std::size_t room) const {
    return air_capacity_j_k_[room] * (1.5 * air_now_c_[room] - 0.5 * air_before_c_[room]);
}

double HeatRun::room_doorways_w(std::size_t room) const {
    double sum = 0;
    for (std::size_t d = 0; d < building_.doorways.size(); ++d) {
        const SharedInStep& link = shared_step_[patches_.shared.size() + d];
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
    for (const auto* list : {&shared_wall_, &ground_wall_}) {
        for (const WallState& w : *list) all.insert(all.end(), w.now_c.begin(), w.now_c.end());
    }
    return all;
}

}  // namespace noonshell
