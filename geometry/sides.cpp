#include "geometry/sides.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <map>
#include <optional>
#include <tuple>

#include "geometry/angles.hpp"
#include "geometry/compass.hpp"
#include "geometry/eaves.hpp"
#include "geometry/relief.hpp"

namespace noonshell {

namespace {

/// Horizontal parts of a unit normal below this count as level: 0.006 degrees of slope.
constexpr double flat_roof_sine = 1e-4;

/// Patches that lean every way, as at the top of a dome, make a level side: what is left of their
/// level parts when they are added up is rounding of the triangles, below this share.
constexpr double even_lean_share = 0.05;

/// Patches whose normals differ by less than this are counted as one direction when the leading
/// directions of a body are sought [deg].
constexpr double same_direction_deg = 1.0;

constexpr double up_tilt_deg = 60.0;
constexpr double down_tilt_deg = 120.0;

bool within(const Vec3& a, const Vec3& b, double angle_deg) {
    return a.dot(b) >= std::cos(angle_deg * degree) - 1e-9;
}

/// A side while it is being gathered.
struct Seed {
    Vec3 normal;         ///< of its leading direction
    double outermost_m;  ///< of the whole body along that normal
    std::vector<std::uint32_t> patches;

    double depth_m(const Patch& patch) const { return outermost_m - normal.dot(patch.centroid_m); }
};

double outermost_along(std::span<const Patch> patches, const Vec3& normal) {
    double outermost = -std::numeric_limits<double>::infinity();
    for (const Patch& patch : patches) {
        for (const ConvexPolygon& polygon : patch.outline) {
            for (const Vec2& corner : polygon) {
                outermost = std::max(outermost, normal.dot(patch.frame.to_space(corner)));
            }
        }
    }
    return outermost;
}

/// The seed whose outer plane the patch lies just under, as the slopes of profiled sheet do.
Seed* seed_by_profile(std::vector<Seed>& seeds, const Patch& patch) {
    Seed* nearest = nullptr;
    for (Seed& seed : seeds) {
        const double depth = seed.depth_m(patch);
        if (depth > profile_depth_m || !within(seed.normal, patch.frame.normal, profile_angle_deg))
            continue;
        if (!nearest || depth < nearest->depth_m(patch)) nearest = &seed;
    }
    return nearest;
}

Seed* seed_by_normal(std::vector<Seed>& seeds, const Patch& patch) {
    Seed* nearest = nullptr;
    for (Seed& seed : seeds) {
        if (!within(seed.normal, patch.frame.normal, side_angle_deg)) continue;
        if (!nearest ||
            seed.normal.dot(patch.frame.normal) > nearest->normal.dot(patch.frame.normal) + 1e-9)
            nearest = &seed;
    }
    return nearest;
}

/// Fewer than `least_folds` patches that face one way are no folds of a profile.
std::vector<Seed> gather(std::span<const Patch> patches, std::size_t least_folds) {
    std::vector<Seed> seeds;
    for (const Direction& direction : leading_directions(patches)) {
        std::vector<std::uint32_t> unplaced;
        for (const std::uint32_t p : direction.patches) {
            Seed* seed = direction.patches.size() >= least_folds
                             ? seed_by_profile(seeds, patches[p])
                             : nullptr;
            if (!seed) seed = seed_by_normal(seeds, patches[p]);
            if (seed)
                seed->patches.push_back(p);
            else
                unplaced.push_back(p);
        }
        if (!unplaced.empty()) {
            seeds.push_back({direction.normal, outermost_along(patches, direction.normal),
                             std::move(unplaced)});
        }
    }
    return seeds;
}

/// A side as far as reveals may lie in it: its plane and how far its patches reach there.
struct SideReach {
    PlaneFrame frame;
    Vec2 low = Vec2::Constant(std::numeric_limits<double>::infinity());
    Vec2 high = Vec2::Constant(-std::numeric_limits<double>::infinity());
    std::vector<double> planes_m;  ///< of its largest patches, along the normal

