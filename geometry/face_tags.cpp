#include "geometry/face_tags.hpp"

#include <algorithm>
#include <map>

#include "geometry/known_names.hpp"

namespace noonshell {

namespace {

bool has_colour(const Model& model, const Face& face, const std::vector<Rgb>& colours) {
    const auto& colour = face.colour ? face.colour : model.bodies[face.body.index()].colour;
    return colour && std::any_of(colours.begin(), colours.end(),
                                 [&](const Rgb& c) { return same_colour(c, *colour); });
}

bool any_named(const NameList& names, const std::vector<std::string>& patterns) {
    return std::ranges::any_of(patterns,
                               [&](const std::string& p) { return any_matches(p, names); });
}

}  // namespace

TaggedFaces tag_faces(const Model& model, const std::vector<RoleChoice>& roles,
                      const ApartFaces& apart, std::vector<Warning>& warnings) {
    TaggedFaces tagged;
    if (apart.surfaces.empty() && apart.panes.empty() && apart.pane_colours.empty()) return tagged;
    for (const OwnSurface& own : apart.surfaces) tagged.tags.push_back({own.name, false});
    tagged.of_face.assign(model.faces.size(), -1);
    std::vector<bool> used(apart.surfaces.size(), false);
    std::map<std::string, std::int32_t> pane_tags;
    const std::vector<NameList> body_names =
        apart.body_names.empty() ? present_names(model).bodies : apart.body_names;
    for (std::size_t f = 0; f < model.faces.size(); ++f) {
        const Face& face = model.faces[f];
        if (roles[face.body.index()].role != Role::unit) continue;
        const NameList face_names =
            apart.face_names.empty() ? NameList{face.name} : apart.face_names[f];
        for (std::size_t s = 0; s < apart.surfaces.size() && tagged.of_face[f] < 0; ++s) {
            const OwnSurface& own = apart.surfaces[s];
            if (!any_named(face_names, own.faces) &&
                !any_named(body_names[face.body.index()], own.faces) &&
                !has_colour(model, face, own.colours)) {
                continue;
            }
            tagged.of_face[f] = static_cast<std::int32_t>(s);
            used[s] = true;
        }
        if (tagged.of_face[f] >= 0 ||
            !(any_named(face_names, apart.panes) || has_colour(model, face, apart.pane_colours))) {
            continue;
        }
        const std::string name = face.name.empty() ? "pane" : face.name;
        const auto next = static_cast<std::int32_t>(tagged.tags.size());
        const auto [found, is_new] = pane_tags.try_emplace(name, next);
        if (is_new) tagged.tags.push_back({name, true});
        tagged.of_face[f] = found->second;
    }
    for (std::size_t s = 0; s < used.size(); ++s) {
        if (used[s]) continue;
        warnings.push_back({"surface-matches-nothing",
                            "no face of a unit has the names or colours of this surface",
                            apart.surfaces[s].name});
    }
    return tagged;
}

}  // namespace noonshell
