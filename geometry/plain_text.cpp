#include "geometry/plain_text.hpp"

#include <array>
#include <cmath>
#include <cstdio>

namespace noonshell {

std::string counted(std::size_t n, std::string_view one, std::string_view many) {
    std::string text = std::to_string(n) + " ";
    if (n != 1 && !many.empty()) return text += many;
    text += one;
    return n == 1 ? text : text + "s";
}

std::string plain_figure(double value) {
    constexpr double least_whole = 999.5, largest_whole = 1e7;
    const double size = std::abs(value);
    std::array<char, 32> text{};
    const bool whole = size >= least_whole && size < largest_whole;
    std::snprintf(text.data(), text.size(), whole ? "%.0f" : "%.3g", value);
    return text.data();
}

}  // namespace noonshell
