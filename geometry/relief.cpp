#include "geometry/relief.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <iterator>
#include <limits>
#include <map>
#include <numbers>
#include <set>

#include "geometry/sides.hpp"

namespace noonshell {

namespace {

/// A side of its own needs this share of the largest side.
constexpr double least_side_share = 0.02;

/// The plane of a side is the outermost one that carries this share of it.
constexpr double plane_share = 0.05;
constexpr double same_plane_m = 1e-3;

/// Folded sheet has at least this many patches; fewer cost nothing to keep.
constexpr std::size_t least_folds = 6;

/// Faces turned farther from a side are not its relief: they lie behind its sheet [deg].
constexpr double most_relief_angle_deg = 105;

/// Faces smaller than this that stand out from every side are dropped [m2].
constexpr double least_standing_area_m2 = 0.02;

/// Cuts smaller than this are rounding [m2].
constexpr double least_cut_m2 = 1e-6;

/// Above this correlation of slope and place a side is curved, not folded.
constexpr double curved_correlation = 0.6;

/// Flat sides lean no farther in the mean from the direction that they were gathered by [deg].
constexpr double most_mean_lean_deg = 10;

/// A container takes some 1e5 looks at its patches; free forms in tens of thousands of triangles,
/// with thousands of directions, are no folded sheet and would take hours.
constexpr std::size_t most_looks = 20'000'000;

double cosine(double angle_deg) {
    return std::cos(angle_deg * std::numbers::pi / 180);
}

struct HeightRange {
    double low_m = std::numeric_limits<double>::infinity();
    double high_m = -std::numeric_limits<double>::infinity();
};

HeightRange heights_along(const Patch& patch, const Vec3& normal) {
    HeightRange range;
    for (const ConvexPolygon& polygon : patch.outline) {
        for (const Vec2& corner : polygon) {
            const double height = normal.dot(patch.frame.to_space(corner));
            range.low_m = std::min(range.low_m, height);
            range.high_m = std::max(range.high_m, height);
        }
    }
    return range;
}

/// One side while it is gathered.
struct FlatSide {
    Vec3 normal;
    double plane_m = 0;  ///< height of its plane along the normal
    std::vector<std::size_t> members;
    PlaneFrame frame;
    PlaneRegion outline;
    PlaneRegion reach;     ///< where faces of other directions count as its relief
    double joints_m2 = 0;  ///< of its outline that no face covers: open joints, taken as flat

