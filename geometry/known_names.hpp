// By which names the patterns of a site file know the bodies and assemblies of a model: those that
// they bear, and those that they bore in an earlier version for which the file was written.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "geometry/matching.hpp"
#include "geometry/model.hpp"

namespace noonshell {

/// Name, id and path of one thing.
using NameList = std::vector<std::string>;

struct KnownNames {
    std::vector<NameList> bodies, assemblies;  ///< #bodies, #assemblies; present names count first
    std::vector<NameList> former_bodies, former_assemblies;  ///< where they differ; else empty
};

bool any_matches(std::string_view pattern, const NameList& names);

/// The present names alone.
KnownNames present_names(const Model& model);

/// A body is known by the names of the body that it was. A present name does not count where in
/// the old model it was that of one body alone which now bears another. An assembly is known by
/// the names of an old one that held the same bodies.
KnownNames known_names(const BodyMatches& matches, const Model& old_model, const Model& new_model);

}  // namespace noonshell
