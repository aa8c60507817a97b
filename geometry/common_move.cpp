#include "geometry/common_move.hpp"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <iterator>
#include <map>

#include "geometry/angles.hpp"
#include "geometry/shape_tree.hpp"

namespace noonshell {

namespace {

/// Enough for the true move to be among them, few enough to count the bodies under each.
constexpr std::size_t most_shifts = 8;
constexpr std::size_t most_anchors = 600;
constexpr std::size_t most_headings = 8;
/// In models with more bodies than this the first move that enough bodies go along with is taken
/// and fewer shifts are tried.
constexpr std::size_t many_bodies = 600;

double wrapped_deg(double angle_deg) {
    const double wrapped = angle_deg - 360 * std::ceil((angle_deg - 180) / 360);
    // Free of the noise of its own computation, so that a right angle is one.
    return std::abs(wrapped - std::round(wrapped)) < 1e-7 ? std::round(wrapped) : wrapped;
}

double median(std::vector<double> values) {
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
}

/// Tries moves, the simplest first, and keeps the one under which most bodies coincide.
class MoveSearch {
  public:
    MoveSearch(const std::vector<PlacedShape>& old_shapes,
               const std::vector<PlacedShape>& new_shapes, const std::vector<IndexPair>& named)
        : old_(old_shapes),
          new_(new_shapes),
          named_(named),
          tree_(points_of(new_shapes)),
          partner_(old_shapes.size(), -1),
          taken_(new_shapes.size(), 0) {
        for (const auto& [o, n] : named) {
            partner_[o] = static_cast<std::int64_t>(n);
            taken_[n] = 1;
        }
    }

    CommonMove find() {
        if (old_.empty() || new_.empty()) return {};
        all_ = std::min(old_.size(), new_.size());
        const std::size_t still = best_count_ = count(best_, 0);
        enough_ =
            static_cast<std::size_t>(std::ceil(whole_model_share * static_cast<double>(all_)));
        if (done()) return {};
        std::vector<double> scales{1.0};
        if (const double scale = likely_scale(); scale != 1.0) scales.push_back(scale);
        for (const double scale : scales) {
            for (const bool mirrored : {false, true}) try_turns(scale, mirrored);
        }
        return best_count_ >= enough_ && best_count_ > still ? best_ : CommonMove{};
    }

  private:
    static std::vector<ShapePoint> points_of(const std::vector<PlacedShape>& shapes) {
        std::vector<ShapePoint> points;
        for (const PlacedShape& s : shapes) points.push_back(shape_point(s.centre_m, s.sizes_m));
        return points;
    }

    /// Whether no other move needs to be tried.
    bool done() const {
        return best_count_ == all_ || (old_.size() > many_bodies && best_count_ >= enough_);
    }

    /// How many bodies find one of their size in their place; fewer than `least` may be any number.
    std::size_t count(const CommonMove& move, std::size_t least) {
        std::size_t found = 0;
        for (std::size_t o = 0; o < old_.size(); ++o) {
            if (found + (old_.size() - o) < least) return found;
            const Vec3 centre = move.point(old_[o].centre_m);
            const Vec3 sizes = move.scale * old_[o].sizes_m;
            if (partner_[o] >= 0) {
                found += coincide(new_[static_cast<std::size_t>(partner_[o])], centre, sizes);
                continue;
            }
            for (const auto& [n, d2] :
                 tree_.within(shape_point(centre, sizes), same_place_m + 2 * same_size_m)) {
                if (taken_[n] != 0 || !coincide(new_[n], centre, sizes)) continue;
                ++found;
                break;
            }
        }
        return found;
    }

    static bool coincide(const PlacedShape& shape, const Vec3& centre_m, const Vec3& sizes_m) {
        return (shape.centre_m - centre_m).norm() < same_place_m &&
               (shape.sizes_m - sizes_m).cwiseAbs().maxCoeff() < same_size_m;
    }

    void consider(const CommonMove& move) {
        const std::size_t found = count(move, std::max(best_count_ + 1, enough_));
        if (found <= best_count_) return;
        best_ = move;
        best_count_ = found;
    }

    /// 1 unless the bodies are larger or smaller as one.
    double likely_scale() const {
        std::vector<double> ratios;
        for (const auto& [o, n] : named_) {
            if (old_[o].sizes_m.x() > 0)
                ratios.push_back(new_[n].sizes_m.x() / old_[o].sizes_m.x());
        }
        if (ratios.empty()) {
            std::vector<double> old_sizes, new_sizes;
            for (const PlacedShape& s : old_) old_sizes.push_back(s.sizes_m.x());
            for (const PlacedShape& s : new_) new_sizes.push_back(s.sizes_m.x());
            ratios.push_back(median(std::move(new_sizes)) / median(std::move(old_sizes)));
        }
        const double ratio = median(std::move(ratios));
        const bool usable = std::isfinite(ratio) && ratio > 0;
        return usable && std::abs(std::log(ratio)) > std::log(same_scale_ratio) ? ratio : 1.0;
    }

