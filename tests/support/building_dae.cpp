#include "tests/support/building_dae.hpp"

#include <ida/ida.h>
#include <nvector/nvector_serial.h>
#include <sunlinsol/sunlinsol_dense.h>
#include <sunmatrix/sunmatrix_dense.h>

#include <cmath>
#include <memory>
#include <stdexcept>
#include <string>

namespace noonshell::test_models {

namespace {

constexpr std::size_t none = static_cast<std::size_t>(-1);
constexpr double room_air_heat_j_m3k = 1.2 * 1006.0;
constexpr double hour_s = 3600;
constexpr int longwave_rounds = 8;  // what is thrown back shrinks tenfold each round

double sigma_t4(double celsius) {
    return stefan_boltzmann_w_m2k4 * std::pow(celsius + kelvin_at_0_c, 4);
}

void expect(int flag, const char* what) {
    if (flag < 0) throw std::runtime_error(std::string(what) + ": " + std::to_string(flag));
}

template <class T, class Free>
std::unique_ptr<T, Free> owned(T* made, Free free) {
    if (made == nullptr) throw std::runtime_error("out of memory");
    return {made, free};
}

}  // namespace

BuildingDae::BuildingDae(const HeatInputs& inputs, const Building& building, int refine)
    : in_(inputs),
      building_(building),
      patches_(make_patches(inputs.envelope,
                            {inputs.exchange.surfaces, inputs.exposure.sunlit_ground_share},
                            building, inputs.surroundings.step_s, refine, nullptr)),
      longwave_in_(inputs.envelope.surfaces.size(), 0.0),
      leaving_(inputs.envelope.surfaces.size(), 0.0) {
    for (const RoomSettings& room : building.rooms) {
        if (room.cooled || room.heated || room.ventilation.is_used())
            throw std::invalid_argument("a room with plant or ventilation");
    }
    if (inputs.surroundings.wind_by_height.value_or(Terrain::open) != Terrain::open)
        throw std::invalid_argument("wind by height over other land than open");
    const auto take = [this](std::size_t n) {
        const std::size_t first = n_unknowns_;
        n_unknowns_ += n;
        return first;
    };
    const auto take_wall = [&](std::size_t index) {
        WallUnknowns at{};
        at.a = take(1);
        at.cells = take(patches_.walls[index].n_cells());
        at.b = take(1);
        return at;
    };
    for (const OpenPatch& p : patches_.open) {
        open_.push_back(take_wall(p.wall));
        sheet_.push_back(p.clad ? take(1) : none);
    }
    for (const SharedPatch& p : patches_.shared) shared_.push_back(take_wall(p.wall));
    for (const GroundPatch& p : patches_.ground) ground_.push_back(take_wall(p.wall));
    for (std::size_t k = 0; k < patches_.shades.size(); ++k) shade_.push_back(take(1));
    air_ = take(inputs.envelope.units.size());
    radiant_ = take(inputs.envelope.units.size());
    for (std::size_t u = 0; u < inputs.envelope.units.size(); ++u) {
        const Unit& unit = inputs.envelope.units[u];
        air_capacity_j_k_.push_back(room_air_heat_j_m3k * unit.volume_m3 +
                                    building.rooms[u].furniture_j_m2k * unit.floor_area_m2);
    }
}

void BuildingDae::set_hour(std::size_t hour) {
    hour_ = hour % in_.surroundings.n_hours;
}

/// Straight lines between the ends of the steps; time counts from the start of the hour set.
double BuildingDae::at(const std::vector<double>& by_step, double t_s) const {
    const Surroundings& around = in_.surroundings;
    const double position =
        static_cast<double>(hour_ * around.steps_per_hour) + t_s / around.step_s;
    const double whole = std::floor(position);
    const std::size_t n = by_step.size();
    const std::size_t end = static_cast<std::size_t>(whole) % n;  // value at the end of this step
    const std::size_t before = (end + n - 1) % n;
    return by_step[before] + (position - whole) * (by_step[end] - by_step[before]);
}

double BuildingDae::light_w_m2(const OpenFace& face) const {
    if (face.share_of_surface <= 0) return 0;
    const Exposure& e = in_.exposure;
    const std::size_t i = e.at(hour_, face.surface);
    return (e.direct_w_m2[i] + e.sky_w_m2[i] + e.ground_w_m2[i] + e.bounced_w_m2[i]) /
           face.share_of_surface;
}

FaceConditions BuildingDae::conditions(const OpenFace& face, double t_s) const {
    return {.absorbed_w_m2 = face.absorptance * light_w_m2(face),
            .transmitted_w_m2 = face.transmittance * light_w_m2(face),
            .longwave_in_w_m2 = longwave_in_[face.surface.index()],
            .air_c = at(in_.surroundings.air_c, t_s),
            .forced_w_m2k = forced_w_m2k(face)};
}

/// Over open country the wind goes with the height to 0.14 ([ashrae2021] ch. 24), here from 1 m on;
/// a rough face of the combined model has so many times the forced convection of glass.
double BuildingDae::forced_w_m2k(const OpenFace& face) const {
    constexpr double station_m = 10, lowest_m = 1, exponent = 0.14;
    const Surroundings& around = in_.surroundings;
    const std::size_t s = face.surface.index();
    const WindSide side = around.wind_from_deg.empty() ? WindSide::unknown
                                                       : wind_side(face.tilt_deg, face.azimuth_deg,
                                                                   around.wind_from_deg[hour_]);
    const double roughness = around.convection == OutsideConvection::combined
                                 ? forced_over_that_of_glass(building_.exposed[s].roughness)
                                 : 1;
    if (around.wind_by_height) {
        const double height_m = in_.envelope.surfaces[s].centroid_m.z() - in_.envelope.ground_z_m;
        const double wind_m_s =
            around.wind_m_s[hour_] * std::pow(std::max(height_m, lowest_m) / station_m, exponent);
        return roughness * forced_convection_w_m2k(around.convection, wind_m_s, side);
    }
    const std::vector<double>& forced = side == WindSide::windward  ? around.forced_windward_w_m2k
                                        : side == WindSide::leeward ? around.forced_leeward_w_m2k
                                                                    : around.forced_unknown_w_m2k;
    return roughness * forced[hour_];
}

/// Longwave on every surface from sky, ground and the others at this very instant.
void BuildingDae::find_longwave(double t_s, const double* y) const {
    const Surroundings& around = in_.surroundings;
    const ExchangeNet& net = in_.exchange.surfaces;
    const double sky = at(around.sky_longwave_w_m2, t_s);
    const double ground = at(around.ground_longwave_w_m2, t_s);
    const double as_air = sigma_t4(at(around.air_c, t_s));
    const auto each_face = [&](const auto& work) {
        for (std::size_t p = 0; p < patches_.open.size(); ++p) {
            if (patches_.open[p].sheltered) continue;
            work(patches_.open[p].outside, y[sheet_[p] == none ? open_[p].a : sheet_[p]]);
        }
        for (std::size_t k = 0; k < patches_.shades.size(); ++k) {
            for (const OpenFace& face : patches_.shades[k].faces) work(face, y[shade_[k]]);
        }
    };
    std::fill(leaving_.begin(), leaving_.end(), as_air);
    for (int round = 0; round < longwave_rounds; ++round) {
        each_face([&](const OpenFace& face, double) {
            const std::size_t s = face.surface.index();
            double sum =
                face.sky_share * sky + face.sunlit_ground_share * ground +
                (face.context_share + face.ground_share - face.sunlit_ground_share) * as_air;
            for (auto k = net.row_begin[s]; k < net.row_begin[s + 1]; ++k)
                sum += net.share[k] * leaving_[net.column[k]];
            longwave_in_[s] = sum;
        });
        each_face([&](const OpenFace& face, double at_c) {
            const std::size_t s = face.surface.index();
            const double e = face.face.emittance;
            leaving_[s] = e * sigma_t4(at_c) + (1 - e) * longwave_in_[s];
        });
    }
}

/// Both faces' balances and the cells': what comes to the faces from outside the wall is given.
void BuildingDae::wall(const LayeredWall& layers, const WallUnknowns& w, const double* y,
                       const double* slope, double to_a_w_m2, double to_b_w_m2, double* out) const {
    const std::size_t n = layers.n_cells();
    if (n == 0) {
        const double through = (y[w.a] - y[w.b]) / layers.resistance_m2k_w();
        out[w.a] = to_a_w_m2 - through;
        out[w.b] = to_b_w_m2 + through;
        return;
    }
    const std::span<const double> g = layers.conductances_w_m2k();
    const std::span<const double> c = layers.cell_capacities_j_m2k();
    out[w.a] = to_a_w_m2 - g[0] * (y[w.a] - y[w.cells]);
    out[w.b] = to_b_w_m2 - g[n] * (y[w.b] - y[w.cells + n - 1]);
    for (std::size_t i = 0; i < n; ++i) {
        const double here = y[w.cells + i];
        const double before = i == 0 ? y[w.a] : y[w.cells + i - 1];
        const double after = i + 1 == n ? y[w.b] : y[w.cells + i + 1];
        out[w.cells + i] =
            g[i] * (before - here) + g[i + 1] * (after - here) - c[i] * slope[w.cells + i];
    }
}

/// Heat to an inside face from its room [W/m2]; the room loses it.
double BuildingDae::inside(const InsideFace& face, double face_c, const double* y,
                           double* out) const {
    const std::size_t u = face.unit.index();
    const double air_c = y[air_ + u], radiant_c = y[radiant_ + u];
    const InsideFilms films = inside_films(face, face_c, air_c, radiant_c);
    const double from_air = films.convective_w_m2k * (air_c - face_c);
    const double from_others = films.radiative_w_m2k * (radiant_c - face_c);
    out[air_ + u] -= face.area_m2 * from_air;
    out[radiant_ + u] -= face.area_m2 * from_others;
    return from_air + from_others;
}

void BuildingDae::residual(double t_s, const double* y, const double* slope, double* out) const {
    const Surroundings& around = in_.surroundings;
    const double outdoor_c = at(around.air_c, t_s);
    find_longwave(t_s, y);
    for (std::size_t u = 0; u < building_.rooms.size(); ++u) {
        const RoomSettings& set = building_.rooms[u];
        const Unit& unit = in_.envelope.units[u];
        const double wind_m_s = around.wind_m_s.empty() ? 0.0 : around.wind_m_s[hour_];
        const double leak_w_k =
            set.leakage.flow_m3_s(unit.volume_m3, y[air_ + u], outdoor_c, wind_m_s) *
            around.air_heat_j_m3k[hour_];
        const double gains_w = set.gains_w_m2[around.week_hour[hour_]] * unit.floor_area_m2;
        out[air_ + u] = leak_w_k * (outdoor_c - y[air_ + u]) +
                        (1 - set.gains_radiant_share) * gains_w -
                        air_capacity_j_k_[u] * slope[air_ + u];
        out[radiant_ + u] = set.gains_radiant_share * gains_w;
    }
    for (std::size_t p = 0; p < patches_.open.size(); ++p) {
        const OpenPatch& patch = patches_.open[p];
        const WallUnknowns& w = open_[p];
        double to_a = 0;
        if (!patch.sheltered) {
            const FaceConditions now = conditions(patch.outside, t_s);
            out[radiant_ + patch.inside.unit.index()] +=
                patch.outside.area_m2 * now.transmitted_w_m2;
            if (sheet_[p] == none) {
                to_a = net_heat_w_m2(patch.outside.face, around.convection, now, y[w.a]);
            } else {
                const double sheet_c = y[sheet_[p]];
                const GapNetwork gap = vented_gap(patch.gap, sheet_c, y[w.a], outdoor_c, 0,
                                                  around.pressure_pa[hour_], around.wind_at(hour_));
                to_a = gap.link_w_m2k * (sheet_c - y[w.a]) + gap.loss_w_m2k * (outdoor_c - y[w.a]);
                out[sheet_[p]] =
                    net_heat_w_m2(patch.outside.face, around.convection, now, sheet_c) -
                    gap.link_w_m2k * (sheet_c - y[w.a]) + gap.loss_w_m2k * (outdoor_c - sheet_c) -
                    patch.sheet_capacity_j_m2k * slope[sheet_[p]];
            }
        }
        wall(patches_.walls[patch.wall], w, y, slope, to_a, inside(patch.inside, y[w.b], y, out),
             out);
    }
    for (std::size_t k = 0; k < patches_.shared.size(); ++k) {
        const SharedPatch& p = patches_.shared[k];
        const WallUnknowns& w = shared_[k];
        const double to_a = inside(p.a, y[w.a], y, out), to_b = inside(p.b, y[w.b], y, out);
        wall(patches_.walls[p.wall], w, y, slope, to_a, to_b, out);
    }
    for (std::size_t k = 0; k < patches_.ground.size(); ++k) {
        const GroundPatch& p = patches_.ground[k];
        const WallUnknowns& w = ground_[k];
        wall(patches_.walls[p.wall], w, y, slope, 0, inside(p.inside, y[w.b], y, out), out);
        out[w.a] = y[w.a] - around.deep_ground_c;  // given
    }
    for (std::size_t k = 0; k < patches_.shades.size(); ++k) {
        const ShadeSheet& sheet = patches_.shades[k];
        double net_w = 0;
        for (const OpenFace& face : sheet.faces) {
            net_w += face.area_m2 * net_heat_w_m2(face.face, around.convection,
                                                  conditions(face, t_s), y[shade_[k]]);
        }
        out[shade_[k]] = net_w - sheet.capacity_j_k * slope[shade_[k]];
    }
}

/// 1 for unknowns with a rate, 0 for the algebraic ones.
std::vector<double> BuildingDae::ids() const {
    std::vector<double> id(n_unknowns_, 0.0);
    const auto mark = [&id](std::size_t first, std::size_t n) {
        for (std::size_t i = 0; i < n; ++i) id[first + i] = 1;
    };
    for (std::size_t p = 0; p < open_.size(); ++p) {
        mark(open_[p].cells, patches_.walls[patches_.open[p].wall].n_cells());
        if (sheet_[p] != none) mark(sheet_[p], 1);
    }
    for (std::size_t k = 0; k < shared_.size(); ++k)
        mark(shared_[k].cells, patches_.walls[patches_.shared[k].wall].n_cells());
    for (std::size_t k = 0; k < ground_.size(); ++k)
        mark(ground_[k].cells, patches_.walls[patches_.ground[k].wall].n_cells());
    for (const std::size_t s : shade_) mark(s, 1);
    mark(air_, building_.rooms.size());
    return id;
}

void BuildingDae::run(std::size_t n_hours, double tolerance,
                      const std::function<void(std::size_t, std::span<const double>)>& each_hour) {
    SUNContext context = nullptr;
    expect(SUNContext_Create(nullptr, &context), "SUNContext_Create");
    const auto keep_context = owned(context, [](SUNContext c) { SUNContext_Free(&c); });
    const auto vector = [&](std::size_t n) {
        return owned(N_VNew_Serial(static_cast<sunindextype>(n), context), N_VDestroy);
    };
    const auto y = vector(n_unknowns_), slope = vector(n_unknowns_), id = vector(n_unknowns_);
    const auto means = vector(building_.rooms.size());
    N_VConst(in_.surroundings.deep_ground_c, y.get());
    N_VConst(0, slope.get());
    const std::vector<double> rates = ids();
    std::copy(rates.begin(), rates.end(), N_VGetArrayPointer(id.get()));

    const auto ida = owned(IDACreate(context), [](void* m) { IDAFree(&m); });
    const IDAResFn residual_of = [](double t, N_Vector at, N_Vector rate, N_Vector out,
                                    void* self) {
        static_cast<const BuildingDae*>(self)->residual(
            t, N_VGetArrayPointer(at), N_VGetArrayPointer(rate), N_VGetArrayPointer(out));
        return 0;
    };
    expect(IDAInit(ida.get(), residual_of, 0, y.get(), slope.get()), "IDAInit");
    expect(IDASStolerances(ida.get(), tolerance * 1e-3, tolerance), "IDASStolerances");
    expect(IDASetUserData(ida.get(), this), "IDASetUserData");
    expect(IDASetId(ida.get(), id.get()), "IDASetId");
    expect(IDASetMaxNumSteps(ida.get(), 100000), "IDASetMaxNumSteps");
    const auto n = static_cast<sunindextype>(n_unknowns_);
    const auto matrix = owned(SUNDenseMatrix(n, n, context), SUNMatDestroy);
    const auto solver = owned(SUNLinSol_Dense(y.get(), matrix.get(), context), SUNLinSolFree);
    expect(IDASetLinearSolver(ida.get(), solver.get(), matrix.get()), "IDASetLinearSolver");

    // Light and wind jump from hour to hour: each hour begins anew, with the algebraic unknowns and
    // the rates brought into line. Hour means by Simpson's rule on equal pieces.
    constexpr int pieces = 20;
    for (std::size_t h = 0; h < n_hours; ++h) {
        set_hour(h);
        expect(IDAReInit(ida.get(), 0, y.get(), slope.get()), "IDAReInit");
        expect(IDASetStopTime(ida.get(), hour_s), "IDASetStopTime");
        expect(IDACalcIC(ida.get(), IDA_YA_YDP_INIT, hour_s / 1000), "IDACalcIC");
        expect(IDAGetConsistentIC(ida.get(), y.get(), slope.get()), "IDAGetConsistentIC");
        double* mean = N_VGetArrayPointer(means.get());
        const double* now = N_VGetArrayPointer(y.get());
        for (std::size_t u = 0; u < building_.rooms.size(); ++u)
            mean[u] = now[air_ + u] / (3 * pieces);
        for (int i = 1; i <= pieces; ++i) {
            double reached = 0;
            expect(IDASolve(ida.get(), hour_s * i / pieces, &reached, y.get(), slope.get(),
                            IDA_NORMAL),
                   "IDASolve");
            const double weight = i == pieces ? 1 : (i % 2 == 1 ? 4 : 2);
            for (std::size_t u = 0; u < building_.rooms.size(); ++u)
                mean[u] += weight * now[air_ + u] / (3 * pieces);
        }
        each_hour(h, {mean, building_.rooms.size()});
    }
}

}  // namespace noonshell::test_models
