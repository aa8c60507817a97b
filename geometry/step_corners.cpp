#include "geometry/step_corners.hpp"

#include <Eigen/Geometry>
#include <algorithm>

#include "geometry/vec3.hpp"

namespace noonshell {

namespace {

using MaybePoint = std::optional<Vec3>;

struct Line {
    Vec3 point, direction;
};

/// One edge of a loop, in the loop's direction; what cannot be read is empty.
struct LoopEdge {
    MaybePoint start, end;
    std::optional<Line> line;
};

class Outlines {
  public:
    explicit Outlines(const StepRecords& records) : records_(records) {}

    /// Corners in their order; empty where one cannot be found.
    std::vector<Vec3> corners_of_bound(std::uint32_t bound) const {
        StepValue loop = records_.read(bound);
        if (!loop.is("POLY_LOOP") && !loop.is("EDGE_LOOP")) {
            loop = records_.read(loop.at(1).reference);
        }
        std::vector<Vec3> corners;
        if (loop.is("POLY_LOOP")) {
            for (const StepValue& point : loop.at(1).items) {
                const MaybePoint corner = triple(point.reference);
                if (!corner) return {};
                corners.push_back(*corner);
            }
            return corners;
        }
        std::vector<std::uint32_t> edges;
        for (const StepValue& edge : loop.at(1).items) edges.push_back(edge.reference);
        return corners_of_edges(edges);
    }

    /// The same for the oriented edges of one loop.
    std::vector<Vec3> corners_of_edges(const std::vector<std::uint32_t>& oriented) const {
        std::vector<Vec3> corners;
        std::vector<LoopEdge> edges;
        for (const std::uint32_t edge : oriented) edges.push_back(edge_at(edge));
        for (std::size_t i = 0; i < edges.size(); ++i) {
            const MaybePoint corner =
                start_of(edges[i], edges[(i + edges.size() - 1) % edges.size()]);
            if (!corner) return {};
            corners.push_back(*corner);
        }
        return corners;
    }

  private:
    /// The point or direction "#number".
    MaybePoint triple(std::uint32_t number) const {
        const StepValue record = records_.read(number);
        const StepValue& list = record.at(1);
        if (list.items.size() != 3) return std::nullopt;
        Vec3 out;
        for (std::size_t k = 0; k < 3; ++k) {
            if (list.at(k).kind != StepValue::Kind::number) return std::nullopt;
            out[static_cast<Eigen::Index>(k)] = list.at(k).number;
        }
        return out.allFinite() ? std::optional(out) : std::nullopt;
    }

    LoopEdge edge_at(std::uint32_t oriented) const {
        const StepValue use = records_.read(oriented);
        const StepValue curve = records_.read(use.at(3).reference);
        LoopEdge edge;
        edge.start = triple(records_.read(curve.at(1).reference).at(1).reference);
        edge.end = triple(records_.read(curve.at(2).reference).at(1).reference);
        edge.line = line_at(curve.at(3).reference);
        if (use.at(4).text == "F") std::swap(edge.start, edge.end);
        return edge;
    }

    std::optional<Line> line_at(std::uint32_t curve) const {
        StepValue record = records_.read(curve);
        // A surface_curve and its kinds name the curve in space first.
        if (!record.is("LINE")) record = records_.read(record.at(1).reference);
        if (!record.is("LINE")) return std::nullopt;
        const MaybePoint point = triple(record.at(1).reference);
        const MaybePoint direction = triple(records_.read(record.at(2).reference).at(1).reference);
        if (!point || !direction || !(direction->norm() > 0)) return std::nullopt;
        return Line{*point, direction->normalized()};
    }

    static MaybePoint start_of(const LoopEdge& edge, const LoopEdge& before) {
        if (edge.start) return edge.start;
        if (before.end) return before.end;
        if (!edge.line || !before.line) return std::nullopt;
        return crossing(*before.line, *edge.line);
    }

    /// The point midway between two lines where they are nearest; nothing where they run alike.
    static MaybePoint crossing(const Line& a, const Line& b) {
        constexpr double least_sine = 1e-6;
        const Vec3 normal = a.direction.cross(b.direction);
        if (normal.norm() < least_sine) return std::nullopt;
        const Vec3 between = b.point - a.point;
        const double along_a = between.cross(b.direction).dot(normal) / normal.squaredNorm();
        const double along_b = between.cross(a.direction).dot(normal) / normal.squaredNorm();
        return (a.point + along_a * a.direction + b.point + along_b * b.direction) / 2;
    }

    const StepRecords& records_;
};

double polygon_area(const std::vector<Vec3>& corners) {
    Vec3 sum = Vec3::Zero();
    for (std::size_t i = 2; i < corners.size(); ++i) {
        sum += (corners[i - 1] - corners[0]).cross(corners[i] - corners[0]) / 2;
    }
    return sum.norm();
}

}  // namespace

std::optional<double> area_of_bounds(const StepRecords& records,
                                     const std::vector<std::uint32_t>& bounds) {
    const Outlines outlines(records);
    double largest = 0, all = 0;
    const auto add = [&](const std::vector<Vec3>& corners) {
        const double area = polygon_area(corners);
        largest = std::max(largest, area);
        all += area;
    };
    std::vector<std::uint32_t> edges;
    for (const std::uint32_t bound : bounds) {
        if (records.read(bound).is("ORIENTED_EDGE")) {
            edges.push_back(bound);
        } else {
            add(outlines.corners_of_bound(bound));
        }
    }
    add(outlines.corners_of_edges(edges));
    const double net = largest - (all - largest);
    return net > 0 ? std::optional(net) : std::nullopt;
}

std::vector<std::uint32_t> bounds_of(const StepRecords& records, std::uint32_t face) {
    StepValue record = records.read(face);
    if (record.is("ORIENTED_FACE")) record = records.read(record.at(2).reference);
    std::vector<std::uint32_t> bounds;
    for (const StepValue& bound : record.at(1).items) {
        if (bound.reference != 0) bounds.push_back(bound.reference);
    }
    return bounds;
}

std::optional<double> area_from_corners(const StepRecords& records, std::uint32_t face) {
    return area_of_bounds(records, bounds_of(records, face));
}

}  // namespace noonshell
