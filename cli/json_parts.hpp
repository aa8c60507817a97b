// Pieces that every JSON document of the program shares. Keys keep the order they are written in.
#pragma once

#include <array>
#include <nlohmann/json.hpp>
#include <span>
#include <string>
#include <string_view>

#include "geometry/diagnostics.hpp"
#include "geometry/envelope.hpp"
#include "geometry/vec3.hpp"

namespace noonshell {

using Json = nlohmann::ordered_json;

/// Text made safe: broken UTF-8 would make the document invalid.
Json json_text(std::string_view text);
Json json_vector(const Vec3& vector);
Json json_warnings(std::span<const Warning> warnings);

/// "id", "unit" (null for a shade), "kind", "azimuth_deg", "tilt_deg", "normal", "centroid_m",
/// "area_m2", "exposed_area_m2".
Json json_surface(const Envelope& envelope, const Surface& surface);

/// Two blanks of indent and a newline at the end.
std::string document_text(const Json& document);

}  // namespace noonshell
