// Colours as the numbers of COLOUR_RGB in the text of the file (ISO 10303-46), which every screen
// shows as #rrggbb of 255 times these numbers: read, matched and written.
#include "geometry/colours.hpp"

#include <regex>

#include "geometry/coloured_step.hpp"
#include "geometry/roles.hpp"
#include "tests/geometry/step_fixture.hpp"

namespace noonshell {
namespace {

using testing::HasSubstr;
using testing::StartsWith;

class StepColours : public step_tests::StepFile {
  protected:
    /// The record number of the first entity of a kind.
    static std::string first_of(const std::string& text, const std::string& keyword) {
        std::smatch found;
        EXPECT_TRUE(std::regex_search(text, found, std::regex("#(\\d+) *= *" + keyword)));
        return "#" + found[1].str();
    }
    /// One block with a colour given to one of its records, as a CAD program writes it.
    std::string styled(const std::string& keyword, const std::string& colour) {
        const std::string text = one_block();
        const std::string records =
            "#9001=COLOUR_RGB(''," + colour +
            ");\n#9002=FILL_AREA_STYLE_COLOUR('',#9001);\n#9003=FILL_AREA_STYLE('',(#9002));\n"
            "#9004=SURFACE_STYLE_FILL_AREA(#9003);\n#9005=SURFACE_SIDE_STYLE('',(#9004));\n"
            "#9006=SURFACE_STYLE_USAGE(.BOTH.,#9005);\n"
            "#9007=PRESENTATION_STYLE_ASSIGNMENT((#9006));\n#9008=STYLED_ITEM('',(#9007)," +
            first_of(text, keyword) +
            ");\n#9009=MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION('',(#9008)," +
            first_of(text, "\\( *GEOMETRIC_REPRESENTATION_CONTEXT") + ");\n";
        const auto at = text.rfind("ENDSEC;");
        return text.substr(0, at) + records + text.substr(at);
    }
    /// The numbers of each COLOUR_RGB of a file, in thousandths.
    static std::vector<std::array<int, 3>> colours_in(const std::string& text) {
        std::vector<std::array<int, 3>> list;
        const std::regex record("COLOUR_RGB\\('',([0-9.E+-]+), *([0-9.E+-]+), *([0-9.E+-]+)\\)");
        for (std::sregex_iterator it(text.begin(), text.end(), record), end; it != end; ++it) {
            std::array<int, 3> colour{};
            for (std::size_t k = 0; k < 3; ++k) {
                colour[k] = static_cast<int>(std::lround(1000 * std::stod((*it)[k + 1].str())));
            }
            list.push_back(colour);
        }
        return list;
    }
    static std::string first_warning(const Model& model, const std::vector<Rgb>& asked) {
        std::vector<Warning> warnings;
        warn_of_idle_colours(model, asked, {}, warnings);
        return warnings.empty() ? "none" : warnings.front().text;
    }
};

const Rgb sky_blue{0x87 / 255.0F, 0xce / 255.0F, 0xeb / 255.0F};

TEST_F(StepColours, OfABodyIsTheHexOfItsNumbers) {
    const Model model = read_text(styled("MANIFOLD_SOLID_BREP", "0.529,0.808,0.922"));
    ASSERT_EQ(model.bodies.size(), 1u);
    ASSERT_TRUE(model.bodies[0].colour);
    EXPECT_EQ(hex_of(*model.bodies[0].colour), "#87ceeb");
    EXPECT_TRUE(same_colour(*model.bodies[0].colour, sky_blue));
    const auto counts = face_colours(model, model.bodies[0]);
    ASSERT_EQ(counts.size(), 1u);
    EXPECT_EQ(counts[0].n_faces, 6u);
    RolePatterns patterns;
    patterns.pane_colours = {sky_blue};
    std::vector<Warning> warnings;
    EXPECT_EQ(choose_roles(model, patterns, {}, warnings)[0].role, Role::pane);
}

TEST_F(StepColours, OfAFaceIsTheHexOfItsNumbers) {
    const Model model = read_text(styled("ADVANCED_FACE", "0.243,0.616,0.831"));
    EXPECT_FALSE(model.bodies.at(0).colour);
    const auto counts = face_colours(model, model.bodies[0]);
    ASSERT_EQ(counts.size(), 1u);
    EXPECT_EQ(counts[0].hex, "#3e9dd4");
    EXPECT_EQ(counts[0].n_faces, 1u);
}

TEST_F(StepColours, EveryStepOfAChannelComesBack) {
    for (int step = 0; step <= 255; step += 15) {
        const std::string number = std::to_string(step / 255.0);
        const std::string all = number + "," + number + "," + number;
        const Model model = read_text(styled("MANIFOLD_SOLID_BREP", all));
        ASSERT_TRUE(model.bodies.at(0).colour) << step;
        for (const float channel : *model.bodies[0].colour) {
            EXPECT_NEAR(channel, static_cast<float>(step) / 255, 1e-5F) << step;
        }
    }
}

TEST_F(StepColours, AreWrittenAsTheyWereGiven) {
    write_blocks({{"hut", "", {0, 0, 0}, {6, 2, 3}, 0, 0, sky_blue}}, folder_ / "blue.step", {});
    EXPECT_THAT(colours_in(mesh_checks::text_of(folder_ / "blue.step")),
                testing::Each(std::array{529, 808, 922}));
    EXPECT_FALSE(colours_in(mesh_checks::text_of(folder_ / "blue.step")).empty());

    mesh_checks::write_text(folder_ / "plain.step", one_block());
    const Model model = read_step(folder_ / "plain.step");
    write_coloured_step(folder_ / "plain.step", folder_ / "out.step", model,
                        {{FaceId(0), sky_blue}}, {});
    const auto written = colours_in(mesh_checks::text_of(folder_ / "out.step"));
    ASSERT_EQ(written.size(), 1u);
    EXPECT_EQ(written[0], (std::array{529, 808, 922}));
}

TEST_F(StepColours, ThatNothingHasAreToldWithTheNearest) {
    const Model model = read_text(styled("ADVANCED_FACE", "0.529,0.808,0.922"));
    EXPECT_EQ(first_warning(model, {sky_blue}), "none");
    EXPECT_EQ(first_warning(model, {}), "none");
    const std::string told = first_warning(model, {sky_blue, Rgb{1, 0, 0}});
    EXPECT_THAT(told, StartsWith("the colour \"#ff0000\" of pane_colours"));
    EXPECT_THAT(told, HasSubstr("nearest there is \"#87ceeb\""));
    EXPECT_THAT(first_warning(read_text(one_block()), {sky_blue}), HasSubstr("no colours"));
    std::vector<Warning> warnings;
    warn_of_idle_colours(model, {}, {{"mural", {}, {Rgb{0, 1, 0}, sky_blue}}}, warnings);
    ASSERT_EQ(warnings.size(), 1u);
    EXPECT_EQ(warnings[0].code, "colour-matches-nothing");
    EXPECT_THAT(warnings[0].text, HasSubstr("\"#00ff00\" of surface mural"));
}

}  // namespace
}  // namespace noonshell
