#include "geometry/shade_builder.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <limits>
#include <set>
#include <sstream>

#include "geometry/angles.hpp"
#include "geometry/compass.hpp"
#include "geometry/convex_polygon.hpp"
#include "geometry/shade_clash.hpp"
#include "geometry/shade_frames.hpp"

namespace noonshell {

namespace {

/// A slat cut off smaller than this by a corner of the roof is left out [m2].
constexpr double least_slat_area_m2 = 1e-4;

/// A wall that leans more than this from the upright is no place for an overhang [deg].
constexpr double most_lean_deg = 60.0;

std::string number_text(double value) {
    std::ostringstream text;
    text << value;
    return text.str();
}

[[noreturn]] void refuse(const InputPlace& place, const std::string& name, const std::string& what,
                         const std::string& expected, const std::string& seen) {
    InputPlace at = place;
    at.entity = name.empty() ? what : "shade \"" + name + "\": " + what;
    throw InputError(std::move(at), expected, seen);
}

/// Checks of one setting's numbers.
class Check {
  public:
    Check(const InputPlace& place, const std::string& name) : place_(place), name_(name) {}

    void positive(const char* what, double value) const {
        demand(std::isfinite(value) && value > 0, what, "a length above 0", value);
    }
    void positive(const char* what, const std::optional<double>& value) const {
        if (value) positive(what, *value);
    }
    void not_negative(const char* what, double value) const {
        demand(std::isfinite(value) && value >= 0, what, "a length from 0", value);
    }
    void finite(const char* what, double value) const {
        demand(std::isfinite(value), what, "a finite number", value);
    }
    void tilt(double value, double least) const {
        demand(value >= least && value <= steepest_shade_deg, "tilt_deg",
               least < 0 ? "an angle from -60 to 60" : "an angle from 0 to 60", value);
    }

  private:
    void demand(bool good, const char* what, const char* expected, double seen) const {
        if (!good) refuse(place_, name_, what, expected, number_text(seen));
    }
    const InputPlace& place_;
    const std::string& name_;
};

void check(const ShadeRoof& roof) {
    const Check that(roof.place, roof.name);
    that.not_negative("height_m", roof.height_m);
    for (const double overhang : roof.overhang_m) that.not_negative("overhang_m", overhang);
    that.tilt(roof.tilt_deg, 0);
    that.finite("tilt_towards_deg", roof.tilt_towards_deg);
    that.positive("thickness_m", roof.thickness_m);
    if (!roof.slats) return;
    that.positive("slat_width_m", roof.slats->width_m);
    that.not_negative("slat_gap_m", roof.slats->gap_m);
    if (roof.slats->along_deg) that.finite("slats_along_deg", *roof.slats->along_deg);
}

void check(const Overhang& overhang) {
    const Check that(overhang.place, overhang.name);
    that.positive("depth_m", overhang.depth_m);
    that.positive("width_m", overhang.width_m);
    that.finite("offset_m", overhang.offset_m);
    if (overhang.height_m) that.finite("height_m", *overhang.height_m);
    that.tilt(overhang.tilt_deg, -steepest_shade_deg);
    that.positive("thickness_m", overhang.thickness_m);
    that.not_negative("gap_m", overhang.gap_m);
}

void check(const Fin& fin) {
    const Check that(fin.place, fin.name);
    that.positive("depth_m", fin.depth_m);
    that.positive("height_m", fin.height_m);
    that.finite("foot_m", fin.foot_m);
    that.finite("offset_m", fin.offset_m);
    that.positive("thickness_m", fin.thickness_m);
    that.not_negative("gap_m", fin.gap_m);
}

/// Indices whose id one of the patterns matches, ascending; every pattern has to match one that
/// `fits`.
template <class Item, class Fits>
std::vector<std::size_t> matched(const std::vector<Item>& items, Fits fits,
                                 const std::vector<std::string>& patterns, const InputPlace& place,
                                 const std::string& name, const char* key, const char* expected) {
    if (patterns.empty()) refuse(place, name, key, expected, "none");
    std::set<std::size_t> found;
    for (const std::string& pattern : patterns) {
        bool any = false;
        for (std::size_t i = 0; i < items.size(); ++i) {
            if (!matches_pattern(pattern, items[i].id) || !fits(items[i])) continue;
            found.insert(i);
            any = true;
        }
        if (!any) refuse(place, name, key, expected, "\"" + pattern + "\", which matches none");
    }
    return {found.begin(), found.end()};
}

/// The highest roof, else the highest point.
double highest_roof_m(const Model& model, const Envelope& envelope, std::span<const UnitId> units,
                      double otherwise) {
    double top = -std::numeric_limits<double>::infinity();
    for (const UnitId unit : units) {
        for (const SurfaceId id : envelope.units[unit.index()].surfaces) {
            const Surface& surface = envelope.surfaces[id.index()];
            if (surface.kind != SurfaceKind::roof) continue;
            for (const Vec3& p : triangle_corners(model, surface)) top = std::max(top, p.z());
        }
    }
    return std::isfinite(top) ? top : otherwise;
}

/// The plan of a roof in the group's own axes (east, north), the plane it lies in, its sheets.
struct RoofPlan {
    PlanFrame frame;
    ConvexPolygon rectangle;

