// A TMY3 year, its months from different years, is told as one year.
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>
#include <string>

#include "tests/cli/program.hpp"
#include "tests/cli/small_site.hpp"
#include "tests/solar/invented_tmy3.hpp"

namespace noonshell {
namespace {

using namespace test;
using Json = nlohmann::json;

TEST(TypicalYear, IsToldAsOneYearAndNamesWhereItsMonthsComeFrom) {
    const Folder folder;
    const testing_tmy3::InventedTmy3 year;
    folder.write("year.csv", year.text());
    write_blocks({block("unit-1", twenty_foot_m)}, folder / "site.step");
    const std::string site =
        folder.write("site.toml",
                     "[model]\nfile = \"site.step\"\nfacet_size_m = 3\n[weather]\n"
                     "file = \"year.csv\"\n" +
                         coarse_toml);
    const auto run = [&](const std::vector<std::string>& more) {
        std::vector<std::string> arguments{"run", site, "--out", (folder / "out").string()};
        arguments.insert(arguments.end(), more.begin(), more.end());
        return run_program(arguments);
    };
    const Outcome page = run({});
    ASSERT_EQ(page.status, 0) << page.err;
    EXPECT_NE(page.out.find("typical year (months of 1990 to 2001), 8760 hours"), std::string::npos)
        << page.out.substr(0, 400);

    const Json document = Json::parse(content_of(folder / "out/summary.json"));
    EXPECT_EQ(document["period"]["from"], "2023-01-01T00:00-07:00");
    EXPECT_EQ(document["period"]["to"], "2024-01-01T00:00-07:00");
    EXPECT_EQ(document["period"]["months_of_years"], Json::array({1990, 2001}));
    std::size_t times = 0;
    for (const Json& surface : document["surfaces"]) {
        for (const char* key : {"peak_inward_time", "peak_outside_time"}) {
            if (surface["heat"][key].is_null()) continue;
            EXPECT_EQ(surface["heat"][key].get<std::string>().substr(0, 4), "2023");
            ++times;
        }
    }
    EXPECT_GE(times, 11u);
}

}  // namespace
}  // namespace noonshell
