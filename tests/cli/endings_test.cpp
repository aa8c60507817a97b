// How the program ends where its surroundings do not play along: nobody reads its output, signals
// are ignored from the start, a computation does not converge.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <chrono>
#include <nlohmann/json.hpp>
#include <string>
#include <thread>
#include <vector>

#include "tests/cli/program.hpp"
#include "tests/cli/small_site.hpp"

namespace noonshell {
namespace {

using namespace test;

class Endings : public testing::Test {
  protected:
    void SetUp() override { site_ = write_site(folder_, quick_site_toml()); }
    std::vector<std::string> run_arguments() const {
        return {"run", site_, "--out", out_.string()};
    }

    Folder folder_;
    std::string site_;
    std::filesystem::path out_ = folder_ / "out";
};

// 141 = 128 + 13, SIGPIPE: the status that shells give to what a closed pipe ended.
TEST_F(Endings, QuietlyWhereNobodyReadsTheOutput) {
    const std::string model = (folder_ / "site.step").string();
    for (const std::vector<std::string>& arguments : std::vector<std::vector<std::string>>{
             {"--help"}, {"--version"}, {"inspect", model}, {"inspect", model, "--json"}}) {
        const Outcome outcome = run_program(arguments, {.without_reader = true});
        EXPECT_EQ(outcome.status, 141) << arguments[0];
        EXPECT_EQ(outcome.err, "");
    }
}

TEST_F(Endings, ResultsAreWholeWhereNobodyReadsThePage) {
    ASSERT_EQ(run_program(run_arguments()).status, 0);
    const auto whole = bytes_below(out_);
    std::filesystem::remove_all(out_);
    const Outcome outcome = run_program(run_arguments(), {.without_reader = true});
    EXPECT_EQ(outcome.status, 141);
    EXPECT_EQ(outcome.err, "");
    ASSERT_GE(whole.size(), 3u);
    expect_same_files(whole, out_);
}

/// Sends the signal until the program must be long through; what it ended with.
Outcome pester(const std::vector<std::string>& arguments, int signal, const Limits& limits) {
    Program program(arguments, limits);
    for (int k = 0; k < 100; ++k) {
        program.send(signal);
        std::this_thread::sleep_for(std::chrono::milliseconds(10));
    }
    return program.wait();
}

// As under nohup, or in a job that a script put into the background.
TEST_F(Endings, SignalsThatTheCallerIgnoresStayIgnored) {
    for (const int signal : {SIGINT, SIGTERM}) {
        const Outcome outcome = pester(run_arguments(), signal, {.ignored_signals = {signal}});
        EXPECT_EQ(outcome.status, 0) << outcome.err;
        EXPECT_TRUE(std::filesystem::exists(out_ / "summary.json"));
        std::filesystem::remove_all(out_);
        EXPECT_NE(pester(run_arguments(), signal, {}).status, 0) << "the signal reaches it";
    }
}

// A court of white plates that absorb nothing, closed but for a slot of 2 mm in its lid: light that
// found its way in leaves with one bounce in ten thousand (slot 0.008 m2 of 80 m2 inside).
TEST_F(Endings, WithFiveWhereLightNeverSettlesAndEarlierResultsStay) {
    ASSERT_EQ(run_program(run_arguments()).status, 0);
    const auto before = bytes_below(out_);
    write_blocks(
        {block("unit-1", twenty_foot_m), block("plate-s", {4, 0.1, 3}, {20, 0, 0}),
         block("plate-n", {4, 0.1, 3}, {20, 4.1, 0}), block("plate-w", {0.1, 4.2, 3}, {19.9, 0, 0}),
         block("plate-e", {0.1, 4.2, 3}, {24, 0, 0}), block("base", {4, 4, 0.1}, {20, 0.1, 0}),
         block("lid-1", {4, 1.999, 0.1}, {20, 0.1, 2.9}),
         block("lid-2", {4, 1.999, 0.1}, {20, 2.101, 2.9})},
        folder_ / "site.step");
    folder_.write("site.toml",
                  place_toml +
                      "[model]\nfile = \"site.step\"\nfacet_size_m = 2\nunits = [\"unit-*\"]\n"
                      "shades = [\"plate-*\", \"lid-*\", \"base\"]\nground_z_m = -0.5\n" +
                      design_day_toml +
                      "[[construction]]\nname = \"white\"\noutside_absorptance = 0\n"
                      "layers = [{ material = \"steel\", thickness_mm = 2 }]\n"
                      "[run]\nsun_step_min = 60\npoints_per_facet = 2\nrays_per_facet = 16384\n");
    const Outcome outcome = run_program(run_arguments());
    EXPECT_EQ(outcome.status, 5);
    EXPECT_EQ(outcome.out, "");
    expect_one_error_line(outcome, "bounced light did not settle");
    expect_same_files(before, out_);
}

}  // namespace
}  // namespace noonshell
