// A plan that is interrupted goes on where it stopped, and a store that is damaged does no harm.
#include <gtest/gtest.h>
#include <sqlite3.h>

#include <chrono>
#include <csignal>
#include <nlohmann/json.hpp>
#include <string>
#include <thread>

#include "tests/cli/program.hpp"
#include "tests/cli/small_site.hpp"

namespace noonshell {
namespace {

using namespace test;

std::string stored_site() {
    return place_toml + "[model]\nfile = \"site.step\"\nfacet_size_m = 1.5\n" + design_day_toml +
           coarse_toml;
}

/// Rows that the store holds, counted by the SQLite library itself; -1 where it cannot be read.
int rows_in(const std::filesystem::path& file) {
    sqlite3* database = nullptr;
    int rows = -1;
    if (sqlite3_open_v2(file.c_str(), &database, SQLITE_OPEN_READONLY, nullptr) == SQLITE_OK)
        sqlite3_exec(
            database, "SELECT count(*) FROM found",
            [](void* into, int, char** values, char**) {
                *static_cast<int*>(into) = std::stoi(values[0]);
                return 0;
            },
            &rows, nullptr);
    sqlite3_close(database);
    return rows;
}

Outcome plan_into(const std::string& site, const std::string& folder) {
    return run_program({"plan", site, "--budget", "1500", "--out", folder, "--json"});
}

TEST(PlanStore, AnInterruptedPlanGoesOn) {
    const Folder folder;
    const std::string site = write_site(folder, stored_site());
    const Outcome whole = plan_into(site, (folder / "whole").string());
    ASSERT_EQ(whole.status, 0) << whole.err;
    const int all = rows_in(folder / "whole/plan-store.sqlite");
    ASSERT_GT(all, 30);

    const std::string into = (folder / "halves").string();
    const auto store = folder / "halves/plan-store.sqlite";
    int before = 0;
    for (int go = 0; go < 3; ++go) {
        Program program({"plan", site, "--budget", "1500", "--out", into, "--json"});
        // As soon as it has done more than the goes before it.
        for (int i = 0; i < 6000 && rows_in(store) <= before; ++i)
            std::this_thread::sleep_for(std::chrono::milliseconds(5));
        program.send(SIGINT);
        const Outcome ended = program.wait();
        const int now = rows_in(store);
        EXPECT_GE(now, before);
        before = now;
        if (ended.status == 0) break;
        EXPECT_EQ(ended.status, 130);
        EXPECT_FALSE(std::filesystem::exists(folder / "halves/plan.json"));
        EXPECT_GT(now, 0);
    }
    const Outcome end = plan_into(site, into);
    EXPECT_EQ(end.status, 0) << end.err;
    EXPECT_EQ(end.out, whole.out);
    EXPECT_EQ(rows_in(store), all);
    // The same question again: nothing is added, nothing differs.
    EXPECT_EQ(plan_into(site, into).out, whole.out);
    EXPECT_EQ(rows_in(store), all);
}

TEST(PlanStore, ADamagedStoreIsMadeAnewAndTold) {
    const Folder folder;
    const std::string site = write_site(folder, stored_site());
    const std::string into = (folder / "out").string();
    const Outcome whole = plan_into(site, into);
    ASSERT_EQ(whole.status, 0) << whole.err;
    folder.write("out/plan-store.sqlite", std::string(5000, 'x'));
    const Outcome again = plan_into(site, into);
    ASSERT_EQ(again.status, 0) << again.err;
    const auto was = nlohmann::json::parse(whole.out), is = nlohmann::json::parse(again.out);
    EXPECT_EQ(is["chosen"], was["chosen"]);
    bool told = false;
    for (const auto& warning : is["warnings"]) told = told || warning["code"] == "store-damaged";
    EXPECT_TRUE(told) << is["warnings"];
    EXPECT_GT(rows_in(folder / "out/plan-store.sqlite"), 30);
}

}  // namespace
}  // namespace noonshell
