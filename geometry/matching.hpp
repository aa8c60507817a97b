// Which body, unit and surface of a new version of a model is which of the old one, and what was
// done to it. Matches are one to one and the same whichever version is called the old one.
//
// Bodies that bear a name or path which no other body has match by it; the numbers that the reader
// gives to repeated names count for nothing, so those match by place among their namesakes; what
// is left matches by place where it still overlaps and is about as large. Where bodies of one name
// and a number ("Body12") became fewer or more and the numbers closed ranks, the place decides, not
// the name. All places are compared
// after the move of the whole model (geometry/common_move.hpp). Left out: a body without a
// namesake that was both renamed and carried off is gone and new; half a turn of a plain box
// cannot be seen.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "geometry/common_move.hpp"
#include "geometry/envelope.hpp"
#include "geometry/model.hpp"

namespace noonshell {

/// A turn below this is none [deg].
inline constexpr double same_turn_deg = 0.1;
/// An area that differs by no more than this share is the same.
inline constexpr double same_area_share = 1e-3;
/// Bodies of other names are the same only where no side differs by more than this factor...
inline constexpr double renamed_size_ratio = 1.25;
/// ...and the centre moved by no more than this share of the longer side: they still overlap.
inline constexpr double renamed_move_share = 0.5;
/// Surfaces of one name are the same while they turn by no more than this [deg]: beyond it another
/// side has got the name.
inline constexpr double same_side_deg = 45.0;
/// Surfaces of other names are the same when they turn by no more than this [deg].
inline constexpr double renamed_side_deg = 30.0;

/// What was done to a body, a unit, a shade or a surface, besides the move of the whole model.
struct Change {
    static constexpr std::uint32_t none = 0xffffffffu;
    std::uint32_t old_index = none;  ///< none: new
    std::uint32_t new_index = none;  ///< none: gone
    std::string old_id, new_id;
    std::uint32_t owner = none;  ///< of a body or a surface, into ModelMatches::owners; none: of no
                                 ///< unit and no shade
    bool renamed = false;
    bool moved = false;    ///< centre or way it lies
    bool resized = false;  ///< a side or the area
    Vec3 moved_m{0, 0, 0};
    Vec3 centre_m{0, 0, 0};     ///< in the new model; in the old one for what is gone
    double turned_deg = 0;      ///< about the vertical; of a surface: angle of its normal
    Vec3 old_sizes_m{0, 0, 0};  ///< longer side, shorter side, height; not of surfaces
    Vec3 new_sizes_m{0, 0, 0};
    double old_area_m2 = 0, new_area_m2 = 0;

    bool is_new() const { return old_index == none; }
    bool is_gone() const { return new_index == none; }
    bool matched() const { return !is_new() && !is_gone(); }
    bool kept() const { return matched() && !renamed && !moved && !resized; }
};

struct ChangeCounts {
    std::size_t kept = 0, moved = 0, resized = 0, renamed = 0, fresh = 0, gone = 0;
};

/// A change may count as moved, resized and renamed at once.
ChangeCounts count(const std::vector<Change>& changes);

struct BodyMatches {
    CommonMove move;
    std::vector<Change> bodies;  ///< in the order of the new model; then those gone
};

/// Needs no roles.
BodyMatches match_bodies(const Model& old_model, const Model& new_model);

/// Gives a body of the new model the role that the user gave to it under its former name, where
/// the new role is but a guess. Not for bodies of a unit of several bodies.
void carry_roles(const BodyMatches& matches, const std::vector<RoleChoice>& old_roles,
                 std::vector<RoleChoice>& new_roles);

struct ModelMatches {
    BodyMatches bodies;
    std::vector<Change> owners;    ///< units, then shades; indices count units first
    std::vector<Change> surfaces;  ///< in the order of the new envelope; then those gone
};

/// `matches` as match_bodies returns it for the same models.
ModelMatches match_surfaces(BodyMatches matches, const Model& old_model,
                            const Envelope& old_envelope, const Model& new_model,
                            const Envelope& new_envelope);

/// The names by which a site file written for the old model knows the surfaces of the new one.
struct FormerNames {
    /// #surfaces of the new envelope: the former id, and the present one unless it is the former
    /// id of something else that is still there.
    std::vector<std::vector<std::string>> surface_names;
    std::vector<std::vector<std::string>> unit_names;  ///< #units, likewise

    bool surface_matches(std::string_view pattern, SurfaceId surface) const;
    bool unit_matches(std::string_view pattern, UnitId unit) const;
};

FormerNames former_names(const ModelMatches& matches, const Envelope& new_envelope);

}  // namespace noonshell
