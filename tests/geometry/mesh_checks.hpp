// What tests ask of a mesh: volume by the divergence theorem and area, per body.
#pragma once

#include <Eigen/Geometry>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>

#include "geometry/model.hpp"
#include "tests/support/scratch_folder.hpp"

namespace noonshell::mesh_checks {

struct Sums {
    double volume_m3 = 0;  ///< positive when triangles run counter-clockwise seen from outside
    double area_m2 = 0;
};

inline Sums of_body(const Model& model, std::size_t body) {
    Sums sums;
    for (std::size_t t = 0; t < model.mesh.triangles.size(); ++t) {
        if (model.faces[model.mesh.triangle_face[t].index()].body.index() != body) continue;
        const Vec3 a = model.mesh.corner(t, 0);
        const Vec3 b = model.mesh.corner(t, 1);
        const Vec3 c = model.mesh.corner(t, 2);
        sums.volume_m3 += a.dot(b.cross(c)) / 6;
        sums.area_m2 += (b - a).cross(c - a).norm() / 2;
    }
    return sums;
}

inline std::string text_of(const std::filesystem::path& file) {
    std::ifstream in(file, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
}

inline void write_text(const std::filesystem::path& file, const std::string& text) {
    std::ofstream(file, std::ios::binary) << text;
}

using test_support::ScratchFolder;

}  // namespace noonshell::mesh_checks
