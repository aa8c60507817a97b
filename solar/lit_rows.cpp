#include "solar/lit_rows.hpp"

#include <numeric>
#include <vector>

#include "solar/wide.hpp"

namespace noonshell {

namespace {

/// Sums `read` and `kept` are weighed by the row's beam.
NOONSHELL_WIDE void cut_off(float beam, float cosine, const float* whole, std::size_t n, float* lit,
                            float* read, float* kept) {
    for (std::size_t c = 0; c < n; ++c) {
        const float most = cosine * whole[c], light = lit[c];
        const float above = light > 0 ? light : 0.0F;
        const float within = above < most ? above : most;
        read[c] += beam * light;
        kept[c] += beam * within;
        lit[c] = within;
    }
}

NOONSHELL_WIDE void scale(const float* factor, std::size_t n, float* lit) {
    for (std::size_t c = 0; c < n; ++c) lit[c] *= factor[c];
}

}  // namespace

void keep_in_bounds(const SunRun& run, const FacedSuns& suns, const LitTable& table,
                    std::size_t n_bins, std::span<float> rows) {
    const std::size_t stride = table.stride();
    std::vector<float> read(n_bins * stride, 0.0F), kept(n_bins * stride, 0.0F);
    for (std::size_t row = 0; row < suns.n_rows(); ++row) {
        const SunRow& sun = run.rows[row];
        const float cosine =
            std::accumulate(suns.row_weight.begin() + suns.row_begin[row],
                            suns.row_weight.begin() + suns.row_begin[row + 1], 0.0F);
        cut_off(static_cast<float>(sun.direct_normal_w_m2), cosine, table.whole().data(), stride,
                rows.data() + row * stride, read.data() + sun.bin * stride,
                kept.data() + sun.bin * stride);
    }
    for (std::size_t i = 0; i < read.size(); ++i) {
        const float light = read[i] > 0 ? read[i] : 0.0F;
        read[i] = kept[i] > 0 ? light / kept[i] : 1.0F;  // from here on the factor
    }
    for (std::size_t row = 0; row < suns.n_rows(); ++row) {
        scale(read.data() + run.rows[row].bin * stride, stride, rows.data() + row * stride);
    }
}

}  // namespace noonshell
