// `run` on a small site: files, documents, warnings, and what happens when it cannot finish.
#include <gtest/gtest.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <iterator>
#include <nlohmann/json.hpp>
#include <set>
#include <sstream>
#include <stdexcept>
#include <string>
#include <vector>

#include "cli/report.hpp"
#include "tests/cli/program.hpp"
#include "tests/cli/small_site.hpp"

namespace noonshell {
namespace {

using namespace test;
using Json = nlohmann::json;

/// surfaces.csv of these tests: no field needs quotes.
struct CsvTable {
    std::vector<std::string> heads;
    std::vector<std::vector<std::string>> rows;

    explicit CsvTable(const std::string& text) {
        std::istringstream lines(text);
        for (std::string line; std::getline(lines, line);) {
            if (!line.empty() && line.back() == '\r') line.pop_back();
            std::vector<std::string> fields;
            std::istringstream stream(line + ",");
            for (std::string field; std::getline(stream, field, ',');) fields.push_back(field);
            if (heads.empty())
                heads = fields;
            else
                rows.push_back(fields);
        }
    }

    std::string at(std::size_t row, const std::string& head) const {
        const auto found = std::find(heads.begin(), heads.end(), head);
        if (found == heads.end()) throw std::out_of_range("no column " + head);
        return rows.at(row).at(static_cast<std::size_t>(found - heads.begin()));
    }
};

struct QuickRun {
    Folder folder;
    std::string site = write_site(folder, quick_site_toml());
    std::filesystem::path out = folder / "out";

