// What the user sets apart from the sides of a unit.
#pragma once

#include <string>
#include <vector>

#include "geometry/model.hpp"

namespace noonshell {

/// A surface that stays its own, by name patterns (of faces, bodies and their assembly paths) or by
/// colour.
struct OwnSurface {
    std::string name;
    std::vector<std::string> faces;
    std::vector<Rgb> colours;
};

/// What is to be set apart.
struct ApartFaces {
    std::vector<OwnSurface> surfaces;
    std::vector<std::string> panes;  ///< name patterns of faces
    std::vector<Rgb> pane_colours;
    /// By BodyId, the names that patterns of `surfaces` know; empty: those of the model.
    std::vector<std::vector<std::string>> body_names{};
    /// By FaceId, the names that patterns of `surfaces` and `panes` know; empty: those of the
    /// model.
    std::vector<std::vector<std::string>> face_names{};
};

}  // namespace noonshell