    Vec3 level_point(const Vec2& at) const { return frame.east * at.x() + frame.north * at.y(); }
    Vec2 in_plan(const Vec3& direction) const {
        return {direction.dot(frame.east), direction.dot(frame.north)};
    }
};

RoofPlan plan_of(const ShadeRoof& roof, const PlanFrame& frame) {
    const auto overhang = [&](PlanSide side) {
        return roof.overhang_m[static_cast<std::size_t>(side)];
    };
    const double west = frame.west_m - overhang(PlanSide::west);
    const double east = frame.east_m + overhang(PlanSide::east);
    const double south = frame.south_m - overhang(PlanSide::south);
    const double north = frame.north_m + overhang(PlanSide::north);
    return {frame, {{west, south}, {east, south}, {east, north}, {west, north}}};
}

std::vector<ConvexPolygon> slats_of(const ShadeRoof& roof, const RoofPlan& plan, double north_deg) {
    const Slats& slats = *roof.slats;
    const PlanFrame& frame = plan.frame;
    const bool east_longer = frame.east_m - frame.west_m >= frame.north_m - frame.south_m;
    Vec2 along = east_longer ? Vec2(1, 0) : Vec2(0, 1);
    if (slats.along_deg) {
        along = plan.in_plan(direction_in_model_axes(*slats.along_deg, 0, north_deg));
    }
    const Vec2 across(-along.y(), along.x());
    double low = std::numeric_limits<double>::infinity(), high = -low, reach = 0;
    for (const Vec2& corner : plan.rectangle) {
        low = std::min(low, corner.dot(across));
        high = std::max(high, corner.dot(across));
        reach = std::max(reach, corner.norm());
    }
    constexpr double rounding = 1e-9;
    const double pitch = slats.width_m + slats.gap_m;
    const double count = std::floor((high - low + slats.gap_m) / pitch + rounding);
    if (count < 1) {
        refuse(roof.place, roof.name, "slat_width_m",
               "slats no wider than the roof, " + number_text(high - low) + " m",
               number_text(slats.width_m));
    }
    if (count > static_cast<double>(most_slats)) {
        refuse(roof.place, roof.name, "slat_width_m",
               "slats so wide that no more than " + std::to_string(most_slats) + " cover the roof",
               number_text(count) + " slats");
    }
    const double first = low + (high - low - (count * pitch - slats.gap_m)) / 2;
    std::vector<ConvexPolygon> strips;
    for (std::size_t k = 0; k < static_cast<std::size_t>(count); ++k) {
        const double from = first + static_cast<double>(k) * pitch, to = from + slats.width_m;
        const Vec2 end = along * (2 * reach);
        const ConvexPolygon strip = intersection(
            plan.rectangle,
            {across * from - end, across * from + end, across * to + end, across * to - end});
        if (signed_area(strip) >= least_slat_area_m2) strips.push_back(without_idle_corners(strip));
    }
    return strips;
}

PrismBody build(const ShadeRoof& roof, const Model& model, const Envelope& envelope) {
    check(roof);
    const auto any = [](const Unit&) { return true; };
    std::vector<UnitId> units;
    for (const std::size_t i : matched(envelope.units, any, roof.over, roof.place, roof.name,
                                       "over", "patterns that match units")) {
        units.emplace_back(i);
    }
    const RoofPlan plan = plan_of(roof, frame_of_units(model, envelope, units));
    const Vec3 fall = direction_in_model_axes(roof.tilt_towards_deg, 0, envelope.north_deg);
    const double tilt = roof.tilt_deg * degree;
    double lowest_m = std::numeric_limits<double>::infinity();
    const auto drop_m = [&](const Vec2& at) {
        return -std::tan(tilt) * plan.level_point(at).dot(fall);
    };
    for (const Vec2& corner : plan.rectangle) lowest_m = std::min(lowest_m, drop_m(corner));
    const double base_m =
        highest_roof_m(model, envelope, units, plan.frame.top_m) + roof.height_m - lowest_m;
    const Vec3 across = (fall * std::sin(tilt) + Vec3(0, 0, std::cos(tilt))) * roof.thickness_m;

    PrismBody body{roof.name, {}};
    const auto sheets = roof.slats ? slats_of(roof, plan, envelope.north_deg)
                                   : std::vector<ConvexPolygon>{plan.rectangle};
    for (const ConvexPolygon& sheet : sheets) {
        Prism prism{{}, across};
        for (const Vec2& at : sheet) {
            prism.base_m.push_back(plan.level_point(at) + Vec3(0, 0, base_m + drop_m(at)));
        }
        body.prisms.push_back(std::move(prism));
    }
    return body;
}

Prism build(const Overhang& overhang, const WallFrame& wall) {
    const double tilt = overhang.tilt_deg * degree;
    const Vec3 up(0, 0, 1);
    const Vec3 out = wall.outward * std::cos(tilt) - up * std::sin(tilt);
    const Vec3 across =
        (wall.outward * std::sin(tilt) + up * std::cos(tilt)) * overhang.thickness_m;
    // A plate that rises leans its upper inner edge towards the wall.
    const double off = overhang.gap_m + std::max(0.0, -across.dot(wall.outward));
    const double half = overhang.width_m.value_or(wall.width_m()) / 2;
    const double above = overhang.height_m.value_or(wall.height_m());
    const Vec3 left = wall.point(overhang.offset_m - half, above, off);
    const Vec3 right = wall.point(overhang.offset_m + half, above, off);
    const Vec3 depth = out * overhang.depth_m;
    return {{left, left + depth, right + depth, right}, across};
}

Prism build(const Fin& fin, const WallFrame& wall) {
    const double half = fin.thickness_m / 2;
    const Vec3 left = wall.point(fin.offset_m - half, fin.foot_m, fin.gap_m);
    const Vec3 right = wall.point(fin.offset_m + half, fin.foot_m, fin.gap_m);
    const Vec3 depth = wall.outward * fin.depth_m;
    return {{left, left + depth, right + depth, right},
            Vec3(0, 0, fin.height_m.value_or(wall.height_m() - fin.foot_m))};
}

bool is_wall(const Surface& surface) {
    const bool kind = surface.kind == SurfaceKind::wall || surface.kind == SurfaceKind::pane;
    return kind && !surface.faces.empty() &&
           std::abs(surface.normal.z()) < std::sin(most_lean_deg * degree);
}

std::string depth_text(double depth_m) {
    std::ostringstream text;
    text.precision(3);
    text << depth_m << " m";
    return text.str();
}

/// A plate that shades nothing because its wall is covered, and one that hangs beside its wall.
void warn_of_idle_plate(const Surface& surface, const WallFrame& wall, const Prism& plate,
                        BuiltShades& built) {
    constexpr double least_open_share = 0.05, most_off_m = 0.3;
    const std::string& name = built.bodies.back().name;
    if (surface.exposed_area_m2 < least_open_share * surface.area_m2) {
        built.warnings.push_back({"shade-on-covered-wall",
                                  surface.id + ", which it hangs on, is covered by a neighbour: it "
                                               "shades nothing there",
                                  name});
    }
    const Vec3 middle = (plate.base_m.front() + plate.base_m.back()) / 2;
    const double off_m = wall.distance_m(middle);
    if (off_m <= most_off_m) return;
    built.warnings.push_back(
        {"shade-in-the-air",
         "it hangs " + depth_text(off_m) + " off " + surface.id + ", in the open air", name});
}

template <class Plate>
void build_on_walls(const Plate& plate, const Model& model, const Envelope& envelope,
                    BuiltShades& built) {
    std::vector<PrismBody>& bodies = built.bodies;
    check(plate);
    const auto walls = matched(envelope.surfaces, is_wall, plate.walls, plate.place, plate.name,
                               "walls", "patterns that match walls or panes in walls");
    for (std::size_t k = 0; k < walls.size(); ++k) {
        const WallFrame wall = frame_of_wall(model, envelope.surfaces[walls[k]]);
        const std::string number = walls.size() == 1 ? "" : "-" + std::to_string(k + 1);
        bodies.push_back({plate.name + number, {build(plate, wall)}});
        warn_of_idle_plate(envelope.surfaces[walls[k]], wall, bodies.back().prisms[0], built);
        if (bodies.back().prisms[0].sweep_m.z() <= 0) {
            refuse(plate.place, plate.name, "foot_m", "a foot below the top of the wall",
                   "one at or above it");
        }
    }
}

void check_names(const ShadeSettings& settings) {
    std::set<std::string> taken;
    const auto take = [&](const auto& list) {
        for (const auto& shade : list) {
            if (shade.name.empty()) refuse(shade.place, "", "name", "a name", "none");
            if (!taken.insert(shade.name).second) {
                refuse(shade.place, "", "name", "a name not used before",
                       "\"" + shade.name + "\" again");
            }
        }
    };
    take(settings.roofs);
    take(settings.overhangs);
    take(settings.fins);
}

void warn_of_clashes(const Model& model, const Envelope& envelope, BuiltShades& built) {
    std::vector<ClashUnit> units;
    for (std::size_t u = 0; u < envelope.units.size(); ++u) {
        units.push_back(clash_unit(model, envelope, UnitId(u)));
    }
    for (const PrismBody& body : built.bodies) {
        for (const ClashUnit& unit : units) {
            double depth = 0;
            for (const Prism& prism : body.prisms) {
                depth = std::max(depth, clash_depth_m(prism, unit));
            }
            if (depth <= shade_clash_m) continue;
            built.warnings.push_back({"shade-in-unit",
                                      "this shade runs " + depth_text(depth) + " into " +
                                          envelope.units[unit.id.index()].id,
                                      body.name});
        }
    }
}

}  // namespace

BuiltShades build_shades(const Model& model, const Envelope& envelope,
                         const ShadeSettings& settings) {
    BuiltShades built;
    check_names(settings);
    for (const ShadeRoof& roof : settings.roofs) {
        built.bodies.push_back(build(roof, model, envelope));
    }
    for (const Overhang& overhang : settings.overhangs) {
        build_on_walls(overhang, model, envelope, built);
    }
    for (const Fin& fin : settings.fins) build_on_walls(fin, model, envelope, built);
    if (!built.bodies.empty()) warn_of_clashes(model, envelope, built);
    return built;
}

BuiltShades add_shades(Model& model, std::vector<RoleChoice>& roles, const Envelope& envelope,
                       const ShadeSettings& settings) {
    NOONSHELL_CHECK_EQ(roles.size(), model.bodies.size());
    BuiltShades built = build_shades(model, envelope, settings);
    for (const BodyId id : append_bodies(model, built.bodies, std::string(added_shades_name))) {
        roles.push_back({Role::shade, false, "added by the site file", {}});
        NOONSHELL_CHECK_EQ(roles.size(), id.index() + 1);
    }
    return built;
}

}  // namespace noonshell