    bool holds(const Patch& patch) const {
        const HeightRange range = heights_along(patch, normal);
        return range.low_m >= plane_m - relief_depth_m && range.high_m <= plane_m + relief_depth_m;
    }
};

struct Level {
    double height_m = 0;
    double area_m2 = 0;
};

/// Heights of parallel patches along a normal, the outermost first; nearly equal ones are one.
std::vector<Level> levels_of(const std::vector<Patch>& patches,
                             const std::vector<std::size_t>& candidates, const Vec3& normal) {
    std::vector<Level> all;
    for (const std::size_t p : candidates) {
        const double turned = patches[p].frame.normal.dot(normal);
        all.push_back({normal.dot(patches[p].centroid_m), patches[p].area_m2 * turned});
    }
    std::sort(all.begin(), all.end(), [](const Level& a, const Level& b) {
        return a.height_m != b.height_m ? a.height_m > b.height_m : a.area_m2 > b.area_m2;
    });
    std::vector<Level> levels;
    for (const Level& level : all) {
        if (!levels.empty() && levels.back().height_m - level.height_m < same_plane_m) {
            levels.back().area_m2 += level.area_m2;
        } else {
            levels.push_back(level);
        }
    }
    return levels;
}

struct Window {
    double plane_m = 0;
    double area_m2 = 0;
};

/// The band of `relief_depth_m` that holds most area, and the outermost plane in it that matters.
Window largest_window(const std::vector<Level>& levels) {
    Window best;
    std::size_t best_first = 0, best_end = 0;
    for (std::size_t first = 0, end = 0; first < levels.size(); ++first) {
        double area = 0;
        for (end = first;
             end < levels.size() && levels[end].height_m > levels[first].height_m - relief_depth_m;
             ++end) {
            area += levels[end].area_m2;
        }
        if (area > best.area_m2 * (1 + 1e-9)) {
            best.area_m2 = area;
            best_first = first;
            best_end = end;
        }
    }
    for (std::size_t k = best_first; k < best_end; ++k) {
        if (levels[k].area_m2 < plane_share * best.area_m2) continue;
        best.plane_m = levels[k].height_m;
        return best;
    }
    // No plane matters by itself (finely curved): the area's own mean height.
    double moment = 0;
    for (std::size_t k = best_first; k < best_end; ++k) {
        moment += levels[k].height_m * levels[k].area_m2;
    }
    best.plane_m = best.area_m2 > 0 ? moment / best.area_m2 : 0;
    return best;
}

/// How strongly the slope of the members goes along with their place, in either direction of the
/// plane: near 1 for a smooth curve, near 0 for folds.
double slope_trend(const std::vector<Patch>& patches, const FlatSide& side) {
    const Vec3 across = side.normal.unitOrthogonal();
    double strongest = 0;
    for (const Vec3& axis : {across, Vec3(side.normal.cross(across))}) {
        double w = 0, x = 0, n = 0, xx = 0, nn = 0, xn = 0;
        for (const std::size_t p : side.members) {
            const double a = patches[p].area_m2;
            const double place = patches[p].centroid_m.dot(axis);
            const double slope = patches[p].frame.normal.dot(axis);
            w += a;
            x += a * place;
            n += a * slope;
            xx += a * place * place;
            nn += a * slope * slope;
            xn += a * place * slope;
        }
        const double var_x = xx / w - x * x / (w * w), var_n = nn / w - n * n / (w * w);
        constexpr double least_slope = 0.03;  // flatter than two degrees is no curve worth keeping
        if (var_n < least_slope * least_slope || var_x <= 0) continue;
        strongest =
            std::max(strongest, std::abs(xn / w - x * n / (w * w)) / std::sqrt(var_x * var_n));
    }
    return strongest;
}

bool lie_in_one_plane(const std::vector<Patch>& patches, const FlatSide& side) {
    return std::all_of(side.members.begin(), side.members.end(), [&](std::size_t p) {
        const HeightRange range = heights_along(patches[p], side.normal);
        return range.high_m - range.low_m < same_plane_m &&
               std::abs(range.high_m - side.plane_m) < same_plane_m;
    });
}

class Flattener {
  public:
    Flattener(std::vector<Patch> patches, bool always)
        : patches_(std::move(patches)), always_(always), taken_(patches_.size(), false) {}

    Skin flatten() {
        for (const Direction& direction : leading_directions(patches_)) {
            if (n_looks_ > most_looks) break;  // the rest stays as it is
            gather(direction.normal);
        }
        for (FlatSide& side : sides_) draw_outline(side);
        take_relief_of_other_directions();
        for (FlatSide& side : sides_) emit(side);
        keep_what_stands_out();
        return std::move(skin_);
    }

  private:
    /// Takes side after side that faces along `normal`, the largest first.
    void gather(const Vec3& normal) {
        const double facing_cosine = cosine(side_angle_deg);
        const double profile_cosine = cosine(profile_angle_deg);
        while (n_looks_ <= most_looks) {
            n_looks_ += patches_.size();
            std::vector<std::size_t> facing;
            for (std::size_t p = 0; p < patches_.size(); ++p) {
                if (!taken_[p] && patches_[p].frame.normal.dot(normal) >= facing_cosine) {
                    facing.push_back(p);
                }
            }
            const Window window = largest_window(levels_of(patches_, facing, normal));
            if (window.area_m2 < std::max(least_side_area_m2, least_side_share * largest_m2_))
                return;
            FlatSide side{normal, window.plane_m, {}, {}, {}, {}, 0};
            for (std::size_t p = 0; p < patches_.size(); ++p) {
                const bool faces_it = patches_[p].frame.normal.dot(normal) >= profile_cosine;
                if (!taken_[p] && faces_it && side.holds(patches_[p])) side.members.push_back(p);
            }
            if (side.members.empty() || is_stray(side)) return;
            largest_m2_ = std::max(largest_m2_, window.area_m2);
            for (const std::size_t p : side.members) taken_[p] = true;
            if (is_relief(side)) {
                sides_.push_back(std::move(side));
            } else {
                for (const std::size_t p : side.members) kept_.push_back(p);
            }
        }
    }

