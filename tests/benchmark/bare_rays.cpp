#include "tests/benchmark/bare_rays.hpp"

#include <embree3/rtcore.h>
#include <xmmintrin.h>

#include <algorithm>
#include <atomic>
#include <chrono>
#include <limits>
#include <stdexcept>
#include <thread>

#include "solar/facet_groups.hpp"
#include "solar/light_parts.hpp"
#include "solar/ray_scene.hpp"
#include "solar/sampling.hpp"

namespace noonshell::benchmark {

namespace {

constexpr std::size_t lanes = 8;
constexpr std::uint32_t points_in_a_group = 64;
constexpr double part_size_m = 2;

struct alignas(32) Packet {
    float x[lanes], y[lanes], z[lanes];
    int valid[lanes];
    std::uint32_t n = 0;
};

struct Group {
    Vec3 normal;
    std::vector<Packet> packets;
};

struct Count {
    std::uint64_t rays = 0, lit = 0;
};

}  // namespace

struct BareRays::Impl {
    RTCDevice device = nullptr;
    RTCScene scene = nullptr;
    Vec3 centre{0, 0, 0};
    std::vector<Group> groups;
    std::size_t n_points = 0;

    ~Impl() {
        rtcReleaseScene(scene);
        rtcReleaseDevice(device);
    }
    void build(const TriangleMesh& mesh, bool robust);
    void add(std::span<const Vec3> points, const Vec3& normal);
    Count shoot(const Group& group, std::span<const Vec3> suns) const;
};

void BareRays::Impl::build(const TriangleMesh& mesh, bool robust) {
    Vec3 low = mesh.vertices_m.at(0), high = low;
    for (const Vec3& v : mesh.vertices_m) {
        low = low.cwiseMin(v);
        high = high.cwiseMax(v);
    }
    centre = 0.5 * (low + high);
    device = rtcNewDevice(nullptr);
    if (device == nullptr) throw std::runtime_error("no ray tracer");
    scene = rtcNewScene(device);
    rtcSetSceneFlags(scene, robust ? RTC_SCENE_FLAG_ROBUST : RTC_SCENE_FLAG_NONE);
    rtcSetSceneBuildQuality(scene, RTC_BUILD_QUALITY_HIGH);
    const RTCGeometry geometry = rtcNewGeometry(device, RTC_GEOMETRY_TYPE_TRIANGLE);
    auto* vertex = static_cast<float*>(rtcSetNewGeometryBuffer(geometry, RTC_BUFFER_TYPE_VERTEX, 0,
                                                               RTC_FORMAT_FLOAT3, 3 * sizeof(float),
                                                               mesh.vertices_m.size()));
    auto* index = static_cast<std::uint32_t*>(
        rtcSetNewGeometryBuffer(geometry, RTC_BUFFER_TYPE_INDEX, 0, RTC_FORMAT_UINT3,
                                3 * sizeof(std::uint32_t), mesh.triangles.size()));
    for (const Vec3& v : mesh.vertices_m) {
        for (int axis = 0; axis < 3; ++axis) *vertex++ = static_cast<float>(v[axis] - centre[axis]);
    }
    for (const auto& triangle : mesh.triangles) index = std::copy_n(triangle.data(), 3, index);
    rtcCommitGeometry(geometry);
    rtcAttachGeometry(scene, geometry);
    rtcReleaseGeometry(geometry);
    rtcCommitScene(scene);
}

void BareRays::Impl::add(std::span<const Vec3> points, const Vec3& normal) {
    Group group{normal, {}};
    for (std::size_t i = 0; i < points.size(); i += lanes) {
        Packet packet;
        packet.n = static_cast<std::uint32_t>(std::min(lanes, points.size() - i));
        for (std::size_t k = 0; k < lanes; ++k) {
            const Vec3 p = points[i + std::min<std::size_t>(k, packet.n - 1)] - centre;
            packet.x[k] = static_cast<float>(p.x());
            packet.y[k] = static_cast<float>(p.y());
            packet.z[k] = static_cast<float>(p.z());
            packet.valid[k] = k < packet.n ? -1 : 0;
        }
        group.packets.push_back(packet);
    }
    n_points += points.size();
    groups.push_back(std::move(group));
}

Count BareRays::Impl::shoot(const Group& group, std::span<const Vec3> suns) const {
    RTCIntersectContext context;
    rtcInitIntersectContext(&context);
    context.flags = RTC_INTERSECT_CONTEXT_FLAG_COHERENT;
    RTCRay8 ray{};
    std::fill_n(ray.mask, lanes, ~0u);
    Count count;
    for (const Vec3& sun : suns) {
        if (!(group.normal.dot(sun) > 0)) continue;
        std::fill_n(ray.dir_x, lanes, static_cast<float>(sun.x()));
        std::fill_n(ray.dir_y, lanes, static_cast<float>(sun.y()));
        std::fill_n(ray.dir_z, lanes, static_cast<float>(sun.z()));
        for (const Packet& packet : group.packets) {
            std::copy_n(packet.x, lanes, ray.org_x);
            std::copy_n(packet.y, lanes, ray.org_y);
            std::copy_n(packet.z, lanes, ray.org_z);
            std::fill_n(ray.tfar, lanes, std::numeric_limits<float>::infinity());
            rtcOccluded8(packet.valid, scene, &context, &ray);
            std::uint32_t lit = 0;
            for (std::size_t k = 0; k < lanes; ++k) lit += ray.tfar[k] >= 0 ? 1 : 0;
            count.lit += lit - (lanes - packet.n);  // idle lanes stay as they were: lit
            count.rays += packet.n;
        }
    }
    return count;
}

BareRays::BareRays(const Envelope& envelope, std::uint32_t points_per_facet, bool robust)
    : impl_(std::make_unique<Impl>()) {
    impl_->build(envelope.blockers, robust);
    std::vector<std::uint32_t> points(envelope.facets.size());
    for (std::size_t f = 0; f < points.size(); ++f) {
        points[f] = takes_light(envelope, f) ? points_per_facet : 0;
    }
    const LightParts parts = light_parts(envelope, part_size_m);
    const FacetGroups groups = group_facets(envelope, parts, points, points_in_a_group);
    for (const FacetGroup& group : groups.groups) {
        std::vector<Vec3> all;
        for (std::uint32_t i = group.begin; i < group.end; ++i) {
            const auto own = facet_points(envelope.facets, groups.order[i], points_per_facet);
            all.insert(all.end(), own.begin(), own.end());
        }
        impl_->add(all, group.normal);
    }
}

BareRays::~BareRays() = default;

std::size_t BareRays::n_points() const {
    return impl_->n_points;
}

BareResult BareRays::shoot(std::span<const Vec3> suns, unsigned threads) const {
    std::atomic<std::size_t> next{0};
    std::vector<Count> counts(threads);
    const auto work = [&](unsigned thread) {
        _mm_setcsr(_mm_getcsr() | 0x8040u);  // denormals are zero, as the tracer wants them
        for (std::size_t g = next++; g < impl_->groups.size(); g = next++) {
            const Count count = impl_->shoot(impl_->groups[g], suns);
            counts[thread].rays += count.rays;
            counts[thread].lit += count.lit;
        }
    };
    const auto begin = std::chrono::steady_clock::now();
    std::vector<std::thread> workers;
    for (unsigned t = 0; t < threads; ++t) workers.emplace_back(work, t);
    for (std::thread& worker : workers) worker.join();
    BareResult result;
    result.time_s = std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
    for (const Count& count : counts) {
        result.rays += count.rays;
        result.lit += count.lit;
    }
    return result;
}

}  // namespace noonshell::benchmark
