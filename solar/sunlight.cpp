#include <algorithm>
#include <cmath>
#include <numeric>
#include <thread>

#include "solar/early_shade.hpp"
#include "solar/exposure.hpp"
#include "solar/facet_groups.hpp"
#include "solar/parallel.hpp"
#include "solar/sampling.hpp"

namespace noonshell {

namespace {

constexpr std::uint32_t points_in_a_group = 64;  // eight packets: few enough to be answered as one
constexpr std::uint32_t facets_in_a_task = 128;

/// One weather hour with sun: its steps are [begin, end) of the sun path.
struct Row {
    std::uint32_t begin, end;
    double direct_normal_w_m2;
};

struct Problem {
    const Envelope& envelope;
    const RayScene& scene;
    const SunPath& path;
    const ExposureOptions& options;
    FacetGroups groups;
    ShadeCasters casters;
    std::vector<Row> rows;
    std::vector<SunVector> suns;  // #steps

    bool interrupted() const { return options.stop != nullptr && options.stop->load(); }
};

/// Consecutive groups of one surface, and what they add to the surface's mean.
struct Task {
    std::size_t group_begin, group_end;
    SurfaceId surface;
    std::vector<double> area_lit_cosine_m2;  // #rows
    std::uint64_t answers = 0, rays = 0;
};

void check_inputs(const Envelope& envelope, const SunPath& path, const Weather& weather,
                  const ExposureOptions& options) {
    NOONSHELL_CHECK_EQ(path.n_hours(), weather.size());
    NOONSHELL_CHECK_EQ(envelope.facets.triangle_begin.size(), envelope.facets.size() + 1);
    if (options.points_per_facet < 2 || options.points_per_facet > 1024) {
        throw InputError({.entity = "points_per_facet"}, "2 to 1024",
                         std::to_string(options.points_per_facet));
    }
}

void list_rows(const SunPath& path, const Weather& weather, std::vector<Row>& rows,
               std::vector<std::uint32_t>& hours) {
    for (std::uint32_t h = 0; h < path.n_hours(); ++h) {
        const bool light = weather.direct_normal_w_m2[h] > 0 || weather.diffuse_w_m2[h] > 0;
        if (!light || path.hour_begin[h] == path.hour_begin[h + 1]) continue;
        rows.push_back({path.hour_begin[h], path.hour_begin[h + 1],
                        std::max(0.0, weather.direct_normal_w_m2[h])});
        hours.push_back(h);
    }
}

std::vector<Task> cut_tasks(const FacetGroups& groups) {
    std::vector<Task> tasks;
    std::uint32_t facets = 0;
    for (std::size_t g = 0; g < groups.groups.size(); ++g) {
        const FacetGroup& group = groups.groups[g];
        const bool joins = !tasks.empty() && tasks.back().surface == group.surface &&
                           facets + group.size() <= facets_in_a_task;
        if (!joins) {
            tasks.push_back({g, g, group.surface, {}});
            facets = 0;
        }
        tasks.back().group_end = g + 1;
        facets += group.size();
    }
    return tasks;
}

/// Follows the suns of all rows for one group at a time; the buffers are reused.
class GroupTracer {
  public:
    GroupTracer(const Problem& problem, Task& task, Sunlight& result)
        : problem_(problem), task_(task), result_(result), early_(problem.casters) {}

    void trace(const FacetGroup& group) {
        set_group(group);
        for (std::size_t row = 0; row < problem_.rows.size(); ++row) trace_row(row);
        finish_group();
    }

  private:
    void set_group(const FacetGroup& group) {
        group_ = &group;
        n_points_ = problem_.options.points_per_facet;
        std::vector<Vec3> points;
        points.reserve(group.size() * n_points_);
        for (std::uint32_t i = group.begin; i < group.end; ++i) {
            const auto own =
                facet_points(problem_.envelope.facets, problem_.groups.order[i], n_points_);
            points.insert(points.end(), own.begin(), own.end());
        }
        origins_ = problem_.scene.origins(points);
        if (problem_.options.early_answers) early_.set_group(points, group.normal);
        blocked_.assign(points.size(), 0);
        point_wh_m2_.assign(points.size(), 0.0);
        lit_points_.assign(group.size(), 0);
        row_cosine_.assign(group.size(), 0.0);
        all_lit_wh_m2_ = unshaded_wh_m2_ = 0;
        all_lit_steps_ = 0;
    }

