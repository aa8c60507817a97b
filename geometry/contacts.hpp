// Where bodies touch or nearly touch, and where they lie on the ground. Facets are split exactly
// along the border of the part that another body covers.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "geometry/envelope.hpp"
#include "geometry/facets.hpp"
#include "geometry/patches.hpp"

namespace noonshell {

/// Bodies that run into each other by less than this still touch [m]: the play of a CAD model.
/// Thin plates count only up to half their thickness, so that a plate never touches the far side
/// of the plate that lies on it.
inline constexpr double contact_overlap_m = 0.005;

/// Normals of touching faces may miss being opposite by this much [deg].
inline constexpr double facing_angle_deg = 1.0;

/// Downward faces steeper than this do not lie on the ground [deg].
inline constexpr double ground_tilt_deg = 175.0;

struct ContactSearch {
    std::span<const Patch> patches;
    std::span<const SurfaceId> patch_surface;  ///< #patches
    double contact_gap_m = 0.060;
};

/// For each facet the patches, ascending, that might cover it: those of other bodies with a facet
/// that faces the other way (within facing_angle_deg) and whose bounding sphere about its centroid
/// comes within the contact gap of this facet's. #facets lists.
std::vector<std::vector<std::uint32_t>> facing_patches(const ContactSearch& search,
                                                       std::span<const PatchFacet> facets);

struct SplitFacets {
    std::vector<PatchFacet> facets;  ///< in the order given; open part first, then by partner
    std::vector<Contact> contacts;   ///< one per pair of surfaces, a < b, ascending
};

/// Splits facets into open and covered parts. Where several bodies lie in front of a point the
/// nearest covers it.
SplitFacets split_at_contacts(const ContactSearch& search, std::vector<PatchFacet> facets);

/// Marks open facets that face down no higher than the contact gap above the ground as covered and
/// returns one contact per surface, without a partner.
std::vector<Contact> cover_by_ground(const ContactSearch& search, double ground_z_m,
                                     std::vector<PatchFacet>& facets);

}  // namespace noonshell
