#include "geometry/owners.hpp"

#include <map>

namespace noonshell {

std::vector<Owner> owners_of(const Model& model, const Envelope& envelope) {
    std::vector<Owner> owners;
    for (const Unit& unit : envelope.units) owners.push_back({unit.id, unit.bodies, {}, {}});
    std::map<BodyId, std::size_t> shade_of;
    for (std::uint32_t s = 0; s < envelope.surfaces.size(); ++s) {
        const Surface& surface = envelope.surfaces[s];
        std::size_t owner = surface.unit.index();
        if (!surface.unit.valid()) {
            owner = shade_of.try_emplace(surface.body, owners.size()).first->second;
            if (owner == owners.size()) {
                owners.push_back({model.bodies[surface.body.index()].id, {surface.body}, {}, {}});
            }
        }
        owners[owner].surfaces.push_back(s);
    }
    for (Owner& owner : owners) owner.shape = placed_shape(model, owner.bodies);
    return owners;
}

}  // namespace noonshell
