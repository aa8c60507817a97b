#include <algorithm>
#include <string>
#include <thread>

#include "solar/exposure.hpp"
#include "solar/facet_groups.hpp"
#include "solar/group_tracer.hpp"
#include "solar/parallel.hpp"
#include "solar/point_plan.hpp"

namespace noonshell {

namespace {

constexpr std::uint32_t points_in_a_group = 64;  // eight packets: few enough to be answered as one
constexpr std::size_t pilot_stride = 5;          // of rows; prime to the hours of a day

void check_inputs(const Envelope& envelope, const SunPath& path, const Weather& weather,
                  const ExposureOptions& options) {
    NOONSHELL_CHECK_EQ(path.n_hours(), weather.size());
    NOONSHELL_CHECK_EQ(envelope.facets.triangle_begin.size(), envelope.facets.size() + 1);
    if (options.points_per_facet < 2 || options.points_per_facet > 1024) {
        throw InputError({.entity = "points_per_facet"}, "2 to 1024",
                         std::to_string(options.points_per_facet));
    }
    if (options.most_points_per_facet > 16384) {
        throw InputError({.entity = "most_points_per_facet"}, "at most 16384",
                         std::to_string(options.most_points_per_facet));
    }
    for (const std::size_t n : {options.bin_of_hour.size(), options.circumsolar_w_m2.size()}) {
        if (n > 0) NOONSHELL_CHECK_EQ(n, weather.size());
    }
    if (!(options.surface_tolerance >= 0)) {
        throw InputError({.entity = "surface_tolerance"}, "0 or more",
                         std::to_string(options.surface_tolerance));
    }
}

struct Rows {
    std::vector<SunRow> rows;
    std::vector<std::uint32_t> hours;
};

Rows list_rows(const SunPath& path, const Weather& weather, const ExposureOptions& options) {
    Rows list;
    for (std::uint32_t h = 0; h < path.n_hours(); ++h) {
        const bool light = weather.direct_normal_w_m2[h] > 0 || weather.diffuse_w_m2[h] > 0;
        if (!light || path.hour_begin[h] == path.hour_begin[h + 1]) continue;
        list.rows.push_back({.begin = path.hour_begin[h],
                             .end = path.hour_begin[h + 1],
                             .direct_normal_w_m2 = std::max(0.0, weather.direct_normal_w_m2[h]),
                             .circumsolar_w_m2 = options.circumsolar_w_m2.empty()
                                                     ? 0.0
                                                     : options.circumsolar_w_m2[h],
                             .bin = options.bin_of_hour.empty() ? 0u : options.bin_of_hour[h]});
        list.hours.push_back(h);
    }
    return list;
}

/// A few suns that stand for all: the middle step of every few rows.
std::vector<SunRow> pilot_rows(const std::vector<SunRow>& rows) {
    std::vector<SunRow> pilot;
    const std::size_t stride = rows.size() < 24 * pilot_stride ? 1 : pilot_stride;
    for (std::size_t r = 0; r < rows.size(); r += stride) {
        const std::uint32_t middle = (rows[r].begin + rows[r].end) / 2;
        pilot.push_back(
            {.begin = middle, .end = middle + 1, .direct_normal_w_m2 = rows[r].direct_normal_w_m2});
    }
    return pilot;
}

/// All groups and parts of one block.
struct Task {
    std::size_t group_begin = 0, group_end = 0;
    std::size_t part_begin = 0, part_end = 0;
    std::uint64_t answers = 0, rays = 0;
};

std::vector<Task> cut_tasks(const FacetGroups& groups, const LightParts& parts) {
    std::vector<Task> tasks;
    std::size_t part = 0;
    for (std::size_t g = 0; g < groups.groups.size(); ++g) {
        const std::uint32_t block = groups.groups[g].block;
        if (g == 0 || groups.groups[g - 1].block != block) {
            while (parts.block[part] != block) ++part;
            Task task{.group_begin = g, .part_begin = part};
            while (part < parts.size() && parts.block[part] == block) ++part;
            task.part_end = part;
            tasks.push_back(task);
        }
        tasks.back().group_end = g + 1;
    }
    return tasks;
}

/// Reports from the calling thread only, as far as all threads have come.
class Progress {
  public:
    Progress(std::function<void(double)> report, std::size_t total)
        : report_(std::move(report)), total_(total) {}

    void one_done() {
        const std::size_t done = ++done_;
        if (!report_ || std::this_thread::get_id() != caller_) return;
        report_(static_cast<double>(done) / static_cast<double>(total_));
    }
    void all_done() const {
        if (report_) report_(1.0);
    }

