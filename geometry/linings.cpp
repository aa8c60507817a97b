#include "geometry/linings.hpp"

#include <Eigen/Geometry>
#include <algorithm>

#include "geometry/containment.hpp"
#include "geometry/enclosure.hpp"
#include "geometry/role_guess.hpp"
#include "geometry/visibility.hpp"

namespace noonshell {

namespace {

/// A room of less than this share of the one about it is a room of its own.
constexpr double least_lining_share = 0.5;

class LiningJoiner {
  public:
    LiningJoiner(const LiningSearch& search, std::vector<std::optional<RoleChoice>>& choices)
        : search_(search), choices_(choices) {}

    std::vector<std::string> join() {
        for (std::size_t b = 0; b < choices_.size(); ++b) {
            const auto& skin = choices_[b];
            if (skin && skin->role != Role::unit) continue;
            const std::vector<BodyId> linings = linings_of(BodyId(b));
            if (!linings.empty()) join_to(BodyId(b), linings);
        }
        return std::move(guessed_);
    }

  private:
    std::vector<BodyId> linings_of(BodyId skin) const {
        std::vector<BodyId> linings;
        for (std::size_t b = 0; b < choices_.size(); ++b) {
            if (BodyId(b) == skin || search_.outermost[b] != skin) continue;
            const auto& choice = choices_[b];
            const bool free = !choice || (choice->role == Role::unit && choice->unit.empty());
            if (free) linings.emplace_back(b);
        }
        return linings;
    }

    void join_to(BodyId skin, const std::vector<BodyId>& linings) {
        if (!choices_[skin.index()]) guess(skin, linings);
        const std::string& id = search_.model.bodies[skin.index()].id;
        std::string& unit = choices_[skin.index()]->unit;
        if (unit.empty()) unit = id;
        for (const BodyId lining : linings) {
            auto& choice = choices_[lining.index()];
            if (!choice) choice = RoleChoice{Role::unit, true, "lies within " + id, unit};
            choice->unit = unit;
        }
    }

    void guess(BodyId skin, const std::vector<BodyId>& linings) {
        std::vector<BodyId> together{skin};
        together.insert(together.end(), linings.begin(), linings.end());
        std::string name = search_.model.bodies[skin.index()].id;
        const std::int32_t holder = search_.model.bodies[skin.index()].assembly;
        if (holder >= 0 && holds_nothing_else(holder, skin, linings)) {
            name = search_.model.assemblies[static_cast<std::size_t>(holder)].id;
            together = search_.subtrees[static_cast<std::size_t>(holder)];
        }
        const std::string why = "one of the bodies about the room of " +
                                figure_text(search_.room_m3[linings.back().index()], "m3") +
                                " within " + search_.model.bodies[skin.index()].id;
        for (const BodyId b : together) {
            if (!choices_[b.index()]) choices_[b.index()] = RoleChoice{Role::unit, true, why, name};
        }
        guessed_.push_back(name);
    }

    bool holds_nothing_else(std::int32_t assembly, BodyId skin,
                            const std::vector<BodyId>& linings) const {
        const auto& held = search_.subtrees[static_cast<std::size_t>(assembly)];
        const auto is_held = [&](BodyId b) { return std::ranges::count(held, b) > 0; };
        return std::ranges::all_of(linings, is_held) && std::ranges::all_of(held, [&](BodyId b) {
                   if (search_.outermost[b.index()] == skin) return true;
                   if (choices_[b.index()]) return choices_[b.index()]->role != Role::unit;
                   return is_near(b, skin);
               });
    }

    bool is_near(BodyId body, BodyId skin) const {
        const BodyBounds &one = search_.bounds[body.index()], &whole = search_.bounds[skin.index()];
        return ((one.low_m - whole.low_m).array() >= -search_.gear_reach_m).all() &&
               ((whole.high_m - one.high_m).array() >= -search_.gear_reach_m).all();
    }

    const LiningSearch& search_;
    std::vector<std::optional<RoleChoice>>& choices_;
    std::vector<std::string> guessed_;
};

}  // namespace

std::vector<BodyId> outermost_rooms(const Model& model, std::span<const BodyBounds> bounds,
                                    std::span<const double> room_m3, double least_room_m3) {
    std::vector<BodyId> outermost, rooms;
    for (std::size_t b = 0; b < room_m3.size(); ++b) {
        outermost.emplace_back(b);
        if (room_m3[b] >= least_room_m3) rooms.emplace_back(b);
    }
    // The largest first: what a skin lies within is settled before its own linings.
    const auto size_m3 = [&](BodyId b) {
        return (bounds[b.index()].high_m - bounds[b.index()].low_m).prod();
    };
    std::ranges::stable_sort(rooms, std::ranges::greater{}, size_m3);
    std::vector<std::optional<RayMesh>> meshes(room_m3.size());
    for (std::size_t k = 1; k < rooms.size(); ++k) {
        const BodyId inner = rooms[k];
        for (std::size_t j = k; j-- > 0;) {  // the closest about it counts
            const BodyId outer = rooms[j];
            if (!fits_into(bounds[inner.index()], bounds[outer.index()])) continue;
            auto& mesh = meshes[outer.index()];
            if (!mesh) mesh = ray_mesh_of(model, std::span(&outer, 1));
            if (!lies_within(model, inner, *mesh, most_room_openness)) continue;
            if (room_m3[inner.index()] >= least_lining_share * room_m3[outer.index()])
                outermost[inner.index()] = outermost[outer.index()];
            break;
        }
    }
    return outermost;
}

std::vector<std::string> join_linings(const LiningSearch& search,
                                      std::vector<std::optional<RoleChoice>>& choices) {
    return LiningJoiner(search, choices).join();
}

}  // namespace noonshell
