// Private to geometry/: what a body is for, guessed from its own shape.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "geometry/body_measure.hpp"
#include "geometry/roles.hpp"

namespace noonshell {

/// The body that lies under all others and is wider than they are together, if there is one.
std::optional<std::size_t> ground_body(const std::vector<BodyBounds>& bodies);

/// The choice for that body.
RoleChoice ground_choice(const BodyBounds& bounds);

/// The choice for a body that encloses no room: shade, context or ignore.
RoleChoice guessed_choice(const Body& body, const BodyMeasure& measure, const BodyBounds& bounds,
                          const RoleGuessLimits& limits);

/// Whether a name says that this is a window: a hint only.
bool is_called_window(const std::string& name);

/// What keeps a body from being a room by itself, whatever it encloses: "only 0.4 m high", "only
/// 0.3 m across"; empty if nothing does.
std::string too_slight(const BodyMeasure& measure, const BodyBounds& bounds,
                       const RoleGuessLimits& limits);

/// "12.3 m2"
std::string figure_text(double value, const char* unit);

}  // namespace noonshell