  private:
    std::function<void(double)> report_;
    std::size_t total_;
    std::atomic<std::size_t> done_{0};
    std::thread::id caller_ = std::this_thread::get_id();
};

Sunlight empty_result(const SunCourse& course, std::size_t n_rows, std::size_t n_bins) {
    Sunlight result;
    result.n_facets = course.envelope.facets.size();
    result.n_parts = course.parts.size();
    result.n_bins = n_bins;
    for (auto* sums : {&result.sun_time_h, &result.direct_wh_m2, &result.unshaded_direct_wh_m2,
                       &result.direct_standard_error_wh_m2}) {
        sums->assign(result.n_facets, 0.0);
    }
    for (auto* sums : {&result.direct_by_bin_wh_m2, &result.circumsolar_by_bin_wh_m2}) {
        sums->assign(n_bins * result.n_facets, 0.0);
    }
    result.part_lit_cosine.assign(n_rows * result.n_parts, 0.0F);
    return result;
}

void trace_block(const SunCourse& course, std::span<const SunRow> rows, const FacetGroups& groups,
                 const ExposureOptions& options, Task& task, Sunlight& result) {
    const std::size_t n_parts = task.part_end - task.part_begin;
    std::vector<double> area_lit_cosine_m2(n_parts * rows.size(), 0.0);
    GroupTracer tracer(course, rows, area_lit_cosine_m2, PartId(task.part_begin), result);
    for (std::size_t g = task.group_begin; g < task.group_end; ++g) {
        if (options.stop != nullptr && options.stop->load()) throw Interrupted();
        const FacetGroup& group = groups.groups[g];
        tracer.trace(group, std::span(groups.order).subspan(group.begin, group.size()));
    }
    for (std::size_t row = 0; row < rows.size(); ++row) {
        float* lit = result.part_lit_cosine.data() + row * result.n_parts + task.part_begin;
        for (std::size_t p = 0; p < n_parts; ++p) {
            lit[p] = static_cast<float>(area_lit_cosine_m2[p * rows.size() + row] /
                                        course.parts.area_m2[task.part_begin + p]);
        }
    }
    task.answers = tracer.answers();
    task.rays = tracer.rays();
}

/// Each task writes the columns of its own parts and facets only.
void trace_rows(const SunCourse& course, std::span<const SunRow> rows,
                std::span<const std::uint32_t> points, const ExposureOptions& options,
                Sunlight& result) {
    const FacetGroups groups =
        group_facets(course.envelope, course.parts, points, points_in_a_group);
    std::vector<Task> tasks = cut_tasks(groups, course.parts);
    Progress progress(options.progress, tasks.size());
    for_each_task(options.threads, tasks.size(), [&](std::size_t t) {
        trace_block(course, rows, groups, options, tasks[t], result);
        progress.one_done();
    });
    for (const Task& task : tasks) {
        result.answers += task.answers;
        result.rays += task.rays;
    }
    progress.all_done();
}

/// Facets that were not traced still have a sun that nothing would stand in the way of.
void fill_unshaded(const SunCourse& course, std::span<const SunRow> rows,
                   std::span<const std::uint32_t> points, Sunlight& result) {
    std::vector<std::uint32_t> untraced(points.size());
    for (std::size_t f = 0; f < points.size(); ++f) untraced[f] = points[f] == 0 ? 1 : 0;
    const auto groups = group_facets(course.envelope, course.parts, untraced, ~0u);
    for (const FacetGroup& group : groups.groups) {
        double sum = 0;
        for (const SunRow& row : rows) {
            const double beam = row.direct_normal_w_m2 / (row.end - row.begin);
            for (std::uint32_t step = row.begin; step < row.end; ++step) {
                sum += beam * std::max(0.0, group.normal.dot(course.path.direction[step]));
            }
        }
        for (std::uint32_t i = group.begin; i < group.end; ++i) {
            result.unshaded_direct_wh_m2[groups.order[i]] = sum;
        }
    }
}

std::vector<std::uint32_t> choose_points(const SunCourse& course, const std::vector<SunRow>& rows,
                                         const ExposureOptions& options) {
    std::vector<std::uint32_t> even = even_points(course.envelope, options);
    if (!(options.surface_tolerance > 0)) return even;
    const std::vector<SunRow> few = pilot_rows(rows);
    Sunlight pilot = empty_result(course, few.size(), 1);
    ExposureOptions quiet = options;
    quiet.progress = {};
    trace_rows(course, few, even, quiet, pilot);
    return plan_points(course.envelope, pilot, options);
}

}  // namespace

Sunlight trace_sunlight(const Envelope& envelope, const RayScene& scene, const SunPath& path,
                        const Weather& weather, const ExposureOptions& options) {
    check_inputs(envelope, path, weather, options);
    const LightParts own_parts =
        options.parts == nullptr ? light_parts(envelope, options.part_size_m) : LightParts{};
    const LightParts& parts = options.parts == nullptr ? own_parts : *options.parts;
    SunCourse course{
        envelope, parts, scene, path, options.early_answers, options.seed, ShadeCasters(envelope),
        {}};
    course.suns.reserve(path.size());
    for (const Vec3& direction : path.direction) course.suns.push_back(sun_vector(direction));
    const Rows list = list_rows(path, weather, options);
    const auto points = choose_points(course, list.rows, options);
    Sunlight result = empty_result(course, list.rows.size(), n_bins(options.bin_of_hour));
    result.sun_hours = list.hours;
    if (options.keep_facet_hours) {
        result.lit_cosine.assign(list.rows.size() * result.n_facets, 0.0F);
    }
    trace_rows(course, list.rows, points, options, result);
    fill_unshaded(course, list.rows, points, result);
    return result;
}

}  // namespace noonshell
