#include "cli/picture_scale.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "geometry/colour_scale.hpp"
#include "geometry/colours.hpp"

namespace noonshell {

namespace {

constexpr int ramp_stops = 16;
constexpr double ramp_height = 12, number_height = 16;
constexpr double least_between_numbers = 24;

}  // namespace

std::string PictureScale::colour(double value) const {
    return hex_of(scale_colour(share_of(value)));
}

std::vector<double> round_numbers(double low, double high, int wanted) {
    if (!(high > low)) return {low};
    const double rough = (high - low) / wanted;
    const double power = std::pow(10.0, std::floor(std::log10(rough)));
    const std::array<double, 4> steps = {power, 2 * power, 5 * power, 10 * power};
    const double step = *std::find_if(steps.begin(), steps.end() - 1,
                                      [rough](double s) { return s >= 0.999 * rough; });
    std::vector<double> numbers;
    const auto last = std::llround(std::floor(high / step + 1e-9));
    for (auto n = std::llround(std::ceil(low / step - 1e-9)); n <= last; ++n)
        numbers.push_back(static_cast<double>(n) * step);
    return numbers;
}

std::string stepped_number(double value, double step) {
    const double decimals = std::clamp(-std::floor(std::log10(step) + 1e-9), 0.0, 6.0);
    const std::string text = fmt::format("{:.{}f}", value, static_cast<int>(decimals));
    return text.find_first_not_of("-0.") == std::string::npos ? "0" : text;
}

void define_ramp(SvgPage& page) {
    page.add("<defs>\n<linearGradient id=\"ramp\">");
    for (int n = 0; n <= ramp_stops; ++n) {
        const double share = static_cast<double>(n) / ramp_stops;
        page.add(fmt::format(R"(<stop offset="{}" stop-color="{}"/>)", share,
                             hex_of(scale_colour(share))));
    }
    page.add("</linearGradient>\n</defs>");
}

void draw_scale(SvgPage& page, const PictureScale& scale, double x, double y, double width) {
    page.rectangle(
        x, y, width, ramp_height,
        fmt::format(R"x(fill="url(#ramp)" stroke="{}" stroke-width="0.5")x", picture_colour::ink));
    std::vector<double> numbers;
    double step = 1;
    if (scale.is_rank) {
        // Whole ranks: the ends, and some between them.
        numbers = {scale.low, scale.high};
        for (const double n : round_numbers(-scale.high, -scale.low, 4)) numbers.push_back(-n);
    } else {
        numbers = round_numbers(scale.low, scale.high, 5);
        if (numbers.size() > 1) step = numbers[1] - numbers[0];
    }
    std::vector<double> taken;
    for (const double value : numbers) {
        const double at = x + width * std::clamp(scale.share_of(value), 0.0, 1.0);
        const bool whole = !scale.is_rank || value == std::round(value);
        const bool free = std::none_of(taken.begin(), taken.end(), [at](double other) {
            return std::abs(at - other) < least_between_numbers;
        });
        if (!whole || !free) continue;
        taken.push_back(at);
        page.line(at, y + ramp_height, at, y + ramp_height + 4,
                  fmt::format(R"(stroke="{}" stroke-width="0.8")", picture_colour::ink));
        page.text(at, y + ramp_height + number_height,
                  stepped_number(scale.is_rank ? -value : value, step),
                  {.size = 11, .anchor = "middle"});
    }
}

}  // namespace noonshell
