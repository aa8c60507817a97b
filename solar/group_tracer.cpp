#include "solar/group_tracer.hpp"

#include <bit>
#include <cmath>
#include <cstring>
#include <numeric>

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

}  // namespace

GroupTracer::GroupTracer(const SunCourse& course, std::span<const SunRow> rows,
                         std::span<double> area_lit_cosine_m2, PartId first_part, Sunlight& result)
    : course_(course),
      rows_(rows),
      area_lit_cosine_m2_(area_lit_cosine_m2),
      first_part_(first_part),
      result_(result),
      early_(course.casters) {}

void GroupTracer::trace(const FacetGroup& group, std::span<const std::uint32_t> facets) {
    facets_ = facets;
    set_group(group);
    for (std::size_t row = 0; row < rows_.size(); ++row) trace_row(row);
    finish_group();
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
    lit_points_.assign(group.size(), 0);
    row_cosine_.assign(group.size(), 0.0);
    all_lit_wh_m2_ = unshaded_wh_m2_ = 0;
    all_lit_steps_ = 0;
}

void GroupTracer::trace_row(std::size_t row_index) {
    const SunRow& row = rows_[row_index];
    const double per_step = 1.0 / (row.end - row.begin);
    const double beam = row.direct_normal_w_m2 * per_step;
    double all_lit_cosine = 0;
    bool some = false;
    for (std::uint32_t step = row.begin; step < row.end; ++step) {
        const double cosine = group_->normal.dot(course_.path.direction[step]);
        if (!(cosine > 0)) continue;
        answers_ += blocked_.size();
        unshaded_wh_m2_ += beam * cosine;
        if (course_.path.is_hidden(step)) continue;
        const GroupLight light = course_.early_answers
                                     ? early_.answer(course_.suns[step], blocked_.data())
                                     : GroupLight::open;
        if (light == GroupLight::dark) continue;
        some = true;
        if (light != GroupLight::lit) {
            if (light == GroupLight::open) shoot(step);
            count_points(cosine, beam);
            continue;
        }
        all_lit_cosine += cosine;
        all_lit_wh_m2_ += beam * cosine;
        all_lit_steps_ += beam > 0 ? 1 : 0;
    }
    if (some) write_row(row_index, all_lit_cosine, per_step);
}

void GroupTracer::shoot(std::uint32_t step) {
    course_.scene.shadow(origins_, 0, origins_.size(), course_.path.direction[step],
                         blocked_.data());
    rays_ += blocked_.size();
}

void GroupTracer::count_points(double cosine, double beam) {
    const double energy_wh_m2 = beam * cosine;
    add_where_lit(blocked_.data(), blocked_.size(), energy_wh_m2, point_wh_m2_.data());
    const std::uint32_t counts = beam > 0 ? 1 : 0;
    const double cosine_per_point = cosine / n_points_;
    const std::uint8_t* blocked = blocked_.data();
    for (std::size_t f = 0; f < row_cosine_.size(); ++f, blocked += n_points_) {
        const std::uint32_t lit = n_points_ - count_blocked(blocked, n_points_);
        row_cosine_[f] += lit * cosine_per_point;
        lit_points_[f] += lit * counts;
    }
}

void GroupTracer::write_row(std::size_t row, double all_lit_cosine, double per_step) {
    const SunRow& sun = rows_[row];
    const std::size_t bin = sun.bin * result_.n_facets;
    float* facet_row =
        result_.lit_cosine.empty() ? nullptr : result_.lit_cosine.data() + row * result_.n_facets;
    for (std::size_t i = 0; i < row_cosine_.size(); ++i) {
        const std::uint32_t f = facets_[i];
        const double mean = (all_lit_cosine + row_cosine_[i]) * per_step;
        row_cosine_[i] = 0;
        const std::size_t part = course_.parts.of_facet[f].index() - first_part_.index();
        area_lit_cosine_m2_[part * rows_.size() + row] += mean * course_.envelope.facets.area_m2[f];
        result_.direct_by_bin_wh_m2[bin + f] += mean * sun.direct_normal_w_m2;
        result_.circumsolar_by_bin_wh_m2[bin + f] += mean * sun.circumsolar_w_m2;
        if (facet_row != nullptr) facet_row[f] = static_cast<float>(mean);
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

void GroupTracer::finish_group() {
    const double step_h = course_.path.step_s / 3600;
    const double n = n_points_;
    for (std::size_t i = 0; i < row_cosine_.size(); ++i) {
        const std::uint32_t f = facets_[i];
        const auto points = std::span(point_wh_m2_).subspan(i * n_points_, n_points_);
        const double mean = std::accumulate(points.begin(), points.end(), 0.0) / n;
        result_.direct_wh_m2[f] = all_lit_wh_m2_ + mean;
        result_.direct_standard_error_wh_m2[f] = standard_error(points, mean);
        result_.unshaded_direct_wh_m2[f] = unshaded_wh_m2_;
        result_.sun_time_h[f] =
            (static_cast<double>(all_lit_steps_) + static_cast<double>(lit_points_[i]) / n) *
            step_h;
    }
}

}  // namespace noonshell
