#include "geometry/contacts.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <nanoflann.hpp>
#include <numbers>
#include <optional>
#include <utility>

#include "geometry/sides.hpp"

namespace noonshell {

namespace {

/// Distances are compared with this allowance, so that a gap of just the limit is a contact [m].
constexpr double distance_rounding_m = 1e-6;

/// Covers the whole facet.
struct Ball {
    Vec3 centre_m;
    double radius_m = 0;
};

std::vector<Ball> bounding_balls(const ContactSearch& search, std::span<const PatchFacet> facets) {
    std::vector<Ball> balls;
    balls.reserve(facets.size());
    for (const PatchFacet& facet : facets) {
        const Vec2 centre = facet.centroid();
        double radius = 0;
        for (const ConvexPolygon& piece : facet.pieces) {
            for (const Vec2& corner : piece) radius = std::max(radius, (corner - centre).norm());
        }
        balls.push_back({search.patches[facet.patch].frame.to_space(centre), radius});
    }
    return balls;
}

/// What nanoflann wants to know about a cloud of points.
struct BallCentres {
    std::span<const Ball> balls;
    std::size_t kdtree_get_point_count() const { return balls.size(); }
    double kdtree_get_pt(std::size_t k, std::size_t axis) const {
        return balls[k].centre_m[static_cast<Eigen::Index>(axis)];
    }
    template <class Box>
    bool kdtree_get_bbox(Box&) const {
        return false;
    }
};
using CentreTree =
    nanoflann::KDTreeSingleIndexAdaptor<nanoflann::L2_Simple_Adaptor<double, BallCentres>,
                                        BallCentres, 3, std::uint32_t>;

bool may_face(const Patch& a, const Patch& b) {
    static const double limit = -std::cos(facing_angle_deg * std::numbers::pi / 180.0);
    return a.body != b.body && a.frame.normal.dot(b.frame.normal) <= limit;
}

struct Box2 {
    Vec2 low{0, 0}, high{0, 0};
    bool meets(const Box2& other) const {
        return (low.array() <= other.high.array()).all() &&
               (other.low.array() <= high.array()).all();
    }
};

Box2 box_of(const ConvexPolygon& polygon) {
    Box2 box{polygon.front(), polygon.front()};
    for (const Vec2& corner : polygon) {
        box.low = box.low.cwiseMin(corner);
        box.high = box.high.cwiseMax(corner);
    }
    return box;
}

/// A patch as it is seen in the plane of the patch that it covers.
struct Cover {
    std::vector<ConvexPolygon> polygons;
    std::vector<Box2> boxes;
};

Cover project(const Patch& partner, const PlaneFrame& frame) {
    Cover cover;
    for (const ConvexPolygon& polygon : partner.outline) {
        ConvexPolygon seen;
        // It faces the other way, so its corners run clockwise here: turn them round.
        for (auto corner = polygon.rbegin(); corner != polygon.rend(); ++corner) {
            seen.push_back(frame.to_plane(partner.frame.to_space(*corner)));
        }
        cover.boxes.push_back(box_of(seen));
        cover.polygons.push_back(std::move(seen));
    }
    return cover;
}

/// Distance along `from`'s normal to the plane of `to` [m].
double gap_between(const PlaneFrame& from, const Vec3& point_m, const PlaneFrame& to) {
    return -to.height_m(point_m) / to.normal.dot(from.normal);
}

struct Tally {
    double area_m2 = 0;
    double gap_area = 0;
};

/// Splits facets one after the other and adds up the contacts.
class ContactSplitter {
  public:
    explicit ContactSplitter(const ContactSearch& search)
        : search_(search), depth_m_(search.patches.size()) {
        for (std::uint32_t p = 0; p < search.patches.size(); ++p) {
            patches_of_[search.patches[p].body].push_back(p);
        }
    }

    void split(PatchFacet facet, std::span<const std::uint32_t> candidates,
               std::vector<PatchFacet>& out) {
        const std::vector<std::uint32_t> partners = by_distance(facet, candidates);
        if (partners.empty()) {
            out.push_back(std::move(facet));
            return;
        }
        std::vector<ConvexPolygon> open = facet.pieces;
        std::map<SurfaceId, std::vector<ConvexPolygon>> covered;
        for (const std::uint32_t partner : partners) take(facet.patch, partner, open, covered);
        emit(std::move(facet), std::move(open), std::move(covered), out);
    }

