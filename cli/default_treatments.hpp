// The treatments compared when a site file names none.
#pragma once

#include <string_view>
#include <vector>

#include "thermal/treatment.hpp"

namespace noonshell {

/// Source of every price that the program brings along.
inline constexpr std::string_view invented_price = "invented example price";

/// A white coating, outside insulation, vented cladding and a solar film. Their prices are invented
/// examples, in no real currency: the order they give only shows how the program works.
std::vector<Treatment> example_treatments();

}  // namespace noonshell
