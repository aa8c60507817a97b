// Patterns that match nothing are told first, once each, with the name that was most likely meant.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "tests/cli/program.hpp"
#include "tests/cli/small_site.hpp"

namespace noonshell {
namespace {

using namespace test;
using Json = nlohmann::json;
using ::testing::HasSubstr;

class IdlePattern : public testing::Test {
  protected:
    /// Twenty units in two rows 6 km apart: such a model has a warning of its own.
    void SetUp() override {
        std::vector<Block> blocks;
        for (int k = 0; k < 20; ++k) {
            blocks.push_back(block("bunk-" + std::to_string(k + 1), twenty_foot_m,
                                   {k < 10 ? 0.0 : 6000.0, 5.0 * (k % 10), 0}));
        }
        write_blocks(blocks, folder_ / "site.step");
    }
    std::vector<std::string> arguments(const std::string& keys) {
        const std::string site =
            folder_.write("site.toml", "[model]\nfile = \"site.step\"\n" + keys);
        return {"inspect", (folder_ / "site.step").string(), "--site", site};
    }
    Json warnings(const std::string& keys) {
        auto with_json = arguments(keys);
        with_json.emplace_back("--json");
        const Outcome outcome = run_program(with_json);
        EXPECT_EQ(outcome.status, 0) << outcome.err;
        return Json::parse(outcome.out)["warnings"];
    }
    static auto count(const Json& warnings, const std::string& code) {
        return std::count_if(warnings.begin(), warnings.end(),
                             [&](const Json& w) { return w["code"] == code; });
    }

    Folder folder_;
};

TEST_F(IdlePattern, IsToldOnceFirstWithTheNearestName) {
    const Json plain = warnings("");
    ASSERT_EQ(count(plain, "pattern-matches-nothing"), 0);
    ASSERT_GE(plain.size(), 1u);  // of the model's size
    const Json told = warnings("units = [\"bnuk-7\"]\n");
    EXPECT_EQ(told.size(), plain.size() + 1) << told.dump(1);
    EXPECT_EQ(told[0]["code"], "pattern-matches-nothing");
    for (const char* part : {"unit pattern \"bnuk-7\"", "nearest", "\"bunk-7\""})
        EXPECT_THAT(told[0]["text"].get<std::string>(), HasSubstr(part));
    const Outcome page = run_program(arguments("units = [\"zzz\"]\n"));
    EXPECT_THAT(page.out, HasSubstr("Warnings (" + std::to_string(told.size()) +
                                    ")\n  pattern-matches-nothing: the unit pattern \"zzz\""));
}

TEST_F(IdlePattern, OneOfSeveralLeavesTheWarningsOfTheOthersInPlace) {
    const Json told = warnings("units = [\"bunk-1?\", \"zzz\"]\nshades = [\"sail\"]\n");
    EXPECT_EQ(told[0]["code"], "pattern-matches-nothing");
    EXPECT_EQ(told[1]["code"], "pattern-matches-nothing");
    // bunk-10 to bunk-19 are named; the other ten are guessed, and that is worth a word each.
    EXPECT_EQ(count(told, "unit-guessed"), 10);
}

}  // namespace
}  // namespace noonshell