    std::vector<Contact> contacts() const {
        std::vector<Contact> result;
        for (const auto& [pair, tally] : tallies_) {
            // Each part was met twice, once from either side.
            result.push_back(
                {pair.first, pair.second, tally.area_m2 / 2, tally.gap_area / tally.area_m2});
        }
        return result;
    }

  private:
    const Patch& patch(std::uint32_t p) const { return search_.patches[p]; }

    /// Candidates that can be near enough, the nearest first.
    std::vector<std::uint32_t> by_distance(const PatchFacet& facet,
                                           std::span<const std::uint32_t> candidates) const {
        if (candidates.empty()) return {};
        const PlaneFrame& frame = patch(facet.patch).frame;
        const Vec3 centre = frame.to_space(facet.centroid());
        std::vector<std::pair<double, std::uint32_t>> near;
        for (const std::uint32_t p : candidates) {
            near.emplace_back(std::abs(gap_between(frame, centre, patch(p).frame)), p);
        }
        std::sort(near.begin(), near.end());
        std::vector<std::uint32_t> partners;
        for (const auto& [distance, p] : near) partners.push_back(p);
        return partners;
    }

    const Cover& cover(std::uint32_t of, std::uint32_t partner) {
        if (of != cover_of_) covers_.clear();
        cover_of_ = of;
        auto [found, is_new] = covers_.try_emplace(partner);
        if (is_new) found->second = project(patch(partner), patch(of).frame);
        return found->second;
    }

    /// Moves what `partner` covers from `open` to `covered`.
    void take(std::uint32_t of, std::uint32_t partner, std::vector<ConvexPolygon>& open,
              std::map<SurfaceId, std::vector<ConvexPolygon>>& covered) {
        const Cover& seen = cover(of, partner);
        for (std::size_t k = 0; k < seen.polygons.size(); ++k) {
            std::vector<ConvexPolygon> rest;
            for (ConvexPolygon& piece : open) {
                if (!box_of(piece).meets(seen.boxes[k])) {
                    rest.push_back(std::move(piece));
                    continue;
                }
                CutPolygon parts = noonshell::cut(piece, seen.polygons[k]);
                if (!touches(of, partner, parts.inside)) {
                    rest.push_back(std::move(piece));
                    continue;
                }
                for (ConvexPolygon& part : parts.outside) {
                    if (signed_area(part) >= least_piece_area_m2) rest.push_back(std::move(part));
                }
                covered[search_.patch_surface[partner]].push_back(std::move(parts.inside));
            }
            open = std::move(rest);
        }
    }

    /// Whether the part is there at all and near enough; if so it is added to the tally.
    bool touches(std::uint32_t of, std::uint32_t partner, const ConvexPolygon& part) {
        const double area = signed_area(part);
        if (area < least_piece_area_m2) return false;
        const PlaneFrame& frame = patch(of).frame;
        const double gap =
            gap_between(frame, frame.to_space(area_centroid(part)), patch(partner).frame);
        if (gap > search_.contact_gap_m + distance_rounding_m) return false;
        if (gap < -distance_rounding_m && -gap > overlap_limit(of, partner)) return false;
        const SurfaceId a = search_.patch_surface[of], b = search_.patch_surface[partner];
        Tally& tally = tallies_[{std::min(a, b), std::max(a, b)}];
        tally.area_m2 += area;
        tally.gap_area += area * std::max(gap, 0.0);
        return true;
    }

    double overlap_limit(std::uint32_t a, std::uint32_t b) {
        return std::min(
            {contact_overlap_m + distance_rounding_m, depth_behind(a) / 2, depth_behind(b) / 2});
    }

    /// How far the body reaches behind one of its patches [m].
    double depth_behind(std::uint32_t p) {
        if (depth_m_[p]) return *depth_m_[p];
        double depth = 0;
        for (const std::uint32_t other : patches_of_.at(patch(p).body)) {
            for (const ConvexPolygon& polygon : patch(other).outline) {
                for (const Vec2& corner : polygon) {
                    const Vec3 point = patch(other).frame.to_space(corner);
                    depth = std::max(depth, -patch(p).frame.height_m(point));
                }
            }
        }
        depth_m_[p] = depth;
        return depth;
    }

