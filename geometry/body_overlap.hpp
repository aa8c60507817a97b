// Private to geometry/: whether bodies run into each other, by their own matter: not by their
// boxes, and not by the room that they enclose.
#pragma once

#include <map>

#include "geometry/body_measure.hpp"
#include "geometry/model.hpp"
#include "geometry/ray_mesh.hpp"

namespace noonshell {

/// Bodies of one model with what is needed to compare them, prepared as it is asked for.
class BodyOverlaps {
  public:
    explicit BodyOverlaps(const Model& model) : model_(model) {}

    /// Whether the matter of two solids meets by more than contact_overlap_m along every axis, or
    /// one pierces the other; of open shells, whether one pierces the other or lies in its matter.
    /// Looked for along 24 by 24 lines each way through what their bounds share.
    bool overlap(BodyId a, BodyId b);

    const BodyBounds& bounds(BodyId body) { return prepared(body).bounds; }

  private:
    struct Prepared {
        BodyBounds bounds;
        RayMesh mesh;
        bool solid;
    };
    const Prepared& prepared(BodyId body);
    bool pierces(BodyId shell, const Prepared& other) const;

    const Model& model_;
    std::map<BodyId, Prepared> prepared_;
};

}  // namespace noonshell