    Outcome operator()(std::vector<std::string> more = {}, const Limits& limits = {}) const {
        std::vector<std::string> arguments{"run", site, "--out", out.string()};
        arguments.insert(arguments.end(), more.begin(), more.end());
        return run_program(arguments, limits);
    }
};

/// A program that was built without the report page says so, and nothing else.
void expect_quiet(const Outcome& outcome) {
    if (report_page().empty())
        EXPECT_EQ(outcome.err.rfind("noonshell: warning: report.html is left out", 0), 0u)
            << outcome.err;
    else
        EXPECT_TRUE(outcome.err.empty()) << outcome.err;
}

TEST(Run, WritesItsFilesAndPrintsTheSameDocument) {
    const QuickRun run;
    const Outcome outcome = run({"--json"});
    ASSERT_EQ(outcome.status, 0) << outcome.err;
    expect_quiet(outcome);
    const auto files = bytes_below(run.out);
    const bool with_report = !report_page().empty();
    ASSERT_EQ(files.size(), with_report ? 7u : 6u);
    EXPECT_EQ(files.count("report.html"), with_report ? 1u : 0u);
    for (const char* name :
         {"coloured.step", "model.glb", "surfaces.csv", "surface_months.csv", "facets.csv"})
        EXPECT_EQ(files.count(name), 1u) << name;
    EXPECT_EQ(files.at("summary.json"), outcome.out);
    Json document = Json::parse(outcome.out);
    for (const char* key : {"version", "site", "period", "surfaces", "units", "balance", "warnings",
                            "inputs", "cautions"})
        EXPECT_TRUE(document.contains(key)) << key;
    EXPECT_EQ(document["period"]["hours"], 24);
    EXPECT_EQ(document["period"]["from"], "2023-07-21T00:00+02:00");  // Cairo's standard time
    EXPECT_EQ(document["period"]["to"], "2023-07-22T00:00+02:00");
    EXPECT_EQ(document["units"].size(), 2u);
}

TEST(Run, PrintsAPageWithDefaultsWarningsAndCautions) {
    const QuickRun run;
    const Outcome outcome = run();
    ASSERT_EQ(outcome.status, 0) << outcome.err;
    expect_quiet(outcome);
    for (const char* part :
         {"unit-1/roof", "white coating", "Taken by default", "room.cooling_set_point_c",
          "Warnings", "licensed engineer", "wind uplift", "fire-stopping", "burns skin",
          "heat stroke", "summary.json"})
        EXPECT_NE(outcome.out.find(part), std::string::npos) << part << " not in\n" << outcome.out;
    EXPECT_EQ(outcome.out.find('\033'), std::string::npos) << "no colours, no cursor moves";
}

TEST(Run, RepeatsToTheByteAtAnyThreadCountAndFolder) {
    const QuickRun run;
    ASSERT_EQ(run({"--threads", "1"}).status, 0);
    const auto one = bytes_below(run.out);
    ASSERT_EQ(run({"--threads", "2"}).status, 0);
    expect_same_files(one, run.out);
    EXPECT_EQ(one.at("summary.json").find(run.folder.path().string()), std::string::npos)
        << "results name no folder of this machine";
}

TEST(Run, SurfacesAddUp) {
    const QuickRun run;
    const Outcome outcome = run({"--json"});
    ASSERT_EQ(outcome.status, 0) << outcome.err;
    const Json document = Json::parse(outcome.out);
    EXPECT_LT(document["balance"]["solar_residual"].get<double>(), 1e-3);
    EXPECT_LT(document["balance"]["heat_residual"].get<double>(), 1e-3);
    std::set<int> ranks;
    for (const Json& surface : document["surfaces"]) {
        const Json& sun = surface["sun"];
        const auto value = [&sun](const char* key) { return sun[key].get<double>(); };
        EXPECT_NEAR(value("total_kwh_m2"),
                    value("direct_kwh_m2") + value("sky_kwh_m2") + value("ground_kwh_m2") +
                        value("bounced_kwh_m2"),
                    1e-9);
        EXPECT_LE(value("direct_kwh_m2"), value("unshaded_direct_kwh_m2") * (1 + 1e-6) + 1e-9);
        EXPECT_LE(value("sun_hours_h"), 24.0);
        EXPECT_LE(surface["exposed_area_m2"].get<double>(),
                  surface["area_m2"].get<double>() * (1 + 1e-9));
        // Absorbed is the absorptance of the shipped bare sheet, 0.7, of what falls on it.
        EXPECT_NEAR(surface["heat"]["absorbed_kwh_m2"].get<double>(), 0.7 * value("total_kwh_m2"),
                    0.002 * value("total_kwh_m2") + 1e-9)
            << surface["id"];
        if (!surface["rank"].is_null()) ranks.insert(surface["rank"].get<int>());
    }
    ASSERT_FALSE(ranks.empty());
    EXPECT_EQ(*ranks.begin(), 1);
    EXPECT_EQ(*ranks.rbegin(), static_cast<int>(ranks.size())) << "ranks are 1, 2, 3, ...";
}

TEST(Run, CsvAndJsonAgree) {
    const QuickRun run;
    const Outcome outcome = run({"--json"});
    ASSERT_EQ(outcome.status, 0) << outcome.err;
    const Json document = Json::parse(outcome.out);
    const CsvTable table(content_of(run.out / "surfaces.csv"));
    const std::vector<std::string>& heads = table.heads;
    std::size_t s = 0;
    for (; s < table.rows.size(); ++s) {
        const std::vector<std::string>& fields = table.rows[s];
        ASSERT_EQ(fields.size(), heads.size()) << fields[0];
        const Json& surface = document["surfaces"].at(s);
        EXPECT_EQ(fields[0], surface["id"].get<std::string>());
        for (std::size_t c = 0; c < heads.size(); ++c) {
            for (const Json& part : {surface, surface["sun"], surface["heat"]}) {
                if (!part.contains(heads[c]) || !part[heads[c]].is_number()) continue;
                const double value = part[heads[c]].get<double>();  // the file has seven digits
                EXPECT_NEAR(std::stod(fields[c]), value, 5.001e-7 * std::abs(value)) << heads[c];
            }
        }
    }
    EXPECT_EQ(s, document["surfaces"].size());
}

TEST(Run, CsvTellsEveryTreatment) {
    const QuickRun run;
    const Outcome outcome = run({"--json"});
    ASSERT_EQ(outcome.status, 0) << outcome.err;
    const Json document = Json::parse(outcome.out);
    const CsvTable table(content_of(run.out / "surfaces.csv"));
    std::size_t told = 0, filled = 0;
    for (std::size_t s = 0; s < document["surfaces"].size(); ++s) {
        for (const Json& effect : document["surfaces"][s]["treatments"]) {
            const std::string name = effect["treatment"];
            for (const char* key : {"cost", "saves_cooling_kwh", "adds_heating_kwh", "saves_peak_w",
                                    "lowers_peak_outside_k"}) {
                const double value = effect[key].get<double>();
                EXPECT_NEAR(std::stod(table.at(s, std::string(key) + "[" + name + "]")), value,
                            5.001e-7 * std::abs(value))
                    << key << " of " << name;
                ++told;
            }
        }
    }
    EXPECT_GT(told, 0u);
    for (const std::string& head : table.heads) {
        for (std::size_t s = 0; s < table.rows.size() && head.back() == ']'; ++s)
            filled += table.at(s, head).empty() ? 0 : 1;
    }
    EXPECT_EQ(filled, told) << "empty where a treatment does not fit";
}

/// The words of the first page line that holds `part`.
std::vector<std::string> words_of_line(const std::string& page, const std::string& part) {
    std::istringstream lines(page);
    for (std::string line; std::getline(lines, line);) {
        if (line.find(part) == std::string::npos) continue;
        std::istringstream words(line);
        return {std::istream_iterator<std::string>(words), {}};
    }
    return {};
}

TEST(Run, PageOfOneDayHasThreeDigits) {
    const QuickRun run;
    const Outcome outcome = run();
    ASSERT_EQ(outcome.status, 0) << outcome.err;
    EXPECT_NE(outcome.out.find("heating +kWh"), std::string::npos);
    // rank, surface, open m2, sun kWh/m2: a day of desert sun on a roof is 5 to 10 kWh/m2.
    const auto words = words_of_line(outcome.out, "unit-1/roof ");
    ASSERT_GT(words.size(), 4u) << outcome.out;
    EXPECT_EQ(words[3].size(), 4u) << words[3];
    EXPECT_GT(std::stod(words[3]), 5);
    EXPECT_LT(std::stod(words[3]), 10);
}

TEST(Run, ShadesHaveNoHeatIntoARoom) {
    const QuickRun run;
    write_blocks({block("unit-1", twenty_foot_m), block("canopy", {7, 3, 0.05}, {0, 0, 3.5})},
                 run.folder / "site.step");
    const std::string site =
        run.folder.write("site.toml", place_toml +
                                          "[model]\nfile = \"site.step\"\n"
                                          "facet_size_m = 2\nshades = [\"canopy\"]\n" +
                                          design_day_toml + coarse_toml);
    const Outcome outcome = run({"--json"});
    ASSERT_EQ(outcome.status, 0) << outcome.err;
    std::size_t shades = 0;
    const Json document = Json::parse(outcome.out);
    for (const Json& surface : document["surfaces"]) {
        const bool shade = surface["unit"].is_null();
        shades += shade ? 1 : 0;
        for (const char* key : {"inward_kwh", "peak_inward_w", "peak_inward_time"})
            EXPECT_EQ(surface["heat"][key].is_null(), shade) << surface["id"] << " " << key;
        EXPECT_FALSE(surface["heat"]["peak_outside_c"].is_null() &&
                     surface["exposed_area_m2"].get<double>() > 0);
    }
    EXPECT_GT(shades, 0u);
}

TEST(Run, WarnsOfWeatherForTheOtherHemisphere) {
    const Folder folder;
    // Invented normals with their hottest months in June to August, at 27 degrees south.
    const std::string site =
        write_site(folder,
                   "[site]\nlatitude_deg = -27\nlongitude_deg = 30\ntime_zone = \"+02:00\"\n"
                   "[model]\nfile = \"site.step\"\nfacet_size_m = 3\n[weather]\n"
                   "mean_high_c = [20, 22, 26, 32, 37, 40, 42, 41, 37, 32, 26, 21]\n"
                   "mean_low_c = [6, 7, 10, 15, 20, 23, 25, 25, 22, 18, 12, 7]\n"
                   "dew_point_c = [2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2]\n"
                   "wind_m_s = [3, 3, 3, 3, 3, 3, 3, 3, 3, 3, 3, 3]\n"
                   "tau_b = [0.4, 0.4, 0.4, 0.4, 0.4, 0.4, 0.4, 0.4, 0.4, 0.4, 0.4, 0.4]\n"
                   "tau_d = [2.2, 2.2, 2.2, 2.2, 2.2, 2.2, 2.2, 2.2, 2.2, 2.2, 2.2, 2.2]\n" +
                       coarse_toml);
    const Outcome outcome = run_program({"run", site, "--json"});
    ASSERT_EQ(outcome.status, 0) << outcome.err;
    bool warned = false;
    const Json document = Json::parse(outcome.out);
    for (const Json& warning : document["warnings"])
        warned = warned || warning["code"] == "weather-wrong-hemisphere";
    EXPECT_TRUE(warned);
    EXPECT_TRUE(std::filesystem::exists(folder / "site-results/summary.json"))
        << "without --out the results stand beside the site file";
}

TEST(Run, RefusesAFolderThatCannotBeWritten) {
    const QuickRun run;
    const std::string file = run.folder.write("file", "kept");
    const auto before = bytes_below(run.folder.path());
    for (const std::string& out : {file, file + "/below", std::string("/proc/none/below")}) {
        const Outcome outcome = run_program({"run", run.site, "--out", out});
        EXPECT_EQ(outcome.status, 3);
        EXPECT_TRUE(outcome.out.empty());
        expect_one_error_line(outcome, out + ": expected a folder");
    }
    expect_same_files(before, run.folder.path());
}

// A limit on the size of files stands for a full disk.
TEST(Run, LeavesEarlierResultsWhenTheDiskIsFull) {
    const QuickRun run;
    ASSERT_EQ(run().status, 0);
    const auto before = bytes_below(run.out);
    const Outcome outcome = run({}, {.largest_file_bytes = 1000});
    EXPECT_EQ(outcome.status, 3);
    EXPECT_TRUE(outcome.out.empty()) << outcome.out;
    expect_one_error_line(outcome, "coloured.step: expected room to write");
    expect_same_files(before, run.out);
}

// A year of one-minute suns on fine facets below a canopy: minutes when it is let alone.
TEST(Run, InterruptedLeavesEarlierResults) {
    const QuickRun run;
    ASSERT_EQ(run().status, 0);
    const auto before = bytes_below(run.out);
    write_blocks({block("unit-1", twenty_foot_m), block("canopy", {6, 2.4, 0.05}, {0, 0, 3.5})},
                 run.folder / "site.step");
    run.folder.write("site.toml",
                     place_toml + "[model]\nfile = \"site.step\"\nfacet_size_m = 0.1\n" +
                         twelve_equal_months_toml +
                         "[run]\nsun_step_min = 1\npoints_per_facet = 1024\nrays_per_facet = 16\n");
    for (const int signal : {SIGINT, SIGTERM}) {
        Program program({"run", run.site, "--out", run.out.string(), "--json"});
        std::this_thread::sleep_for(std::chrono::seconds(3));
        const auto sent = std::chrono::steady_clock::now();
        program.send(signal);
        const Outcome outcome = program.wait();
        const std::chrono::duration<double> taken = std::chrono::steady_clock::now() - sent;
        EXPECT_EQ(outcome.status, 130);
        EXPECT_TRUE(outcome.out.empty());
        expect_one_error_line(outcome, "interrupted");
        EXPECT_LT(taken.count(), 20.0);
        expect_same_files(before, run.out);
    }
}

}  // namespace
}  // namespace noonshell
