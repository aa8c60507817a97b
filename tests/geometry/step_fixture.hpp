// What the tests of the STEP reader share: a scratch folder, small files, and comparisons.
#pragma once

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <functional>
#include <string>
#include <vector>

#include "geometry/block_writer.hpp"
#include "geometry/step_reader.hpp"
#include "tests/geometry/cad_shapes.hpp"
#include "tests/geometry/mesh_checks.hpp"

namespace noonshell::step_tests {

class StepFile : public testing::Test {
  protected:
    /// The model of a file that `write` makes.
    Model read(const std::function<void(const std::filesystem::path&)>& write) {
        write(folder_ / "model.step");
        return read_step(folder_ / "model.step");
    }
    Model read_box(cad_shapes::BoxForm form) {
        return read([&](const auto& file) { cad_shapes::write_box(file, form); });
    }
    /// The text of a STEP file with one block, 6 x 2 x 3, in metres, its corner at (1, 2, 3).
    std::string one_block() {
        write_blocks({{"unit-1", "", {1, 2, 3}, {6, 2, 3}, 0, 0, std::nullopt}},
                     folder_ / "one.step", {StepSchema::ap214, LengthUnit::metre, "site"});
        return mesh_checks::text_of(folder_ / "one.step");
    }
    Model read_text(const std::string& text) {
        mesh_checks::write_text(folder_ / "text.step", text);
        return read_step(folder_ / "text.step");
    }
    void expect_refused(const std::filesystem::path& file, const std::string& expected,
                        const std::string& seen) {
        try {
            read_step(file);
            ADD_FAILURE() << file << " was read";
        } catch (const InputError& error) {
            EXPECT_EQ(error.place().file, file.string());
            EXPECT_THAT(error.expected(), testing::HasSubstr(expected));
            EXPECT_THAT(error.seen(), testing::HasSubstr(seen));
            EXPECT_THAT(error.what(), testing::Not(testing::HasSubstr("\n")));
        }
    }
    void expect_text_refused(const std::string& text, const std::string& expected,
                             const std::string& seen) {
        mesh_checks::write_text(folder_ / "text.step", text);
        expect_refused(folder_ / "text.step", expected, seen);
    }

    mesh_checks::ScratchFolder folder_;
};

inline std::string replaced(std::string text, const std::string& what, const std::string& by) {
    const auto at = text.find(what);
    EXPECT_NE(at, text.npos) << what;
    return at == text.npos ? text : text.replace(at, what.size(), by);
}

inline std::vector<std::string> codes(const Model& model) {
    std::vector<std::string> list;
    for (const auto& warning : model.warnings) list.push_back(warning.code);
    return list;
}

/// The text of the first warning of a code; empty where there is none.
inline std::string warning_text(const Model& model, const std::string& code) {
    for (const auto& warning : model.warnings) {
        if (warning.code == code) return warning.text;
    }
    return {};
}

/// Compared within 1e-9 relative and 1e-9 absolute.
inline void expect_near(double seen, double expected) {
    EXPECT_NEAR(seen, expected, 1e-9 * (1 + std::abs(expected)));
}

inline void expect_bbox(const Model& model, const std::array<double, 6>& expected) {
    for (std::size_t k = 0; k < 6; ++k) EXPECT_NEAR(model.bbox_m[k], expected[k], 1e-9) << k;
}

inline void expect_sound_box(const Model& model) {
    ASSERT_EQ(model.bodies.size(), 1u);
    EXPECT_TRUE(model.bodies[0].solid);
    expect_near(model.bodies[0].area_m2, 52);
    expect_near(model.bodies[0].volume_m3, 24);
    expect_near(mesh_checks::of_body(model, 0).volume_m3, 24);
    EXPECT_TRUE(model.warnings.empty());
}

}  // namespace noonshell::step_tests
