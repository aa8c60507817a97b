// What the numbers are good for and what they are not; printed after every result.
#pragma once

#include <span>
#include <string_view>

namespace noonshell {

std::span<const std::string_view> cautions();

}  // namespace noonshell
