// Follows the suns of many hours over groups of facets: the inner loop of trace_sunlight.
#pragma once

#include <array>
#include <cstdint>
#include <span>
#include <vector>

#include "solar/early_shade.hpp"
#include "solar/exposure.hpp"
#include "solar/faced_suns.hpp"
#include "solar/facet_groups.hpp"

namespace noonshell {

/// What all groups have in common; lives longer than the tracers.
struct SunCourse {
    const Envelope& envelope;
    const LightParts& parts;
    const RayScene& scene;
    bool early_answers = true;
    std::uint32_t seed = 0;
    ShadeCasters casters;
    /// Column in Sunlight::chosen_lit_cosine, no_column for facets without one; #facets or none.
    std::vector<std::uint32_t> chosen_column{};
    std::size_t n_chosen = 0;
    static constexpr std::uint32_t no_column = ~0u;
};

/// Lit shares at every node of the suns of one normal: of parts, as far as facets of that normal
/// make them up.
class LitTable {
  public:
    static constexpr std::size_t width = 8;  ///< columns are padded to a multiple

    void reset(std::size_t nodes, std::size_t columns);
    std::size_t stride() const { return stride_; }
    float* at(std::size_t node) { return share_.data() + node * stride_; }
    /// What the facets of the normal are of a column: the most that its shares can be.
    float& whole(std::size_t column) { return whole_[column]; }
    std::span<const float> whole() const { return whole_; }
    /// out[column] (#stride): the mean of the row's steps of lit share times cosine.
    void read_row(const FacedSuns& suns, std::size_t row, float* out) const;

  private:
    std::size_t stride_ = 0;
    std::vector<float> share_;  // [node * stride + column]
    std::vector<float> whole_;  // #stride
};

/// Traces groups one after the other; writes the facet arrays of the result for facets of its
/// groups only. Not for use by several threads at a time.
class GroupTracer {
  public:
    GroupTracer(const SunCourse& course, const SunRun& run, Sunlight& result);

    /// `suns` are those of the group's normal. Adds what the facets make up of their parts to
    /// `parts`, whose column 0 is `first_part`.
    void trace(const FacetGroup& group, std::span<const std::uint32_t> facets,
               const FacedSuns& suns, PartId first_part, LitTable& parts);

    std::uint64_t answers() const { return answers_; }
    std::uint64_t rays() const { return rays_; }

  private:
    void set_group(const FacetGroup& group);
    void answer_node(std::size_t node);
    void count_points(std::size_t node);
    void write_sums();
    void fill_facet_table();
    void write_facet_rows();
    void write_chosen_rows();
    void add_to_parts(PartId first_part, LitTable& parts) const;
    void sum_over_facets(std::size_t begin_node, std::span<const double> first,
                         std::span<const double> second);
    double standard_error(std::span<const double> points, double mean) const;

    const SunCourse& course_;
    const SunRun& run_;
    Sunlight& result_;
    EarlyShade early_;
    const FacetGroup* group_ = nullptr;
    const FacedSuns* suns_ = nullptr;
    std::span<const std::uint32_t> facets_;
    std::uint32_t n_points_ = 0;  // per facet
    std::uint32_t paired_ = 0;    // points that pairs_ is for
    std::vector<std::array<std::uint32_t, 2>> pairs_;
    RayOrigins origins_;
    std::vector<std::uint8_t> blocked_;  // #points of the group
    std::vector<double> point_wh_m2_;    // #points, from nodes at which points differ
    std::vector<std::uint8_t> any_lit_;  // #nodes: 1 where a point is
    std::vector<float> lit_;             // share of each facet: [node * #facets + facet]
    std::vector<double> sums_;           // 2 #facets
    LitTable facet_table_;
    std::vector<float> row_;
    std::uint64_t answers_ = 0, rays_ = 0;
};

}  // namespace noonshell
