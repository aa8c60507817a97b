#include "solar/early_shade.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "solar/ray_scene.hpp"

namespace noonshell {

namespace {

constexpr double turn = 2 * std::numbers::pi;
/// Past this many obstacles the tests cost more than the rays they may save.
constexpr std::size_t most_obstacles = 48;

std::uint32_t sector_of(double azimuth_rad) {
    const double n = EarlyShade::sectors;
    const double sector = std::floor(azimuth_rad / turn * n);
    return static_cast<std::uint32_t>(
               static_cast<std::int64_t>(sector - n * std::floor(sector / n))) %
           EarlyShade::sectors;
}

struct Bounds {
    Vec3 low = Vec3::Constant(std::numeric_limits<double>::infinity());
    Vec3 high = Vec3::Constant(-std::numeric_limits<double>::infinity());

    void include(const Vec3& p) {
        low = low.cwiseMin(p);
        high = high.cwiseMax(p);
    }
    bool empty() const { return low.x() > high.x(); }
};

/// Bounds of what lies in front of a plane.
Bounds in_front(std::span<const std::array<Vec3, 3>> triangles, const Vec3& normal,
                double offset_m) {
    Bounds bounds;
    for (const auto& triangle : triangles) {
        for (std::size_t k = 0; k < 3; ++k) {
            const Vec3 &a = triangle[k], &b = triangle[(k + 1) % 3];
            const double height_a = normal.dot(a) - offset_m, height_b = normal.dot(b) - offset_m;
            if (height_a > 0) bounds.include(a);
            if ((height_a > 0) != (height_b > 0)) {
                bounds.include(a + height_a / (height_a - height_b) * (b - a));
            }
        }
    }
    return bounds;
}

/// Upper bound of rise over run to any point of a box; infinite above the zero point.
float steepest_slope(const Vec3& low, const Vec3& high) {
    const Eigen::Vector2d nearest =
        low.head<2>().cwiseMax(Eigen::Vector2d::Zero()).cwiseMax(-high.head<2>());
    constexpr double rounding = 1 + 1e-6;
    return static_cast<float>(rounding * high.z() / std::max(1e-30, nearest.norm()));
}

}  // namespace

SunVector sun_vector(const Vec3& direction) {
    constexpr float least = 1e-20F;
    SunVector sun;
    for (std::size_t axis = 0; axis < 3; ++axis) {
        const auto d = static_cast<float>(direction[static_cast<int>(axis)]);
        sun.direction[axis] = d;
        sun.inverse[axis] = 1.0F / (std::abs(d) < least ? std::copysign(least, d) : d);
    }
    sun.slope = static_cast<float>(direction.z() / std::max(1e-20, direction.head<2>().norm()));
    sun.sector = sector_of(std::atan2(direction.y(), direction.x()));
    return sun;
}

void EarlyShade::set_group(std::span<const Vec3> points_m, const Vec3& normal) {
    points_m_.assign(points_m.begin(), points_m.end());
    const std::size_t padded = (points_m.size() + clip_width - 1) / clip_width * clip_width;
    ways_.sure_m.assign(padded, 0.0F);
    ways_.perhaps_m.assign(padded, 0.0F);
    obstacles_.clear();
    planes_.clear();
    heights_m_.clear();
    for (auto& list : by_sector_) list.clear();
    Bounds box;
    double plane_m = std::numeric_limits<double>::infinity();
    for (const Vec3& p : points_m) {
        box.include(p);
        plane_m = std::min(plane_m, normal.dot(p));
    }
    low_ = box.low;
    high_ = box.high;
    plane_m -= 0.5 * ray_offset_m;  // rays start above this and only climb
    for (std::uint32_t i = 0; i < casters_->parts().size(); ++i) {
        const auto& part = casters_->parts()[i];
        const Vec3 furthest = (normal.array() > 0).select(part.high, part.low);
        const Vec3 nearest = (normal.array() > 0).select(part.low, part.high);
        const bool below = part.high.z() + casters_->margin_m() < low_.z();
        if (below || normal.dot(furthest) <= plane_m) continue;
        if (normal.dot(nearest) > plane_m) {
            add_obstacle(i, part.low, part.high);
            continue;
        }
        const Bounds bounds = in_front(casters_->triangles_of(part), normal, plane_m);
        if (!bounds.empty()) add_obstacle(i, bounds.low, bounds.high);
    }
    for (auto& list : by_sector_) {
        std::stable_sort(list.begin(), list.end(), [&](std::uint32_t a, std::uint32_t b) {
            return obstacles_[a].steepest > obstacles_[b].steepest;
        });
    }
}

void EarlyShade::add_obstacle(std::uint32_t part, const Vec3& low, const Vec3& high) {
    const Vec3 margin = Vec3::Constant(casters_->margin_m());
    const Vec3 from = low - high_ - margin, to = high - low_ + margin;
    if (to.z() < 0) return;
    Obstacle obstacle;
    for (std::size_t axis = 0; axis < 3; ++axis) {
        obstacle.low[axis] = static_cast<float>(from[static_cast<int>(axis)]);
        obstacle.high[axis] = static_cast<float>(to[static_cast<int>(axis)]);
    }
    obstacle.steepest = steepest_slope(from, to);
    obstacle.part = part;
    obstacle.convex = !casters_->planes_of(casters_->parts()[part]).empty();
    obstacles_.push_back(obstacle);
    add_to_sectors(obstacle);
}

void EarlyShade::measure_planes(Obstacle& obstacle) {
    obstacle.planes_begin = static_cast<std::uint32_t>(planes_.size());
    for (const auto& plane : casters_->planes_of(casters_->parts()[obstacle.part])) {
        const Eigen::Vector3f n = plane.normal.cast<float>();
        Plane own{.normal = {n.x(), n.y(), n.z()}, .heights_begin = heights_m_.size()};
        for (const Vec3& p : points_m_) {
            heights_m_.push_back(static_cast<float>(plane.normal.dot(p) - plane.offset_m));
        }
        const auto [lowest, highest] = std::minmax_element(
            heights_m_.begin() + static_cast<std::ptrdiff_t>(own.heights_begin), heights_m_.end());
        own.lowest_m = *lowest;
        own.highest_m = *highest;
        const float last = heights_m_.back();
        heights_m_.resize(own.heights_begin + ways_.sure_m.size(), last);
        planes_.push_back(own);
    }
    obstacle.planes_end = static_cast<std::uint32_t>(planes_.size());
}

void EarlyShade::add_to_sectors(const Obstacle& obstacle) {
    const auto index = static_cast<std::uint32_t>(obstacles_.size() - 1);
    const double x0 = static_cast<double>(obstacle.low[0]),
                 x1 = static_cast<double>(obstacle.high[0]);
    const double y0 = static_cast<double>(obstacle.low[1]),
                 y1 = static_cast<double>(obstacle.high[1]);
    if (x0 <= 0 && x1 >= 0 && y0 <= 0 && y1 >= 0) {
        for (auto& list : by_sector_) list.push_back(index);
        return;
    }
    const double middle = std::atan2(0.5 * (y0 + y1), 0.5 * (x0 + x1));
    double least = 0, most = 0;
    for (const double x : {x0, x1}) {
        for (const double y : {y0, y1}) {
            const double apart = std::remainder(std::atan2(y, x) - middle, turn);
            least = std::min(least, apart);
            most = std::max(most, apart);
        }
    }
    constexpr double rounding = 1e-6;
    const std::uint32_t first = sector_of(middle + least - rounding);
    const std::uint32_t last = sector_of(middle + most + rounding);
    for (std::uint32_t s = first;; s = (s + 1) % sectors) {
        by_sector_[s].push_back(index);
        if (s == last) break;
    }
}

bool EarlyShade::touches(const Obstacle& obstacle, const SunVector& sun) {
    float enter = 0, leave = std::numeric_limits<float>::max();
    for (std::size_t axis = 0; axis < 3; ++axis) {
        const float a = obstacle.low[axis] * sun.inverse[axis];
        const float b = obstacle.high[axis] * sun.inverse[axis];
        enter = std::max(enter, std::min(a, b));
        leave = std::min(leave, std::max(a, b));
    }
    return enter <= leave;
}

/// Sorts the planes of a body into those that the rays enter and leave through, and bounds the ways
/// of all rays through the body by the lowest and highest point above each plane: the same sums as
/// in clip_rays, which grow with the height, so that they bound its sums to the last bit. `unsure`
/// when a ray runs so nearly along a plane that nothing can be said.
EarlyShade::BodyShade EarlyShade::sort_planes(const Obstacle& obstacle, const SunVector& sun) {
    constexpr float parallel = 1e-6F;
    constexpr float far = std::numeric_limits<float>::max();
    const auto margin = static_cast<float>(casters_->margin_m());
    entering_.clear();
    leaving_.clear();
    float first_enter = 0, last_enter = 0, first_leave = far, last_leave = far;
    for (std::uint32_t i = obstacle.planes_begin; i < obstacle.planes_end; ++i) {
        const Plane& plane = planes_[i];
        const float speed = plane.normal[0] * sun.direction[0] +
                            plane.normal[1] * sun.direction[1] + plane.normal[2] * sun.direction[2];
        if (std::abs(speed) < parallel) return BodyShade::unsure;
        const float per_speed = -1.0F / speed;
        const ClipPlane clip{heights_m_.data() + plane.heights_begin, per_speed,
                             margin * std::abs(per_speed)};
        if (speed > 0) {
            leaving_.push_back(clip);
            first_leave = std::min(first_leave, plane.highest_m * per_speed - clip.slack_m);
            last_leave = std::min(last_leave, plane.lowest_m * per_speed + clip.slack_m);
        } else if (plane.highest_m >= -margin) {  // else entered behind all points
            entering_.push_back(clip);
            first_enter = std::max(first_enter, plane.lowest_m * per_speed - clip.slack_m);
            last_enter = std::max(last_enter, plane.highest_m * per_speed + clip.slack_m);
        }
    }
    if (last_leave < first_enter) return BodyShade::none;
    return first_leave > last_enter ? BodyShade::all : BodyShade::some;
}

GroupLight EarlyShade::answer(const SunVector& sun, std::uint8_t* blocked) {
    bool touched = false;
    std::size_t tested = 0;
    ClipVerdict verdict;
    for (const std::uint32_t index : by_sector_[sun.sector]) {
        Obstacle& obstacle = obstacles_[index];
        if (obstacle.steepest < sun.slope) break;
        if (++tested > most_obstacles) return GroupLight::open;
        if (!touches(obstacle, sun)) continue;
        if (!obstacle.convex) return GroupLight::open;
        if (obstacle.planes_begin == obstacle.planes_end) measure_planes(obstacle);
        const BodyShade shade = sort_planes(obstacle, sun);
        if (shade == BodyShade::unsure) return GroupLight::open;
        if (shade == BodyShade::none) continue;
        if (shade == BodyShade::all) return GroupLight::dark;
        verdict = clip_rays(entering_, leaving_, !touched, ways_);
        if (verdict.all_sure) return GroupLight::dark;
        touched = true;
    }
    if (!verdict.any_perhaps) return GroupLight::lit;
    if (verdict.any_doubt) return GroupLight::open;
    write_blocked(ways_, points_m_.size(), blocked);
    return GroupLight::each;
}

}  // namespace noonshell
