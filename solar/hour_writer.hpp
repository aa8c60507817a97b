// Irradiance of surfaces in a few hours at a time: the inner loop of expose().
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "solar/bounce.hpp"
#include "solar/bounce_paths.hpp"
#include "solar/exposure.hpp"
#include "solar/hour_light.hpp"

namespace noonshell {

/// Everything that the hours have in common; lives longer than the writers.
struct HourSources {
    static constexpr std::size_t no_row = static_cast<std::size_t>(-1);

    const Sunlight& sunlight;
    const ExchangeMatrix& exchange;
    const BounceSolver& solver;
    const BouncePaths* paths;                   ///< none: each hour is solved for itself
    std::span<const double> off_far_ground;     ///< see light_off_far_ground(), #parts
    std::vector<double> share_of_surface;       ///< a part's area over its surface's, #parts
    std::vector<float> no_sun;                  ///< zeros, #parts
    std::span<const std::uint8_t> bin_of_hour;  ///< empty: one bin

    const float* lit_cosines(std::size_t row) const {
        return row == no_row ? no_sun.data()
                             : sunlight.part_lit_cosine.data() + row * sunlight.n_parts;
    }
};

/// What arrives at the parts, what the sky sends and what open ground gets, over a run of hours, by
/// bin.
struct RunSums {
    std::vector<double> arriving_wh_m2;  ///< [bin * #parts + part]
    std::vector<double> dome_wh_m2, horizon_wh_m2, open_ground_wh_m2;

    RunSums(std::size_t bins, std::size_t n_parts)
        : arriving_wh_m2(bins * n_parts),
          dome_wh_m2(bins),
          horizon_wh_m2(bins),
          open_ground_wh_m2(bins) {}
};

/// Light thrown onto surfaces where all parts have an even sky or horizon band of 1 W/m2 before
/// them, or far ground that gets as much, [surface * kinds + kind].
struct EvenLight {
    enum Kind : std::size_t { dome, horizon, open_ground, kinds };
    std::vector<double> from_surfaces, from_ground;
};

/// `sources` have paths.
EvenLight even_light(const HourSources& sources, std::size_t n_surfaces);

/// Writes up to `lanes` hours at a time; buffers are reused. Not for use by several threads.
class HourWriter {
  public:
    static constexpr std::size_t lanes = BounceSolver::lanes;

    /// `even`: where there are paths, else unused.
    HourWriter(const HourSources& sources, const EvenLight& even, Exposure& result);

    /// `rows`: of the traced sunlight, no_row where there is no sun.
    void write(std::span<const HourLight> hours, std::span<const std::size_t> rows);

    const RunSums& sums() const { return sums_; }

  private:
    /// Hours side by side; those that are wanting are dark.
    struct Lanes {
        std::array<double, lanes> direct{}, dome{}, circumsolar{}, horizon{}, open_ground{};
        std::array<const float*, lanes> lit{};
    };

    Lanes lanes_of(std::span<const HourLight> hours, std::span<const std::size_t> rows) const;
    void write_straight(std::span<const HourLight> hours, const Lanes& side_by_side);
    void follow_paths(const Lanes& side_by_side);
    void solve();
    void put_thrown(const HourLight& light, std::size_t lane);
    void add_to_bin(const HourLight& light, std::size_t lane);

    const HourSources& sources_;
    const EvenLight& even_;
    Exposure& result_;
    std::size_t n_parts_;
    std::vector<double> arriving_;          // [part * lanes + hour]
    std::vector<float> beam_;               // the same without the even light
    std::vector<std::uint8_t> any_beam_;    // #parts
    std::vector<float> shining_, leaving_;  // as arriving_, where hours are solved for themselves
    std::vector<double> bounced_, ground_;  // [surface * lanes + hour]
    RunSums sums_;
};

}  // namespace noonshell