    void try_turns(double scale, bool mirrored) {
        std::vector<double> turns{0, 90, 180, -90};
        for (const double turn : named_turns(mirrored)) turns.push_back(turn);
        for (const double turn : heading_turns(scale, mirrored)) turns.push_back(turn);
        std::vector<double> tried;
        for (const double turn : turns) {
            if (done()) return;
            const auto near = [turn](double t) { return std::abs(t - turn) < 1e-9; };
            if (std::any_of(tried.begin(), tried.end(), near)) continue;
            tried.push_back(turn);
            try_shifts({scale, mirrored, turn, Vec3::Zero()});
        }
    }

    /// From the lines between bodies of the same name: each body and the one farthest from it.
    std::vector<double> named_turns(bool mirrored) const {
        std::vector<double> turns;
        const CommonMove plain{1, mirrored, 0, Vec3::Zero()};
        for (std::size_t i = 0; i < std::min(named_.size(), most_headings); ++i) {
            const auto& [o1, n1] =
                named_[i * named_.size() / std::min(named_.size(), most_headings)];
            Vec3 from = Vec3::Zero(), to = Vec3::Zero();
            for (const auto& [o2, n2] : named_) {
                const Vec3 line = plain.direction(old_[o2].centre_m - old_[o1].centre_m);
                if (line.head<2>().norm() <= from.head<2>().norm()) continue;
                from = line;
                to = new_[n2].centre_m - new_[n1].centre_m;
            }
            if (from.head<2>().norm() < same_place_m || to.head<2>().norm() < same_place_m)
                continue;
            turns.push_back(wrapped_deg(
                (std::atan2(to.y(), to.x()) - std::atan2(from.y(), from.x())) / degree));
        }
        return turns;
    }

    /// From the way the largest body of the old model and those of its size in the new one lie.
    std::vector<double> heading_turns(double scale, bool mirrored) const {
        const auto larger = [](const PlacedShape& a, const PlacedShape& b) {
            return a.sizes_m.prod() < b.sizes_m.prod();
        };
        const PlacedShape& largest = *std::max_element(old_.begin(), old_.end(), larger);
        std::vector<double> turns;
        for (const PlacedShape& shape : new_) {
            if (turns.size() >= 4 * most_headings) break;
            if ((shape.sizes_m - scale * largest.sizes_m).cwiseAbs().maxCoeff() > same_size_m) {
                continue;
            }
            const CommonMove plain{1, mirrored, 0, Vec3::Zero()};
            const double turn = shape.heading_deg - plain.heading_deg(largest.heading_deg);
            // A box looks the same after half a turn, a square one after a quarter.
            for (const double more : {0.0, 180.0, 90.0, -90.0})
                turns.push_back(wrapped_deg(turn + more));
        }
        return turns;
    }

    void try_shifts(CommonMove move) {
        for (const Vec3& shift : named_shifts(move)) {
            move.shift_m = shift;
            consider(move);
        }
        if (done()) return;
        for (const Vec3& shift : anchor_shifts(move)) {
            move.shift_m = shift;
            consider(move);
        }
    }

    /// The commonest offsets of bodies known by name, after the linear part of a move.
    std::vector<Vec3> named_shifts(const CommonMove& linear) const {
        std::map<std::array<std::int64_t, 3>, std::pair<std::size_t, Vec3>> cells;
        for (const auto& [o, n] : named_) {
            const Vec3 offset = tidy(new_[n].centre_m - linear.point(old_[o].centre_m));
            std::array<std::int64_t, 3> cell{};
            for (std::size_t k = 0; k < 3; ++k) {
                cell[k] = std::llround(offset[static_cast<Eigen::Index>(k)] / (2 * same_place_m));
            }
            ++cells.try_emplace(cell, 0, offset).first->second.first;
        }
        std::vector<std::pair<std::size_t, Vec3>> ordered;
        for (const auto& [cell, entry] : cells) ordered.push_back(entry);
        std::stable_sort(ordered.begin(), ordered.end(),
                         [](const auto& a, const auto& b) { return a.first > b.first; });
        std::vector<Vec3> shifts;
        for (std::size_t k = 0; k < std::min(ordered.size(), most_shifts); ++k) {
            shifts.push_back(ordered[k].second);
        }
        return shifts;
    }

