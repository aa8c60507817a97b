// inspect NEW.step --against OLD.step
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>
#include <numbers>
#include <string>
#include <vector>

#include "tests/cli/program.hpp"
#include "tests/cli/small_site.hpp"

namespace noonshell {
namespace {

using namespace test;
using Json = nlohmann::json;
using ::testing::HasSubstr;
using ::testing::Not;

class Against : public testing::Test {
  protected:
    void SetUp() override {
        old_blocks_ = {block("bunk-1", twenty_foot_m), block("bunk-2", twenty_foot_m, {0, 5, 0}),
                       block("bunk-3", twenty_foot_m, {0, 10, 0}),
                       block("store", twenty_foot_m, {0, 15, 0}),
                       block("store-x", {12.192, 2.438, 2.591}, {0, 20, 0})};
        new_blocks_ = old_blocks_;
    }
    /// Writes both versions and compares them.
    Outcome compare(std::vector<std::string> more = {}) {
        write_blocks(old_blocks_, folder_ / "old.step");
        write_blocks(new_blocks_, folder_ / "new.step");
        std::vector<std::string> arguments{"inspect", (folder_ / "new.step").string(), "--against",
                                           (folder_ / "old.step").string()};
        arguments.insert(arguments.end(), more.begin(), more.end());
        return run_program(arguments);
    }
    Json document(std::vector<std::string> more = {}) {
        more.emplace_back("--json");
        const Outcome outcome = compare(std::move(more));
        EXPECT_EQ(outcome.status, 0) << outcome.err;
        return Json::parse(outcome.out);
    }

