#include "geometry/matching.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <functional>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <utility>

#include "geometry/change.hpp"
#include "geometry/pairing.hpp"

namespace noonshell {

namespace {

using NameOf = std::function<const std::string&(const Body&)>;

std::vector<PlacedShape> shapes_of(const Model& model) {
    std::vector<PlacedShape> shapes;
    for (std::size_t b = 0; b < model.bodies.size(); ++b) {
        const BodyId id(b);
        shapes.push_back(placed_shape(model, {&id, 1}));
    }
    return shapes;
}

/// Pairs bodies in the order in which the head of the header tells.
class BodyMatcher {
  public:
    BodyMatcher(const Model& old_model, const Model& new_model)
        : old_(old_model),
          new_(new_model),
          old_shapes_(shapes_of(old_model)),
          new_shapes_(shapes_of(new_model)),
          new_of_(old_model.bodies.size(), Change::none),
          old_of_(new_model.bodies.size(), Change::none) {}

    BodyMatches match() {
        std::vector<IndexPair> named = unique_names();
        drop_renumbered(named);
        matches_.move = find_common_move(old_shapes_, new_shapes_, named);
        drop_renumbered_and_moved(named);
        place();
        for (const auto& [o, n] : named) {
            if (!name_misleads(o, n, named)) join(o, n);
        }
        match_namesakes([](const Body& b) -> const std::string& { return b.path; });
        match_namesakes([](const Body& b) -> const std::string& { return b.name; });
        match_by_place();
        list_changes();
        return std::move(matches_);
    }

  private:
    /// Bodies whose path, else name, stands once in each model.
    std::vector<IndexPair> unique_names() const {
        std::vector<IndexPair> pairs;
        std::vector<std::uint8_t> old_used(old_.bodies.size(), 0), new_used(new_.bodies.size(), 0);
        for (const NameOf& name :
             {NameOf([](const Body& b) -> const std::string& { return b.path; }),
              NameOf([](const Body& b) -> const std::string& { return b.name; })}) {
            const auto olds = by_name(old_, name), news = by_name(new_, name);
            for (const auto& [text, o] : olds) {
                const auto n = news.find(text);
                if (text.empty() || n == news.end() || o.size() != 1 || n->second.size() != 1 ||
                    old_used[o[0]] != 0 || new_used[n->second[0]] != 0) {
                    continue;
                }
                old_used[o[0]] = new_used[n->second[0]] = 1;
                pairs.emplace_back(o[0], n->second[0]);
            }
        }
        std::sort(pairs.begin(), pairs.end());
        return pairs;
    }

    static std::map<std::string_view, std::vector<std::uint32_t>> by_name(const Model& model,
                                                                          const NameOf& name) {
        std::map<std::string_view, std::vector<std::uint32_t>> groups;
        for (std::uint32_t b = 0; b < model.bodies.size(); ++b)
            groups[name(model.bodies[b])].push_back(b);
        return groups;
    }

    /// Bodies called by one word and a number; by number.
    using Family = std::map<std::uint64_t, std::uint32_t>;

    static std::map<std::string, Family> families_of(const Model& model) {
        std::map<std::string, Family> families;
        for (std::uint32_t b = 0; b < model.bodies.size(); ++b) {
            constexpr std::string_view figures = "0123456789";
            const std::string& path = model.bodies[b].path;
            const auto last = path.find_last_of(figures);
            if (last == path.npos || path.find('/', last) != path.npos) continue;
            const auto first = path.find_last_not_of(figures, last) + 1;  // npos + 1 is 0
            std::uint64_t number = 0;
            const auto read = std::from_chars(path.data() + first, path.data() + last + 1, number);
            if (read.ec == std::errc())
                families[path.substr(0, first) + "#" + path.substr(last + 1)].emplace(number, b);
        }
        return families;
    }

    /// Families of which bodies came or went.
    std::vector<std::pair<Family, Family>> changed_families() const {
        constexpr std::size_t largest_family = 2000;
        std::vector<std::pair<Family, Family>> changed;
        const auto news = families_of(new_);
        for (const auto& [word, before] : families_of(old_)) {
            const auto found = news.find(word);
            if (found == news.end() || before.size() == found->second.size()) continue;
            if (std::max(before.size(), found->second.size()) > largest_family) continue;
            changed.emplace_back(before, found->second);
        }
        return changed;
    }

    /// Takes out the names of families that were numbered anew: bodies came or went, more of the
    /// others stand in the place of one than in that of their namesake, and their order is the
    /// same.
    void drop_renumbered(std::vector<IndexPair>& named) {
        for (const auto& [before, after] : changed_families()) {
            if (places_of(before, after).renumbered()) note_renumbered(before, after);
        }
        drop_noted(named);
    }

