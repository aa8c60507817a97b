#include "thermal/outside_finish.hpp"

#include <algorithm>

namespace noonshell {

namespace {

// Emittance 0.9 is that of non-metallic paint and masonry, [ashrae2021] ch. 26 table 2. Dark and
// red paints, stone and gravel keep what they reflect, or lose too little to tell.
std::vector<OutsideFinish> make_finishes() {
    return {
        // name, new and aged reflectance, emittance, source
        {"white coating", 0.80, 0.62, 0.9,
         "common practice, new white coating; aged: loss of 20 to 25 %, from memory"},
        {"white paint", 0.74, 0.65, 0.9,
         "[ashrae2021] ch. 18 table 15, white acrylic; aged: ch. 17 table 8, white metal roof"},
        {"light paint", 0.50, 0.45, 0.9,
         "[ashrae2021] ch. 17 table 8, light metal roof; aged: common practice"},
        {"medium paint", 0.30, 0.30, 0.9, "[ashrae2021] ch. 17 table 8, medium metal roof"},
        {"red paint", 0.37, 0.37, 0.9, "[ashrae2021] ch. 18 table 15"},
        {"dark paint", 0.10, 0.10, 0.9, "[ashrae2021] ch. 17 table 8, dark metal roof"},
        {"black paint", 0.06, 0.06, 0.9, "[ashrae2021] ch. 18 table 15, black matte"},
        {"galvanised steel", 0.35, 0.20, 0.25,
         "[ashrae2021] ch. 18 table 15, new and weathered; emittance: ch. 26 table 2, bright"},
        {"aluminium", 0.60, 0.45, 0.12,
         "from memory: 0.5 to 0.8 new, less with dust; emittance: [ashrae2021] ch. 26 table 2"},
        {"concrete", 0.30, 0.30, 0.9, "[ashrae2021] ch. 18 table 15, middle of 0.17 to 0.40"},
        {"brick", 0.37, 0.37, 0.9, "[ashrae2021] ch. 18 table 15"},
        {"light gravel", 0.34, 0.34, 0.9, "measured roofing product, published list"},
    };
}

const OutsideFinish* find_in(const std::vector<OutsideFinish>& list, std::string_view name) {
    const auto found = std::ranges::find(list, name, &OutsideFinish::name);
    return found == list.end() ? nullptr : &*found;
}

}  // namespace

const std::vector<OutsideFinish>& shipped_finishes() {
    static const std::vector<OutsideFinish> finishes = make_finishes();
    return finishes;
}

const OutsideFinish* find_finish(std::string_view name, const std::vector<OutsideFinish>& own) {
    const OutsideFinish* found = find_in(own, name);
    return found != nullptr ? found : find_in(shipped_finishes(), name);
}

}  // namespace noonshell
