// Faces coloured in the user's own file: read back, they have the colours that were asked for, and
// bodies, names, volumes and areas are those of the file that was coloured.
#include "geometry/coloured_step.hpp"

#include <gtest/gtest.h>

#include "geometry/step_reader.hpp"
#include "tests/geometry/mesh_checks.hpp"

namespace noonshell {
namespace {

/// A different colour for each face.
std::vector<FaceColour> colours_of(const Model& model) {
    std::vector<FaceColour> colours;
    for (std::size_t f = 0; f < model.faces.size(); ++f) {
        const float x = static_cast<float>(f % 97) / 97;
        colours.push_back({FaceId(f), {x, 1 - x, 0.3F}});
    }
    return colours;
}

TEST(ColouredStep, StationKeepsItsBodiesAndTakesColoursAndShades) {
    const mesh_checks::ScratchFolder folder;
    const std::filesystem::path source = NOONSHELL_SOURCE_DIR "/models/station.step";
    Model model = read_step(source);
    const std::vector<PrismBody> added{
        {"roof", {{{{0, 0, 9}, {4, 0, 9}, {4, 3, 9}, {0, 3, 9}}, {0, 0, 0.05}}}}};
    append_bodies(model, added, "added shades");
    const auto colours = colours_of(model);
    const auto report = write_coloured_step(source, folder / "a.step", model, colours, added);
    write_coloured_step(source, folder / "b.step", model, colours, added);
    EXPECT_EQ(mesh_checks::text_of(folder / "a.step"), mesh_checks::text_of(folder / "b.step"));
    EXPECT_TRUE(report.warnings.empty());
    EXPECT_EQ(report.n_coloured, model.faces.size());
    EXPECT_EQ(report.n_copied_parts, 0u);
    const Model again = read_step(folder / "a.step");
    EXPECT_TRUE(again.warnings.empty());
    ASSERT_EQ(again.bodies.size(), model.bodies.size());
    for (std::size_t b = 0; b < model.bodies.size(); ++b) {
        EXPECT_EQ(again.bodies[b].path, model.bodies[b].path);
        EXPECT_NEAR(again.bodies[b].volume_m3, model.bodies[b].volume_m3, 1e-9);
        EXPECT_NEAR(again.bodies[b].area_m2, model.bodies[b].area_m2, 1e-9);
    }
    ASSERT_EQ(again.faces.size(), model.faces.size());
    for (std::size_t f = 0; f < model.faces.size(); ++f) {
        ASSERT_TRUE(again.faces[f].colour) << f;
        for (std::size_t k = 0; k < 3; ++k)
            EXPECT_NEAR((*again.faces[f].colour)[k], colours[f].colour[k], 1e-5) << f;
    }
}

}  // namespace
}  // namespace noonshell
