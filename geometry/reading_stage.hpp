// Private to geometry/: what the reader is at, for its last words when the CAD kernel crashes or
// takes too long.
#pragma once

#include <cstddef>
#include <cstdint>

class XSControl_WorkSession;

namespace noonshell {

/// `doing` must be a literal, such as "while cutting faces into triangles"; `entity` is its number
/// in the file, 0 where unknown.
void now_at(const char* doing, std::uint32_t entity = 0);

/// From now on the kernel's own list of entities begun tells where it is. Null ends that.
void now_translating(const XSControl_WorkSession* session);

/// A LastWords function (child_process.hpp).
void say_stage(char* text, std::size_t size);

}  // namespace noonshell
