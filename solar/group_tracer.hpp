// Follows the suns of many hours over groups of facets: the inner loop of trace_sunlight.
#pragma once

#include <array>
#include <cstdint>
#include <span>
#include <vector>

#include "solar/early_shade.hpp"
#include "solar/exposure.hpp"
#include "solar/facet_groups.hpp"

namespace noonshell {

/// One weather hour with sun: its steps are [begin, end) of the sun path.
struct SunRow {
    std::uint32_t begin = 0, end = 0;
    double direct_normal_w_m2 = 0, circumsolar_w_m2 = 0;
    std::uint32_t bin = 0;
};

/// What all groups have in common; lives longer than the tracers.
struct SunCourse {
    const Envelope& envelope;
    const LightParts& parts;
    const RayScene& scene;
    const SunPath& path;
    bool early_answers = true;
    std::uint32_t seed = 0;
    ShadeCasters casters;
    std::vector<SunVector> suns;  ///< #steps
};

/// Traces groups one after the other; writes the facet arrays of the result for facets of its
/// groups only. Not for use by several threads at a time.
class GroupTracer {
  public:
    /// `area_lit_cosine_m2` gathers the lit cosines of facets times their areas by part:
    /// [(part - first_part) * #rows + row].
    GroupTracer(const SunCourse& course, std::span<const SunRow> rows,
                std::span<double> area_lit_cosine_m2, PartId first_part, Sunlight& result);

    void trace(const FacetGroup& group, std::span<const std::uint32_t> facets);

    std::uint64_t answers() const { return answers_; }
    std::uint64_t rays() const { return rays_; }

  private:
    void set_group(const FacetGroup& group);
    void trace_row(std::size_t row_index);
    void shoot(std::uint32_t step);
    void count_points(double cosine, double beam);
    void write_row(std::size_t row, double all_lit_cosine, double per_step);
    void finish_group();
    double standard_error(std::span<const double> points, double mean) const;

    const SunCourse& course_;
    std::span<const SunRow> rows_;
    std::span<double> area_lit_cosine_m2_;
    PartId first_part_;
    Sunlight& result_;
    EarlyShade early_;
    const FacetGroup* group_ = nullptr;
    std::span<const std::uint32_t> facets_;
    std::uint32_t n_points_ = 0;  // per facet
    std::uint32_t paired_ = 0;    // points that pairs_ is for
    std::vector<std::array<std::uint32_t, 2>> pairs_;
    RayOrigins origins_;
    std::vector<std::uint8_t> blocked_;      // #points of the group
    std::vector<double> point_wh_m2_;        // #points, from steps in which points differ
    std::vector<std::uint64_t> lit_points_;  // #facets, summed over those steps with beam
    std::vector<double> row_cosine_;         // #facets, of the row in hand
    double all_lit_wh_m2_ = 0, unshaded_wh_m2_ = 0;
    std::uint64_t all_lit_steps_ = 0;
    std::uint64_t answers_ = 0, rays_ = 0;
};

}  // namespace noonshell
