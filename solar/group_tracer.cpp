#include "solar/group_tracer.hpp"

#include <algorithm>
#include <bit>
#include <cmath>
#include <cstring>
#include <numeric>

#include "solar/lit_rows.hpp"
#include "solar/sampling.hpp"
#include "solar/wide.hpp"

namespace noonshell {

namespace {

NOONSHELL_WIDE void add_where_lit(const std::uint8_t* blocked, std::size_t n, double energy_wh_m2,
                                  double* sums_wh_m2) {
    for (std::size_t p = 0; p < n; ++p) sums_wh_m2[p] += (1 - blocked[p]) * energy_wh_m2;
}

/// Number of ones among n bytes of 0 or 1; four at a time, their sum in the highest byte of a
/// product.
std::uint32_t count_blocked(const std::uint8_t* blocked, std::uint32_t n) {
    std::uint32_t count = 0;
    for (; n >= 4; n -= 4, blocked += 4) {
        std::uint32_t four = 0;
        std::memcpy(&four, blocked, sizeof four);
        count += four * 0x01010101u >> 24;
    }
    return std::accumulate(blocked, blocked + n, count);
}

/// out[column] = sum over a row of its weights times the shares at its nodes.
NOONSHELL_WIDE void read_nodes(const std::uint32_t* node, const float* weight, std::size_t n,
                               const float* share, std::size_t stride, float* out) {
    for (std::size_t c = 0; c < stride; c += LitTable::width) {
        float sum[LitTable::width]{};
        for (std::size_t i = 0; i < n; ++i) {
            const float* from = share + node[i] * stride + c;
            for (std::size_t k = 0; k < LitTable::width; ++k) sum[k] += weight[i] * from[k];
        }
        for (std::size_t k = 0; k < LitTable::width; ++k) out[c + k] = sum[k];
    }
}

/// Two sums over nodes for each of `width` facets, all of them in registers.
template <std::size_t width>
[[gnu::always_inline]] inline void add_nodes_of(const double* first, const double* second,
                                                const std::uint8_t* any, std::size_t n,
                                                const float* lit, std::size_t facets,
                                                double* sums) {
    double one[width]{}, two[width]{};
    for (std::size_t i = 0; i < n; ++i, lit += facets) {
        if (any[i] == 0) continue;
        for (std::size_t f = 0; f < width; ++f) {
            const auto share = static_cast<double>(lit[f]);
            one[f] += first[i] * share;
            two[f] += second[i] * share;
        }
    }
    for (std::size_t f = 0; f < width; ++f) {
        sums[f] = one[f];
        sums[facets + f] = two[f];
    }
}

/// sums[facet] = sum over nodes of their first weight times the facet's lit share, and after those
/// of all facets the sums with the second weight.
NOONSHELL_WIDE void add_nodes(const double* first, const double* second, const std::uint8_t* any,
                              std::size_t n, const float* lit, std::size_t facets, double* sums) {
    if (n == 0) {  // rows of no node have no table to point into
        std::fill_n(sums, 2 * facets, 0.0);
        return;
    }
    std::size_t f = 0;
    for (; f + 16 <= facets; f += 16) {
        add_nodes_of<16>(first, second, any, n, lit + f, facets, sums + f);
    }
    for (; f + 4 <= facets; f += 4) {
        add_nodes_of<4>(first, second, any, n, lit + f, facets, sums + f);
    }
    for (; f < facets; ++f) add_nodes_of<1>(first, second, any, n, lit + f, facets, sums + f);
}

}  // namespace

void LitTable::reset(std::size_t nodes, std::size_t columns) {
    stride_ = (columns + width - 1) / width * width;
    share_.assign(nodes * stride_, 0.0F);
    whole_.assign(stride_, 0.0F);
}

void LitTable::read_row(const FacedSuns& suns, std::size_t row, float* out) const {
    const std::uint32_t begin = suns.row_begin[row], end = suns.row_begin[row + 1];
    read_nodes(suns.row_node.data() + begin, suns.row_weight.data() + begin, end - begin,
               share_.data(), stride_, out);
}

GroupTracer::GroupTracer(const SunCourse& course, const SunRun& run, Sunlight& result)
    : course_(course), run_(run), result_(result), early_(course.casters) {}

void GroupTracer::trace(const FacetGroup& group, std::span<const std::uint32_t> facets,
                        const FacedSuns& suns, PartId first_part, LitTable& parts) {
    facets_ = facets;
    suns_ = &suns;
    set_group(group);
    for (std::size_t node = 0; node < suns.n_nodes(); ++node) answer_node(node);
    answers_ += suns.n_nodes() * blocked_.size();
    write_sums();
    if (!result_.lit_cosine.empty()) write_facet_rows();
    if (!result_.chosen_lit_cosine.empty()) write_chosen_rows();
    add_to_parts(first_part, parts);
}

void GroupTracer::set_group(const FacetGroup& group) {
    group_ = &group;
    n_points_ = group.points_per_facet;
    if (paired_ != n_points_) {
        paired_ = n_points_;
        pairs_.clear();
        if (std::has_single_bit(n_points_)) pairs_ = points_by_cell(n_points_);
    }
    std::vector<Vec3> points;
    points.reserve(group.size() * n_points_);
    for (const std::uint32_t f : facets_) {
        const auto own = facet_points(course_.envelope.facets, f, n_points_, course_.seed);
        points.insert(points.end(), own.begin(), own.end());
    }
    origins_ = course_.scene.origins(points);
    if (course_.early_answers) early_.set_group(points, group.normal);
    blocked_.assign(points.size(), 0);
    point_wh_m2_.assign(points.size(), 0.0);
    any_lit_.assign(suns_->n_nodes(), 0);
    lit_.assign(suns_->n_nodes() * facets_.size(), 0.0F);
}

void GroupTracer::answer_node(std::size_t node) {
    const GroupLight light =
        course_.early_answers ? early_.answer(suns_->sun[node], blocked_.data()) : GroupLight::open;
    if (light == GroupLight::dark) return;
    any_lit_[node] = 1;
    if (light == GroupLight::lit) {
        std::fill_n(lit_.data() + node * facets_.size(), facets_.size(), 1.0F);
        return;
    }
    if (light == GroupLight::open) {
        course_.scene.shadow(origins_, 0, origins_.size(), suns_->direction[node], blocked_.data());
        rays_ += blocked_.size();
    }
    count_points(node);
}

/// Where points differ, or may: what all have in common needs no count by point.
void GroupTracer::count_points(std::size_t node) {
    add_where_lit(blocked_.data(), blocked_.size(), suns_->direct_wh_m2[node], point_wh_m2_.data());
    const float per_point = 1.0F / static_cast<float>(n_points_);
    const std::uint8_t* blocked = blocked_.data();
    float* lit = lit_.data() + node * facets_.size();
    for (std::size_t f = 0; f < facets_.size(); ++f, blocked += n_points_) {
        lit[f] = static_cast<float>(n_points_ - count_blocked(blocked, n_points_)) * per_point;
    }
}

/// For each facet the sums over nodes of its lit share times either weight; first those of all
/// facets with the first weight.
void GroupTracer::sum_over_facets(std::size_t begin_node, std::span<const double> first,
                                  std::span<const double> second) {
    sums_.resize(2 * facets_.size());
    add_nodes(first.data(), second.data(), any_lit_.data() + begin_node, first.size(),
              lit_.data() + begin_node * facets_.size(), facets_.size(), sums_.data());
}

/// A reading between nodes may fall below 0 by a hair where there is next to no light.
void GroupTracer::write_sums() {
    const std::size_t n_facets = facets_.size();
    const double n = n_points_;
    sum_over_facets(0, suns_->direct_wh_m2, suns_->sun_time_h);
    for (std::size_t i = 0; i < n_facets; ++i) {
        const auto points = std::span(point_wh_m2_).subspan(i * n_points_, n_points_);
        const double mean = std::accumulate(points.begin(), points.end(), 0.0) / n;
        result_.direct_wh_m2[facets_[i]] = std::max(0.0, sums_[i]);
        result_.sun_time_h[facets_[i]] = std::max(0.0, sums_[n_facets + i]);
        result_.direct_standard_error_wh_m2[facets_[i]] = standard_error(points, mean);
        result_.unshaded_direct_wh_m2[facets_[i]] = suns_->unshaded_wh_m2;
    }
    for (const BinOfSuns& bin : suns_->bins) {
        const std::size_t begin = bin.bin * result_.n_facets;
        sum_over_facets(bin.begin_node, bin.direct_wh_m2, bin.circumsolar_wh_m2);
        for (std::size_t i = 0; i < n_facets; ++i) {
            const std::size_t facet = begin + facets_[i];
            result_.direct_by_bin_wh_m2[facet] = std::max(0.0, sums_[i]);
            result_.circumsolar_by_bin_wh_m2[facet] = std::max(0.0, sums_[n_facets + i]);
        }
    }
}

void GroupTracer::fill_facet_table() {
    facet_table_.reset(suns_->n_nodes(), facets_.size());
    for (std::size_t node = 0; node < suns_->n_nodes(); ++node) {
        std::copy_n(lit_.data() + node * facets_.size(), facets_.size(), facet_table_.at(node));
    }
    for (std::size_t i = 0; i < facets_.size(); ++i) facet_table_.whole(i) = 1.0F;
}

void GroupTracer::write_chosen_rows() {
    const auto column = [this](std::size_t i) { return course_.chosen_column[facets_[i]]; };
    std::vector<std::size_t> chosen;
    for (std::size_t i = 0; i < facets_.size(); ++i) {
        if (column(i) != SunCourse::no_column) chosen.push_back(i);
    }
    if (chosen.empty()) return;
    fill_facet_table();
    const std::size_t stride = facet_table_.stride();
    row_.assign(suns_->n_rows() * stride, 0.0F);
    for (std::size_t row = 0; row < suns_->n_rows(); ++row) {
        facet_table_.read_row(*suns_, row, row_.data() + row * stride);
    }
    if (!run_.grid.empty()) keep_in_bounds(run_, *suns_, facet_table_, result_.n_bins, row_);
    for (std::size_t row = 0; row < suns_->n_rows(); ++row) {
        float* cosines = result_.chosen_lit_cosine.data() + row * course_.n_chosen;
        for (const std::size_t i : chosen) cosines[column(i)] = row_[row * stride + i];
    }
}

void GroupTracer::write_facet_rows() {
    fill_facet_table();
    row_.resize(facet_table_.stride());
    for (std::size_t row = 0; row < suns_->n_rows(); ++row) {
        facet_table_.read_row(*suns_, row, row_.data());
        float* cosines = result_.lit_cosine.data() + row * result_.n_facets;
        for (std::size_t i = 0; i < facets_.size(); ++i) cosines[facets_[i]] = row_[i];
    }
}

void GroupTracer::add_to_parts(PartId first_part, LitTable& parts) const {
    std::vector<std::size_t> column;
    std::vector<float> share;  // of the part's area
    for (const std::uint32_t f : facets_) {
        const PartId part = course_.parts.of_facet[f];
        column.push_back(part.index() - first_part.index());
        share.push_back(static_cast<float>(course_.envelope.facets.area_m2[f] /
                                           course_.parts.area_m2[part.index()]));
        parts.whole(column.back()) += share.back();
    }
    for (std::size_t node = 0; node < suns_->n_nodes(); ++node) {
        if (any_lit_[node] == 0) continue;
        const float* lit = lit_.data() + node * facets_.size();
        float* shares = parts.at(node);
        for (std::size_t i = 0; i < facets_.size(); ++i) shares[column[i]] += share[i] * lit[i];
    }
}

/// Of the mean of n points. Where they are spread over n / 2 cells by twos, from the differences
/// within cells, sum d^2 / n^2 (stratified sampling, two to a stratum); else as of independent
/// points.
double GroupTracer::standard_error(std::span<const double> points, double mean) const {
    const auto n = static_cast<double>(points.size());
    double squares = 0;
    if (!pairs_.empty()) {
        for (const auto& [a, b] : pairs_) squares += std::pow(points[a] - points[b], 2);
        return std::sqrt(squares) / n;
    }
    for (const double x : points) squares += (x - mean) * (x - mean);
    return std::sqrt(squares / (n - 1) / n);
}

}  // namespace noonshell