    void note_renumbered(const Family& before, const Family& after) {
        for (const auto& [number, o] : before) old_renumbered_.insert(o);
        for (const auto& [number, n] : after) new_renumbered_.insert(n);
    }

    void drop_noted(std::vector<IndexPair>& named) const {
        std::erase_if(named, [&](const IndexPair& pair) {
            return old_renumbered_.contains(pair.first) || new_renumbered_.contains(pair.second);
        });
    }

    /// The same where all were moved at once as well: without the names of such families another
    /// common move brings more of them onto each other than the one by their names.
    void drop_renumbered_and_moved(std::vector<IndexPair>& named) {
        const std::vector<std::pair<Family, Family>> changed = changed_families();
        const auto n_in_place = [&] {
            std::size_t n = 0;
            for (const auto& [before, after] : changed) n += places_of(before, after).by_place;
            return n;
        };
        std::set<std::uint32_t> uncertain;
        for (const auto& [before, after] : changed) {
            for (const auto& [number, o] : before) uncertain.insert(o);
        }
        std::vector<IndexPair> certain = named;
        std::erase_if(certain, [&](const IndexPair& p) { return uncertain.contains(p.first); });
        if (certain.size() == named.size()) return;
        const std::size_t by_names = n_in_place();
        const CommonMove move =
            std::exchange(matches_.move, find_common_move(old_shapes_, new_shapes_, certain));
        if (n_in_place() <= by_names) matches_.move = move;
        for (const auto& [before, after] : changed) {
            if (places_of(before, after).renumbered()) note_renumbered(before, after);
        }
        drop_noted(named);
    }

    /// How the bodies of a family stand after the common move.
    struct FamilyPlaces {
        std::size_t by_name = 0, by_place = 0;  ///< in the place of their namesake, of any
        bool in_order = true;
        bool renumbered() const { return in_order && by_place > by_name; }
    };

    FamilyPlaces places_of(const Family& before, const Family& after) const {
        FamilyPlaces places;
        std::optional<std::uint64_t> last;
        for (const auto& [number, old_body] : before) {
            const std::uint32_t o = old_body;
            const auto namesake = after.find(number);
            if (namesake != after.end() && coincide(o, namesake->second)) ++places.by_name;
            const auto there =
                std::ranges::find_if(after, [&](const auto& to) { return coincide(o, to.second); });
            if (there == after.end()) continue;
            if (last && there->first <= *last) places.in_order = false;
            last = there->first;
            ++places.by_place;
        }
        return places;
    }

    /// Points of both models, the old ones after the common move.
    void place() {
        for (const PlacedShape& s : old_shapes_) {
            old_points_.push_back(
                shape_point(matches_.move.point(s.centre_m), matches_.move.scale * s.sizes_m));
        }
        for (const PlacedShape& s : new_shapes_)
            new_points_.push_back(shape_point(s.centre_m, s.sizes_m));
    }

    bool same_size(std::uint32_t o, std::uint32_t n) const {
        return (matches_.move.scale * old_shapes_[o].sizes_m - new_shapes_[n].sizes_m)
                   .cwiseAbs()
                   .maxCoeff() < same_size_m;
    }
    bool coincide(std::uint32_t o, std::uint32_t n) const {
        const Vec3 at = matches_.move.point(old_shapes_[o].centre_m);
        return same_size(o, n) && (at - new_shapes_[n].centre_m).norm() < same_place_m;
    }

    /// A name that went over to a body of another size, while a body of the old size stands where
    /// the old one stood: names that were swapped. Between equal bodies the name decides.
    bool name_misleads(std::uint32_t o, std::uint32_t n, const std::vector<IndexPair>& named) {
        if (same_size(o, n)) return false;
        if (stays_.empty()) {
            stays_.assign(new_shapes_.size(), 0);
            old_stays_.assign(old_shapes_.size(), 0);
            for (const auto& [p, q] : named) {
                if (coincide(p, q)) old_stays_[p] = stays_[q] = 1;
            }
        }
        for (std::uint32_t other = 0; other < new_shapes_.size(); ++other) {
            if (other != n && stays_[other] == 0 && coincide(o, other)) return true;
        }
        for (std::uint32_t other = 0; other < old_shapes_.size(); ++other) {
            if (other != o && old_stays_[other] == 0 && coincide(other, n)) return true;
        }
        return false;
    }

    void join(std::uint32_t o, std::uint32_t n) {
        new_of_[o] = n;
        old_of_[n] = o;
    }

    static std::vector<std::uint32_t> free_of(const std::vector<std::uint32_t>& candidates,
                                              const std::vector<std::uint32_t>& partner) {
        std::vector<std::uint32_t> left;
        for (const std::uint32_t k : candidates) {
            if (partner[k] == Change::none) left.push_back(k);
        }
        return left;
    }

