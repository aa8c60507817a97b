#include "geometry/blockers.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <map>

namespace noonshell {

namespace {

class Blockers {
  public:
    Blockers(const SkinPatches& skin, const std::vector<RoleChoice>& roles,
             const std::vector<BodyId>& loose_panes, Envelope& envelope)
        : skin_(skin), roles_(roles), loose_panes_(loose_panes), envelope_(envelope) {}

    void add() {
        std::vector<SurfaceId> surface_of(skin_.model.mesh.triangles.size());
        for (std::size_t p = 0; p < skin_.patches.size(); ++p) {
            if (skin_.patches[p].is_back) continue;
            for (const std::uint32_t t : skin_.patches[p].triangles)
                surface_of[t] = skin_.surfaces[p];
        }
        for (std::size_t b = 0; b < skin_.model.bodies.size(); ++b) {
            const Role role = roles_[b].role;
            if (role == Role::ignore || (role == Role::pane && !is_loose(BodyId(b)))) continue;
            const Body& body = skin_.model.bodies[b];
            for (std::size_t f = body.first_face; f < body.first_face + body.n_faces; ++f) {
                add_blocking_face(FaceId(f), surface_of, role == Role::unit || role == Role::shade);
            }
        }
        for (std::size_t p = 0; p < skin_.patches.size(); ++p) {
            if (skin_.patches[p].triangles.empty() && !skin_.patches[p].is_back)
                add_blocking_outline(skin_.patches[p], skin_.surfaces[p]);
        }
    }

  private:
    bool is_loose(BodyId body) const {
        return std::find(loose_panes_.begin(), loose_panes_.end(), body) != loose_panes_.end();
    }

    void add_blocking_outline(const Patch& patch, SurfaceId surface) {
        TriangleMesh& blockers = envelope_.blockers;
        for (const ConvexPolygon& piece : patch.outline) {
            const auto first = static_cast<std::uint32_t>(blockers.vertices_m.size());
            for (const Vec2& corner : piece) {
                blockers.vertices_m.push_back(patch.frame.to_space(corner));
            }
            for (std::uint32_t k = 1; k + 1 < piece.size(); ++k) {
                blockers.triangles.push_back({first, first + k, first + k + 1});
                blockers.triangle_face.push_back(patch.face);
                envelope_.triangle_surface.push_back(surface);
            }
        }
    }

    void add_blocking_face(FaceId id, const std::vector<SurfaceId>& surface_of, bool skin_only) {
        const Face& face = skin_.model.faces[id.index()];
        TriangleMesh& blockers = envelope_.blockers;
        std::map<std::uint32_t, std::uint32_t> vertex_of;
        for (std::uint32_t t = face.first_triangle; t < face.first_triangle + face.n_triangles;
             ++t) {
            if (skin_only && !surface_of[t].valid()) continue;
            const Vec3 a = skin_.model.mesh.corner(t, 0);
            const Vec3 twice_area =
                (skin_.model.mesh.corner(t, 1) - a).cross(skin_.model.mesh.corner(t, 2) - a);
            if (twice_area.norm() < 2 * least_triangle_area_m2) continue;
            std::array<std::uint32_t, 3> corners{};
            for (std::size_t k = 0; k < 3; ++k) {
                const std::uint32_t from = skin_.model.mesh.triangles[t][k];
                const auto next = static_cast<std::uint32_t>(blockers.vertices_m.size());
                const auto [found, is_new] = vertex_of.try_emplace(from, next);
                if (is_new) blockers.vertices_m.push_back(skin_.model.mesh.vertices_m[from]);
                corners[k] = found->second;
            }
            blockers.triangles.push_back(corners);
            blockers.triangle_face.push_back(id);
            envelope_.triangle_surface.push_back(surface_of[t]);
        }
    }

    const SkinPatches& skin_;
    const std::vector<RoleChoice>& roles_;
    const std::vector<BodyId>& loose_panes_;
    Envelope& envelope_;
};

}  // namespace

void add_blockers(const SkinPatches& skin, const std::vector<RoleChoice>& roles,
                  const std::vector<BodyId>& loose_panes, Envelope& envelope) {
    Blockers(skin, roles, loose_panes, envelope).add();
}

}  // namespace noonshell
