#include "geometry/occt_lost_face.hpp"

#include <Eigen/Geometry>
#include <StepGeom_CartesianPoint.hxx>
#include <StepShape_EdgeLoop.hxx>
#include <StepShape_FaceBound.hxx>
#include <StepShape_OrientedEdge.hxx>
#include <StepShape_PolyLoop.hxx>
#include <StepShape_VertexPoint.hxx>
#include <algorithm>
#include <cmath>
#include <vector>

#include "geometry/vec3.hpp"

namespace noonshell {

namespace {

using opencascade::handle;
using Corners = std::vector<Vec3>;

bool add_point(const handle<StepGeom_Point>& from, Corners& corners) {
    const auto point = handle<StepGeom_CartesianPoint>::DownCast(from);
    if (point.IsNull() || point->NbCoordinates() != 3) return false;
    corners.emplace_back(point->CoordinatesValue(1), point->CoordinatesValue(2),
                         point->CoordinatesValue(3));
    return corners.back().allFinite();
}

bool add_start(const handle<StepShape_OrientedEdge>& edge, Corners& corners) {
    if (edge.IsNull() || edge->EdgeElement().IsNull()) return false;
    const auto& curve = edge->EdgeElement();
    const auto vertex = handle<StepShape_VertexPoint>::DownCast(
        edge->Orientation() ? curve->EdgeStart() : curve->EdgeEnd());
    return !vertex.IsNull() && add_point(vertex->VertexGeometry(), corners);
}

/// Corners of a loop in their order; empty where they cannot be read.
Corners corners_of(const handle<StepShape_Loop>& loop) {
    Corners corners;
    bool good = false;
    if (const auto edges = handle<StepShape_EdgeLoop>::DownCast(loop); !edges.IsNull()) {
        good = true;
        for (int i = 1; i <= edges->NbEdgeList() && good; ++i) {
            good = add_start(edges->EdgeListValue(i), corners);
        }
    } else if (const auto polygon = handle<StepShape_PolyLoop>::DownCast(loop); !polygon.IsNull()) {
        good = true;
        for (int i = 1; i <= polygon->NbPolygon() && good; ++i) {
            good = add_point(polygon->PolygonValue(i), corners);
        }
    }
    return good ? corners : Corners{};
}

double polygon_area(const Corners& corners) {
    Vec3 sum = Vec3::Zero();
    for (std::size_t i = 2; i < corners.size(); ++i) {
        sum += (corners[i - 1] - corners[0]).cross(corners[i] - corners[0]) / 2;
    }
    return sum.norm();
}

}  // namespace

std::optional<double> area_from_corners(const StepShape_Face& face) {
    if (face.Bounds().IsNull()) return std::nullopt;
    double largest = 0, all = 0;
    for (const auto& bound : *face.Bounds()) {
        if (bound.IsNull() || bound->Bound().IsNull()) continue;
        const double area = polygon_area(corners_of(bound->Bound()));
        largest = std::max(largest, area);
        all += area;
    }
    const double net = largest - (all - largest);
    return net > 0 ? std::optional(net) : std::nullopt;
}

}  // namespace noonshell