    void pair_up(const std::vector<std::uint32_t>& olds, const std::vector<std::uint32_t>& news,
                 Pairing how) {
        how.alike = [this](std::uint32_t o, std::uint32_t n) {
            return old_.bodies[o].id == new_.bodies[n].id;
        };
        for (const auto& [o, n] : pair_nearest(old_points_, free_of(olds, new_of_), new_points_,
                                               free_of(news, old_of_), how)) {
            join(o, n);
        }
    }

    static std::vector<std::uint32_t> without(std::vector<std::uint32_t> bodies,
                                              const std::set<std::uint32_t>& renumbered) {
        std::erase_if(bodies, [&](std::uint32_t body) { return renumbered.contains(body); });
        return bodies;
    }

    /// Bodies of one name, several of them in one of the models: the nearest first.
    void match_namesakes(const NameOf& name) {
        const auto news = by_name(new_, name);
        for (const auto& [text, olds] : by_name(old_, name)) {
            const auto found = news.find(text);
            if (text.empty() || found == news.end()) continue;
            if (olds.size() <= 1 && found->second.size() <= 1) continue;
            pair_up(without(olds, old_renumbered_), without(found->second, new_renumbered_), {});
        }
    }

    void match_by_place() {
        double farthest = 0;
        std::vector<std::uint32_t> olds, news;
        for (std::uint32_t o = 0; o < old_shapes_.size(); ++o) {
            if (!old_shapes_[o].empty) olds.push_back(o);
            farthest = std::max(farthest, matches_.move.scale * old_shapes_[o].sizes_m.norm());
        }
        for (std::uint32_t n = 0; n < new_shapes_.size(); ++n) {
            if (!new_shapes_[n].empty) news.push_back(n);
            farthest = std::max(farthest, new_shapes_[n].sizes_m.norm());
        }
        const auto allowed = [this](std::uint32_t o, std::uint32_t n) {
            return may_be_same(old_shapes_[o], new_shapes_[n], matches_.move);
        };
        pair_up(olds, news, {allowed, {}, farthest});
    }

    void list_changes() {
        for (std::uint32_t n = 0; n < new_shapes_.size(); ++n) {
            const std::uint32_t o = old_of_[n];
            const PlacedShape* before = o == Change::none ? nullptr : &old_shapes_[o];
            Change change = change_of(before, &new_shapes_[n], matches_.move);
            change.old_index = o;
            change.new_index = n;
            change.new_id = new_.bodies[n].id;
            if (before != nullptr) {
                change.old_id = old_.bodies[o].id;
                change.renamed = old_.bodies[o].name != new_.bodies[n].name;
            }
            matches_.bodies.push_back(std::move(change));
        }
        for (std::uint32_t o = 0; o < old_shapes_.size(); ++o) {
            if (new_of_[o] != Change::none) continue;
            Change change = change_of(&old_shapes_[o], nullptr, matches_.move);
            change.old_index = o;
            change.old_id = old_.bodies[o].id;
            matches_.bodies.push_back(std::move(change));
        }
    }

    const Model& old_;
    const Model& new_;
    std::vector<PlacedShape> old_shapes_, new_shapes_;
    std::vector<std::uint32_t> new_of_, old_of_;
    std::vector<ShapePoint> old_points_, new_points_;
    std::vector<std::uint8_t> stays_, old_stays_;
    std::set<std::uint32_t> old_renumbered_, new_renumbered_;  ///< only their places tell
    BodyMatches matches_;
};

}  // namespace

BodyMatches match_bodies(const Model& old_model, const Model& new_model) {
    return BodyMatcher(old_model, new_model).match();
}

ChangeCounts count(const std::vector<Change>& changes) {
    ChangeCounts counts;
    for (const Change& change : changes) {
        counts.kept += change.kept() ? 1 : 0;
        counts.moved += change.moved ? 1 : 0;
        counts.resized += change.resized ? 1 : 0;
        counts.renamed += change.renamed ? 1 : 0;
        counts.fresh += change.is_new() ? 1 : 0;
        counts.gone += change.is_gone() ? 1 : 0;
    }
    return counts;
}

void carry_roles(const BodyMatches& matches, const std::vector<RoleChoice>& old_roles,
                 std::vector<RoleChoice>& new_roles) {
    for (const Change& change : matches.bodies) {
        if (!change.matched()) continue;
        const RoleChoice& before = old_roles[change.old_index];
        RoleChoice& now = new_roles[change.new_index];
        if (before.guessed || !now.guessed || !before.unit.empty() || !now.unit.empty()) continue;
        now = before;
        if (change.renamed) now.why += ", by its former name " + change.old_id;
    }
}

}  // namespace noonshell
