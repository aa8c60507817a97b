// A made settlement of container-sized units: rows back to back with courts between, a second level
// that is shifted or lies across, canopies and overhangs. Invented but for the unit's size, which
// is that of ISO 668 (20 foot, standard height).
#pragma once

#include <string>
#include <vector>

#include "geometry/envelope.hpp"
#include "tests/support/box_model.hpp"

namespace noonshell::test_models {

/// Pairs of rows stand `court_m` apart; every pair has 80 units and 13 shades.
struct SettlementPlan {
    int pairs = 5;
    double court_m = 8;
};

class SettlementMaker {
  public:
    explicit SettlementMaker(const SettlementPlan& plan) : plan_(plan) {}

    std::vector<Box> make() {
        for (int pair = 0; pair < plan_.pairs; ++pair) add_pair(pair);
        return std::move(boxes_);
    }

  private:
    static constexpr double length = 6.058, width = 2.438, height = 2.591;
    static constexpr double gap = 0.020, pad = 0.010, upper = height + pad;
    static constexpr double pitch = length + gap;
    static constexpr int columns = 25, block = 8;  // a block of the upper level in columns

    void add_pair(int pair) {
        const double south = pair * (2 * width + gap + plan_.court_m);
        for (const double y : {south, south + width + gap}) {
            for (int c = 0; c < columns; ++c) add_unit({pitch * c, y, 0}, {length, width, height});
            for (int c = 0; c + 1 < columns; ++c) {
                // Two more of each block lie across the pair.
                if (c % block == 0 || c % block > 4) continue;
                add_unit({pitch * (c + 0.5), y, upper}, {length, width, height});
            }
        }
        for (int c = 0; c + 1 < columns; c += block) add_across({pitch * c, south - 0.58, upper});
        for (int i = 0; i < 10; ++i) {
            add_shade({pitch * 2.5 * i, south - 1.3, 2.45}, {5.6, 1.2, 0.06});
        }
    }

    void add_across(const Vec3& corner) {
        add_unit(corner, {width, length, height});
        add_unit(corner + Vec3(width + gap, 0, 0), {width, length, height});
        add_shade(corner + Vec3(-0.3, -0.4, height + 0.8), {5.5, 6.9, 0.05});
    }

    void add_unit(const Vec3& corner, const Vec3& size) {
        boxes_.push_back({"unit-" + std::to_string(++units_), corner, size, 0, Role::unit});
    }
    void add_shade(const Vec3& corner, const Vec3& size) {
        boxes_.push_back({"shade-" + std::to_string(++shades_), corner, size, 0, Role::shade});
    }

    SettlementPlan plan_;
    std::vector<Box> boxes_;
    int units_ = 0, shades_ = 0;
};

/// 400 units with the plan as it stands.
inline Envelope settlement(const SettlementPlan& plan = {}, const EnvelopeOptions& options = {}) {
    const BoxModel boxes = box_model(SettlementMaker(plan).make());
    return build_envelope(boxes.model, boxes.roles, options);
}

}  // namespace noonshell::test_models
