#include "cli/sights.hpp"

namespace noonshell {

std::string sight_name(const Inspection& inspection, std::uint32_t triangle) {
    const Envelope& envelope = inspection.envelope;
    const SurfaceId surface = envelope.triangle_surface[triangle];
    if (surface.valid() && envelope.surfaces[surface.index()].unit.valid())
        return envelope.units[envelope.surfaces[surface.index()].unit.index()].id;
    const FaceId face = envelope.blockers.triangle_face[triangle];
    const Model& model = inspection.model;
    return model.bodies[model.faces[face.index()].body.index()].id;
}

}  // namespace noonshell
