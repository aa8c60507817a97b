#include "geometry/step_face_places.hpp"

#include <algorithm>

#include "geometry/up_axis.hpp"

namespace noonshell {

FacePlaces::FacePlaces(const StepParts& structure, const Model& model, std::size_t n_bodies,
                       double tolerance_m)
    : structure_(structure),
      model_(model),
      tolerance_m_(tolerance_m),
      to_file_(turn_to_z_up(up_axis_from(model.up).value_or(UpAxis::z)).transpose()),
      found_(model.bodies.size(), false) {
    find_owners();
    std::map<std::uint32_t, std::vector<std::size_t>> by_part;
    for (std::size_t b = 0; b < n_bodies; ++b) {
        if (const std::uint32_t owner = owner_of(b); owner != 0) by_part[owner].push_back(b);
    }
    for (const auto& [definition, bodies] : by_part) place(definition, bodies);
}

void FacePlaces::find_owners() {
    for (const auto& [definition, part] : structure_.parts()) {
        for (const std::uint32_t number : structure_.reach(part.representations)) {
            owner_.try_emplace(number, definition);
        }
    }
}

std::uint32_t FacePlaces::owner_of(std::size_t body) const {
    const Body& from = model_.bodies[body];
    for (std::uint32_t k = 0; k < from.n_faces; ++k) {
        const auto found = owner_.find(model_.faces[from.first_face + k].step_entity);
        if (found != owner_.end()) return found->second;
    }
    return 0;
}

std::uint32_t FacePlaces::representation_of(std::uint32_t face) const {
    const auto found = owner_.find(face);
    if (found == owner_.end()) return 0;
    return structure_.parts().at(found->second).representations.front();
}

void FacePlaces::place(std::uint32_t definition, const std::vector<std::size_t>& bodies) {
    const StepPart& part = structure_.parts().at(definition);
    const std::vector<StepPlace> places = structure_.places(part);
    const double unit_m = structure_.unit_m(part.representations.front());
    if (places.size() == 1 || places.empty() || unit_m <= 0) {
        const auto way = places.size() == 1 ? places[0].occurrences : std::vector<std::uint32_t>{};
        placed_.push_back({definition, way, bodies});
        for (const std::size_t b : bodies) found_[b] = true;
        return;
    }
    for (const StepPlace& at : places) {
        PlacedBodies here{definition, at.occurrences, {}};
        for (const std::size_t b : bodies) {
            if (!stands_at(b, at, unit_m)) continue;
            here.bodies.push_back(b);
            found_[b] = true;
        }
        placed_.push_back(std::move(here));
    }
}

const std::vector<Vec3>& FacePlaces::corners_of(std::uint32_t face) {
    const auto [known, is_new] = corners_.try_emplace(face);
    if (!is_new) return known->second;
    const StepRecords& records = structure_.records();
    for (const std::uint32_t number : structure_.reach({face})) {
        const StepValue vertex = records.read(number);
        if (!vertex.is("VERTEX_POINT")) continue;
        const StepValue xyz = records.read(vertex.at(1).reference).at(1);
        if (xyz.items.size() != 3) continue;
        known->second.emplace_back(xyz.at(0).number, xyz.at(1).number, xyz.at(2).number);
    }
    return known->second;
}

/// Every corner that the file gives the body's faces is a corner of their triangles.
bool FacePlaces::stands_at(std::size_t body, const StepPlace& place, double unit_m) {
    const Body& from = model_.bodies[body];
    for (std::uint32_t k = 0; k < from.n_faces; ++k) {
        const Face& face = model_.faces[from.first_face + k];
        if (face.step_entity == 0) continue;
        for (const Vec3& corner : corners_of(face.step_entity)) {
            const Vec3 at = place.to_file * Vec3(corner * unit_m);
            double nearest = std::numeric_limits<double>::infinity();
            for (std::size_t t = 0; t < face.n_triangles; ++t) {
                for (int c = 0; c < 3; ++c) {
                    const Vec3 seen = to_file_ * model_.mesh.corner(face.first_triangle + t, c);
                    nearest = std::min(nearest, (seen - at).norm());
                }
            }
            if (nearest > tolerance_m_) return false;
        }
    }
    return true;
}

}  // namespace noonshell
