#include "geometry/shade_shape.hpp"

#include <algorithm>
#include <map>
#include <string_view>
#include <tuple>

#include "geometry/skin.hpp"
#include "geometry/visibility.hpp"

namespace noonshell {

namespace {

/// Turns patches that see the open only behind them; `has_back` tells those that see it there too.
class SheetPatches {
  public:
    SheetPatches(const Model& model, std::span<const BodyId> bodies)
        : model_(model), bodies_(bodies.begin(), bodies.end()) {
        const auto is_open = [&model](BodyId body) { return !model.bodies[body.index()].solid; };
        if (std::ranges::any_of(bodies, is_open)) look();
    }

    void settle(BodyId body, Patch& patch, bool& has_back) const {
        has_back = false;
        if (model_.bodies[body.index()].solid) return;
        double front = 0, behind = 0;
        for (const FaceId face : patch.stands_for) {
            const FaceOpenness& seen = seen_.at(face);
            front = std::max(front, seen.front.all_round);
            behind = std::max(behind, seen.behind.all_round);
        }
        if (behind < least_open_share) return;
        if (front < least_open_share)
            patch = flipped(patch);
        else
            has_back = true;
    }

  private:
    void look() {
        const std::vector<FaceOpenness> openness =
            openness_of_faces(model_, bodies_, ray_mesh_of(model_, bodies_));
        std::size_t next = 0;
        for (const BodyId body : bodies_) {
            const Body& of = model_.bodies[body.index()];
            for (std::size_t f = of.first_face; f < of.first_face + of.n_faces; ++f)
                seen_.emplace(FaceId(f), openness[next++]);
        }
    }

    const Model& model_;
    std::vector<BodyId> bodies_;
    std::map<FaceId, FaceOpenness> seen_;
};

/// In the order of shade_sides(): top, sides, edges, underside.
int rank_of(const Side& side) {
    const std::string_view stem = std::string_view(side.name).substr(0, side.name.find('-'));
    return stem == "top" ? 0 : stem == "side" ? 1 : stem == "edge" ? 2 : 3;
}

/// Adds the backs of sheets to the sides and puts all in order.
void add_backs(const std::vector<bool>& has_back, double north_deg, ShadeShape& shape) {
    struct Entry {
        Side side;
        std::size_t number = 0;  ///< before sorting
        std::optional<std::size_t> other;
    };
    std::vector<Entry> entries;
    for (Side& side : shape.sides) entries.push_back({std::move(side), entries.size(), {}});
    const std::size_t n_fronts = entries.size();
    for (std::size_t k = 0; k < n_fronts; ++k) {
        std::vector<std::uint32_t> backs;
        for (const std::uint32_t p : entries[k].side.patches) {
            if (!has_back[p]) continue;
            backs.push_back(static_cast<std::uint32_t>(shape.patches.size()));
            Patch back = flipped(shape.patches[p]);
            back.is_back = true;
            shape.patches.push_back(std::move(back));
        }
        if (backs.empty()) continue;
        entries[k].other = entries.size();
        entries.push_back({from_behind(entries[k].side, shape.patches, std::move(backs), north_deg),
                           entries.size(), k});
    }
    std::stable_sort(entries.begin(), entries.end(), [](const Entry& a, const Entry& b) {
        return rank_of(a.side) < rank_of(b.side);
    });
    std::vector<std::size_t> place(entries.size());
    for (std::size_t k = 0; k < entries.size(); ++k) place[entries[k].number] = k;
    shape.sides.clear();
    for (Entry& entry : entries) {
        shape.sides.push_back(std::move(entry.side));
        shape.other_side.push_back(entry.other ? std::optional(place[*entry.other]) : std::nullopt);
    }
}

}  // namespace

ShadeShape shade_shape(const Model& model, std::span<const BodyId> bodies, double north_deg) {
    const SheetPatches sheets(model, bodies);
    ShadeShape shape;
    std::vector<bool> has_back;
    for (const BodyId body : bodies) {
        std::vector<Patch> own = shade_patches(model, body);
        if (own.empty()) shape.without_area.push_back(body);
        for (Patch& patch : own) {
            bool back = false;
            sheets.settle(body, patch, back);
            patch.body = bodies.front();
            shape.patches.push_back(std::move(patch));
            has_back.push_back(back);
        }
    }
    shape.sides = shade_sides(shape.patches, north_deg);
    add_backs(has_back, north_deg, shape);
    return shape;
}

ShadeShape shade_shape(const UnitOverhang& overhang, BodyId body, double north_deg) {
    ShadeShape shape;
    std::vector<bool> has_back;
    for (const bool back : {false, true}) {
        std::vector<Patch> faces;
        for (const OverhangPatch& of : overhang.patches) {
            if (of.has_back == back) faces.push_back(of.patch);
        }
        for (Patch& patch : shade_patches(faces)) {
            patch.body = body;
            shape.patches.push_back(std::move(patch));
            has_back.push_back(back);
        }
    }
    shape.sides = shade_sides(shape.patches, north_deg);
    add_backs(has_back, north_deg, shape);
    return shape;
}

}  // namespace noonshell
