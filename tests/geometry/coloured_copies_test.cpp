// Copies of shared parts in a coloured file: as many as the colours need, and no more.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <iterator>
#include <map>
#include <regex>
#include <string>
#include <vector>

#include "geometry/coloured_step.hpp"
#include "geometry/step_reader.hpp"
#include "tests/geometry/cad_shapes.hpp"
#include "tests/geometry/mesh_checks.hpp"
#include "tests/support/part21_solids.hpp"

namespace noonshell {
namespace {

using test_support::Part21Solid;
using test_support::read_part21_solids;

/// How often a record of this type stands in a file.
std::size_t count_of(const std::filesystem::path& file, const std::string& keyword) {
    const std::string text = mesh_checks::text_of(file);
    const std::regex record("#[0-9]+\\s*=\\s*" + keyword + "\\s*\\(");
    return static_cast<std::size_t>(
        std::distance(std::sregex_iterator(text.begin(), text.end(), record), {}));
}

Rgb tone(int k) {
    return {0.1F + 0.2F * static_cast<float>(k), 0.5F, 0.25F};
}

/// The yard of two stacks of two boxes (cad_shapes.hpp): one part at four places, below an assembly
/// at two.
class NestedCopies : public testing::Test {
  protected:
    void SetUp() override {
        cad_shapes::write_nested_assembly(source_);
        model_ = read_step(source_);
        ASSERT_EQ(model_.bodies.size(), 4u);
        ASSERT_EQ(count_of(source_, "PRODUCT"), 3u);  // yard, stack, box
    }

    /// Paints every body in one tone, by the ends of its path, and writes the file.
    ColouredStepReport paint(const std::map<std::string, int>& tones) {
        std::vector<FaceColour> colours;
        for (const Body& body : model_.bodies) {
            const int k = tones.at(body.path.substr(body.path.find('/') + 1));
            for (std::uint32_t f = 0; f < body.n_faces; ++f)
                colours.push_back({FaceId(body.first_face + f), tone(k)});
        }
        return write_coloured_step(source_, target_, model_, colours, {});
    }

    void expect(const std::map<std::string, int>& tones, std::size_t n_copies) {
        const ColouredStepReport report = paint(tones);
        EXPECT_TRUE(report.warnings.empty());
        EXPECT_EQ(report.n_coloured, model_.faces.size());
        EXPECT_EQ(report.n_copied_parts, n_copies);
        // The file itself says how many parts it has.
        EXPECT_EQ(count_of(target_, "PRODUCT"), 3 + n_copies);
        EXPECT_EQ(count_of(target_, "PRODUCT_DEFINITION"), 3 + n_copies);
        expect_same_solids();
        expect_tones(tones);
    }

    void expect_same_solids() const {
        const auto before = read_part21_solids(source_), after = read_part21_solids(target_);
        ASSERT_EQ(after.size(), before.size());
        for (std::size_t k = 0; k < before.size(); ++k) {
            EXPECT_EQ(after[k].name, before[k].name);
            EXPECT_EQ(after[k].n_faces, before[k].n_faces);
            EXPECT_NEAR(after[k].volume_m3, before[k].volume_m3, 1e-9 * before[k].volume_m3);
            for (std::size_t i = 0; i < 6; ++i)
                EXPECT_NEAR(after[k].bounds_m[i], before[k].bounds_m[i], 1e-9) << before[k].name;
        }
    }

    void expect_tones(const std::map<std::string, int>& tones) const {
        const Model again = read_step(target_);
        ASSERT_EQ(again.bodies.size(), 4u);
        for (const Body& body : again.bodies) {
            const Rgb wanted = tone(tones.at(body.path.substr(body.path.find('/') + 1)));
            for (std::uint32_t f = 0; f < body.n_faces; ++f) {
                const auto& colour = again.faces[body.first_face + f].colour;
                ASSERT_TRUE(colour) << body.path;
                for (std::size_t k = 0; k < 3; ++k)
                    EXPECT_NEAR((*colour)[k], wanted[k], 1e-5) << body.path;
            }
        }
    }

    mesh_checks::ScratchFolder folder_;
    std::filesystem::path source_ = folder_ / "source.step", target_ = folder_ / "coloured.step";
    Model model_;
};

// What must be told apart needs a part of its own: n looks of a part take n - 1 copies of it, and a
// stack has as many looks as pairs of boxes in it differ.

TEST_F(NestedCopies, NoneWhereAllPlacesLookAlike) {
    expect({{"stack-a/low", 1}, {"stack-a/high", 1}, {"stack-b/low", 1}, {"stack-b/high", 1}}, 0);
}

TEST_F(NestedCopies, OneBoxAndNoStackWhereBothStacksDifferWithinInTheSameWay) {
    expect({{"stack-a/low", 1}, {"stack-a/high", 2}, {"stack-b/low", 1}, {"stack-b/high", 2}}, 1);
}

TEST_F(NestedCopies, OneBoxAndOneStackWhereOnePlaceDiffers) {
    for (const char* odd : {"stack-a/low", "stack-a/high", "stack-b/low", "stack-b/high"}) {
        std::map<std::string, int> tones{
            {"stack-a/low", 1}, {"stack-a/high", 1}, {"stack-b/low", 1}, {"stack-b/high", 1}};
        tones[odd] = 3;
        SCOPED_TRACE(odd);
        expect(tones, 2);
    }
}

TEST_F(NestedCopies, OneBoxAndOneStackWhereTheStacksDiffer) {
    expect({{"stack-a/low", 1}, {"stack-a/high", 1}, {"stack-b/low", 2}, {"stack-b/high", 2}}, 2);
}

TEST_F(NestedCopies, ThreeBoxesAndOneStackWhereAllPlacesDiffer) {
    expect({{"stack-a/low", 0}, {"stack-a/high", 1}, {"stack-b/low", 2}, {"stack-b/high", 3}}, 4);
}

}  // namespace
}  // namespace noonshell
