#include <algorithm>
#include <string>
#include <thread>

#include "solar/exposure.hpp"
#include "solar/facet_groups.hpp"
#include "solar/group_tracer.hpp"
#include "solar/lit_rows.hpp"
#include "solar/parallel.hpp"
#include "solar/point_plan.hpp"

namespace noonshell {

namespace {

constexpr std::uint32_t points_in_a_group = 64;  // eight packets: few enough to be answered as one
constexpr std::size_t pilot_stride = 5;          // of rows; prime to the hours of a day
constexpr double coarser_pilot = 3;              // its grid has a ninth of the nodes

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

struct HourRows {
    std::vector<SunRow> rows;
    std::vector<std::uint32_t> hours;
};

HourRows list_rows(const SunPath& path, const Weather& weather, const ExposureOptions& options) {
    HourRows list;
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

/// HourRows for the sum of the period alone; without a grid a few suns stand for all, the middle
/// steps of some rows.
std::vector<SunRow> pilot_rows(std::span<const SunRow> rows, bool on_grid) {
    std::vector<SunRow> pilot;
    const std::size_t stride = on_grid || rows.size() < 24 * pilot_stride ? 1 : pilot_stride;
    for (std::size_t r = 0; r < rows.size(); r += stride) {
        SunRow row = rows[r];
        row.bin = 0;
        if (!on_grid) {
            row.begin = (row.begin + row.end) / 2;
            row.end = row.begin + 1;
        }
        pilot.push_back(row);
    }
    return pilot;
}

/// Groups and parts of a few blocks of one surface.
struct Task {
    std::size_t group_begin = 0, group_end = 0;
    std::size_t part_begin = 0, part_end = 0;
    std::uint64_t answers = 0, rays = 0;
};

std::vector<Task> cut_tasks(const FacetGroups& groups, const LightParts& parts) {
    constexpr std::size_t parts_in_a_task = 32;
    std::vector<Task> tasks;
    std::size_t part = 0;
    for (std::size_t g = 0; g < groups.groups.size(); ++g) {
        const std::uint32_t block = groups.groups[g].block;
        if (g == 0 || groups.groups[g - 1].block != block) {
            while (parts.block[part] != block) ++part;
            const bool goes_on =
                !tasks.empty() && tasks.back().part_end == part &&
                tasks.back().part_end - tasks.back().part_begin < parts_in_a_task &&
                parts.surface[tasks.back().part_begin] == parts.surface[part];
            if (!goes_on) tasks.push_back({.group_begin = g, .part_begin = part});
            while (part < parts.size() && parts.block[part] == block) ++part;
            tasks.back().part_end = part;
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

/// Groups of the task by normal, those of one normal together.
std::vector<const FacetGroup*> by_normal(const FacetGroups& groups, const Task& task) {
    std::vector<const FacetGroup*> list;
    for (auto g = task.group_begin; g < task.group_end; ++g) list.push_back(&groups.groups[g]);
    std::stable_sort(list.begin(), list.end(), [](const FacetGroup* a, const FacetGroup* b) {
        return std::lexicographical_compare(a->normal.begin(), a->normal.end(), b->normal.begin(),
                                            b->normal.end());
    });
    return list;
}

void add_rows(const SunRun& run, const FacedSuns& suns, const LitTable& table, const Task& task,
              Sunlight& result) {
    if (result.part_lit_cosine.empty()) return;
    std::vector<float> rows(suns.n_rows() * table.stride());
    for (std::size_t row = 0; row < suns.n_rows(); ++row) {
        if (suns.row_begin[row] == suns.row_begin[row + 1]) continue;
        table.read_row(suns, row, rows.data() + row * table.stride());
    }
    if (!run.grid.empty()) keep_in_bounds(run, suns, table, result.n_bins, rows);
    for (std::size_t row = 0; row < suns.n_rows(); ++row) {
        float* parts = result.part_lit_cosine.data() + row * result.n_parts + task.part_begin;
        const float* lit = rows.data() + row * table.stride();
        for (std::size_t p = 0; p < task.part_end - task.part_begin; ++p) parts[p] += lit[p];
    }
}

void trace_task(const SunCourse& course, const SunRun& run, FacedSunsStore& store,
                const FacetGroups& groups, const ExposureOptions& options, Task& task,
                Sunlight& result) {
    GroupTracer tracer(course, run, result);
    LitTable table;
    std::shared_ptr<const FacedSuns> suns;
    const FacetGroup* last = nullptr;
    for (const FacetGroup* group : by_normal(groups, task)) {
        if (options.stop != nullptr && options.stop->load()) throw Interrupted();
        if (last == nullptr || last->normal != group->normal) {
            if (suns) add_rows(run, *suns, table, task, result);
            suns = store.of(group->normal);
            table.reset(suns->n_nodes(), task.part_end - task.part_begin);
        }
        last = group;
        tracer.trace(*group, std::span(groups.order).subspan(group->begin, group->size()), *suns,
                     PartId(task.part_begin), table);
    }
    if (suns) add_rows(run, *suns, table, task, result);
    task.answers = tracer.answers();
    task.rays = tracer.rays();
}

/// Each task writes the columns of its own parts and facets only.
void trace_groups(const SunCourse& course, const SunRun& run, std::span<const std::uint32_t> points,
                  const ExposureOptions& options, Sunlight& result) {
    const FacetGroups groups =
        group_facets(course.envelope, course.parts, points, points_in_a_group);
    std::vector<Task> tasks = cut_tasks(groups, course.parts);
    FacedSunsStore store(run);
    Progress progress(options.progress, tasks.size());
    for_each_task(options.threads, tasks.size(), [&](std::size_t t) {
        trace_task(course, run, store, groups, options, tasks[t], result);
        progress.one_done();
    });
    for (const Task& task : tasks) {
        result.answers += task.answers;
        result.rays += task.rays;
    }
    progress.all_done();
}

/// Facets that were not traced still have a sun that nothing would stand in the way of.
void fill_unshaded(const SunCourse& course, const SunRun& run,
                   std::span<const std::uint32_t> points, Sunlight& result) {
    std::vector<std::uint32_t> untraced(points.size());
    for (std::size_t f = 0; f < points.size(); ++f) untraced[f] = points[f] == 0 ? 1 : 0;
    const auto groups = group_facets(course.envelope, course.parts, untraced, ~0u);
    for (const FacetGroup& group : groups.groups) {
        double sum = 0;
        for (const SunRow& row : run.rows) {
            for (std::uint32_t step = row.begin; step < row.end; ++step) {
                sum += row.direct_normal_w_m2 * run.path.beam_share_of(step, row.end - row.begin) *
                       std::max(0.0, group.normal.dot(run.path.direction[step]));
            }
        }
        for (std::uint32_t i = group.begin; i < group.end; ++i) {
            result.unshaded_direct_wh_m2[groups.order[i]] = sum;
        }
    }
}

void choose_facets(std::span<const FacetId> chosen, SunCourse& course) {
    course.n_chosen = chosen.size();
    course.chosen_column.assign(course.envelope.facets.size(), SunCourse::no_column);
    for (std::size_t i = 0; i < chosen.size(); ++i) {
        NOONSHELL_CHECK_LT(chosen[i].index(), course.chosen_column.size());
        course.chosen_column[chosen[i].index()] = static_cast<std::uint32_t>(i);
    }
}

SunGrid grid_of(const SunPath& path, std::span<const SunRow> rows, const ExposureOptions& options,
                double coarser) {
    if (options.every_sun) return {};
    return sun_grid(path, rows, coarser * options.declination_step_deg,
                    coarser * options.hour_angle_step_deg);
}

std::vector<std::uint32_t> choose_points(const SunCourse& course, const SunRun& run,
                                         const ExposureOptions& options) {
    std::vector<std::uint32_t> even = even_points(course.envelope, options);
    if (!(options.surface_tolerance > 0)) return even;
    ExposureOptions quiet = options;
    quiet.progress = {};
    quiet.every_sun = false;  // the points are the same, however their suns are answered
    const SunGrid coarse = grid_of(run.path, run.rows, quiet, coarser_pilot);
    const std::vector<SunRow> rows = pilot_rows(run.rows, !coarse.empty());
    const SunRun pilot_run{run.path, coarse, rows};
    Sunlight pilot = empty_result(course, 0, 1);
    trace_groups(course, pilot_run, even, quiet, pilot);
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
        envelope, parts, scene, options.early_answers, options.seed, ShadeCasters(envelope)};
    if (!options.hours_of.empty()) choose_facets(options.hours_of, course);
    const HourRows list = list_rows(path, weather, options);
    const SunGrid grid = grid_of(path, list.rows, options, 1);
    const SunRun run{path, grid, list.rows};
    const auto points = choose_points(course, run, options);
    Sunlight result = empty_result(course, list.rows.size(), n_bins(options.bin_of_hour));
    result.sun_hours = list.hours;
    if (options.keep_facet_hours) {
        result.lit_cosine.assign(list.rows.size() * result.n_facets, 0.0F);
    }
    result.chosen_facets = options.hours_of;
    result.chosen_lit_cosine.assign(list.rows.size() * course.n_chosen, 0.0F);
    trace_groups(course, run, points, options, result);
    fill_unshaded(course, run, points, result);
    return result;
}

}  // namespace noonshell
