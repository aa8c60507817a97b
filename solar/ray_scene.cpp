#include "solar/ray_scene.hpp"

#include <embree3/rtcore.h>
#include <xmmintrin.h>

#include <algorithm>
#include <cstring>
#include <stdexcept>
#include <string>
#include <type_traits>

#include "geometry/diagnostics.hpp"

namespace noonshell {

namespace {

constexpr std::size_t packet = 8;

/// Flush-to-zero and denormals-are-zero, as the tracer wants them, for as long as this lives.
class FlushDenormals {
  public:
    FlushDenormals() : before_(_mm_getcsr()) { _mm_setcsr(before_ | 0x8040u); }
    ~FlushDenormals() { _mm_setcsr(before_); }
    FlushDenormals(const FlushDenormals&) = delete;
    FlushDenormals& operator=(const FlushDenormals&) = delete;

  private:
    unsigned before_;
};

struct ReleaseDevice {
    void operator()(RTCDevice device) const { rtcReleaseDevice(device); }
};
struct ReleaseScene {
    void operator()(RTCScene scene) const { rtcReleaseScene(scene); }
};
struct ReleaseGeometry {
    void operator()(RTCGeometry geometry) const { rtcReleaseGeometry(geometry); }
};
using Device = std::unique_ptr<RTCDeviceTy, ReleaseDevice>;
using Scene = std::unique_ptr<RTCSceneTy, ReleaseScene>;
using Geometry = std::unique_ptr<RTCGeometryTy, ReleaseGeometry>;

/// What the tracer complained about first. The C callback may not throw: it only takes a note here,
/// without allocating, and the next check throws.
struct Complaint {
    RTCError code = RTC_ERROR_NONE;
    char text[256] = {};

    static void note(void* user, RTCError code, const char* text) noexcept {
        auto& complaint = *static_cast<Complaint*>(user);
        if (complaint.code != RTC_ERROR_NONE) return;
        complaint.code = code;
        std::strncpy(complaint.text, text == nullptr ? "" : text, sizeof complaint.text - 1);
    }

    void check() const {
        if (code == RTC_ERROR_NONE) return;
        throw std::runtime_error("the ray tracer failed (code " + std::to_string(code) +
                                 "): " + text);
    }
};

struct Box {
    Vec3 low = Vec3::Constant(std::numeric_limits<double>::infinity());
    Vec3 high = Vec3::Constant(-std::numeric_limits<double>::infinity());
};

Box bounding_box(const TriangleMesh& mesh) {
    Box box;
    for (const auto& triangle : mesh.triangles) {
        for (const std::uint32_t vertex : triangle) {
            NOONSHELL_CHECK_LT(vertex, mesh.vertices_m.size());
            const Vec3& point = mesh.vertices_m[vertex];
            NOONSHELL_CHECK_EQ(point.allFinite(), true);
            box.low = box.low.cwiseMin(point);
            box.high = box.high.cwiseMax(point);
        }
    }
    return box;
}

template <class Ray>
void set_direction(Ray& ray, std::size_t k, const Vec3& direction) {
    ray.dir_x[k] = static_cast<float>(direction.x());
    ray.dir_y[k] = static_cast<float>(direction.y());
    ray.dir_z[k] = static_cast<float>(direction.z());
}

/// `Count`: a number, or a constant for copies without a call.
template <class Count>
void set_origins(RTCRay8& ray, const RayOrigins& origins, std::size_t begin, Count n) {
    std::copy_n(origins.x_m.data() + begin, std::size_t{n}, ray.org_x);
    std::copy_n(origins.y_m.data() + begin, std::size_t{n}, ray.org_y);
    std::copy_n(origins.z_m.data() + begin, std::size_t{n}, ray.org_z);
    std::fill_n(ray.tfar, packet, std::numeric_limits<float>::infinity());
}

template <class Ray>
void set_common(Ray& ray) {
    for (std::size_t k = 0; k < packet; ++k) {
        ray.tnear[k] = 0.0F;
        ray.time[k] = 0.0F;
        ray.mask[k] = ~0u;
        ray.id[k] = 0;
        ray.flags[k] = 0;
    }
}

}  // namespace

struct RayScene::Impl {
    Complaint complaint;  // outlives the device that writes to it
    Device device;
    Scene scene;
    Vec3 centre_m{0, 0, 0};

