// Faces that the user sets apart from the side they lie on: surfaces of their own, and panes that
// are faces of a unit's body.
#pragma once

#include <string>
#include <vector>

#include "geometry/apart_faces.hpp"
#include "geometry/model.hpp"
#include "geometry/roles.hpp"
#include "geometry/skin.hpp"

namespace noonshell {

/// One kind of tagged face.
struct FaceTag {
    std::string name;  ///< the last part of the surface's id
    bool pane = false;
};

struct TaggedFaces {
    FaceTags of_face;  ///< by FaceId, index into `tags` or -1; empty when nothing is tagged
    std::vector<FaceTag> tags;  ///< own surfaces first, in their order, then panes by name
};

/// Tags the faces of bodies with the role unit. Own surfaces come before panes. A face's own colour
/// counts before its body's. Warning: "surface-matches-nothing".
TaggedFaces tag_faces(const Model& model, const std::vector<RoleChoice>& roles,
                      const ApartFaces& apart, std::vector<Warning>& warnings);

}  // namespace noonshell
