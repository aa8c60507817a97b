// Private to geometry/: exponents of numbers in a STEP file. ISO 10303-21 wants a capital E; some
// programs write a small one, on which the CAD kernel reads no number at all.
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace noonshell {

/// The text with "E" for each small "e" between a number and its exponent, outside quoted text;
/// nothing where there is none.
std::optional<std::string> with_capital_exponents(std::string_view text);

}  // namespace noonshell