    /// Where names say nothing: three old bodies onto each of their size, the shortest shift first.
    /// Other turns than none take only the corners of the site onto each other.
    std::vector<Vec3> anchor_shifts(const CommonMove& linear) const {
        std::vector<Vec3> from, to;
        for (const PlacedShape& s : old_) from.push_back(linear.point(s.centre_m));
        for (const PlacedShape& s : new_) to.push_back(s.centre_m);
        const auto before = [](const Vec3& a, const Vec3& b) {
            for (int k = 0; k < 3; ++k) {
                if (std::abs(a[k] - b[k]) > same_place_m) return a[k] < b[k];
            }
            return false;
        };
        std::vector<Vec3> shifts;
        const auto ends_from = std::minmax_element(from.begin(), from.end(), before);
        const auto ends_to = std::minmax_element(to.begin(), to.end(), before);
        shifts.push_back(tidy(*ends_to.first - *ends_from.first));
        shifts.push_back(tidy(*ends_to.second - *ends_from.second));
        if (linear.turn_deg != 0 || linear.mirrored) return shifts;
        // One of these bodies may be gone or moved by itself.
        for (const std::size_t anchor : {std::size_t{0}, old_.size() / 3, 2 * old_.size() / 3}) {
            for (std::size_t n = 0; n < to.size(); ++n) {
                const Vec3 sizes = linear.scale * old_[anchor].sizes_m;
                if ((new_[n].sizes_m - sizes).cwiseAbs().maxCoeff() > same_size_m) continue;
                shifts.push_back(tidy(to[n] - from[anchor]));
            }
        }
        std::stable_sort(shifts.begin(), shifts.end(),
                         [](const Vec3& a, const Vec3& b) { return a.norm() < b.norm(); });
        const auto same = [](const Vec3& a, const Vec3& b) {
            return (a - b).norm() < same_place_m;
        };
        shifts.erase(std::unique(shifts.begin(), shifts.end(), same), shifts.end());
        const std::size_t most = std::max<std::size_t>(
            16, most_anchors * many_bodies / std::max(many_bodies, old_.size()));
        if (shifts.size() > most) shifts.resize(most);
        return shifts;
    }

    /// Rounded to a thousandth of the tolerance, so that a move there and back is the same.
    static Vec3 tidy(const Vec3& shift_m) {
        return (shift_m / (1e-3 * same_place_m)).array().round().matrix() * (1e-3 * same_place_m);
    }

    const std::vector<PlacedShape>& old_;
    const std::vector<PlacedShape>& new_;
    const std::vector<IndexPair>& named_;
    ShapeTree tree_;
    std::vector<std::int64_t> partner_;
    std::vector<std::uint8_t> taken_;
    CommonMove best_;
    std::size_t best_count_ = 0;
    std::size_t all_ = 0;     ///< as many as can be found at best
    std::size_t enough_ = 0;  ///< for a move of the whole model
};

/// Factors between units of length that CAD files are drawn in.
struct MistakenUnit {
    double factor;
    const char* text;
};
constexpr std::array<MistakenUnit, 6> mistaken_units{{
    {1000, "millimetres taken for metres"},
    {25.4, "millimetres taken for inches"},
    {10, "millimetres taken for centimetres"},
    {100, "centimetres taken for metres"},
    {12, "inches taken for feet"},
    {304.8, "millimetres taken for feet"},
}};

std::string scale_text(double scale) {
    char text[80];
    const double factor = scale > 1 ? scale : 1 / scale;
    std::snprintf(text, sizeof text, "is %.4g times as %s", factor, scale > 1 ? "large" : "small");
    std::string all(text);
    for (const MistakenUnit& unit : mistaken_units) {
        if (std::abs(factor / unit.factor - 1) < 1e-3) {
            return all + " (in one of the files " + unit.text + "?)";
        }
    }
    return all + " (a unit of length mistaken in one of the files?)";
}

}  // namespace

Vec3 CommonMove::direction(const Vec3& old_direction) const {
    const Vec3 p(mirrored ? -old_direction.x() : old_direction.x(), old_direction.y(),
                 old_direction.z());
    // Right angles are exact.
    double c = std::cos(turn_deg * degree), s = std::sin(turn_deg * degree);
    if (std::fmod(turn_deg, 90.0) == 0) c = std::round(c), s = std::round(s);
    return {c * p.x() - s * p.y(), s * p.x() + c * p.y(), p.z()};
}

double CommonMove::heading_deg(double old_heading_deg) const {
    const double heading = (mirrored ? 180 - old_heading_deg : old_heading_deg) + turn_deg;
    return heading - 180 * std::floor(heading / 180);
}

CommonMove find_common_move(const std::vector<PlacedShape>& old_shapes,
                            const std::vector<PlacedShape>& new_shapes,
                            const std::vector<IndexPair>& named) {
    return MoveSearch(old_shapes, new_shapes, named).find();
}

std::string describe(const CommonMove& move) {
    std::vector<std::string> parts;
    char text[160];
    if (move.scale != 1) parts.push_back(scale_text(move.scale));
    if (move.mirrored) parts.emplace_back("was mirrored, left for right (x changes its sign)");
    if (move.turn_deg != 0) {
        std::snprintf(
            text, sizeof text,
            "was turned by %.2f degrees (counter-clockwise from above, about the vertical "
            "through the origin)",
            move.turn_deg);
        parts.emplace_back(text);
    }
    if (move.shift_m != Vec3::Zero()) {
        std::snprintf(text, sizeof text, "moved by (%.3f, %.3f, %.3f) m", move.shift_m.x(),
                      move.shift_m.y(), move.shift_m.z());
        parts.emplace_back(text);
    }
    std::string all;
    for (std::size_t k = 0; k < parts.size(); ++k) {
        all += (k == 0 ? "the whole model " : k + 1 == parts.size() ? " and " : ", ") + parts[k];
    }
    return all;
}

}  // namespace noonshell