    /// Parallel folds that reach out of the window leave one of them behind: it is no side of its
    /// own but relief of the side that it lies in.
    bool is_stray(const FlatSide& side) const {
        return always_ && side.members.size() == 1 &&
               patches_[side.members.front()].area_m2 < least_side_area_m2;
    }

    bool is_relief(const FlatSide& side) const {
        if (!always_ && (side.members.size() < least_folds || lie_in_one_plane(patches_, side))) {
            return false;
        }
        return !leans_as_one(side) && slope_trend(patches_, side) < curved_correlation;
    }

    /// Folds lean to and fro. What leans one way is a stretch of a curved side, left over beside
    /// those that were taken.
    bool leans_as_one(const FlatSide& side) const {
        Vec3 sum = Vec3::Zero();
        for (const std::size_t p : side.members)
            sum += patches_[p].area_m2 * patches_[p].frame.normal;
        return sum.normalized().dot(side.normal) < cosine(most_mean_lean_deg);
    }

    void draw_outline(FlatSide& side) {
        const Patch& largest = patches_[*std::max_element(
            side.members.begin(), side.members.end(), [&](std::size_t a, std::size_t b) {
                return patches_[a].area_m2 < patches_[b].area_m2 * (1 - 1e-9);
            })];
        const Vec3 along = largest.frame.u - largest.frame.u.dot(side.normal) * side.normal;
        side.frame.normal = side.normal;
        side.frame.u = along.norm() > 0.1 ? Vec3(along.normalized()) : side.normal.unitOrthogonal();
        side.frame.v = side.normal.cross(side.frame.u);
        side.frame.origin_m =
            largest.centroid_m + (side.plane_m - side.normal.dot(largest.centroid_m)) * side.normal;
        std::vector<ConvexPolygon> shadows;
        for (const std::size_t p : side.members) add_shadow(patches_[p], side.frame, shadows);
        const PlaneRegion covered = PlaneRegion::union_of(shadows);
        side.outline = covered.closed(closed_gap_m);
        side.joints_m2 = std::max(0.0, side.outline.area_m2() - covered.area_m2());
        side.reach = side.outline.filled().grown(relief_depth_m);
    }

    /// Webs of cross-members, ends of door gear: they face elsewhere and lie in a side's relief.
    void take_relief_of_other_directions() {
        for (std::size_t p = 0; p < patches_.size(); ++p) {
            if (taken_[p]) continue;
            for (FlatSide& side : sides_) {
                if (patches_[p].frame.normal.dot(side.normal) < cosine(most_relief_angle_deg)) {
                    continue;
                }
                if (!side.holds(patches_[p])) continue;
                if (!side.reach.contains(side.frame.to_plane(patches_[p].centroid_m))) continue;
                side.members.push_back(p);
                taken_[p] = true;
                break;
            }
        }
    }

    void emit(FlatSide& side) {
        if (side.members.size() == 1) {
            kept_.push_back(side.members.front());
            return;
        }
        Patch flat;
        const Patch& first = patches_[*std::max_element(
            side.members.begin(), side.members.end(), [&](std::size_t a, std::size_t b) {
                return patches_[a].area_m2 < patches_[b].area_m2 * (1 - 1e-9);
            })];
        flat.face = first.face;
        flat.body = first.body;
        flat.frame = side.frame;
        set_outline(flat, side.outline.convex_pieces());
        std::set<FaceId> faces;
        for (const std::size_t p : side.members) {
            faces.insert(patches_[p].stands_for.begin(), patches_[p].stands_for.end());
            flat.developed_area_m2 += patches_[p].developed_area_m2;
        }
        flat.developed_area_m2 += side.joints_m2 - doubled_m2(side);
        flat.stands_for.assign(faces.begin(), faces.end());
        skin_.patches.push_back(std::move(flat));
    }

