// [model] against in a site file: what was written for the earlier version holds for the edited
// one, so that a run on renamed bodies gives the numbers of the run before the edit.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>
#include <nlohmann/json.hpp>
#include <set>
#include <string>
#include <vector>

#include "tests/cli/program.hpp"
#include "tests/cli/small_site.hpp"

namespace noonshell {
namespace {

using namespace test;
using Json = nlohmann::json;
using ::testing::HasSubstr;

std::string replaced_all(std::string text, const std::string& what, const std::string& by) {
    for (auto at = text.find(what); at != text.npos; at = text.find(what, at + by.size()))
        text.replace(at, what.size(), by);
    return text;
}

class AgainstRun : public testing::Test {
  protected:
    void SetUp() override {
        // bunk-1 stands apart; "rock" would cast its shade on bunk-2 if it were not left out.
        blocks_ = {block("bunk-1", twenty_foot_m), block("bunk-2", twenty_foot_m, {0, 8, 0}),
                   block("store", twenty_foot_m, {12, 0, 0}), block("rock", {2, 2, 4}, {2, 12, 0})};
        write_blocks(blocks_, folder_ / "old.step");
        blocks_[0].name = "sleep-1";
        blocks_[3].name = "boulder";
        write_blocks(blocks_, folder_ / "new.step");
    }

    /// A run on one file; `more` are keys of [model].
    Json run(const std::string& file, const std::string& more, const std::string& tables) {
        const std::string site = folder_.write(
            "site.toml", place_toml + "[model]\nfile = \"" + file + "\"\nfacet_size_m = 2\n" +
                             "units = [\"bunk-*\", \"store\"]\nignores = [\"rock\"]\n" + more +
                             design_day_toml + coarse_toml + tables);
        const Outcome outcome =
            run_program({"run", site, "--out", (folder_ / "out").string(), "--json"});
        EXPECT_EQ(outcome.status, 0) << outcome.err;
        return outcome.status == 0 ? Json::parse(outcome.out) : Json();
    }

    /// Every number of every surface and unit, once names are put back.
    static void expect_same_numbers(const Json& edited, const Json& before) {
        for (const char* list : {"surfaces", "units"}) {
            ASSERT_TRUE(edited[list].is_array()) << list;
            const Json named_back =
                Json::parse(replaced_all(edited[list].dump(), "sleep-1", "bunk-1"));
            ASSERT_EQ(named_back.size(), before[list].size()) << list;
            for (std::size_t k = 0; k < before[list].size(); ++k)
                EXPECT_EQ(named_back[k].dump(1), before[list][k].dump(1)) << list << " " << k;
        }
    }

    /// The edited file gives the numbers of the old one, and would not without `against`.
    void expect_follows(const std::string& tables) {
        const Json before = run("old.step", "", tables);
        const Json edited = run("new.step", "against = \"old.step\"\n", tables);
        expect_same_numbers(edited, before);
        EXPECT_EQ(edited["warnings"].dump(), before["warnings"].dump());
        EXPECT_NE(edited["surfaces"].dump(), before["surfaces"].dump()) << "names did not change";
    }

