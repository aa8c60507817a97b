// Invented yards of boxes and edits of them whose truth is known.
#pragma once

#include <cstdint>
#include <map>
#include <random>
#include <string>
#include <vector>

#include "geometry/common_move.hpp"
#include "geometry/matching.hpp"
#include "tests/support/box_model.hpp"

namespace noonshell::test_models {

/// A box by the middle of its foot, with a number that stays its own through every edit.
struct YardBox {
    int number = 0;
    std::string name;
    Vec3 foot_m{0, 0, 0};
    Vec3 size_m{6.058, 2.438, 2.591};  ///< ISO 668 twenty-foot outside sizes
    double turn_deg = 0;
};
using Yard = std::vector<YardBox>;

inline BoxModel model_of(const Yard& yard) {
    BoxModel out;
    for (const YardBox& box : yard)
        add_box(out, centred_box(box.name, box.foot_m, box.size_m, box.turn_deg));
    // The reader numbers repeated names.
    std::map<std::string, int> used;
    for (Body& body : out.model.bodies) {
        if (const int n = ++used[body.name]; n > 1) body.id = body.name + "-" + std::to_string(n);
    }
    return out;
}

/// Random numbers that are the same on every machine.
class Dice {
  public:
    explicit Dice(std::uint32_t seed) : engine_(seed) {}
    double between(double low, double high) {
        return low + (high - low) * static_cast<double>(engine_()) / 4294967296.0;
    }
    std::size_t below(std::size_t n) { return engine_() % n; }
    template <class T>
    void shuffle(std::vector<T>& list) {
        for (std::size_t k = list.size(); k > 1; --k) std::swap(list[k - 1], list[below(k)]);
    }

  private:
    std::mt19937 engine_;
};

/// Boxes that stand apart, of two lengths, each turned its own way.
inline Yard random_yard(Dice& dice, int n) {
    Yard yard;
    for (int k = 0; k < n; ++k) {
        YardBox box;
        box.number = k;
        box.name = "unit-" + std::to_string(k);
        box.foot_m = {18.0 * (k % 5) + dice.between(-2, 2), 18.0 * (k / 5) + dice.between(-2, 2),
                      dice.between(0, 0.3)};
        if (dice.below(2) == 0) box.size_m.x() = 12.192;
        box.turn_deg = dice.between(0, 180);
        yard.push_back(box);
    }
    return yard;
}

inline Yard moved(Yard yard, const CommonMove& move) {
    for (YardBox& box : yard) {
        box.foot_m = move.point(box.foot_m);
        box.size_m *= move.scale;
        box.turn_deg = (move.mirrored ? 180 - box.turn_deg : box.turn_deg) + move.turn_deg;
    }
    return yard;
}

/// Old index to new index.
inline std::map<std::uint32_t, std::uint32_t> pairs_of(const std::vector<Change>& changes) {
    std::map<std::uint32_t, std::uint32_t> pairs;
    for (const Change& change : changes) {
        if (change.matched()) pairs[change.old_index] = change.new_index;
    }
    return pairs;
}

}  // namespace noonshell::test_models
