// Private to geometry/: what the CAD kernel parses in place of a file that it would stumble over.
#pragma once

#include <cstdint>
#include <filesystem>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "geometry/step_prescan.hpp"

namespace noonshell {

struct OcctDocument;
class ChildFailure;

/// Numbers of entities.
using Entities = std::set<std::uint32_t>;

/// What attempts that failed have taught.
struct Lessons {
    Entities crashed;       ///< what the kernel was at when it crashed
    Entities unreadable{};  ///< records on which it crashed before it had read the file
    bool links = false;  ///< records of styles, placements and products that lack one are harmful
};

/// The text that the kernel parses, and what was taken out of it.
struct KernelText {
    std::optional<std::string> whole;    ///< nothing: as the file stands
    std::optional<std::string> thinned;  ///< without what must not be translated
    Entities broken;                     ///< faces that need a record that the file lacks
    Entities axisless;                   ///< faces whose surface or bounds go by an odd axis
    Entities default_axes{};             ///< placements of parts that do; they got the default
    Entities crashed;                    ///< what the kernel crashed on, besides
    Entities styles, links;              ///< further records that lack one: see StepOwners
    std::map<std::uint32_t, std::string> stand_ins{};  ///< see StepOwners
    std::vector<std::uint32_t> lost_definitions{};     ///< stand in `whole`, not in the file

    /// Null where the kernel may read the file itself.
    const std::string* for_kernel() const {
        return thinned ? &*thinned : whole ? &*whole : nullptr;
    }
};

/// Looks at the references only where the prescan found some that lead nowhere, or after a crash.
KernelText text_for_kernel(const std::filesystem::path& file, const StepHeader& header,
                           const Lessons& lessons);

/// Adds rows for the faces that the kernel never saw to `loaded`, whose names must be there, and
/// faulty entities for placements and links. Reason and area are for note_losses() to complete,
/// which gets the whole text to do so.
void note_taken_out(const KernelText& text, OcctDocument& loaded);

/// Adds to the lessons what the next attempt may do better; false where there is no hope.
bool learn(const std::filesystem::path& file, const StepHeader& header, const ChildFailure& failure,
           Lessons& lessons);

}  // namespace noonshell
