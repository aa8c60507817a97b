#include "geometry/envelope_checks.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <cstdio>
#include <limits>
#include <string>

#include "geometry/contacts.hpp"

namespace noonshell {

namespace {

std::string number(double value) {
    char text[32];
    std::snprintf(text, sizeof text, "%.6g", value);
    return text;
}

void require_range(double value, double low, double high, const char* key, const char* unit) {
    if (value >= low && value <= high) return;  // false for NaN
    throw InputError({{}, {}, {}, std::string("[model] ") + key},
                     "a number from " + number(low) + " to " + number(high) + " " + unit,
                     number(value));
}

/// The planes of a body with its extent; convex when no corner lies in front of any plane.
struct Shape {
    std::span<const Patch> patches;
    Eigen::AlignedBox3d box;
    bool convex = true;
};

std::vector<Vec3> corners_of(std::span<const Patch> patches) {
    std::vector<Vec3> corners;
    for (const Patch& patch : patches) {
        for (const ConvexPolygon& polygon : patch.outline) {
            for (const Vec2& corner : polygon) corners.push_back(patch.frame.to_space(corner));
        }
    }
    return corners;
}

Shape shape_of(std::span<const Patch> patches) {
    // A closed body has at least four planes; many planes are curved bodies, not worth the time.
    constexpr std::size_t least_planes = 4, most_planes = 64;
    constexpr double flatness_m = 1e-4;
    Shape shape{patches, {}, patches.size() >= least_planes && patches.size() <= most_planes};
    const std::vector<Vec3> corners = corners_of(patches);
    for (const Vec3& corner : corners) shape.box.extend(corner);
    for (std::size_t p = 0; p < patches.size() && shape.convex; ++p) {
        shape.convex = std::all_of(corners.begin(), corners.end(), [&](const Vec3& corner) {
            return patches[p].frame.height_m(corner) < flatness_m;
        });
    }
    return shape;
}

/// Depth of a point inside a convex body [m]; negative outside.
double depth_inside(const Shape& shape, const Vec3& point_m) {
    double depth = std::numeric_limits<double>::infinity();
    for (const Patch& patch : shape.patches) {
        depth = std::min(depth, -patch.frame.height_m(point_m));
    }
    return depth;
}

bool reaches_into(const BodyParts& part, const Shape& other) {
    if (!other.convex) return false;
    return std::any_of(part.facets.begin(), part.facets.end(), [&](const PatchFacet& facet) {
        const Vec3 middle = part.all_patches[facet.patch].frame.to_space(facet.centroid());
        return other.box.contains(middle) &&
               depth_inside(other, middle) > contact_overlap_m + snap_distance_m;
    });
}

}  // namespace

void validate(const EnvelopeOptions& options) {
    require_range(options.facet_size_m, 0.02, 100.0, "facet_size_m", "m");
    require_range(options.contact_gap_m, 0.0, 0.5, "contact_gap_m", "m");
    if (!std::isfinite(options.north_deg)) {
        throw InputError({{}, {}, {}, "[site] north_deg"}, "a finite angle in degrees",
                         number(options.north_deg));
    }
    if (std::isinf(options.ground_z_m)) {
        throw InputError({{}, {}, {}, "[model] ground_z_m"}, "a finite height in metres",
                         number(options.ground_z_m));
    }
}

std::vector<Warning> overlap_warnings(const Model& model, std::span<const BodyParts> parts) {
    std::vector<Shape> shapes;
    for (const BodyParts& part : parts) shapes.push_back(shape_of(part.patches));
    std::vector<Warning> warnings;
    for (std::size_t i = 0; i < parts.size(); ++i) {
        for (std::size_t j = i + 1; j < parts.size(); ++j) {
            if (!shapes[i].box.intersects(shapes[j].box)) continue;
            if (!reaches_into(parts[i], shapes[j]) && !reaches_into(parts[j], shapes[i])) continue;
            const std::string& a = model.bodies[parts[i].body.index()].id;
            const std::string& b = model.bodies[parts[j].body.index()].id;
            warnings.push_back({"bodies-overlap",
                                a + " and " + b +
                                    " run into each other; surfaces inside the "
                                    "other body count as shaded",
                                a + ", " + b});
        }
    }
    return warnings;
}

std::vector<Warning> below_ground_warnings(const Model& model, std::span<const BodyParts> parts,
                                           double ground_z_m) {
    std::vector<Warning> warnings;
    for (const BodyParts& part : parts) {
        double lowest = std::numeric_limits<double>::infinity();
        for (const Vec3& corner : corners_of(part.patches)) lowest = std::min(lowest, corner.z());
        if (lowest >= ground_z_m - contact_overlap_m - snap_distance_m) continue;
        const std::string& id = model.bodies[part.body.index()].id;
        warnings.push_back({"below-ground",
                            id + " reaches " + number(ground_z_m - lowest) +
                                " m below the ground at z = " + number(ground_z_m) + " m",
                            id});
    }
    return warnings;
}

}  // namespace noonshell
