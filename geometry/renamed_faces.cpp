#include "geometry/renamed_faces.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <string>
#include <string_view>
#include <tuple>

#include "geometry/placed_shape.hpp"

namespace noonshell {

namespace {

struct PlacedFace {
    Vec3 centre_m{0, 0, 0};
    Vec3 normal{0, 0, 0};  ///< mean by area; zero for closed curved faces
    double area_m2 = 0;
};

PlacedFace placed_face(const Model& model, std::uint32_t id) {
    const Face& face = model.faces[id];
    PlacedFace placed;
    Vec3 moment = Vec3::Zero(), vector = Vec3::Zero();
    for (std::uint32_t t = face.first_triangle; t < face.first_triangle + face.n_triangles; ++t) {
        const Vec3 a = model.mesh.corner(t, 0), b = model.mesh.corner(t, 1),
                   c = model.mesh.corner(t, 2);
        const Vec3 area = (b - a).cross(c - a) / 2;
        placed.area_m2 += area.norm();
        moment += area.norm() * (a + b + c) / 3;
        vector += area;
    }
    if (!(placed.area_m2 > 0)) return placed;
    placed.centre_m = moment / placed.area_m2;
    constexpr double least_share = 1e-6;  // of a closed face's area: rounding
    if (vector.norm() > least_share * placed.area_m2) placed.normal = vector.normalized();
    return placed;
}

/// The faces of two versions of one body.
class FaceMatcher {
  public:
    FaceMatcher(const BodyMatches& matches, const Change& change, const Model& old_model,
                const Model& new_model, std::vector<std::uint32_t>& old_of)
        : old_model_(old_model), new_model_(new_model), old_of_(old_of) {
        const BodyId before(change.old_index), after(change.new_index);
        const PlacedShape old_shape = placed_shape(old_model, {&before, 1});
        const PlacedShape new_shape = placed_shape(new_model, {&after, 1});
        // First the common move, then the body's own: a turn about the upright and a shift.
        CommonMove move = matches.move;
        move.turn_deg += change.turned_deg;
        move.shift_m = Vec3::Zero();
        move.shift_m = new_shape.centre_m - move.point(old_shape.centre_m);
        const Body& old_body = old_model.bodies[before.index()];
        for (std::uint32_t k = 0; k < old_body.n_faces; ++k) {
            olds_.push_back(old_body.first_face + k);
            PlacedFace face = placed_face(old_model, olds_.back());
            face.centre_m = move.point(face.centre_m);
            face.normal = move.direction(face.normal);
            face.area_m2 *= move.scale * move.scale;
            before_.push_back(face);
        }
        const Body& new_body = new_model.bodies[after.index()];
        for (std::uint32_t k = 0; k < new_body.n_faces; ++k) {
            news_.push_back(new_body.first_face + k);
            after_.push_back(placed_face(new_model, news_.back()));
        }
        used_.assign(olds_.size(), false);
    }

    void match() {
        take([this](std::size_t o, std::size_t n) { return coincide(o, n); });
        take([this](std::size_t o, std::size_t n) {
            const std::string& name = new_model_.faces[news_[n]].name;
            return !name.empty() && name == old_model_.faces[olds_[o]].name && alike(o, n);
        });
        take([this](std::size_t o, std::size_t n) {
            const double side_m = std::sqrt(std::max(before_[o].area_m2, after_[n].area_m2));
            return alike(o, n) && apart_m(o, n) <= renamed_move_share * side_m;
        });
    }

  private:
    struct Pair {
        double apart_m;
        std::size_t o, n;
        auto key() const { return std::tuple(apart_m, o, n); }
    };

    double apart_m(std::size_t o, std::size_t n) const {
        return (before_[o].centre_m - after_[n].centre_m).norm();
    }

    bool turned_within(std::size_t o, std::size_t n, double angle_deg) const {
        const Vec3 &a = before_[o].normal, &b = after_[n].normal;
        if (a.isZero() || b.isZero()) return a.isZero() && b.isZero();
        return std::atan2(a.cross(b).norm(), a.dot(b)) <= angle_deg * std::numbers::pi / 180;
    }

