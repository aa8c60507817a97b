#include "geometry/owners.hpp"

namespace noonshell {

std::vector<Owner> owners_of(const Model& model, const Envelope& envelope) {
    std::vector<Owner> owners;
    for (const Unit& unit : envelope.units) owners.push_back({unit.id, unit.bodies, {}, {}});
    for (const Shade& shade : envelope.shades) owners.push_back({shade.id, shade.bodies, {}, {}});
    for (std::uint32_t s = 0; s < envelope.surfaces.size(); ++s) {
        const UnitId unit = envelope.surfaces[s].unit;
        if (unit.valid()) owners[unit.index()].surfaces.push_back(s);
    }
    for (std::size_t k = 0; k < envelope.shades.size(); ++k) {
        for (const SurfaceId s : envelope.shades[k].surfaces)
            owners[envelope.units.size() + k].surfaces.push_back(
                static_cast<std::uint32_t>(s.index()));
    }
    for (Owner& owner : owners) owner.shape = placed_shape(model, owner.bodies);
    return owners;
}

}  // namespace noonshell