    Folder folder_;
    std::vector<Block> old_blocks_, new_blocks_;
};

TEST_F(Against, ListsWhatWasDoneWithItsFigures) {
    new_blocks_[0].name = "sleep-1";
    new_blocks_[1].corner_m.x() += 1.25;
    new_blocks_[2].size_m.z() = 2.896;
    new_blocks_[3] = block("annex", twenty_foot_m, {0, 40, 0});
    const Json against = document()["against"];
    const Json& counts = against["bodies"]["counts"];
    EXPECT_EQ(counts["kept"], 1);
    EXPECT_EQ(counts["renamed"], 1);
    EXPECT_EQ(counts["moved"], 1);  // the higher one stands where it stood
    EXPECT_EQ(counts["resized"], 1);
    EXPECT_EQ(counts["new"], 1);
    EXPECT_EQ(counts["gone"], 1);
    EXPECT_EQ(against["owners"]["counts"], counts);
    EXPECT_EQ(against["surfaces"]["changes"].size(), 36u);
    EXPECT_EQ(against["surfaces"]["counts"]["renamed"], 6);
    EXPECT_EQ(against["surfaces"]["counts"]["resized"], 4);
    EXPECT_EQ(against["whole_model"]["text"], "");
    const Json& sleep = against["owners"]["changes"][0];
    EXPECT_EQ(sleep["id"], "sleep-1");
    EXPECT_EQ(sleep["old_id"], "bunk-1");
    EXPECT_NEAR(against["owners"]["changes"][1]["moved_m"][0].get<double>(), 1.25, 1e-9);

    const Outcome page = compare();
    EXPECT_EQ(page.status, 0) << page.err;
    for (const char* part : {"Against ", "1 kept, 1 moved, 1 resized, 1 renamed, 1 new, 1 gone",
                             "bunk-1", "1.250 (1.250, 0.000, 0.000)",
                             "6.058 x 2.438 x 2.591 -> 6.058 x 2.438 x 2.896", "annex", "gone"}) {
        EXPECT_THAT(page.out, HasSubstr(part));
    }
}

/// The rows and lines of the page's comparison that begin with `start`.
std::size_t n_lines(const std::string& page, const std::string& start) {
    const std::string part = page.substr(0, page.find("\nBodies ("));
    std::size_t n = 0;
    for (auto at = part.find("\n" + start); at != part.npos; at = part.find("\n" + start, at + 1))
        ++n;
    return n;
}

TEST_F(Against, ThePageNamesEverySurfaceBeforeAllElse) {
    new_blocks_[0].name = "sleep-1";
    new_blocks_[2].size_m.z() = 2.896;  // four walls 0.305 m higher, the roof raised
    const std::string page = compare().out;
    ASSERT_LT(page.find("\nAgainst "), page.find("\nBodies ("));
    EXPECT_EQ(n_lines(page, "  sleep-1/"), 6u);  // renamed, each with its former name
    EXPECT_EQ(n_lines(page, "  bunk-3/"), 5u);   // its floor is kept
    EXPECT_THAT(page, HasSubstr("bunk-1/wall-s"));
    // 6.058 m by 2.591 and 2.896 m, worked by hand.
    EXPECT_THAT(page, HasSubstr("15.70 -> 17.54"));
    EXPECT_THAT(page, HasSubstr("0.305 (0.000, 0.000, 0.305)"));
    EXPECT_THAT(page, HasSubstr("\n  kept of bunk-3 (1): floor\n"));
    EXPECT_THAT(page, HasSubstr("\n  kept of bunk-2 (6): roof, wall-n, wall-e, "));
    EXPECT_THAT(page, HasSubstr("\n  kept (3): bunk-2, store, store-x\n"));
}

TEST_F(Against, WhereManySurfacesMoveThoseThatGoWithTheirUnitAreOneLine) {
    for (int k = 0; k < 10; ++k) {
        old_blocks_.push_back(block("row-" + std::to_string(k), twenty_foot_m, {30, 5.0 * k, 0}));
        new_blocks_.push_back(old_blocks_.back());
        if (k < 8) new_blocks_.back().corner_m.x() += 0.1 * (k + 1);
    }
    const std::string page = compare().out;
    EXPECT_THAT(page, HasSubstr("\n  along with all of row-3 (6): roof, wall-n"));
    EXPECT_EQ(n_lines(page, "  row-3"), 1u);
}

TEST_F(Against, ANameWithoutEndDoesNotWidenThePage) {
    new_blocks_[0].name = std::string(3000, 'x');
    const Outcome page = compare();
    std::size_t longest = 0;
    for (std::size_t from = 0, to; (to = page.out.find('\n', from)) != page.out.npos; from = to + 1)
        longest = std::max(longest, to - from);
    EXPECT_LT(longest, 400u);
    EXPECT_THAT(page.out, HasSubstr("xxx[...]xxx"));
    EXPECT_THAT(document().dump(), HasSubstr(new_blocks_[0].name));
}

TEST_F(Against, TheSameModelIsAllKeptAndWithoutItNothingIsSaid) {
    const Json against = document()["against"];
    for (const char* list : {"bodies", "owners", "surfaces"})
        EXPECT_EQ(against[list]["counts"]["kept"], against[list]["changes"].size()) << list;
    const Outcome alone = run_program({"inspect", (folder_ / "new.step").string(), "--json"});
    EXPECT_FALSE(Json::parse(alone.out).contains("against"));
}

TEST_F(Against, NamesTheMoveOfTheWholeModelAndAMistakenUnit) {
    for (Block& made : new_blocks_) made.corner_m += Vec3(3, -4, 0);
    EXPECT_THAT(compare().out, HasSubstr("the whole model moved by (3.000, -4.000, 0.000) m"));
    for (std::size_t k = 0; k < new_blocks_.size(); ++k) {
        new_blocks_[k].corner_m = 25.4 * old_blocks_[k].corner_m;
        new_blocks_[k].size_m = 25.4 * old_blocks_[k].size_m;
    }
    const Outcome scaled = compare();
    EXPECT_THAT(scaled.out, HasSubstr("25.4 times as large"));
    EXPECT_THAT(scaled.out, HasSubstr("scale-differs"));
}

TEST_F(Against, RolesOfTheSiteFileFollowARenamedBody) {
    new_blocks_[4].name = "hall";
    const std::string site = folder_.write("site.toml", "[model]\ncontexts = [\"store-x\"]\n");
    const Json all = document({"--site", site});
    EXPECT_EQ(all["bodies"][4]["name"], "hall");
    EXPECT_EQ(all["bodies"][4]["role"], "context");
    EXPECT_THAT(all["bodies"][4]["role_why"].get<std::string>(), HasSubstr("former name"));
}

/// An invented room of six panels, 6.1 x 2.5 x 2.6 m outside, turned about the middle of its plan.
void add_panel_room(std::vector<Block>& blocks, const std::string& name, const Vec3& middle_m,
                    double turn_deg = 0) {
    const auto add = [&](const std::string& part, const Vec3& low_m, const Vec3& size_m) {
        Block made = block(part, size_m);
        made.assembly = name;
        const double turn = turn_deg * std::numbers::pi / 180, c = std::cos(turn),
                     s = std::sin(turn);
        made.corner_m = middle_m + Vec3(c * low_m.x() - s * low_m.y(),
                                        s * low_m.x() + c * low_m.y(), low_m.z());
        made.turn_deg = turn_deg;
        blocks.push_back(made);
    };
    add("floor", {-3.05, -1.25, 0}, {6.1, 2.5, 0.1});
    add("ceiling", {-3.05, -1.25, 2.5}, {6.1, 2.5, 0.1});
    add("side-1", {-3.05, -1.25, 0.1}, {6.1, 0.05, 2.4});
    add("side-2", {-3.05, 1.2, 0.1}, {6.1, 0.05, 2.4});
    add("end-1", {-3.05, -1.2, 0.1}, {0.05, 2.4, 2.4});
    add("end-2", {3.0, -1.2, 0.1}, {0.05, 2.4, 2.4});
}

TEST_F(Against, UnitsOfPanelsAreToldAsUnitsAndNotPanelByPanel) {
    old_blocks_.clear();
    for (int k = 0; k < 5; ++k)
        add_panel_room(old_blocks_, "bunk-" + std::to_string(k + 1), {0, 6.0 * k, 0});
    new_blocks_.clear();
    add_panel_room(new_blocks_, "sleep-1", {0, 0, 0});
    add_panel_room(new_blocks_, "bunk-2", {0, 6, 0}, 15);
    add_panel_room(new_blocks_, "bunk-3", {40, 12, 0}, 20);
    add_panel_room(new_blocks_, "bunk-4", {0, 18, 0});
    new_blocks_[14].name = "lee-side";     // of bunk-3, carried off with it
    new_blocks_[20].corner_m.y() += 0.01;  // a side of bunk-4
    const Json against = document()["against"];
    const Json& owners = against["owners"]["counts"];
    EXPECT_EQ(owners["renamed"], 1);
    EXPECT_EQ(owners["gone"], 1);
    EXPECT_EQ(owners["new"], 0);
    EXPECT_NEAR(against["owners"]["changes"][1]["turned_deg"].get<double>(), 15, 1e-6);
    EXPECT_NEAR(against["owners"]["changes"][2]["moved_m"][0].get<double>(), 40, 1e-6);
    const Json& bodies = against["bodies"]["counts"];
    EXPECT_EQ(bodies["gone"], 6);
    EXPECT_EQ(bodies["new"], 0);
    EXPECT_EQ(bodies["renamed"], 1);
    EXPECT_EQ(against["bodies"]["changes"][14]["old_id"], "side-1-3");
    EXPECT_EQ(against["surfaces"]["counts"]["renamed"], 6);

    const std::string page = compare().out;
    const std::size_t at = page.find("other body");
    ASSERT_NE(at, std::string::npos);
    const std::string table = page.substr(at, page.find("\n  along with", at) - at);
    EXPECT_EQ(std::count(table.begin(), table.end(), '\n'), 3) << table;  // head, rule, two rows
    EXPECT_THAT(table, HasSubstr("lee-side"));
    EXPECT_THAT(page, HasSubstr("\n  kept of bunk-4 (5): "));
    EXPECT_THAT(table, HasSubstr("\n  side-1-3"));
}

TEST_F(Against, AnOldVersionThatCannotBeReadEndsWithThree) {
    write_blocks(new_blocks_, folder_ / "new.step");
    const Outcome outcome = run_program({"inspect", (folder_ / "new.step").string(), "--against",
                                         (folder_ / "missing.step").string()});
    EXPECT_EQ(outcome.status, 3);
    EXPECT_TRUE(outcome.out.empty());
    expect_one_error_line(outcome, "missing.step");
}

TEST_F(Against, AnOldVersionWithoutAUnitStillCompares) {
    old_blocks_ = {block("crate", {0.5, 0.5, 0.5})};
    const Json against = document()["against"];
    EXPECT_EQ(against["bodies"]["counts"]["new"], 5);
    EXPECT_EQ(against["bodies"]["counts"]["gone"], 1);
}

}  // namespace
}  // namespace noonshell
