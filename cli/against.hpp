// The comparison of a model with an earlier version of it, on the page and in the document.
#pragma once

#include <string>

#include "cli/inspection.hpp"
#include "cli/json_parts.hpp"

namespace noonshell {

/// Matches bodies; before roles are chosen.
void compare_bodies(const Inspection& former, Inspection& inspection);

/// Matches units, shades and surfaces; once the envelope is built.
void compare_surfaces(const Inspection& former, Inspection& inspection);

/// Tables of what changed; empty when nothing was compared.
std::string against_page(const Inspection& inspection);

/// `inspect --json`, "against": {"file", "whole_model", "bodies", "owners", "surfaces"}; each list
/// has "counts" and "changes", kept ones included.
Json json_against(const Comparison& comparison);

}  // namespace noonshell
