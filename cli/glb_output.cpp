#include "cli/glb_output.hpp"

#include <algorithm>
#include <bit>
#include <cmath>
#include <cstring>
#include <utility>

#include "geometry/diagnostics.hpp"

namespace noonshell {

namespace {

static_assert(std::endian::native == std::endian::little, "GLB is little-endian");

// Khronos, glTF 2.0 specification (2021): section 4.4 for the file, 3.6.2 for accessors, 3.7.2 for
// what a mesh may hold.
constexpr std::uint32_t magic = 0x46546C67, version = 2;
constexpr std::uint32_t chunk_json = 0x4E4F534A, chunk_binary = 0x004E4942;
constexpr int type_u16 = 5123, type_u32 = 5125, type_f32 = 5126;
constexpr int target_vertices = 34962, target_indices = 34963;
constexpr int mode_triangles = 4;
constexpr std::size_t n_position = 3, n_colour = 4;
constexpr std::size_t alignment = 4;
constexpr float most_u16 = 65535.0F;
enum View { view_positions, view_colours, view_indices };

template <class Number>
void append(std::string& bytes, const std::vector<Number>& numbers) {
    const std::size_t at = bytes.size();
    bytes.resize(at + numbers.size() * sizeof(Number));
    std::memcpy(bytes.data() + at, numbers.data(), numbers.size() * sizeof(Number));
}

void append_chunk(std::string& bytes, std::uint32_t type, std::string content, char padding) {
    content.resize((content.size() + alignment - 1) / alignment * alignment, padding);
    append(bytes, std::vector<std::uint32_t>{static_cast<std::uint32_t>(content.size()), type});
    bytes += content;
}

std::uint16_t as_u16(float share) {
    return static_cast<std::uint16_t>(std::lround(most_u16 * std::clamp(share, 0.0F, 1.0F)));
}

}  // namespace

std::uint32_t GlbMesh::vertex(const std::array<float, 3>& place,
                              const std::array<float, 3>& colour) {
    // A patch is a facet: a handful of corners.
    for (std::size_t v = patch_begin_; v < positions_m_.size() / n_position; ++v) {
        if (std::equal(place.begin(), place.end(),
                       positions_m_.begin() + static_cast<std::ptrdiff_t>(n_position * v)))
            return static_cast<std::uint32_t>(v);
    }
    positions_m_.insert(positions_m_.end(), place.begin(), place.end());
    for (const float share : colour) colours_.push_back(as_u16(share));
    colours_.push_back(as_u16(1));
    return static_cast<std::uint32_t>(positions_m_.size() / n_position - 1);
}

void GlbMesh::add(const std::array<std::array<float, 3>, 3>& corners,
                  const std::array<float, 3>& colour) {
    for (const auto& corner : corners) indices_.push_back(vertex(corner, colour));
}

GlbOutput::GlbOutput(const std::string& generator) {
    document_["asset"] = {{"version", "2.0"}, {"generator", generator}};
    document_["scene"] = 0;
}

std::size_t GlbOutput::add_accessor(Json accessor) {
    document_["accessors"].push_back(std::move(accessor));
    return document_["accessors"].size() - 1;
}

std::size_t GlbOutput::add_material(Json material) {
    document_["materials"].push_back(std::move(material));
    return document_["materials"].size() - 1;
}

std::size_t GlbOutput::add_node(Json node) {
    document_["nodes"].push_back(std::move(node));
    return document_["nodes"].size() - 1;
}

std::size_t GlbOutput::add_mesh(const GlbMesh& mesh, std::size_t material) {
    NOONSHELL_CHECK_GT(mesh.indices_.size(), 0u);
    std::array<float, n_position> low{}, high{};
    for (std::size_t i = 0; i < mesh.positions_m_.size(); ++i) {
        const float value = mesh.positions_m_[i];
        const std::size_t axis = i % n_position;
        low[axis] = i < n_position ? value : std::min(low[axis], value);
        high[axis] = i < n_position ? value : std::max(high[axis], value);
    }
    const std::size_t n_vertices = mesh.positions_m_.size() / n_position;
    const std::size_t position = add_accessor({{"bufferView", view_positions},
                                               {"byteOffset", sizeof(float) * positions_m_.size()},
                                               {"componentType", type_f32},
                                               {"count", n_vertices},
                                               {"type", "VEC3"},
                                               {"min", low},
                                               {"max", high}});
    const std::size_t colour =
        add_accessor({{"bufferView", view_colours},
                      {"byteOffset", sizeof(std::uint16_t) * colours_.size()},
                      {"componentType", type_u16},
                      {"normalized", true},
                      {"count", n_vertices},
                      {"type", "VEC4"}});
    const std::size_t index = add_accessor({{"bufferView", view_indices},
                                            {"byteOffset", sizeof(std::uint32_t) * indices_.size()},
                                            {"componentType", type_u32},
                                            {"count", mesh.indices_.size()},
                                            {"type", "SCALAR"}});
    positions_m_.insert(positions_m_.end(), mesh.positions_m_.begin(), mesh.positions_m_.end());
    colours_.insert(colours_.end(), mesh.colours_.begin(), mesh.colours_.end());
    indices_.insert(indices_.end(), mesh.indices_.begin(), mesh.indices_.end());
    Json primitive = {{"attributes", {{"POSITION", position}, {"COLOR_0", colour}}},
                      {"indices", index},
                      {"material", material},
                      {"mode", mode_triangles}};
    document_["meshes"].push_back({{"primitives", Json::array({std::move(primitive)})}});
    return document_["meshes"].size() - 1;
}

std::string GlbOutput::bytes(const std::vector<std::size_t>& roots, Json scene_extras) const {
    std::string numbers;
    Json views = Json::array();
    const auto add_view = [&](const auto& values, int target, std::size_t stride) {
        Json view = {{"buffer", 0}, {"byteOffset", numbers.size()}};
        append(numbers, values);
        view["byteLength"] = numbers.size() - view["byteOffset"].get<std::size_t>();
        if (stride > 0) view["byteStride"] = stride;
        view["target"] = target;
        views.push_back(std::move(view));
    };
    add_view(positions_m_, target_vertices, n_position * sizeof(float));
    add_view(colours_, target_vertices, n_colour * sizeof(std::uint16_t));
    add_view(indices_, target_indices, 0);

    Json document = document_;
    document["scenes"] = Json::array({{{"nodes", roots}, {"extras", std::move(scene_extras)}}});
    document["bufferViews"] = std::move(views);
    document["buffers"] = Json::array({{{"byteLength", numbers.size()}}});

    std::string chunks;
    append_chunk(chunks, chunk_json, document.dump(), ' ');
    append_chunk(chunks, chunk_binary, std::move(numbers), '\0');
    std::string file;
    const std::size_t length = 3 * sizeof(std::uint32_t) + chunks.size();
    append(file, std::vector<std::uint32_t>{magic, version, static_cast<std::uint32_t>(length)});
    return file + chunks;
}

}  // namespace noonshell