    void build(const TriangleMesh& mesh);
};

void RayScene::Impl::build(const TriangleMesh& mesh) {
    const Box box = bounding_box(mesh);
    centre_m = 0.5 * (box.low + box.high);
    device.reset(rtcNewDevice(nullptr));
    if (!device) throw std::runtime_error("the ray tracer could not be started");
    rtcSetDeviceErrorFunction(device.get(), &Complaint::note, &complaint);
    scene.reset(rtcNewScene(device.get()));
    complaint.check();
    rtcSetSceneFlags(scene.get(), RTC_SCENE_FLAG_ROBUST);
    rtcSetSceneBuildQuality(scene.get(), RTC_BUILD_QUALITY_HIGH);

    const Geometry geometry(rtcNewGeometry(device.get(), RTC_GEOMETRY_TYPE_TRIANGLE));
    complaint.check();
    auto* vertices = static_cast<float*>(
        rtcSetNewGeometryBuffer(geometry.get(), RTC_BUFFER_TYPE_VERTEX, 0, RTC_FORMAT_FLOAT3,
                                3 * sizeof(float), mesh.vertices_m.size()));
    auto* indices = static_cast<std::uint32_t*>(
        rtcSetNewGeometryBuffer(geometry.get(), RTC_BUFFER_TYPE_INDEX, 0, RTC_FORMAT_UINT3,
                                3 * sizeof(std::uint32_t), mesh.triangles.size()));
    complaint.check();
    for (const Vec3& point : mesh.vertices_m) {
        for (int axis = 0; axis < 3; ++axis) {
            *vertices++ = static_cast<float>(point[axis] - centre_m[axis]);
        }
    }
    for (const auto& triangle : mesh.triangles) indices = std::copy_n(triangle.data(), 3, indices);
    rtcCommitGeometry(geometry.get());
    rtcAttachGeometry(scene.get(), geometry.get());
    rtcCommitScene(scene.get());
    complaint.check();
}

RayScene::RayScene(const TriangleMesh& mesh) : impl_(std::make_unique<Impl>()) {
    if (!mesh.triangles.empty()) impl_->build(mesh);
}

RayScene::~RayScene() = default;
RayScene::RayScene(RayScene&&) noexcept = default;
RayScene& RayScene::operator=(RayScene&&) noexcept = default;

RayOrigins RayScene::origins(std::span<const Vec3> points_m) const {
    RayOrigins origins;
    for (auto* axis : {&origins.x_m, &origins.y_m, &origins.z_m}) axis->reserve(points_m.size());
    for (const Vec3& point : points_m) {
        const Vec3 relative = point - impl_->centre_m;
        origins.x_m.push_back(static_cast<float>(relative.x()));
        origins.y_m.push_back(static_cast<float>(relative.y()));
        origins.z_m.push_back(static_cast<float>(relative.z()));
    }
    return origins;
}

void RayScene::shadow(const RayOrigins& origins, std::size_t begin, std::size_t count,
                      const Vec3& direction, std::uint8_t* blocked) const {
    NOONSHELL_CHECK_LE(begin + count, origins.size());
    if (!impl_->scene) {
        std::fill_n(blocked, count, std::uint8_t{0});
        return;
    }
    const FlushDenormals flush;
    RTCIntersectContext context;
    rtcInitIntersectContext(&context);
    context.flags = RTC_INTERSECT_CONTEXT_FLAG_COHERENT;
    RTCRay8 ray{};
    set_common(ray);
    for (std::size_t k = 0; k < packet; ++k) set_direction(ray, k, direction);
    alignas(32) int valid[packet];
    std::fill_n(valid, packet, -1);
    // Whole packets have a length known to the compiler: copies that are calls cost as much as a
    // ray.
    const std::size_t whole = count / packet * packet;
    for (std::size_t i = 0; i < whole; i += packet) {
        set_origins(ray, origins, begin + i, std::integral_constant<std::size_t, packet>());
        rtcOccluded8(valid, impl_->scene.get(), &context, &ray);
        for (std::size_t k = 0; k < packet; ++k) blocked[i + k] = ray.tfar[k] < 0.0F ? 1 : 0;
    }
    if (whole == count) return;
    const std::size_t n = count - whole;
    std::fill(valid + n, valid + packet, 0);
    set_origins(ray, origins, begin + whole, n);
    rtcOccluded8(valid, impl_->scene.get(), &context, &ray);
    for (std::size_t k = 0; k < n; ++k) blocked[whole + k] = ray.tfar[k] < 0.0F ? 1 : 0;
}

void RayScene::first_hits(std::span<const Vec3> origins_m, std::span<const Vec3> directions,
                          std::span<RayHit> hits) const {
    NOONSHELL_CHECK_EQ(origins_m.size(), directions.size());
    NOONSHELL_CHECK_EQ(origins_m.size(), hits.size());
    std::fill(hits.begin(), hits.end(), RayHit{});
    if (!impl_->scene) return;
    const FlushDenormals flush;
    RTCIntersectContext context;
    rtcInitIntersectContext(&context);
    context.flags = RTC_INTERSECT_CONTEXT_FLAG_INCOHERENT;
    RTCRayHit8 packet_hit{};
    auto& ray = packet_hit.ray;
    set_common(ray);
    alignas(32) int valid[packet];
    std::fill_n(valid, packet, -1);
    for (std::size_t i = 0; i < hits.size(); i += packet) {
        const std::size_t n = std::min(packet, hits.size() - i);
        for (std::size_t k = 0; k < n; ++k) {
            const Vec3 relative = origins_m[i + k] - impl_->centre_m;
            ray.org_x[k] = static_cast<float>(relative.x());
            ray.org_y[k] = static_cast<float>(relative.y());
            ray.org_z[k] = static_cast<float>(relative.z());
            set_direction(ray, k, directions[i + k]);
        }
        std::fill(valid + n, valid + packet, 0);
        std::fill_n(ray.tfar, packet, std::numeric_limits<float>::infinity());
        std::fill_n(packet_hit.hit.geomID, packet, RTC_INVALID_GEOMETRY_ID);
        rtcIntersect8(valid, impl_->scene.get(), &context, &packet_hit);
        for (std::size_t k = 0; k < n; ++k) {
            if (packet_hit.hit.geomID[k] == RTC_INVALID_GEOMETRY_ID) continue;
            hits[i + k] = {packet_hit.hit.primID[k], static_cast<double>(ray.tfar[k])};
        }
    }
}

}  // namespace noonshell