    void trace_row(std::size_t row_index) {
        const Row& row = problem_.rows[row_index];
        const double per_step = 1.0 / (row.end - row.begin);
        const double beam = row.direct_normal_w_m2 * per_step;
        double all_lit_cosine = 0;
        bool some = false;
        for (std::uint32_t step = row.begin; step < row.end; ++step) {
            const double cosine = group_->normal.dot(problem_.path.direction[step]);
            if (!(cosine > 0)) continue;
            task_.answers += blocked_.size();
            unshaded_wh_m2_ += beam * cosine;
            const GroupLight light = problem_.options.early_answers
                                         ? early_.answer(problem_.suns[step], blocked_.data())
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

    void shoot(std::uint32_t step) {
        problem_.scene.shadow(origins_, 0, origins_.size(), problem_.path.direction[step],
                              blocked_.data());
        task_.rays += blocked_.size();
    }

    void count_points(double cosine, double beam) {
        const double energy_wh_m2 = beam * cosine;
        for (std::size_t p = 0; p < blocked_.size(); ++p) {
            point_wh_m2_[p] += (1 - blocked_[p]) * energy_wh_m2;
        }
        const std::uint32_t counts = beam > 0 ? 1 : 0;
        const double cosine_per_point = cosine / n_points_;
        const std::uint8_t* blocked = blocked_.data();
        for (std::size_t f = 0; f < row_cosine_.size(); ++f, blocked += n_points_) {
            const std::uint32_t lit =
                n_points_ - std::accumulate(blocked, blocked + n_points_, std::uint32_t{0});
            row_cosine_[f] += lit * cosine_per_point;
            lit_points_[f] += lit * counts;
        }
    }

    void write_row(std::size_t row, double all_lit_cosine, double per_step) {
        double& area_sum = task_.area_lit_cosine_m2[row];
        float* facet_row = result_.lit_cosine.empty()
                               ? nullptr
                               : result_.lit_cosine.data() + row * result_.n_facets;
        for (std::size_t i = 0; i < row_cosine_.size(); ++i) {
            const std::uint32_t f = problem_.groups.order[group_->begin + i];
            const double mean = (all_lit_cosine + row_cosine_[i]) * per_step;
            row_cosine_[i] = 0;
            area_sum += mean * problem_.envelope.facets.area_m2[f];
            if (facet_row != nullptr) facet_row[f] = static_cast<float>(mean);
        }
    }

    void finish_group() {
        const double step_h = problem_.path.step_s / 3600;
        for (std::size_t i = 0; i < row_cosine_.size(); ++i) {
            const std::uint32_t f = problem_.groups.order[group_->begin + i];
            const auto points = std::span(point_wh_m2_).subspan(i * n_points_, n_points_);
            const double mean = std::accumulate(points.begin(), points.end(), 0.0) / n_points_;
            double squares = 0;
            for (const double x : points) squares += (x - mean) * (x - mean);
            result_.direct_wh_m2[f] = all_lit_wh_m2_ + mean;
            result_.direct_standard_error_wh_m2[f] =
                std::sqrt(squares / (n_points_ - 1.0) / n_points_);
            result_.unshaded_direct_wh_m2[f] = unshaded_wh_m2_;
            result_.sun_time_h[f] =
                (all_lit_steps_ + static_cast<double>(lit_points_[i]) / n_points_) * step_h;
        }
    }

    const Problem& problem_;
    Task& task_;
    Sunlight& result_;
    EarlyShade early_;
    const FacetGroup* group_ = nullptr;
    std::uint32_t n_points_ = 0;
    RayOrigins origins_;
    std::vector<std::uint8_t> blocked_;      // #points of the group
    std::vector<double> point_wh_m2_;        // #points, from steps that rays decided
    std::vector<std::uint64_t> lit_points_;  // #facets, summed over those steps with beam
    std::vector<double> row_cosine_;         // #facets, of the row in hand
    double all_lit_wh_m2_ = 0, unshaded_wh_m2_ = 0;
    std::uint32_t all_lit_steps_ = 0;
};

/// Reports from the calling thread only, as far as all threads have come.
class Progress {
  public:
    Progress(const std::function<void(double)>& report, std::size_t total)
        : report_(report), total_(total) {}

    void one_done() {
        const std::size_t done = ++done_;
        if (!report_ || std::this_thread::get_id() != caller_) return;
        report_(static_cast<double>(done) / static_cast<double>(total_));
    }
    void all_done() const {
        if (report_) report_(1.0);
    }

  private:
    const std::function<void(double)>& report_;
    std::size_t total_;
    std::atomic<std::size_t> done_{0};
    std::thread::id caller_ = std::this_thread::get_id();
};

/// Adds the tasks in their order, whatever the order in which they ended.
void sum_surfaces(const Problem& problem, const std::vector<Task>& tasks, Sunlight& result) {
    std::vector<double> area_m2(result.n_surfaces, 0.0);
    for (std::size_t f = 0; f < result.n_facets; ++f) {
        area_m2[problem.envelope.facets.surface[f].index()] += problem.envelope.facets.area_m2[f];
    }
    const std::size_t n_rows = problem.rows.size();
    result.surface_lit_cosine.assign(n_rows * result.n_surfaces, 0.0F);
    std::vector<double> sum(n_rows);
    for (std::size_t t = 0; t < tasks.size();) {
        const std::size_t s = tasks[t].surface.index();
        std::fill(sum.begin(), sum.end(), 0.0);
        for (; t < tasks.size() && tasks[t].surface.index() == s; ++t) {
            result.answers += tasks[t].answers;
            result.rays += tasks[t].rays;
            for (std::size_t row = 0; row < n_rows; ++row) {
                sum[row] += tasks[t].area_lit_cosine_m2[row];
            }
        }
        for (std::size_t row = 0; row < n_rows; ++row) {
            result.surface_lit_cosine[row * result.n_surfaces + s] =
                static_cast<float>(sum[row] / area_m2[s]);
        }
    }
}

}  // namespace

Sunlight trace_sunlight(const Envelope& envelope, const RayScene& scene, const SunPath& path,
                        const Weather& weather, const ExposureOptions& options) {
    check_inputs(envelope, path, weather, options);
    Sunlight result;
    result.n_facets = envelope.facets.size();
    result.n_surfaces = envelope.surfaces.size();
    for (auto* sums : {&result.sun_time_h, &result.direct_wh_m2, &result.unshaded_direct_wh_m2,
                       &result.direct_standard_error_wh_m2}) {
        sums->assign(result.n_facets, 0.0);
    }
    const std::uint32_t in_a_group = std::max(1u, points_in_a_group / options.points_per_facet);
    Problem problem{
        envelope, scene, path, options, group_facets(envelope, in_a_group), ShadeCasters(envelope),
        {},       {}};
    list_rows(path, weather, problem.rows, result.sun_hours);
    problem.suns.reserve(path.size());
    for (const Vec3& direction : path.direction) problem.suns.push_back(sun_vector(direction));
    if (options.keep_facet_hours) {
        result.lit_cosine.assign(problem.rows.size() * result.n_facets, 0.0F);
    }

    std::vector<Task> tasks = cut_tasks(problem.groups);
    Progress progress(options.progress, tasks.size());
    for_each_task(options.threads, tasks.size(), [&](std::size_t t) {
        Task& task = tasks[t];
        task.area_lit_cosine_m2.assign(problem.rows.size(), 0.0);
        GroupTracer tracer(problem, task, result);
        for (std::size_t g = task.group_begin; g < task.group_end; ++g) {
            if (problem.interrupted()) throw Interrupted();
            tracer.trace(problem.groups.groups[g]);
        }
        progress.one_done();
    });
    progress.all_done();
    sum_surfaces(problem, tasks, result);
    return result;
}

}  // namespace noonshell
