// Private to geometry/: colours of faces as records of a STEP file.
#pragma once

#include <cstdint>
#include <map>
#include <string>
#include <vector>

#include "geometry/model.hpp"
#include "geometry/step_edit.hpp"

namespace noonshell {

/// Gives faces their colours: an earlier style of the face is exchanged, else a new one is added.
class StepStyles {
  public:
    /// `styled` holds the file's styled items by the item that they style.
    StepStyles(StepEdit& edit, std::unordered_map<std::uint32_t, std::vector<std::uint32_t>> styled)
        : edit_(edit), styled_(std::move(styled)) {}

    /// A face of the file as it came; `context` is that of its representation.
    void colour(std::uint32_t face, const Rgb& colour, std::uint32_t context);
    /// A face that was added.
    void colour_new(std::uint32_t face, const Rgb& colour, std::uint32_t context);
    /// Styled items that were added elsewhere and are to be bound to a context.
    void list(const std::vector<std::uint32_t>& items, std::uint32_t context);
    /// Writes what binds the new styles to their contexts; the last call.
    void finish();

  private:
    std::uint32_t style_of(const Rgb& colour);

    StepEdit& edit_;
    std::unordered_map<std::uint32_t, std::vector<std::uint32_t>> styled_;
    std::map<std::string, std::uint32_t> styles_;                     ///< by the colour's text
    std::map<std::uint32_t, std::vector<std::uint32_t>> by_context_;  ///< new styled items
};

}  // namespace noonshell
