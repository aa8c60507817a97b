// Private to geometry/: gaps of a STEP file that can be filled soundly before the CAD kernel sees
// it: placements without a location, product definitions that are named but missing
// (ISO 10303-41 and -42 entities).
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace noonshell {

/// Numbers from here on stand for locations that placements lack; files do not count so far.
inline constexpr std::uint32_t first_unset_location = 2'147'000'000;

/// The text with a reference to a missing record, from `first_unset_location` on, in place of each
/// location that an axis2_placement_3d leaves out or for which it names a point that has not three
/// coordinates; nothing where none does. What is done about
/// missing records then takes care of them: a stand-in at the origin for the placement of a part,
/// leaving out for the surface of a face.
std::optional<std::string> with_named_locations(std::string_view text);

struct AmendedText {
    std::string text;
    std::vector<std::uint32_t> definitions;  ///< those added, ascending
};

/// The text with the product_definitions that occurrences and shapes name but that are missing;
/// nothing where none is. Each gets a formation that no other one claims, where there are as many
/// of these as are missing; else a product without a name.
std::optional<AmendedText> with_lost_definitions(std::string_view text);

}  // namespace noonshell