    bool coincide(std::size_t o, std::size_t n) const {
        return apart_m(o, n) < same_place_m && turned_within(o, n, same_turn_deg) &&
               std::abs(before_[o].area_m2 - after_[n].area_m2) <=
                   same_area_share * after_[n].area_m2;
    }

    bool alike(std::size_t o, std::size_t n) const {
        const auto [low, high] = std::minmax(before_[o].area_m2, after_[n].area_m2);
        return high <= renamed_size_ratio * renamed_size_ratio * low &&
               turned_within(o, n, renamed_side_deg);
    }

    /// Of the pairs that may be, the nearest first.
    template <class May>
    void take(const May& may) {
        std::vector<Pair> pairs;
        for (std::size_t n = 0; n < news_.size(); ++n) {
            if (old_of_[news_[n]] != Change::none || !(after_[n].area_m2 > 0)) continue;
            for (std::size_t o = 0; o < olds_.size(); ++o) {
                if (!used_[o] && before_[o].area_m2 > 0 && may(o, n))
                    pairs.push_back({apart_m(o, n), o, n});
            }
        }
        std::ranges::sort(pairs, {}, &Pair::key);
        for (const Pair& pair : pairs) {
            std::uint32_t& old = old_of_[news_[pair.n]];
            if (used_[pair.o] || old != Change::none) continue;
            used_[pair.o] = true;
            old = olds_[pair.o];
        }
    }

    const Model& old_model_;
    const Model& new_model_;
    std::vector<std::uint32_t>& old_of_;
    std::vector<std::uint32_t> olds_, news_;
    std::vector<PlacedFace> before_, after_;
    std::vector<bool> used_;
};

/// Whether any face of a body has a name: most bodies need no look at their faces.
bool names_faces(const Model& model, std::uint32_t id) {
    const Body& body = model.bodies[id];
    const auto first = model.faces.begin() + body.first_face;
    return std::any_of(first, first + body.n_faces,
                       [](const Face& face) { return !face.name.empty(); });
}

}  // namespace

std::vector<std::uint32_t> match_faces(const BodyMatches& matches, const Model& old_model,
                                       const Model& new_model) {
    std::vector<std::uint32_t> old_of(new_model.faces.size(), Change::none);
    for (const Change& change : matches.bodies) {
        if (!change.matched()) continue;
        if (names_faces(old_model, change.old_index))
            FaceMatcher(matches, change, old_model, new_model, old_of).match();
    }
    return old_of;
}

std::vector<NameList> known_face_names(const BodyMatches& matches, const Model& old_model,
                                       const Model& new_model) {
    const std::vector<std::uint32_t> old_of = match_faces(matches, old_model, new_model);
    std::vector<std::uint32_t> new_of(old_model.faces.size(), Change::none);
    for (std::uint32_t n = 0; n < old_of.size(); ++n) {
        if (old_of[n] != Change::none) new_of[old_of[n]] = n;
    }
    std::vector<NameList> names(new_model.faces.size());
    for (std::size_t f = 0; f < names.size(); ++f) {
        if (!new_model.faces[f].name.empty()) names[f].push_back(new_model.faces[f].name);
    }
    for (const Change& change : matches.bodies) {
        if (!change.matched()) continue;
        const Body& before = old_model.bodies[change.old_index];
        const Body& after = new_model.bodies[change.new_index];
        std::map<std::string_view, std::vector<std::uint32_t>> bearers;
        for (std::uint32_t o = before.first_face; o < before.first_face + before.n_faces; ++o)
            bearers[old_model.faces[o].name].push_back(o);
        for (std::uint32_t n = after.first_face; n < after.first_face + after.n_faces; ++n) {
            const std::string& name = new_model.faces[n].name;
            const auto found = bearers.find(name);
            if (!name.empty() && found != bearers.end() && found->second.size() == 1) {
                const std::uint32_t now = new_of[found->second.front()];
                if (now != Change::none && now != n && new_model.faces[now].name != name)
                    names[n].clear();
            }
            if (old_of[n] == Change::none) continue;
            const std::string& former = old_model.faces[old_of[n]].name;
            if (!former.empty() && former != name) names[n].push_back(former);
        }
    }
    return names;
}

}  // namespace noonshell