    void emit(PatchFacet facet, std::vector<ConvexPolygon> open,
              std::map<SurfaceId, std::vector<ConvexPolygon>> covered,
              std::vector<PatchFacet>& out) const {
        if (covered.empty()) {
            out.push_back(std::move(facet));
            return;
        }
        const bool whole = open.empty() && covered.size() == 1;
        if (whole) covered.begin()->second = std::move(facet.pieces);
        if (!open.empty()) {
            join_pieces(open);
            out.push_back({facet.patch, false, std::move(open)});
        }
        for (auto& [surface, pieces] : covered) {
            join_pieces(pieces);
            out.push_back({facet.patch, true, std::move(pieces)});
        }
    }

    const ContactSearch& search_;
    std::map<BodyId, std::vector<std::uint32_t>> patches_of_;
    std::vector<std::optional<double>> depth_m_;  ///< #patches, filled when asked for
    std::uint32_t cover_of_ = 0;
    std::map<std::uint32_t, Cover> covers_;  ///< of the patch `cover_of_`, by partner
    std::map<std::pair<SurfaceId, SurfaceId>, Tally> tallies_;
};

}  // namespace

std::vector<std::vector<std::uint32_t>> facing_patches(const ContactSearch& search,
                                                       std::span<const PatchFacet> facets) {
    std::vector<std::vector<std::uint32_t>> result(facets.size());
    if (facets.empty()) return result;
    const std::vector<Ball> balls = bounding_balls(search, facets);
    double largest = 0;
    for (const Ball& ball : balls) largest = std::max(largest, ball.radius_m);
    const BallCentres centres{balls};
    CentreTree tree(3, centres, nanoflann::KDTreeSingleIndexAdaptorParams(16));
    tree.buildIndex();

    const double gap = search.contact_gap_m + distance_rounding_m;
    std::vector<std::pair<std::uint32_t, double>> found;
    const nanoflann::SearchParams unsorted(32, 0, false);
    for (std::size_t f = 0; f < facets.size(); ++f) {
        const double reach = balls[f].radius_m + largest + gap;
        tree.radiusSearch(balls[f].centre_m.data(), reach * reach, found, unsorted);
        for (const auto& [other, distance_squared] : found) {
            const std::uint32_t p = facets[other].patch;
            if (!may_face(search.patches[facets[f].patch], search.patches[p])) continue;
            const double limit = balls[f].radius_m + balls[other].radius_m + gap;
            if (distance_squared <= limit * limit) result[f].push_back(p);
        }
        std::sort(result[f].begin(), result[f].end());
        result[f].erase(std::unique(result[f].begin(), result[f].end()), result[f].end());
    }
    return result;
}

SplitFacets split_at_contacts(const ContactSearch& search, std::vector<PatchFacet> facets) {
    const auto candidates = facing_patches(search, facets);
    ContactSplitter splitter(search);
    SplitFacets result;
    for (std::size_t f = 0; f < facets.size(); ++f) {
        splitter.split(std::move(facets[f]), candidates[f], result.facets);
    }
    result.contacts = splitter.contacts();
    return result;
}

std::vector<Contact> cover_by_ground(const ContactSearch& search, double ground_z_m,
                                     std::vector<PatchFacet>& facets) {
    std::map<SurfaceId, Tally> tallies;
    for (PatchFacet& facet : facets) {
        const PlaneFrame& frame = search.patches[facet.patch].frame;
        if (facet.covered) continue;
        if (tilt_of_deg(frame.normal) <= ground_tilt_deg) continue;
        const double height = frame.to_space(facet.centroid()).z() - ground_z_m;
        if (height > search.contact_gap_m + distance_rounding_m) continue;
        facet.covered = true;
        Tally& tally = tallies[search.patch_surface[facet.patch]];
        tally.area_m2 += facet.area_m2();
        tally.gap_area += facet.area_m2() * std::max(height, 0.0);
    }
    std::vector<Contact> contacts;
    for (const auto& [surface, tally] : tallies) {
        contacts.push_back(
            {surface, SurfaceId::none(), tally.area_m2, tally.gap_area / tally.area_m2});
    }
    return contacts;
}

}  // namespace noonshell
