// A glTF 2.0 document with its numbers in one binary file (GLB), by the Khronos specification.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

#include "cli/json_parts.hpp"
#include "geometry/vec3.hpp"

namespace noonshell {

/// Triangles of one colour a corner, those of one surface, say.
class GlbMesh {
  public:
    /// `corners` counter-clockwise from outside, metres, Y up; `colour` linear RGB, 0 to 1. Equal
    /// corners that were added since the last new_patch() are one vertex.
    void add(const std::array<std::array<float, 3>, 3>& corners,
             const std::array<float, 3>& colour);
    void new_patch() { patch_begin_ = positions_m_.size() / 3; }
    bool empty() const { return indices_.empty(); }

  private:
    friend class GlbOutput;
    std::uint32_t vertex(const std::array<float, 3>& place, const std::array<float, 3>& colour);

    std::size_t patch_begin_ = 0;
    std::vector<float> positions_m_;
    std::vector<std::uint16_t> colours_;  ///< RGBA
    std::vector<std::uint32_t> indices_;
};

class GlbOutput {
  public:
    explicit GlbOutput(const std::string& generator);

    /// Each returns the index that others refer to it by. Meshes may not be empty.
    std::size_t add_material(Json material);
    std::size_t add_mesh(const GlbMesh& mesh, std::size_t material);
    std::size_t add_node(Json node);

    /// The file's bytes, with one scene of these nodes.
    std::string bytes(const std::vector<std::size_t>& roots, Json scene_extras) const;

  private:
    std::size_t add_accessor(Json accessor);

    Json document_;
    std::vector<float> positions_m_;
    std::vector<std::uint16_t> colours_;
    std::vector<std::uint32_t> indices_;
};

}  // namespace noonshell
