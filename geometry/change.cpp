#include "geometry/change.hpp"

#include <algorithm>
#include <cmath>

#include "geometry/angles.hpp"

namespace noonshell {

namespace {

/// The turn that brings one heading to another, in (-90, 90] but for a right angle, which keeps
/// the sign of the difference, so that it is undone by the way back.
double turn_between(const PlacedShape& before, const PlacedShape& after, const CommonMove& common) {
    if (before.round || after.round) return 0;
    double turn = after.heading_deg - common.heading_deg(before.heading_deg);
    const auto square = [](const PlacedShape& s) {
        return s.sizes_m.x() - s.sizes_m.y() < same_size_m;
    };
    const double period = square(before) || square(after) ? 90 : 180;
    if (std::abs(turn) > period / 2 + 1e-6) turn -= period * std::round(turn / period);
    return turn;
}

/// Whether a body grew or shrank at one of its sides in each direction, the other side where it
/// was: its centre moved by that alone.
bool only_grew(const PlacedShape& after, const Vec3& growth_m, const Vec3& moved_m) {
    const double heading = after.heading_deg * degree;
    const Vec3 along(std::cos(heading), std::sin(heading), 0), across(-along.y(), along.x(), 0);
    const Vec3 moved(moved_m.dot(along), moved_m.dot(across), moved_m.z());
    for (int k = 0; k < 3; ++k) {
        const double way_m = std::abs(moved[k]);
        if (way_m >= same_place_m && std::abs(way_m - std::abs(growth_m[k]) / 2) >= same_place_m)
            return false;
    }
    return true;
}

}  // namespace

Change change_of(const PlacedShape* before, const PlacedShape* after, const CommonMove& common) {
    Change change;
    if (before != nullptr) {
        change.old_sizes_m = before->sizes_m;
        change.old_area_m2 = before->area_m2;
        change.centre_m = before->centre_m;
    }
    if (after != nullptr) {
        change.new_sizes_m = after->sizes_m;
        change.new_area_m2 = after->area_m2;
        change.centre_m = after->centre_m;
    }
    if (before == nullptr || after == nullptr || before->empty || after->empty) return change;
    change.moved_m = after->centre_m - common.point(before->centre_m);
    change.turned_deg = turn_between(*before, *after, common);
    const Vec3 growth = after->sizes_m - common.scale * before->sizes_m;
    const double old_area = common.scale * common.scale * before->area_m2;
    change.resized = growth.cwiseAbs().maxCoeff() >= same_size_m ||
                     std::abs(after->area_m2 - old_area) > same_area_share * old_area;
    const bool turned = std::abs(change.turned_deg) >= same_turn_deg;
    change.moved = turned || change.moved_m.norm() >= same_place_m;
    if (change.moved && !turned && only_grew(*after, growth, change.moved_m)) change.moved = false;
    return change;
}

bool may_be_same(const PlacedShape& before, const PlacedShape& after, const CommonMove& common) {
    if (before.empty || after.empty) return false;
    const Vec3 old_sizes = common.scale * before.sizes_m;
    for (int k = 0; k < 3; ++k) {
        const double low = std::min(old_sizes[k], after.sizes_m[k]) + same_size_m;
        const double high = std::max(old_sizes[k], after.sizes_m[k]);
        if (high > renamed_size_ratio * low) return false;
    }
    const double apart = (common.point(before.centre_m) - after.centre_m).norm();
    return apart <= renamed_move_share * std::max(old_sizes.x(), after.sizes_m.x());
}

std::string_view without_number(std::string_view name) {
    const std::size_t last = name.find_last_not_of("0123456789");
    const bool numbered =
        last != std::string_view::npos && last > 0 && last + 1 < name.size() && name[last] == '-';
    return numbered ? name.substr(0, last) : name;
}

}  // namespace noonshell