    /// What faces that lie in one plane cover twice: stripes and signs drawn on a wall.
    double doubled_m2(const FlatSide& side) const {
        constexpr double parallel = 1 - 1e-6;
        std::vector<std::pair<double, std::size_t>> level;
        for (const std::size_t p : side.members) {
            const Patch& patch = patches_[p];
            if (patch.frame.normal.dot(side.normal) > parallel)
                level.emplace_back(side.frame.height_m(patch.centroid_m), p);
        }
        std::ranges::sort(level);
        double doubled = 0;
        for (std::size_t first = 0, end = 0; first < level.size(); first = end) {
            std::vector<ConvexPolygon> shadows;
            double area_m2 = 0;
            for (; end < level.size() && level[end].first - level[first].first < same_plane_m;
                 ++end) {
                add_shadow(patches_[level[end].second], side.frame, shadows);
                area_m2 += patches_[level[end].second].area_m2;
            }
            if (end - first < 2) continue;
            const double twice_m2 = area_m2 - PlaneRegion::union_of(shadows).area_m2();
            if (twice_m2 > least_cut_m2) doubled += twice_m2;
        }
        return doubled;
    }

    void keep_what_stands_out() {
        std::sort(kept_.begin(), kept_.end());
        for (std::size_t p = 0; p < patches_.size(); ++p) {
            const bool kept = std::binary_search(kept_.begin(), kept_.end(), p);
            if (taken_[p] && !kept) continue;
            if (!kept && !sides_.empty() && patches_[p].area_m2 < least_standing_area_m2) {
                skin_.dropped_area_m2 += patches_[p].area_m2;
                continue;
            }
            skin_.patches.push_back(std::move(patches_[p]));
        }
    }

    std::vector<Patch> patches_;
    bool always_;
    std::vector<bool> taken_;
    std::vector<FlatSide> sides_;
    std::vector<std::size_t> kept_;  ///< taken as a side that stays as it is
    double largest_m2_ = 0;
    std::size_t n_looks_ = 0;  ///< at patches, while sides were gathered
    Skin skin_;
};

void absorb(Skin& whole, Skin part) {
    std::move(part.patches.begin(), part.patches.end(), std::back_inserter(whole.patches));
    whole.openings.insert(whole.openings.end(), part.openings.begin(), part.openings.end());
    whole.dropped_area_m2 += part.dropped_area_m2;
}

}  // namespace

void add_shadow(const Patch& patch, const PlaneFrame& onto, std::vector<ConvexPolygon>& shadows) {
    for (const ConvexPolygon& polygon : patch.outline) {
        ConvexPolygon shadow;
        for (const Vec2& corner : polygon) {
            shadow.push_back(onto.to_plane(patch.frame.to_space(corner)));
        }
        shadows.push_back(std::move(shadow));
    }
}

PlaneRegion projected(const Patch& from, const PlaneFrame& onto) {
    std::vector<ConvexPolygon> shadows;
    add_shadow(from, onto, shadows);
    return PlaneRegion::union_of(shadows);
}

void cut_out(Patch& patch, const PlaneRegion& region) {
    const PlaneRegion whole = projected(patch, patch.frame);
    const PlaneRegion rest = whole.without(region);
    const double before = whole.area_m2(), after = rest.area_m2();
    if (before - after < least_cut_m2) return;
    set_outline(patch, rest.convex_pieces());
    patch.developed_area_m2 *= after / before;
}

Skin flatten_relief(std::vector<Patch> patches, bool always) {
    std::map<std::int32_t, std::vector<Patch>> by_tag;
    for (Patch& patch : patches) by_tag[patch.tag].push_back(std::move(patch));
    Skin whole;
    for (auto& [tag, of_tag] : by_tag) {
        Skin skin = Flattener(std::move(of_tag), always).flatten();
        for (Patch& apart : skin.patches) {
            apart.tag = tag;
            if (tag < 0) continue;
            // A flat side was drawn over the faces that are set apart only if it closed gaps there.
            for (Patch& side : whole.patches) {
                const double height = side.frame.height_m(apart.centroid_m);
                if (side.tag >= 0 || side.stands_for.size() < 2 ||
                    std::abs(height) > relief_depth_m ||
                    side.frame.normal.dot(apart.frame.normal) < cosine(side_angle_deg)) {
                    continue;
                }
                cut_out(side, projected(apart, side.frame));
            }
        }
        absorb(whole, std::move(skin));
    }
    return whole;
}

}  // namespace noonshell
