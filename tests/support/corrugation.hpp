// The trapezium that steel sheet is folded to, as plain numbers. All lengths in millimetres.
#pragma once

#include <array>
#include <cmath>
#include <vector>

namespace noonshell::test_support {

/// One pitch: outer flat, slope down by `depth`, inner flat, slope up.
struct Trapezium {
    double outer_mm, slope_mm, inner_mm, depth_mm;  ///< slope: its horizontal run

    double pitch_mm() const { return outer_mm + inner_mm + 2 * slope_mm; }
    double slope_length_mm() const { return std::hypot(slope_mm, depth_mm); }
    double developed_mm() const { return outer_mm + inner_mm + 2 * slope_length_mm(); }
    double ratio() const { return developed_mm() / pitch_mm(); }
    /// Area per pitch between the plane of the outer flats and the sheet's outer face.
    double trough_mm2() const { return depth_mm * (inner_mm + slope_mm); }
};

/// A sheet of `n` pitches from `begin` to `end`; it begins and ends with outer flats of equal
/// length.
struct FoldedSheet {
    Trapezium fold;
    int n;
    double begin_mm, end_mm, thickness_mm;

    double end_flat_mm() const {
        return (end_mm - begin_mm - n * fold.pitch_mm() + fold.outer_mm) / 2;
    }
    double length_mm() const { return end_mm - begin_mm; }
    double developed_mm() const {
        return length_mm() + 2 * n * (fold.slope_length_mm() - fold.slope_mm);
    }
    /// Area between the plane of the outer flats and the sheet's inner face.
    double relief_mm2() const { return n * fold.trough_mm2() + thickness_mm * developed_mm(); }

    /// The closed outline of the cut sheet: along the sheet, and inward from the outer flats. Both
    /// faces are parallel and have the same developed length: what a fold takes off one side of a
    /// flat the next fold adds.
    std::vector<std::array<double, 2>> outline_mm() const {
        const double mitre = thickness_mm * std::tan(std::atan2(fold.depth_mm, fold.slope_mm) / 2);
        std::vector<std::array<double, 2>> outer{{begin_mm, 0}}, inner{{begin_mm, thickness_mm}};
        const auto bend = [&](double along, double depth, double shift) {
            outer.push_back({along, depth});
            inner.push_back({along + shift, depth + thickness_mm});
        };
        double at = begin_mm + end_flat_mm();
        for (int i = 0; i < n; ++i) {
            bend(at, 0, -mitre);
            bend(at += fold.slope_mm, fold.depth_mm, -mitre);
            bend(at += fold.inner_mm, fold.depth_mm, mitre);
            bend(at += fold.slope_mm, 0, mitre);
            at += fold.outer_mm;
        }
        bend(end_mm, 0, 0);
        outer.insert(outer.end(), inner.rbegin(), inner.rend());
        return outer;
    }
};

/// Trade sizes of ISO steel dry containers: side wall and front wall. The roof's are invented.
inline constexpr Trapezium side_wall_fold{72, 67, 72, 36};
inline constexpr Trapezium front_wall_fold{110, 18, 104, 45.6};
inline constexpr Trapezium roof_fold{90, 15, 90, 20};

}  // namespace noonshell::test_support
