// The colour scale of a picture, drawn with its numbers.
#pragma once

#include <string>
#include <vector>

#include "cli/svg.hpp"

namespace noonshell {

/// Values from `low`, dark, to `high`, light, on scale_colour().
struct PictureScale {
    double low = 0, high = 1;
    std::string unit;
    bool is_rank = false;  ///< values are negative ranks: shown without sign, 1 at the light end

    double share_of(double value) const { return (value - low) / (high > low ? high - low : 1); }
    std::string colour(double value) const;
};

/// Numbers 1, 2 or 5 times a power of ten apart that lie within, some `wanted` of them.
std::vector<double> round_numbers(double low, double high, int wanted);

/// A number with the decimals that steps of `step` need.
std::string stepped_number(double value, double step);

/// What every picture writes into its page once, before draw_scale().
void define_ramp(SvgPage& page);

/// The scale lying, 12 high, its numbers below: 34 in all.
void draw_scale(SvgPage& page, const PictureScale& scale, double x, double y, double width);

}  // namespace noonshell