    Folder folder_;
    std::vector<Block> blocks_;
};

const std::string foam_on_bunk_1 =
    "[[construction]]\nname = \"foamed\"\nsurfaces = [\"bunk-1/wall-*\"]\n"
    "layers = [{ material = \"steel\", thickness_mm = 2 }, { resistance_m2k_w = 2 }]\n"
    "outside_absorptance = 0.45\n";
const std::string paint_on_bunk_1 =
    "[[treatment]]\nname = \"lime\"\nkind = \"coating\"\nsurfaces = [\"bunk-1/*\"]\n"
    "cost_per_m2 = 5\nnew_reflectance = 0.8\naged_reflectance = 0.6\n";
const std::string roof_on_bunk_1 =
    "[[shade_roof]]\nname = \"sail\"\nover = [\"bunk-1\"]\noverhang_m = [0.2, 0.4, 0.6, 0.8]\n";

TEST_F(AgainstRun, ConstructionsTreatmentsAndExclusionsFollow) {
    expect_follows(foam_on_bunk_1 + paint_on_bunk_1);
}

TEST_F(AgainstRun, WhatFollowsIsTold) {
    const Json edited = run("new.step", "against = \"old.step\"\n", foam_on_bunk_1);
    std::set<std::string> told;
    for (const Json& carried : edited.at("carried_over")) {
        EXPECT_EQ(carried.at("choice").get<std::string>(), "construction foamed");
        told.insert(carried.at("surface").get<std::string>() + " was " +
                    carried.at("former").get<std::string>());
    }
    EXPECT_EQ(told.size(), 4u);
    EXPECT_TRUE(told.contains("sleep-1/wall-s was bunk-1/wall-s"));
}

TEST_F(AgainstRun, AShadeRoofFollowsItsUnit) {
    expect_follows(roof_on_bunk_1);
}

TEST_F(AgainstRun, AllTogetherFollowWithOverhangFinAndFigures) {
    expect_follows(foam_on_bunk_1 + paint_on_bunk_1 + roof_on_bunk_1 +
                   "[[overhang]]\nname = \"hood\"\nwalls = [\"bunk-1/wall-s\"]\ndepth_m = 0.7\n"
                   "height_m = 2.2\n"
                   "[[fin]]\nname = \"blade\"\nwalls = [\"bunk-1/wall-w\"]\ndepth_m = 0.5\n"
                   "[[unit]]\nname = \"bunk-1\"\nfloor_area_m2 = 13\nvolume_m3 = 30\n");
}

/// An invented room of six panels of 50 mm, 6 x 2.4 x 2.6 m outside; one of them is a door.
std::vector<Block> panel_room(const std::string& prefix) {
    const auto panel = [&](const std::string& name, const Vec3& corner_m, const Vec3& size_m) {
        return block(prefix + name, size_m, corner_m);
    };
    return {panel("floor", {0, 0, 0}, {6, 2.4, 0.05}),
            panel("roof", {0, 0, 2.55}, {6, 2.4, 0.05}),
            panel("south", {0, 0, 0.05}, {6, 0.05, 2.5}),
            panel("north", {0, 2.35, 0.05}, {6, 0.05, 2.5}),
            panel("west", {0, 0.05, 0.05}, {0.05, 2.3, 2.5}),
            panel("east", {5.95, 0.05, 0.05}, {0.05, 2.3, 2.5})};
}

/// [[unit]] and [[surface]] name bodies; only the names of the bodies change.
TEST_F(AgainstRun, UnitsPutTogetherAndSurfacesSetApartFollowRenamedBodies) {
    blocks_.resize(1);
    blocks_[0] = block("store", twenty_foot_m, {12, 0, 0});
    std::vector<Block> old_blocks = blocks_, new_blocks = blocks_;
    for (const Block& made : panel_room("hut-")) old_blocks.push_back(made);
    for (const Block& made : panel_room("lodge ")) new_blocks.push_back(made);
    write_blocks(old_blocks, folder_ / "old.step");
    write_blocks(new_blocks, folder_ / "new.step");
    const std::string tables =
        "[[unit]]\nname = \"hut\"\nbodies = [\"hut-*\"]\n"
        "[[surface]]\nname = \"gate\"\nfaces = [\"hut-west\"]\n"
        "[[treatment]]\nname = \"lime\"\nkind = \"coating\"\nsurfaces = [\"hut/gate*\"]\n"
        "cost_per_m2 = 5\nnew_reflectance = 0.8\naged_reflectance = 0.6\n";
    const Json before = run("old.step", "", tables);
    const Json edited = run("new.step", "against = \"old.step\"\n", tables);
    expect_same_numbers(edited, before);
    EXPECT_EQ(edited["warnings"].dump(), before["warnings"].dump());
    EXPECT_THAT(before["surfaces"].dump(), HasSubstr("hut/gate"));
    EXPECT_THAT(run("new.step", "", tables)["warnings"].dump(),
                HasSubstr("pattern-matches-nothing"));
}

/// Names the faces of a written file; upright faces of a block come before the others.
void name_faces(const std::filesystem::path& file, const std::vector<std::string>& names) {
    const std::string blank = "ADVANCED_FACE('',";
    std::string text = content_of(file);
    std::size_t at = 0;
    for (const std::string& name : names) {
        at = text.find(blank, at);
        ASSERT_NE(at, text.npos);
        text.replace(at, blank.size(), "ADVANCED_FACE('" + name + "',");
        ++at;
    }
    std::ofstream(file, std::ios::binary) << text;
}

/// Only the names of faces change: of the first block and of no other.
TEST_F(AgainstRun, PanesAndSurfacesSetApartFollowRenamedFaces) {
    blocks_.resize(3);
    blocks_[0].name = "bunk-1";
    for (const char* file : {"old.step", "new.step"}) write_blocks(blocks_, folder_ / file);
    name_faces(folder_ / "old.step", {"glass", "plain", "mural-1"});
    name_faces(folder_ / "new.step", {"opening a", "plain", "art"});
    const std::string panes = "panes = [\"glass*\"]\n";
    const std::string tables =
        "[[surface]]\nname = \"mural\"\nfaces = [\"mural-*\"]\n"
        "[[treatment]]\nname = \"lime\"\nkind = \"coating\"\nsurfaces = [\"bunk-1/mural*\"]\n"
        "cost_per_m2 = 5\nnew_reflectance = 0.8\naged_reflectance = 0.6\n"
        "[[construction]]\nname = \"tinted\"\nsurfaces = [\"bunk-1/glass*\"]\n"
        "outside_absorptance = 0.4\nsolar_transmittance = 0.5\n"
        "layers = [{material = \"glass\", thickness_mm = 6}]\n";
    const Json before = run("old.step", panes, tables);
    ASSERT_THAT(before["surfaces"].dump(), HasSubstr("bunk-1/mural"));
    ASSERT_THAT(before["surfaces"].dump(), HasSubstr("bunk-1/glass"));
    const Json edited = run("new.step", panes + "against = \"old.step\"\n", tables);
    expect_same_numbers(Json::parse(replaced_all(edited.dump(), "opening a", "glass")), before);
    EXPECT_EQ(edited["warnings"].dump(), before["warnings"].dump());
    EXPECT_THAT(
        run("new.step", panes, "[[surface]]\nname = \"mural\"\nfaces = [\"mural-*\"]\n")["warnings"]
            .dump(),
        HasSubstr("surface-matches-nothing"));
}

const std::string roof_on_bunk_1_and_annex =
    "[[shade_roof]]\nname = \"sail\"\nover = [\"bunk-1\", \"annex\"]\n"
    "[[overhang]]\nname = \"hood\"\nwalls = [\"annex/wall-s\"]\ndepth_m = 0.7\n";

/// The earlier version knows no annex.
TEST_F(AgainstRun, ShadesMayStandOverUnitsThatAreNew) {
    blocks_.push_back(block("annex", twenty_foot_m, {24, 0, 0}));
    write_blocks(blocks_, folder_ / "new.step");
    const std::string surfaces =
        run("new.step", "against = \"old.step\"\n", roof_on_bunk_1_and_annex)["surfaces"].dump();
    EXPECT_THAT(surfaces, HasSubstr("sail/top"));
    EXPECT_THAT(surfaces, HasSubstr("hood/top"));
}

/// What neither version knows is refused, beside a pattern that holds too.
TEST_F(AgainstRun, ShadesOverUnitsThatNeitherVersionKnowsAreRefused) {
    run("new.step", "against = \"old.step\"\n", "");
    const std::string site =
        folder_.write("site.toml", content_of(folder_ / "site.toml") + roof_on_bunk_1_and_annex);
    const Outcome outcome = run_program({"run", site, "--out", (folder_ / "out").string()});
    EXPECT_EQ(outcome.status, 3);
    EXPECT_THAT(outcome.err, HasSubstr("\"annex\", which matches none"));
}

TEST_F(AgainstRun, InspectTakesTheEarlierVersionOfTheSiteFile) {
    run("new.step", "against = \"old.step\"\n", roof_on_bunk_1);
    const Outcome outcome = run_program({"inspect", (folder_ / "new.step").string(), "--site",
                                         (folder_ / "site.toml").string(), "--json"});
    ASSERT_EQ(outcome.status, 0) << outcome.err;
    const Json document = Json::parse(outcome.out);
    EXPECT_TRUE(document.contains("against"));
    EXPECT_THAT(document["surfaces"].dump(), HasSubstr("sail/top"));
    EXPECT_EQ(document["bodies"][0]["role_guessed"], false);
}

TEST_F(AgainstRun, WithoutItTheEditIsSeen) {
    const Json before = run("old.step", "", foam_on_bunk_1);
    const Json lost = run("new.step", "", foam_on_bunk_1);
    EXPECT_NE(replaced_all(lost["surfaces"].dump(), "sleep-1", "bunk-1"),
              before["surfaces"].dump());
    EXPECT_THAT(lost["warnings"].dump(), HasSubstr("construction-matches-nothing"));
    EXPECT_THAT(lost["warnings"].dump(), HasSubstr("unit-guessed"));
}

TEST_F(AgainstRun, APatternThatNeitherVersionKnowsIsStillTold) {
    const Json edited = run("new.step", "against = \"old.step\"\nshades = [\"canopy-*\"]\n", "");
    ASSERT_FALSE(edited["warnings"].empty());
    EXPECT_EQ(edited["warnings"][0]["code"], "pattern-matches-nothing");
    EXPECT_EQ(edited["warnings"].dump().find("\\\"rock\\\""), std::string::npos);
}

}  // namespace
}  // namespace noonshell
