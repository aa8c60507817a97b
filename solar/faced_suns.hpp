// All suns of a period as facets of one normal meet them: where shadows have to be known, and what
// hours and sums make of the answers.
#pragma once

#include <cstddef>
#include <cstdint>
#include <memory>
#include <mutex>
#include <span>
#include <vector>

#include "geometry/vec3.hpp"
#include "solar/early_shade.hpp"
#include "solar/sun_grid.hpp"
#include "solar/sun_path.hpp"

namespace noonshell {

/// What a point that is lit at a node gets over one bin, [node - begin_node].
struct BinOfSuns {
    std::uint32_t bin = 0, begin_node = 0;
    std::vector<double> direct_wh_m2, circumsolar_wh_m2;
};

/// Nodes are those of the grid or, without one, the steps themselves; all are in front of the
/// facets and above the horizon. A node that is not, but that a step in front is read from, stands
/// for the nearest sun that is.
struct FacedSuns {
    std::vector<Vec3> direction;  ///< unit, #nodes
    std::vector<SunVector> sun;   ///< the same, #nodes
    /// What a point that is lit at a node gets over the period, and for how long, #nodes.
    std::vector<double> direct_wh_m2, sun_time_h;
    std::vector<BinOfSuns> bins;  ///< that have any
    /// Mean over the steps of row r, weighted by the beam, of lit share times cosine: the sum of
    /// row_weight[i] times the share at row_node[i] over i in [row_begin[r], row_begin[r + 1]).
    std::vector<std::uint32_t> row_begin, row_node;
    std::vector<float> row_weight;
    double unshaded_wh_m2 = 0;  ///< with nothing in the way, not even hills

    std::size_t n_nodes() const { return direction.size(); }
    std::size_t n_rows() const { return row_begin.size() - 1; }
};

/// What the suns of all normals have in common; lives longer than they do.
struct SunRun {
    const SunPath& path;
    const SunGrid& grid;  ///< empty: every step is answered for itself
    std::span<const SunRow> rows;
};

FacedSuns faced_suns(const SunRun& run, const Vec3& normal);

/// Keeps the suns of the first normals that are asked for; may be used by several threads.
class FacedSunsStore {
  public:
    explicit FacedSunsStore(const SunRun& run) : run_(run) {}

    std::shared_ptr<const FacedSuns> of(const Vec3& normal);

  private:
    struct Entry {
        Vec3 normal;
        std::shared_ptr<const FacedSuns> suns;
    };
    SunRun run_;
    std::mutex mutex_;
    std::vector<Entry> entries_;
};

}  // namespace noonshell
