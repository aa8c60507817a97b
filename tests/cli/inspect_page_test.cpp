// The page of `inspect`: losses right below its head, groups and long tables opened by --verbose,
// colours as the site file takes them.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <chrono>
#include <nlohmann/json.hpp>
#include <regex>
#include <string>
#include <thread>
#include <vector>

#include "tests/cli/program.hpp"
#include "tests/cli/small_site.hpp"

namespace noonshell {
namespace {

using namespace test;
using Json = nlohmann::json;
using ::testing::HasSubstr;
using ::testing::Not;

std::vector<std::string> lines_of(const std::string& text) {
    std::vector<std::string> lines;
    std::istringstream in(text);
    for (std::string line; std::getline(in, line);) lines.push_back(line);
    return lines;
}

class InspectedPage : public testing::Test {
  protected:
    Outcome inspected(std::vector<std::string> more = {}) {
        more.insert(more.begin(), {"inspect", (folder_ / "site.step").string()});
        return run_program(more);
    }
    Json document(std::vector<std::string> more = {}) {
        more.emplace_back("--json");
        return Json::parse(inspected(std::move(more)).out);
    }

    Folder folder_;
};

/// A third block without one of its surfaces: 15.7 m2 of its face and of all three are lost.
void write_site_with_a_loss(const Folder& folder, const std::string& toml) {
    write_site(folder, toml);
    write_blocks({block("unit-1", twenty_foot_m), block("unit-2", twenty_foot_m, {0, 2.458, 0}),
                  block("hut", twenty_foot_m, {20, 0, 0})},
                 folder / "site.step");
    const std::string text = content_of(folder / "site.step");
    std::string broken = text;
    const auto last = text.rfind(" = PLANE(");
    const auto begin = text.rfind('#', last);
    broken.erase(begin, text.find(';', last) + 1 - begin);
    folder.write("site.step", broken);
}

TEST_F(InspectedPage, LossesStandBelowTheHeadOfEveryReport) {
    write_site_with_a_loss(folder_, quick_site_toml());
    const auto page = lines_of(inspected().out);
    ASSERT_GT(page.size(), 6u);
    EXPECT_THAT(page[5], ::testing::MatchesRegex("  LOST: .*was left out.*"));
    EXPECT_EQ(document().at("warnings").at(0).at("code"), "lost-area");
    const std::string out = (folder_ / "out").string();
    for (const bool sun : {false, true}) {
        std::vector<std::string> arguments{"run", (folder_ / "site.toml").string(), "--out", out};
        if (sun) arguments.insert(arguments.end(), {"--only", "sun"});
        const Outcome run = run_program(arguments);
        ASSERT_EQ(run.status, 0) << run.err;
        EXPECT_LT(run.out.find("\n  LOST: "), run.out.find("\n\n")) << run.out;
        const Json summary = Json::parse(content_of(folder_ / "out/summary.json"));
        EXPECT_EQ(summary.at("warnings").at(0).at("code"), "lost-area");
    }
}

TEST_F(InspectedPage, NothingIsSaidOfLossesWhereThereAreNone) {
    write_site(folder_, quick_site_toml());
    EXPECT_THAT(inspected().out, Not(HasSubstr("LOST")));
}

TEST_F(InspectedPage, VerboseNamesThePartsOfAGroup) {
    Block room = block("room", twenty_foot_m), door = block("door", {0.9, 0.04, 2}, {1, -0.05, 0}),
          vent = block("vent", {0.3, 0.3, 0.3}, {3, 1, 2.6});
    for (Block* part : {&room, &door, &vent}) part->assembly = "module";
    write_blocks({room, door, vent}, folder_ / "site.step");
    const std::string site =
        folder_.write("site.toml", "[model]\nfile = \"site.step\"\nunits = [\"module\"]\n");
    const std::string page = inspected({"--site", site}).out;
    EXPECT_THAT(page, HasSubstr("module (3 bodies)"));
    EXPECT_THAT(page, HasSubstr("--verbose prints each body"));
    EXPECT_THAT(page, Not(HasSubstr("\n  door ")));
    const std::string opened = inspected({"--site", site, "--verbose"}).out;
    for (const char* part : {"\n  room ", "\n  door ", "\n  vent "})
        EXPECT_THAT(opened, HasSubstr(part));
    EXPECT_THAT(opened, Not(HasSubstr("(3 bodies)")));
}

TEST_F(InspectedPage, ManyEqualUnitsStandInOneRow) {
    std::vector<Block> blocks;
    for (int k = 1; k <= 40; ++k)
        blocks.push_back(block("bunk-" + std::to_string(k), twenty_foot_m, {0, 5.0 * k, 0}));
    blocks.push_back(block("mess", {12.192, 2.438, 2.591}, {20, 0, 0}));
    write_blocks(blocks, folder_ / "site.step");
    const std::string page = inspected().out;
    EXPECT_THAT(page, HasSubstr("Units (41)"));
    EXPECT_THAT(page, HasSubstr("  bunk-1 ... bunk-40 (40 equal units)  "));
    EXPECT_THAT(page, HasSubstr("\n  and 46 more: --verbose prints them"));  // of 246 surfaces
    const std::string opened = inspected({"--verbose"}).out;
    EXPECT_THAT(opened, Not(HasSubstr("equal units")));
    EXPECT_THAT(opened, HasSubstr("mess/floor"));
    EXPECT_EQ(document().at("units").size(), 41u);
    EXPECT_EQ(document().at("surfaces").size(), 246u);
}

TEST_F(InspectedPage, ColoursAreThoseThatTheSiteFileTakes) {
    Block glass = block("front", {2, 0.02, 1}, {1, -0.02, 1});
    glass.colour = Rgb{0x87 / 255.0F, 0xce / 255.0F, 0xeb / 255.0F};
    write_blocks({block("hut", twenty_foot_m), glass}, folder_ / "site.step");
    const std::string head = "[model]\nfile = \"site.step\"\n";
    const std::string site = folder_.write("site.toml", head + "pane_colours = [\"#87CEEB\"]\n");
    const Json found = document({"--site", site});
    const Json& pane = found.at("bodies").at(1);
    EXPECT_EQ(pane.at("colour"), "#87ceeb");
    EXPECT_EQ(pane.at("face_colours").at(0).at("faces"), 6);
    EXPECT_EQ(pane.at("role"), "pane");
    EXPECT_TRUE(found.at("bodies").at(0).at("colour").is_null());
    EXPECT_TRUE(found.at("warnings").empty()) << found.at("warnings");
    EXPECT_THAT(inspected().out, ::testing::ContainsRegex("#87ceeb +1 +6\n"));
    folder_.write("site.toml", head + "pane_colours = [\"#3e9dd4\"]\n");
    const Json idle = document({"--site", site}).at("warnings");
    ASSERT_FALSE(idle.empty());
    EXPECT_EQ(idle[0].at("code"), "colour-matches-nothing");
    EXPECT_THAT(idle[0].at("text").get<std::string>(), HasSubstr("nearest there is \"#87ceeb\""));
}

TEST_F(InspectedPage, SmallAndVastSizesKeepTheirDigits) {
    write_blocks({block("nut", {0.003, 0.004, 0.002})}, folder_ / "site.step");
    EXPECT_THAT(inspected().out, HasSubstr("size 0.003 x 0.004 x 0.002 m"));
    write_blocks({block("vast", {40000, 30000, 20000})}, folder_ / "site.step");
    EXPECT_THAT(inspected().out, HasSubstr("2.4e+13"));
}

TEST_F(InspectedPage, BodiesOfOneNameAreToldApartByWhatHoldsThem) {
    Block first = block("walls", twenty_foot_m), second = block("walls", twenty_foot_m, {0, 9, 0});
    first.assembly = "cabin-A";
    second.assembly = "cabin-B";
    write_blocks({first, second, block("store", twenty_foot_m, {20, 0, 0})}, folder_ / "site.step");
    const std::string page = inspected().out;
    EXPECT_THAT(page, HasSubstr("\n  walls (in cabin-A)    unit "));
    EXPECT_THAT(page, HasSubstr("\n  walls-2 (in cabin-B)  unit "));
    EXPECT_THAT(page, HasSubstr("\n  store                 unit "));
}

TEST_F(InspectedPage, RoundingIsNoFigure) {
    write_blocks(
        {block("hut", twenty_foot_m, {2e-13, 0, 0}), block("store", twenty_foot_m, {20, 0, 2e-13})},
        folder_ / "site.step");
    const Json exact = document();
    ASSERT_GT(exact.at("bbox_m").at(0).get<double>(), 0);
    ASSERT_GT(exact.at("contacts").at(1).at("gap_m").get<double>(), 0);
    EXPECT_THAT(inspected().out, Not(HasSubstr("e-")));
}

TEST_F(InspectedPage, ManyWarningsOfOneKindAreCounted) {
    std::vector<Block> blocks;
    for (int k = 0; k < 40; ++k) {
        blocks.push_back(block("hut-" + std::to_string(k), {6, 2.4, 2.6}, {8.0 * k, 0, 0}));
        blocks.push_back(block("den-" + std::to_string(k), {6, 2.4, 2.6}, {8.0 * k, 1, 0}));
    }
    write_blocks(blocks, folder_ / "site.step");
    const auto n_told = [](const std::string& page) {
        std::size_t n = 0;
        for (const std::string& line : lines_of(page))
            n += line.find("run into each other") != line.npos ? 1 : 0;
        return n;
    };
    const std::string page = inspected().out;
    EXPECT_THAT(page, HasSubstr("Warnings (40)"));
    EXPECT_EQ(n_told(page), 11u);
    EXPECT_THAT(page, HasSubstr("bodies-overlap: and 29 more: --verbose prints them"));
    EXPECT_EQ(n_told(inspected({"--verbose"}).out), 40u);
}

TEST_F(InspectedPage, WhatIsThereInPlaceOfUnitsIsCounted) {
    write_blocks({block("nut", {0.3, 0.3, 0.2}), block("sail", {4, 0.02, 3}, {3, 0, 0})},
                 folder_ / "site.step");
    const Outcome outcome = inspected();
    EXPECT_EQ(outcome.status, 4);
    EXPECT_THAT(outcome.err, HasSubstr("saw 1 shade, 1 ignored; "));
    EXPECT_THAT(outcome.err, HasSubstr("(2 bodies)"));
}

// Facets of 2 cm keep the program at its work for long beyond the moment that a signal may take.
TEST_F(InspectedPage, ASignalEndsTheReadingAtOnce) {
    using Clock = std::chrono::steady_clock;
    std::vector<Block> blocks;
    for (int k = 0; k < 60; ++k)
        blocks.push_back(block("bunk-" + std::to_string(k), twenty_foot_m, {0, 2.45 * k, 0}));
    write_blocks(blocks, folder_ / "site.step");
    const std::string site =
        folder_.write("site.toml", "[model]\nfile = \"site.step\"\nfacet_size_m = 0.05\n");
    for (const int signal : {SIGTERM, SIGINT}) {
        Program program({"inspect", (folder_ / "site.step").string(), "--site", site});
        std::this_thread::sleep_for(std::chrono::milliseconds(500));
        const auto begin = Clock::now();
        program.send(signal);
        const Outcome outcome = program.wait();
        EXPECT_EQ(outcome.status, 130);
        expect_one_error_line(outcome, "interrupted");
        EXPECT_LT(Clock::now() - begin, std::chrono::seconds(2));
    }
}

}  // namespace
}  // namespace noonshell
