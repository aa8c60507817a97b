#include "geometry/graded_cells.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <set>
#include <utility>

namespace noonshell {

namespace {

using SegmentList = std::vector<std::uint32_t>;

/// Least distance of any point of the segment from the box.
double distance_m(const PlaneSegment& segment, const Vec2& low, const Vec2& high) {
    const Vec2 along = segment.b - segment.a;
    const auto from_box = [&](double t) {
        const Vec2 p = segment.a + t * along;
        return (low - p).cwiseMax(p - high).cwiseMax(0.0).norm();
    };
    // The distance from a convex set is convex along the segment: ternary search finds its least.
    double from = 0, to = 1;
    constexpr int rounds = 40;
    for (int i = 0; i < rounds; ++i) {
        const double one = from + (to - from) / 3, other = to - (to - from) / 3;
        if (from_box(one) <= from_box(other)) {
            to = other;
        } else {
            from = one;
        }
    }
    return from_box(0.5 * (from + to));
}

class Grader {
  public:
    Grader(const Vec2& low, const Vec2& high, double cell_m, double finest_m,
           const std::vector<PlaneSegment>& lines)
        : low_(low), lines_(lines) {
        constexpr double rounding = 1e-9;
        for (int axis = 0; axis < 2; ++axis) {
            const double extent = high[axis] - low[axis];
            n_[axis] =
                static_cast<std::int64_t>(std::max(1.0, std::ceil(extent / cell_m - rounding)));
            cell_[axis] = extent / static_cast<double>(n_[axis]);
        }
        int levels = 1;
        for (double size = cell_.maxCoeff(); 0.5 * size >= finest_m * (1 - rounding); size /= 2) {
            ++levels;
        }
        cells_.resize(static_cast<std::size_t>(levels));
    }

    std::vector<CellLevel> grade() {
        SegmentList all(lines_.size());
        for (std::uint32_t i = 0; i < all.size(); ++i) all[i] = i;
        // Halves of the grid first, so that each cell looks at few lines.
        split_grid(0, n_[1], 0, n_[0], all);
        std::vector<CellLevel> levels;
        for (std::size_t level = 0; level < cells_.size(); ++level) {
            levels.push_back(strips(level));
        }
        return levels;
    }

  private:
    using Cell = std::pair<std::int64_t, std::int64_t>;  // row, column

    Vec2 size(std::size_t level) const { return cell_ / static_cast<double>(1ULL << level); }

    Vec2 corner(std::size_t level, std::int64_t row, std::int64_t column) const {
        return low_ + size(level).cwiseProduct(
                          Vec2(static_cast<double>(column), static_cast<double>(row)));
    }

    SegmentList near(const SegmentList& lines, const Vec2& low, const Vec2& high,
                     double reach_m) const {
        SegmentList result;
        for (const std::uint32_t i : lines) {
            if (distance_m(lines_[i], low, high) < reach_m) result.push_back(i);
        }
        return result;
    }

    void split_grid(std::int64_t row, std::int64_t row_end, std::int64_t column,
                    std::int64_t column_end, const SegmentList& lines) {
        if (row >= row_end || column >= column_end) return;
        const SegmentList own =
            near(lines, corner(0, row, column), corner(0, row_end, column_end), cell_.maxCoeff());
        const std::int64_t rows = row_end - row, columns = column_end - column;
        if (rows == 1 && columns == 1) {
            split(0, {row, column}, own);
        } else if (rows >= columns) {
            split_grid(row, row + rows / 2, column, column_end, own);
            split_grid(row + rows / 2, row_end, column, column_end, own);
        } else {
            split_grid(row, row_end, column, column + columns / 2, own);
            split_grid(row, row_end, column + columns / 2, column_end, own);
        }
    }

    void split(std::size_t level, const Cell& cell, const SegmentList& lines) {
        const auto [row, column] = cell;
        const SegmentList own = near(lines, corner(level, row, column),
                                     corner(level, row + 1, column + 1), size(level).maxCoeff());
        if (own.empty() || level + 1 == cells_.size()) {
            cells_[level].insert(cell);
            return;
        }
        for (std::int64_t k = 0; k < 4; ++k) {
            split(level + 1, {2 * row + k / 2, 2 * column + k % 2}, own);
        }
    }

    /// Cells side by side in a row joined.
    CellLevel strips(std::size_t level) const {
        CellLevel result;
        result.cell_m = size(level).maxCoeff();
        result.n_cells = cells_[level].size();
        for (auto cell = cells_[level].begin(); cell != cells_[level].end();) {
            const auto [row, first] = *cell;
            std::int64_t end = first;
            while (cell != cells_[level].end() && *cell == Cell{row, end}) {
                ++end;
                ++cell;
            }
            const Vec2 low = corner(level, row, first), high = corner(level, row + 1, end);
            result.strips.push_back({low, {high.x(), low.y()}, high, {low.x(), high.y()}});
        }
        return result;
    }

    Vec2 low_, cell_{0, 0};
    std::int64_t n_[2] = {1, 1};
    const std::vector<PlaneSegment>& lines_;
    std::vector<std::set<Cell>> cells_;  // by level
};

}  // namespace

std::vector<CellLevel> graded_cells(const Vec2& low, const Vec2& high, double cell_m,
                                    double finest_m, const std::vector<PlaneSegment>& lines) {
    return Grader(low, high, cell_m, finest_m, lines).grade();
}

}  // namespace noonshell
