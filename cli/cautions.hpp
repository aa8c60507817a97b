// What the numbers are good for and what they are not; printed after every result.
#pragma once

#include <string_view>
#include <vector>

namespace noonshell {

/// `of_films`: where a film can be bought for a pane.
std::vector<std::string_view> cautions(bool of_films);

}  // namespace noonshell
