// The coloured file where the file's up is not z, and where source or target cannot be had.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <stdexcept>
#include <string>
#include <vector>

#include "geometry/block_writer.hpp"
#include "geometry/coloured_step.hpp"
#include "geometry/step_reader.hpp"
#include "tests/geometry/mesh_checks.hpp"
#include "tests/support/part21_solids.hpp"

namespace noonshell {
namespace {

using testing::HasSubstr;
using testing::Not;

class ColouredTarget : public testing::Test {
  protected:
    void SetUp() override {
        write_blocks({{"hut", "", {1, 2, 0}, {6, 2, 3}, 0, 0, std::nullopt}}, source_);
    }
    static std::vector<FaceColour> red(const Model& model) {
        std::vector<FaceColour> colours;
        for (std::size_t f = 0; f < model.faces.size(); ++f)
            colours.push_back({FaceId(f), {1, 0, 0}});
        return colours;
    }

    mesh_checks::ScratchFolder folder_;
    std::filesystem::path source_ = folder_ / "source.step", target_ = folder_ / "coloured.step";
};

TEST_F(ColouredTarget, AShadeLiesInTheAxesOfTheFile) {
    StepReadOptions y_up;
    y_up.up = UpAxis::y;
    Model model = read_step(source_, y_up);
    // A level sheet 1 m above the model's top, 0.1 m thick, over x 0..2 and y 0..4 of the model.
    const double z = model.bbox_m[5] + 1;
    const std::vector<PrismBody> added{
        {"sheet", {{{{0, 0, z}, {2, 0, z}, {2, 4, z}, {0, 4, z}}, {0, 0, 0.1}}}}};
    append_bodies(model, added, "added shades");
    write_coloured_step(source_, target_, model, red(model), added);
    // In the text, which knows of no up, the sheet is thin along y: above the file's largest y. A
    // turn about x by which y becomes up makes -z of the file the model's y.
    const auto solids = test_support::read_part21_solids(target_);
    const auto sheet = std::find_if(solids.begin(), solids.end(),
                                    [](const auto& s) { return s.name.ends_with("sheet"); });
    ASSERT_TRUE(sheet != solids.end());
    const std::array<double, 6> in_file{0, 4 + 1, -4, 2, 4 + 1.1, 0};
    for (std::size_t i = 0; i < 6; ++i) EXPECT_NEAR(sheet->bounds_m[i], in_file[i], 1e-9) << i;
    // Read back in the same way it stands where it was put.
    const Model again = read_step(target_, y_up);
    ASSERT_EQ(again.bodies.size(), model.bodies.size());
    for (std::size_t i = 0; i < 6; ++i) EXPECT_NEAR(again.bbox_m[i], model.bbox_m[i], 1e-9) << i;
}

TEST_F(ColouredTarget, ASourceThatIsGoneOrCutIsOneLineAndLeavesTheTarget) {
    const Model model = read_step(source_);
    mesh_checks::write_text(target_, "what was there before");
    const std::string whole = mesh_checks::text_of(source_);
    for (const std::size_t length : {std::size_t{0}, std::size_t{40}}) {
        if (length == 0) {
            std::filesystem::remove(source_);
        } else {
            mesh_checks::write_text(source_, whole.substr(0, length));
        }
        try {
            write_coloured_step(source_, target_, model, red(model), {});
            ADD_FAILURE() << "written from " << length << " bytes";
        } catch (const InputError& error) {
            EXPECT_EQ(error.place().file, source_.string());
            EXPECT_FALSE(error.expected().empty());
            EXPECT_FALSE(error.seen().empty());
            EXPECT_THAT(error.what(), Not(HasSubstr("\n")));
        }
        EXPECT_EQ(mesh_checks::text_of(target_), "what was there before");
    }
}

TEST_F(ColouredTarget, ATargetThatCannotBeWrittenIsNamed) {
    const Model model = read_step(source_);
    for (const std::filesystem::path& target :
         {folder_.path(), folder_ / "no such folder/coloured.step",
          std::filesystem::path("/dev/full")}) {
        try {
            write_coloured_step(source_, target, model, red(model), {});
            ADD_FAILURE() << target << " was written";
        } catch (const std::runtime_error& error) {
            EXPECT_THAT(error.what(), HasSubstr(target.string()));
            EXPECT_THAT(error.what(), Not(HasSubstr("\n")));
        }
    }
}

}  // namespace
}  // namespace noonshell
