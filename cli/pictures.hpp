// The pictures that a command line asks for.
#pragma once

#include <string>
#include <vector>

#include "cli/run_analysis.hpp"

namespace noonshell {

struct Picture {
    std::string name;  ///< of the file
    std::string svg;
};

/// Throws InputError for a pattern that matches nothing that can be drawn. To be called before a
/// long computation.
void require_picture_matches(const Envelope& envelope, const RunChoices& choices);

/// views-RESULT.svg, sun-paths-SURFACE.svg, carpet-SURFACE.svg and carpet-ROOM.svg, as chosen. The
/// same result gives the same bytes.
std::vector<Picture> pictures(const RunResult& result);

}  // namespace noonshell
