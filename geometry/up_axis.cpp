#include "geometry/up_axis.hpp"

#include <array>
#include <cctype>
#include <string>
#include <utility>

namespace noonshell {

namespace {

constexpr std::array<std::pair<std::string_view, UpAxis>, 6> names = {{{"z", UpAxis::z},
                                                                       {"y", UpAxis::y},
                                                                       {"x", UpAxis::x},
                                                                       {"-z", UpAxis::minus_z},
                                                                       {"-y", UpAxis::minus_y},
                                                                       {"-x", UpAxis::minus_x}}};

}  // namespace

std::optional<UpAxis> up_axis_from(std::string_view text) {
    if (text.starts_with('+')) text.remove_prefix(1);
    std::string small;
    for (const unsigned char c : text) small += static_cast<char>(std::tolower(c));
    for (const auto& [name, axis] : names) {
        if (small == name) return axis;
    }
    return std::nullopt;
}

std::string_view name_of(UpAxis up) {
    for (const auto& [name, axis] : names) {
        if (axis == up) return name;
    }
    return "z";
}

Eigen::Matrix3d turn_to_z_up(UpAxis up) {
    Eigen::Matrix3d turn = Eigen::Matrix3d::Identity();
    switch (up) {
        case UpAxis::z:
            break;
        case UpAxis::y:
            turn << 1, 0, 0, 0, 0, -1, 0, 1, 0;
            break;
        case UpAxis::x:
            turn << 0, 0, -1, 0, 1, 0, 1, 0, 0;
            break;
        case UpAxis::minus_z:
            turn << 1, 0, 0, 0, -1, 0, 0, 0, -1;
            break;
        case UpAxis::minus_y:
            turn << 1, 0, 0, 0, 0, 1, 0, -1, 0;
            break;
        case UpAxis::minus_x:
            turn << 0, 0, 1, 0, 1, 0, -1, 0, 0;
            break;
    }
    return turn;
}

}  // namespace noonshell