    SideReach(const Seed& seed, std::span<const Patch> patches) {
        frame.normal = seed.normal;
        frame.u = seed.normal.unitOrthogonal();
        frame.v = frame.normal.cross(frame.u);
        double largest_m2 = least_side_area_m2;
        for (const std::uint32_t p : seed.patches)
            largest_m2 = std::max(largest_m2, patches[p].area_m2);
        for (const std::uint32_t p : seed.patches) {
            // The backs of other niches are no planes of the side.
            if (patches[p].area_m2 < largest_m2 / 2) continue;
            planes_m.push_back(frame.height_m(patches[p].centroid_m));
            for (const ConvexPolygon& polygon : patches[p].outline) {
                for (const Vec2& corner : polygon) {
                    const Vec2 at = frame.to_plane(patches[p].frame.to_space(corner));
                    low = low.cwiseMin(at);
                    high = high.cwiseMax(at);
                }
            }
        }
    }

    /// Whether the patch stands square to the side, in it and no deeper than relief: the sill of a
    /// niche, the edge of a frame. What lies along the border is an edge of the body.
    bool holds(const Patch& patch) const {
        constexpr double off_border_m = 0.02;
        if (std::abs(frame.normal.dot(patch.frame.normal)) > std::cos(profile_angle_deg * degree))
            return false;
        const Vec2 at = frame.to_plane(patch.centroid_m);
        if (((at - low).array() < off_border_m).any() || ((high - at).array() < off_border_m).any())
            return false;
        double lowest = std::numeric_limits<double>::infinity(), highest = -lowest;
        for (const ConvexPolygon& polygon : patch.outline) {
            for (const Vec2& corner : polygon) {
                const double height = frame.height_m(patch.frame.to_space(corner));
                lowest = std::min(lowest, height);
                highest = std::max(highest, height);
            }
        }
        return std::ranges::any_of(planes_m, [&](double plane_m) {
            constexpr double slack_m = 1e-6;
            return lowest >= plane_m - relief_depth_m - slack_m &&
                   highest <= plane_m + relief_depth_m + slack_m;
        });
    }
};

/// Sills and jambs of niches go to the side that they lie in, not to the one that they face.
void place_reveals(std::span<const Patch> patches, std::vector<Seed>& seeds) {
    std::vector<SideReach> reaches;
    for (const Seed& seed : seeds) reaches.emplace_back(seed, patches);
    std::vector<std::vector<std::uint32_t>> added(seeds.size());
    for (std::size_t s = 0; s < seeds.size(); ++s) {
        std::erase_if(seeds[s].patches, [&](std::uint32_t p) {
            if (seeds[s].depth_m(patches[p]) <= relief_depth_m)
                return false;  // its own side's skin
            for (std::size_t t = 0; t < seeds.size(); ++t) {
                if (t == s || !reaches[t].holds(patches[p])) continue;
                added[t].push_back(p);
                return true;
            }
            return false;
        });
    }
    for (std::size_t s = 0; s < seeds.size(); ++s)
        seeds[s].patches.insert(seeds[s].patches.end(), added[s].begin(), added[s].end());
    std::erase_if(seeds, [](const Seed& seed) { return seed.patches.empty(); });
}

bool is_level(const Side& side) {
    return std::hypot(side.normal.x(), side.normal.y()) < flat_roof_sine;
}

/// The side of those patches, without a name.
Side plain_side(std::vector<std::uint32_t> of, std::span<const Patch> patches, double north_deg) {
    Side side;
    side.patches = std::move(of);
    std::sort(side.patches.begin(), side.patches.end());
    Vec3 area_vector = Vec3::Zero();
    double leaning_m2 = 0;
    for (const std::uint32_t p : side.patches) {
        const Vec3& normal = patches[p].frame.normal;
        side.area_m2 += patches[p].area_m2;
        area_vector += patches[p].area_m2 * normal;
        leaning_m2 += patches[p].area_m2 * std::hypot(normal.x(), normal.y());
    }
    if (std::hypot(area_vector.x(), area_vector.y()) < even_lean_share * leaning_m2)
        area_vector = Vec3(0, 0, area_vector.z());
    side.normal = area_vector.normalized();
    side.tilt_deg = tilt_of_deg(side.normal);
    side.azimuth_deg = is_level(side) ? 0.0 : compass_azimuth_deg(side.normal, north_deg);
    return side;
}

std::vector<Side> plain_sides(std::span<const Patch> patches, double north_deg,
                              bool with_reveals = false, std::size_t least_folds = 1) {
    std::vector<Side> sides;
    std::vector<Seed> seeds = gather(patches, least_folds);
    if (with_reveals) place_reveals(patches, seeds);
    for (Seed& seed : seeds)
        sides.push_back(plain_side(std::move(seed.patches), patches, north_deg));
    return sides;
}

double lowest_z(std::span<const Patch> patches, const Side& side) {
    double lowest = std::numeric_limits<double>::infinity();
    for (const std::uint32_t p : side.patches) {
        lowest = std::min(lowest, patches[p].centroid_m.z());
    }
    return lowest;
}

std::string with_compass(std::string_view stem, const Side& side) {
    std::string name(stem);
    if (!is_level(side)) name += "-" + std::string(compass_point(side.azimuth_deg));
    return name;
}

bool faces_up(const Side& side) {
    return side.tilt_deg < up_tilt_deg;
}
bool faces_down(const Side& side) {
    return side.tilt_deg > down_tilt_deg;
}

/// Eaves become sides of their own at the end; returns where they begin.
std::size_t part_eaves(std::span<const Patch> patches, double north_deg, std::vector<Side>& sides) {
    const std::vector<bool> eaves = under_eaves(patches);
    std::vector<Side> rest, apart;
    for (Side& side : sides) {
        if (!faces_down(side)) {  // what lies in a wall is the head of a niche
            rest.push_back(std::move(side));
            continue;
        }
        const auto of_eaves = std::stable_partition(side.patches.begin(), side.patches.end(),
                                                    [&](std::uint32_t p) { return !eaves[p]; });
        if (of_eaves == side.patches.end()) {
            rest.push_back(std::move(side));
            continue;
        }
        apart.push_back(plain_side({of_eaves, side.patches.end()}, patches, north_deg));
        side.patches.erase(of_eaves, side.patches.end());
        if (!side.patches.empty())
            rest.push_back(plain_side(std::move(side.patches), patches, north_deg));
    }
    sides = std::move(rest);
    const std::size_t first = sides.size();
    sides.insert(sides.end(), apart.begin(), apart.end());
    return first;
}

void number_repeats(std::vector<Side>& sides) {
    std::map<std::string, int> seen;
    for (Side& side : sides) {
        const int count = ++seen[side.name];
        if (count > 1) side.name += "-" + std::to_string(count);
    }
}

/// Puts sides in order: by rank, then azimuth, then first patch; numbers repeated names.
void order_and_number(std::vector<Side>& sides,
                      const std::map<std::string_view, int>& rank_of_stem) {
    const auto key = [&](const Side& side) {
        const std::string_view name = side.name;
        return std::tuple(rank_of_stem.at(name.substr(0, name.find('-'))), side.azimuth_deg,
                          side.patches.front());
    };
    std::sort(sides.begin(), sides.end(),
              [&](const Side& a, const Side& b) { return key(a) < key(b); });
    number_repeats(sides);
}

/// The two large sides of a plate, as indices; the second is missing for a sheet seen from one
/// side.
struct PlateSides {
    std::size_t first = 0;
    std::optional<std::size_t> second;
};

PlateSides large_sides(const std::vector<Side>& sides) {
    PlateSides large;
    // Level sides win over upright ones of the same size: a cube lies.
    const auto weight = [](const Side& side) {
        const bool upright = !faces_up(side) && !faces_down(side);
        return side.area_m2 * (upright ? 1.0 : 1.0001);
    };
    for (std::size_t s = 1; s < sides.size(); ++s) {
        if (weight(sides[s]) > weight(sides[large.first]) * (1 + 1e-9)) large.first = s;
    }
    for (std::size_t s = 0; s < sides.size(); ++s) {
        const double turned = sides[s].normal.dot(sides[large.first].normal);
        if (turned > -std::cos(side_angle_deg * degree)) continue;
        if (!large.second || sides[s].area_m2 > sides[*large.second].area_m2 * (1 + 1e-9))
            large.second = s;
    }
    return large;
}

std::string shade_side_name(const Side& side, bool is_large, bool upright_plate) {
    if (upright_plate) {
        if (is_large) return with_compass("side", side);
        if (faces_up(side)) return "top";
        return faces_down(side) ? "underside" : with_compass("edge", side);
    }
    if (is_large) return side.tilt_deg <= 90 ? "top" : "underside";
    return with_compass("edge", side);
}

}  // namespace

std::vector<Direction> leading_directions(std::span<const Patch> patches) {
    std::vector<Direction> directions;
    for (std::uint32_t p = 0; p < patches.size(); ++p) {
        const Vec3& normal = patches[p].frame.normal;
        auto found = std::find_if(directions.begin(), directions.end(), [&](const Direction& d) {
            return within(d.normal, normal, same_direction_deg);
        });
        if (found == directions.end()) found = directions.insert(found, {normal, 0, {}});
        found->area_m2 += patches[p].area_m2;
        found->patches.push_back(p);
    }
    // Whole square millimetres, so that rounding cannot swap faces of equal size.
    std::stable_sort(directions.begin(), directions.end(),
                     [](const Direction& a, const Direction& b) {
                         return std::llround(a.area_m2 * 1e6) > std::llround(b.area_m2 * 1e6);
                     });
    return directions;
}

double tilt_of_deg(const Vec3& normal) {
    return std::atan2(std::hypot(normal.x(), normal.y()), normal.z()) / degree;
}

SurfaceKind unit_kind(const Side& side) {
    if (faces_up(side)) return SurfaceKind::roof;
    return faces_down(side) ? SurfaceKind::soffit : SurfaceKind::wall;
}

std::vector<Side> unit_sides(std::span<const Patch> patches, double north_deg) {
    std::vector<Side> sides = plain_sides(patches, north_deg, true);
    const std::size_t first_eaves = part_eaves(patches, north_deg, sides);
    std::optional<std::size_t> floor;
    std::size_t n_roofs = 0, n_down = 0;
    for (std::size_t s = 0; s < sides.size(); ++s) {
        n_roofs += faces_up(sides[s]) ? 1 : 0;
        if (!faces_down(sides[s])) continue;
        ++n_down;
        if (s >= first_eaves) continue;
        if (!floor || lowest_z(patches, sides[s]) < lowest_z(patches, sides[*floor]) - 1e-6)
            floor = s;
    }
    for (std::size_t s = 0; s < sides.size(); ++s) {
        Side& side = sides[s];
        if (faces_up(side)) {
            side.kind = SurfaceKind::roof;
            side.name = n_roofs > 1 ? with_compass("roof", side) : "roof";
        } else if (floor == s) {
            side.kind = SurfaceKind::floor;
            side.name = "floor";
        } else if (faces_down(side)) {
            side.kind = SurfaceKind::soffit;
            side.name = n_down > 2 ? with_compass("soffit", side) : "soffit";
        } else {
            side.kind = SurfaceKind::wall;
            side.name = with_compass("wall", side);
        }
    }
    order_and_number(sides, {{"roof", 0}, {"wall", 1}, {"soffit", 2}, {"floor", 3}});
    return sides;
}

bool is_reveal(const Patch& patch, const Side& side) {
    return std::abs(side.normal.dot(patch.frame.normal)) < std::cos(profile_angle_deg * degree);
}

std::vector<Side> named_sides(std::span<const Patch> patches, double north_deg,
                              const std::string& name, SurfaceKind kind) {
    std::vector<Side> sides = plain_sides(patches, north_deg);
    for (Side& side : sides) {
        side.kind = kind;
        side.name = sides.size() > 1 ? with_compass(name, side) : name;
    }
    number_repeats(sides);
    return sides;
}

Side from_behind(const Side& front, std::span<const Patch> patches,
                 std::vector<std::uint32_t> backs, double north_deg) {
    Side back = plain_side(std::move(backs), patches, north_deg);
    back.kind = front.kind;
    const std::string stem = front.name.substr(0, front.name.find('-'));
    if (stem == "top")
        back.name = "underside";
    else if (stem == "underside")
        back.name = "top";
    else
        back.name = with_compass(stem, back);
    return back;
}

std::vector<Side> shade_sides(std::span<const Patch> patches, double north_deg) {
    constexpr std::size_t folds_of_sheet = 3;  // the fascia of a sloping plate is an edge
    std::vector<Side> sides = plain_sides(patches, north_deg, false, folds_of_sheet);
    if (sides.empty()) return sides;
    const PlateSides large = large_sides(sides);
    const bool upright = !faces_up(sides[large.first]) && !faces_down(sides[large.first]);
    for (std::size_t s = 0; s < sides.size(); ++s) {
        sides[s].kind = SurfaceKind::shade;
        sides[s].name = shade_side_name(sides[s], s == large.first || large.second == s, upright);
    }
    order_and_number(sides, {{"top", 0}, {"side", 1}, {"edge", 2}, {"underside", 3}});
    return sides;
}

}  // namespace noonshell
