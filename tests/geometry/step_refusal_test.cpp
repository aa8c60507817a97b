// STEP files that cannot be read: each is an error of one line, never a crash or a word on the
// screen.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <string>

#include "tests/geometry/step_fixture.hpp"

namespace noonshell::step_tests {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;

class StepRefusal : public StepFile {};

TEST_F(StepRefusal, RefusesWhatIsNoStepFile) {
    const std::string text = one_block();
    expect_refused(folder_ / "nowhere.step", "STEP", "no such file");
    expect_refused(folder_.path(), "STEP", "a folder");
    expect_text_refused("", "STEP", "an empty file");
    expect_text_refused("\n \n", "ISO-10303-21", "begins with");
    expect_text_refused("solid cube\nfacet normal 0 0 1\n", "ISO-10303-21", "solid cube");
    expect_text_refused(std::string("\x7f"
                                    "ELF\0\1\2\3",
                                    8),
                        "ISO-10303-21", ".ELF");
    expect_text_refused(replaced(text, "AUTOMOTIVE_DESIGN", "IFC4"), "AP203, AP214 or AP242",
                        "IFC4");
    // What the header holds is shown on one short line of plain text.
    expect_text_refused(replaced(text, "AUTOMOTIVE_DESIGN", "IFC\x9E\x01" + std::string(500, 'X')),
                        "AP203, AP214 or AP242", "IFC.." + std::string(75, 'X'));
}

TEST_F(StepRefusal, RefusesEveryTruncation) {
    const std::string text = one_block();
    for (std::size_t n = 20; n < text.size() - 20; n += text.size() / 25) {
        expect_text_refused(text.substr(0, n), "END-ISO-10303-21", "cut short");
    }
}

TEST_F(StepRefusal, RefusesAFileWithoutData) {
    const std::string text = one_block();
    const auto data = text.find("DATA;") + 5;
    expect_text_refused(text.substr(0, data) + "\nENDSEC;\nEND-ISO-10303-21;\n", "solid or shell",
                        "no part");
}

TEST_F(StepRefusal, RefusesCurvesOnly) {
    cad_shapes::write_wire(folder_ / "wire.step");
    expect_refused(folder_ / "wire.step", "at least one solid or shell", "1 curve");
}

TEST_F(StepRefusal, SurvivesFilesThatCrashTheKernel) {
    // Too few parameters: the kernel follows a null pointer.
    expect_text_refused(
        replaced(one_block(), "#370 = ITEM_DEFINED_TRANSFORMATION('','',#11,#15);",
                 "#370 = CARTESIAN_TRANSFORMATION_OPERATOR_3D('',#17,#18,#16,1.,#17);"),
        "CAD kernel can translate", "it crashed");
    // Afterwards everything works as before.
    EXPECT_EQ(read_text(one_block()).bodies.size(), 1u);
}

TEST_F(StepRefusal, GivesUpWhenTimeIsOut) {
    one_block();
    try {
        read_step(folder_ / "one.step", {.time_limit_s = 1e-6});
        FAIL() << "read within a microsecond";
    } catch (const InputError& error) {
        EXPECT_THAT(error.seen(), HasSubstr("stopped after"));
    }
}

TEST_F(StepRefusal, RefusesOptionsOutOfRange) {
    one_block();
    const auto file = folder_ / "one.step";
    EXPECT_THROW(read_step(file, {.chord_tolerance_m = 0}), InputError);
    EXPECT_THROW(read_step(file, {.chord_tolerance_m = std::nan("")}), InputError);
    EXPECT_THROW(read_step(file, {.angle_tolerance_deg = 0}), InputError);
    EXPECT_THROW(read_step(file, {.angle_tolerance_deg = 91}), InputError);
    EXPECT_THROW(read_step(file, {.time_limit_s = 0}), InputError);
}

TEST_F(StepRefusal, DamagedFilesNeverPassUnnoticed) {
    // A damaged letter in any line of the data: the file is refused, or what was lost is listed, or
    // the body is whole.
    const std::string text = one_block();
    std::size_t at = text.find("DATA;");
    for (int n = 0; n < 60; ++n) {
        at = text.find_first_of("ABCDEFGHIJKLMNOPQRSTUVWXYZ", at + 131);
        if (at == text.npos) break;
        std::string damaged = text;
        damaged[at] = '?';
        mesh_checks::write_text(folder_ / "text.step", damaged);
        try {
            const Model model = read_step(folder_ / "text.step");
            const bool whole = model.bodies.size() == 1 && model.bodies[0].solid &&
                               std::abs(model.bodies[0].volume_m3 - 36) < 1e-9;
            EXPECT_TRUE(whole || !model.warnings.empty() || !model.left_out.empty()) << at;
        } catch (const InputError&) {
        }
    }
}

TEST_F(StepRefusal, UnknownSchemasAreReadWithARemark) {
    const Model model = read_text(replaced(one_block(), "AUTOMOTIVE_DESIGN", "SHIP_DESIGN"));
    EXPECT_EQ(model.schema, "unknown (SHIP_DESIGN)");
    EXPECT_THAT(codes(model), ElementsAre("schema-unknown"));
}

TEST_F(StepRefusal, CommentsAndByteOrderMarkInTheHeader) {
    const Model model =
        read_text(replaced(one_block(), "FILE_SCHEMA((", "FILE_SCHEMA( /* 'AP203' */\n ("));
    EXPECT_EQ(model.schema, "AP214 (AUTOMOTIVE_DESIGN)");
}

TEST_F(StepRefusal, PrintsNothing) {
    const std::string text = one_block();
    mesh_checks::write_text(folder_ / "bad.step",
                            replaced(text, "ADVANCED_FACE('',(", "ADVANCED_FACE('',((("));
    testing::internal::CaptureStdout();
    testing::internal::CaptureStderr();
    read_step(folder_ / "one.step");
    write_blocks({{"a", "", {0, 0, 0}, {1, 1, 1}, 0, 0, std::nullopt}}, folder_ / "again.step");
    try {
        read_step(folder_ / "bad.step");
    } catch (const InputError&) {
    }
    EXPECT_EQ(testing::internal::GetCapturedStdout(), "");
    EXPECT_EQ(testing::internal::GetCapturedStderr(), "");
}

TEST_F(StepRefusal, SameFileGivesTheSameModel) {
    cad_shapes::write_round_bodies(folder_ / "round.step");
    const Model a = read_step(folder_ / "round.step");
    const Model b = read_step(folder_ / "round.step");
    ASSERT_EQ(a.mesh.vertices_m.size(), b.mesh.vertices_m.size());
    for (std::size_t i = 0; i < a.mesh.vertices_m.size(); ++i) {
        ASSERT_EQ(a.mesh.vertices_m[i], b.mesh.vertices_m[i]);
    }
    EXPECT_EQ(a.mesh.triangles, b.mesh.triangles);
}

}  // namespace
}  // namespace noonshell::step_tests
