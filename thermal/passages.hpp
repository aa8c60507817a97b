// Which faces lie on a passage: a level space between a shade roof and a roof, or two storeys.
#pragma once

#include <optional>
#include <vector>

#include "geometry/envelope.hpp"
#include "solar/exchange.hpp"
#include "thermal/passage_air.hpp"

namespace noonshell {

/// The part of a surface that lies on a passage; empty where nothing stands close before it, and
/// for surfaces steeper than 60 degrees, which count as open. The passage is as long as a square of
/// the covered part.
std::optional<Passage> passage_before(const Envelope& envelope, const ExchangeMatrix& exchange,
                                      SurfaceId surface);

/// All surfaces on passages and those that stand before them, ascending.
std::vector<SurfaceId> faces_of_passages(const Envelope& envelope, const ExchangeMatrix& exchange);

}  // namespace noonshell
