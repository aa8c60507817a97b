// STEP files that cannot be read: each is an error of one line, never a crash or a word on the
// screen.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <sys/stat.h>

#include <chrono>
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
    // RFC 1952, APPNOTE 4.3.7 and the byte order marks of Unicode.
    expect_text_refused("\x1F\x8B\x08", "ISO-10303-21", "a gzip file (unpack it first)");
    expect_text_refused("PK\x03\x04", "ISO-10303-21", "a ZIP archive (unpack it first)");
    expect_text_refused("\xFF\xFEI", "ISO-10303-21", "UTF-16");
    expect_text_refused("\xEF\xBB\xBF" + text, "ISO-10303-21", "a byte order mark before it");
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
    const auto plane = text.find("#50 = PLANE");
    expect_text_refused(text.substr(0, plane + 7), "END-ISO-10303-21",
                        "the last whole entity is #49");
    expect_text_refused(text.substr(0, text.find("DATA;")), "END-ISO-10303-21", "no whole entity");
}

TEST_F(StepRefusal, RefusesATextThatTheKernelCannotHold) {
    const auto with_name = [&](const std::string& name) {
        return replaced(one_block(), "PLANE('',#51)", "PLANE('" + name + "',#51)");
    };
    EXPECT_EQ(read_text(with_name(std::string(16380, 'x'))).bodies.size(), 1u);
    const std::string longer = with_name(std::string(16379, 'x') + "''");
    expect_text_refused(longer, "a text of up to 16380 characters", "16381");
    try {
        read_step(folder_ / "text.step");
    } catch (const InputError& error) {
        EXPECT_EQ(error.place().entity, "#50");
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
    expect_refused(folder_ / "text.step", "CAD kernel can translate", " while ");
    // Afterwards everything works as before.
    EXPECT_EQ(read_text(one_block()).bodies.size(), 1u);
}

/// Records as one_block() has them, that many times: a representation that holds a mapped item
/// that stands for the next representation. The last refers to `last`.
std::string nested_representations(int n, const std::string& last) {
    std::string records;
    for (int i = 0; i < n; ++i) {
        const auto at = [&](int k) { return "#" + std::to_string(1000 + 3 * i + k); };
        records += at(0) + "=SHAPE_REPRESENTATION('',(#11," + at(1) + "),#19);\n" + at(1) +
                   "=MAPPED_ITEM(''," + at(2) + ",#15);\n" + at(2) + "=REPRESENTATION_MAP(#11," +
                   (i + 1 < n ? at(3) : last) + ");\n";
    }
    return records;
}

TEST_F(StepRefusal, SaysWhichEntityTheKernelWasAt) {
    // Representations that stand for each other in a chain: the kernel runs out of stack.
    std::string text = replaced(one_block(), "SHAPE_REPRESENTATION('',(#11,#15),#19)",
                                "SHAPE_REPRESENTATION('',(#11,#1001),#19)");
    text.insert(text.rfind("ENDSEC;"), nested_representations(100000, "#32"));
    expect_text_refused(text, "CAD kernel can translate", "while translating #");
}

TEST_F(StepRefusal, EndlessReferencesEndWithALine) {
    // A million entities, each of which refers to the next: the ring's last one to the first.
    using Clock = std::chrono::steady_clock;
    [[maybe_unused]] const auto begin = Clock::now();
    const auto with_records = [&](const std::string& records) {
        std::string text = one_block();
        return text.insert(text.rfind("ENDSEC;"), records);
    };
    constexpr int third = 333333;
    expect_text_refused(with_records(nested_representations(third, "#1000")), "come to an end",
                        "a ring of 999999 entities");
    expect_text_refused(with_records(nested_representations(third, "#32")), "come to an end",
                        "a chain of");
    // Entities that the kernel does not know do it too, whatever their order.
    std::string things;
    constexpr int n = 1000000;
    for (int i = n; i > 0; --i) {
        things += "#" + std::to_string(5000 + i) + "=THING('#1;'/*#2;*/,#" +
                  std::to_string(5000 + i % n + 1) + ");\n";
    }
    expect_text_refused(with_records(things), "come to an end", "a ring of 1000000 entities");
#if !defined(NOONSHELL_SANITIZED)
    EXPECT_LT(std::chrono::duration<double>(Clock::now() - begin).count(), 3 * 10.0);
#endif
}

TEST_F(StepRefusal, EndlessAssembliesEndWithALine) {
    const auto with_usages = [&](int levels, int last) {
        std::string text = one_block(), records;
        for (int i = 0; i < levels; ++i) {
            for (const int twice : {0, 1}) {
                const int part = i + 1 < levels ? 4001 + i : last;
                records += "#" + std::to_string(5000 + 2 * i + twice) +
                           "=NEXT_ASSEMBLY_USAGE_OCCURRENCE('','','',#" + std::to_string(4000 + i) +
                           ",#" + std::to_string(part) + ",$);\n";
            }
        }
        return text.insert(text.rfind("ENDSEC;"), records);
    };
    expect_text_refused(with_usages(30, 3999), "up to 100000 placed parts", "2.14748e+09");
    expect_text_refused(with_usages(3, 4000), "an assembly of other parts", "holds itself");
}

TEST_F(StepRefusal, ShortRingsAreToldAndTheRestIsRead) {
    std::string text = one_block();
    text.insert(text.rfind("ENDSEC;"),
                "#9001=THING(#9002);\n#9002=THING((#9003));\n"
                "#9003=THING('#9001',#9001,#9999);\n");
    const Model model = read_text(text);
    EXPECT_EQ(model.bodies.size(), 1u);
    ASSERT_THAT(codes(model), testing::Contains("reference-ring"));
    EXPECT_THAT(model.warnings[0].text, HasSubstr("3 entities"));
    EXPECT_EQ(model.warnings[0].where, "#9001");
    // What is only named in text or in a comment is no reference.
    text = one_block();
    text.insert(text.rfind("ENDSEC;"), "#9001=THING('#9002');\n#9002=THING(/*;*/#9001);\n");
    EXPECT_THAT(codes(read_text(text)), testing::Not(testing::Contains("reference-ring")));
}

#if !defined(NOONSHELL_SANITIZED)  // which needs the address space for itself
TEST_F(StepRefusal, ShortOfMemoryEndsWithALine) {
    std::string text = one_block(), things;
    for (int i = 1; i <= 1000000; ++i) things += "#" + std::to_string(5000 + i) + "=THING(#11);\n";
    text.insert(text.rfind("ENDSEC;"), things);
    mesh_checks::write_text(folder_ / "many.step", text);
    try {
        read_step(folder_ / "many.step", {.memory_limit_gib = 0.1});
        ADD_FAILURE() << "read within 0.1 GiB";
    } catch (const InputError& error) {
        EXPECT_THAT(error.seen(), HasSubstr("memory"));
    }
}
#endif

TEST_F(StepRefusal, CoordinatesWithoutSense) {
    const std::string point = "#43 = CARTESIAN_POINT('',(0.,0.,3.))";
    for (const char* z : {"NaN", "1.E30", "-1.E30", "1.E999", "Infinity", "'3'"}) {
        const std::string damaged = replaced(
            one_block(), point, "#43 = CARTESIAN_POINT('',(0.,0.," + std::string(z) + "))");
        mesh_checks::write_text(folder_ / "text.step", damaged);
        try {
            read_step(folder_ / "text.step");
            ADD_FAILURE() << z << " was read";
        } catch (const InputError& error) {
            EXPECT_EQ(error.place().entity, "#43") << z;
            EXPECT_THAT(error.expected(), HasSubstr("coordinates are numbers"));
        }
    }
}

TEST_F(StepRefusal, NulBytesAndOverlongRecords) {
    std::string text = one_block();
    text[text.find("CARTESIAN_POINT") + 3] = '\0';
    expect_text_refused(text, "text", "a NUL byte");
    text = one_block();
    std::string list = "#12";
    for (int i = 0; i < 1000000; ++i) list += ",#12";
    text.insert(text.rfind("ENDSEC;"), "#5000=POLY_LOOP('',(" + list + "));");
    std::erase(text, '\n');
    expect_text_refused(text, "a record of up to", "1000002");
    text = one_block();
    text.insert(text.rfind("ENDSEC;"),
                "#5000=CARTESIAN_POINT('" + std::string(4000000, 'x') + "',(0.,0.,0.));\n");
    expect_text_refused(text, "a text of up to 16380 characters", "4000000");
}

TEST_F(StepRefusal, OtherFormatsAreNamed) {
    // IGES: 80 columns, a letter for the section in column 73 (value from memory).
    const std::string start = "a drawing" + std::string(63, ' ') + "S      1\n";
    expect_text_refused(start + "1H,,1H;" + std::string(65, ' ') + "G      1\n", "ISO-10303-21",
                        "an IGES file");
}

TEST_F(StepRefusal, ThingsThatAreNoFile) {
    const auto link = folder_ / "round.step";
    std::filesystem::create_symlink(link, link);
    expect_refused(link, "STEP", "symbolic link");
    const auto pipe = folder_ / "pipe.step";
    ASSERT_EQ(mkfifo(pipe.c_str(), 0600), 0);
    expect_refused(pipe, "STEP", "not a regular file");
    expect_refused("/dev/zero", "STEP", "not a regular file");
}

TEST_F(StepRefusal, APipeThatTheFileRefersToIsNotOpened) {
    ASSERT_EQ(mkfifo((folder_ / "pipe.step").c_str(), 0600), 0);
    std::string text = one_block();
    text.insert(text.rfind("ENDSEC;"),
                "#900=DOCUMENT_FILE('pipe.step','',$,#901,'',$);\n#901=DOCUMENT_TYPE('');\n");
    expect_text_refused(text, "references to regular files", "pipe.step");
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
    EXPECT_THROW(read_step(file, {.lost_area_limit = -0.1}), InputError);
    EXPECT_THROW(read_step(file, {.memory_limit_gib = 0}), InputError);
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
