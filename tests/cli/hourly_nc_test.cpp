// hourly.nc by the built program, read back by another library (HDF5's own) and by ncdump, against
// summary.json, surface_hours.csv and the text of the conventions: CF-1.8 (Eaton et al. 2020).
#include <gtest/gtest.h>

#include <sys/resource.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <csignal>
#include <cstdio>
#include <cstdlib>
#include <map>
#include <nlohmann/json.hpp>
#include <random>
#include <string>
#include <vector>

#include "cli/netcdf_output.hpp"
#include "geometry/diagnostics.hpp"
#include "tests/cli/csv_rows.hpp"
#include "tests/cli/hdf5_file.hpp"
#include "tests/cli/program.hpp"
#include "tests/cli/small_site.hpp"

namespace noonshell {
namespace {

using namespace test;
using Json = nlohmann::json;

/// A year under a canopy: a surface without a room, and roofs that touch nothing.
std::string year_with_shade_toml() {
    return place_toml +
           "[model]\nfile = \"site.step\"\nfacet_size_m = 2\n"
           "[[overhang]]\nname = \"brim\"\nwalls = [\"unit-1/wall-s\"]\ndepth_m = 1.5\n" +
           twelve_equal_months_toml + coarse_toml + "heat_step_min = 15\n";
}

std::string printed(const std::string& command) {
    FILE* pipe = popen((command + " 2>&1").c_str(), "r");
    std::string text;
    std::array<char, 4096> buffer{};
    while (const std::size_t n = fread(buffer.data(), 1, buffer.size(), pipe))
        text.append(buffer.data(), n);
    EXPECT_EQ(pclose(pipe), 0) << command << "\n" << text;
    return text;
}

class HourlyNc : public testing::Test {
  protected:
    static void SetUpTestSuite() {
        folder = new Folder;
        const std::string site = write_site(*folder, year_with_shade_toml());
        outcome = run_program({"run", site, "--netcdf", "--hours", "--fast", "--netcdf-facets",
                               "*/roof", "--netcdf-facets", "unit-1/wall-s"});
    }
    static void TearDownTestSuite() { delete folder; }
    static std::filesystem::path file(const std::string& name) {
        return *folder / ("site-results/" + name);
    }
    static Json summary() { return Json::parse(content_of(file("summary.json"))); }

    /// Sum over the hours of one surface or room; missing values are counted.
    static double sum(const Hdf5File& nc, const std::string& name, std::size_t item, int& gaps) {
        const auto shape = nc.shape(name);
        const auto values = nc.numbers(name);
        double all = 0;
        for (std::size_t hour = 0; hour < shape.at(0); ++hour) {
            const double value = values[hour * shape.at(1) + item];
            if (value == nc.fill_value(name))
                ++gaps;
            else
                all += value;
        }
        return all;
    }

    static Folder* folder;
    static Outcome outcome;
};
Folder* HourlyNc::folder = nullptr;
Outcome HourlyNc::outcome;

const std::vector<std::string> light = {"direct", "sky", "ground", "bounced"};
const std::vector<std::string> of_surfaces = {"direct_w_m2",  "sky_w_m2",  "ground_w_m2",
                                              "bounced_w_m2", "outside_c", "inward_w"};
const std::vector<std::string> of_rooms = {"air_c", "operative_c", "cooling_w", "heating_w"};

TEST_F(HourlyNc, IsWrittenAndNamed) {
    ASSERT_EQ(outcome.status, 0) << outcome.err;
    EXPECT_NE(outcome.out.find("hourly.nc"), std::string::npos) << outcome.out;
}

// CF-1.8: section 2.6.1 (Conventions), 3.1 (units), 4.4 (time, with the zone in its units), 7.1
// (bounds), 7.3 (cell methods), 5.7 and 6.1 (names and site as coordinates).
TEST_F(HourlyNc, FollowsTheConventions) {
    const Hdf5File nc(file("hourly.nc"));
    EXPECT_EQ(nc.attribute("/", "Conventions"), "CF-1.8");
    EXPECT_EQ(nc.attribute("time", "standard_name"), "time");
    EXPECT_EQ(nc.attribute("time", "units"), "hours since 2023-01-01 00:00:00 +02:00");
    EXPECT_EQ(nc.attribute("time", "bounds"), "time_bounds");
    EXPECT_EQ(nc.attribute("latitude", "units"), "degrees_north");
    EXPECT_NEAR(nc.numbers("latitude").at(0), 27, 1e-12);
    EXPECT_NEAR(nc.numbers("longitude").at(0), 30, 1e-12);
    EXPECT_EQ(nc.attribute("air_c", "standard_name"), "air_temperature");
    std::vector<std::string> all = of_surfaces;
    all.insert(all.end(), of_rooms.begin(), of_rooms.end());
    for (const std::string& name : all) {
        EXPECT_NE(nc.attribute(name, "long_name"), "") << name;
        EXPECT_NE(nc.attribute(name, "cell_methods").find("time: mean"), std::string::npos) << name;
        EXPECT_NE(nc.attribute(name, "coordinates").find("_id latitude longitude"),
                  std::string::npos);
        const std::string units = name.ends_with("_w_m2") ? "W m-2"
                                  : name.ends_with("_c")  ? "degC"
                                                          : "W";
        EXPECT_EQ(nc.attribute(name, "units"), units) << name;
    }
    const auto time = nc.numbers("time"), bounds = nc.numbers("time_bounds");
    ASSERT_EQ(time.size(), 8760u);
    for (std::size_t hour = 0; hour < time.size(); ++hour) {
        ASSERT_EQ(time[hour], static_cast<double>(hour + 1));
        ASSERT_EQ(bounds[2 * hour], static_cast<double>(hour));
        ASSERT_EQ(bounds[2 * hour + 1], time[hour]);
    }
}

TEST_F(HourlyNc, LiesInChunksThatAreDeflated) {
    const Hdf5File nc(file("hourly.nc"));
    for (const auto& list : {of_surfaces, of_rooms}) {
        for (const std::string& name : list) {
            const auto chunk = nc.chunk(name), shape = nc.shape(name);
            ASSERT_EQ(chunk.size(), 2u) << name;
            EXPECT_LT(chunk[0], shape[0]) << name;
            EXPECT_TRUE(nc.is_deflated(name)) << name;
            EXPECT_LT(nc.stored_bytes(name), 4 * shape[0] * shape[1]) << name;
        }
    }
}

// Conservation: the hours of a facet add up to what facets.csv tells of it, and facets to their
// surface, hour by hour for direct sun, which both take from the same points.
TEST_F(HourlyNc, LightOfFacetsAddsUp) {
    const Hdf5File nc(file("hourly.nc"));
    const auto surfaces = nc.texts("surface_id"), surface_of = nc.texts("facet_surface"),
               ids = nc.texts("facet_id");
    const auto area_m2 = nc.numbers("facet_area_m2"), surface_m2 = nc.numbers("surface_area_m2"),
               number = nc.numbers("facet_number");
    const std::size_t n = ids.size();
    ASSERT_GT(n, 8u);
    std::map<std::string, std::map<std::string, std::string>> told;
    for (const auto& row : rows_of(file("facets.csv")))
        told[row.at("surface") + "#" + row.at("facet")] = row;
    for (const std::string& part : light) {
        const std::string name = "facet_" + part + "_w_m2";
        EXPECT_TRUE(nc.is_deflated(name));
        EXPECT_EQ(nc.attribute(name, "units"), "W m-2");
        const auto shape = nc.shape(name);
        ASSERT_TRUE(shape.size() == 2 && shape[0] == 8760 && shape[1] == n);
        const auto of_facets = nc.numbers(name), of_surface = nc.numbers(part + "_w_m2");
        std::map<std::string, std::vector<double>> sums;  // by surface and hour, over its area
        for (std::size_t f = 0; f < n; ++f) {
            ASSERT_EQ(ids[f], surface_of[f] + "#" + std::to_string(static_cast<int>(number[f])));
            double year = 0;
            auto& sum = sums[surface_of[f]];
            sum.resize(8760);
            for (std::size_t hour = 0; hour < 8760; ++hour) {
                year += of_facets[hour * n + f];
                sum[hour] += area_m2[f] * of_facets[hour * n + f];
            }
            const double kwh_m2 = std::stod(told.at(ids[f]).at(part + "_kwh_m2"));
            EXPECT_NEAR(year / 1000, kwh_m2, 0.002 * kwh_m2 + 0.01) << ids[f] << " " << part;
        }
        EXPECT_EQ(sums.size(), 3u);
        for (std::size_t s = 0; part == "direct" && s < surfaces.size(); ++s) {
            if (!sums.contains(surfaces[s])) continue;
            for (std::size_t hour = 0; hour < 8760; ++hour)
                ASSERT_NEAR(sums[surfaces[s]][hour] / surface_m2[s],
                            of_surface[hour * surfaces.size() + s], 20)
                    << surfaces[s] << " " << hour;
        }
    }
}

TEST_F(HourlyNc, NamesAreThoseOfTheSummaryInItsOrder) {
    const Hdf5File nc(file("hourly.nc"));
    const Json all = summary();
    const auto surfaces = nc.texts("surface_id"), rooms = nc.texts("room_id"),
               room_of = nc.texts("surface_room");
    ASSERT_EQ(surfaces.size(), all["surfaces"].size());
    for (std::size_t s = 0; s < surfaces.size(); ++s) {
        const Json& told = all["surfaces"][s];
        EXPECT_EQ(surfaces[s], told["id"]);
        EXPECT_EQ(nc.texts("surface_kind")[s], told["kind"]);
        EXPECT_EQ(room_of[s], told["unit"].is_null() ? "" : told["unit"].get<std::string>());
        EXPECT_NEAR(nc.numbers("surface_area_m2")[s], told["area_m2"], 1e-12);
    }
    ASSERT_EQ(rooms.size(), 2u);
    EXPECT_EQ(rooms[1], all["units"][1]["id"]);
}

// Each hour holds its mean: the sums over the period are those of the summary, which come from sums
// of heat steps and of months, in double precision.
TEST_F(HourlyNc, HoursAddUpToTheSummary) {
    const Hdf5File nc(file("hourly.nc"));
    const Json all = summary();
    int without_room = 0;
    for (std::size_t s = 0; s < all["surfaces"].size(); ++s) {
        const Json& told = all["surfaces"][s];
        int gaps = 0;
        for (const std::string& part : light) {
            const double year = told["sun"][part + "_kwh_m2"];
            EXPECT_NEAR(sum(nc, part + "_w_m2", s, gaps) / 1000, year, 1e-5 * year + 1e-6)
                << told["id"] << part;
        }
        EXPECT_EQ(gaps, 0);
        const double inward_kwh = sum(nc, "inward_w", s, gaps) / 1000;
        EXPECT_EQ(gaps, told["unit"].is_null() ? 8760 : 0);
        if (told["unit"].is_null()) {
            ++without_room;
        } else {
            EXPECT_NEAR(inward_kwh, told["heat"]["inward_kwh"], 0.01) << told["id"];
        }
        gaps = 0;
        const double mean_c = sum(nc, "outside_c", s, gaps) / 8760;
        const Json& mean = told["heat"]["mean_outside_c"];
        EXPECT_EQ(gaps, mean.is_null() ? 8760 : 0) << told["id"];
        if (!mean.is_null()) {
            EXPECT_NEAR(mean_c, mean, 1e-3) << told["id"];
        }
    }
    EXPECT_GT(without_room, 0);
    for (std::size_t u = 0; u < all["units"].size(); ++u) {
        int gaps = 0;
        const double cooling = all["units"][u]["cooling_kwh"],
                     heating = all["units"][u]["heating_kwh"];
        EXPECT_GT(cooling, 100);
        EXPECT_NEAR(sum(nc, "cooling_w", u, gaps) / 1000, cooling, 1e-5 * cooling);
        EXPECT_NEAR(sum(nc, "heating_w", u, gaps) / 1000, heating, 1e-5 * heating + 1e-6);
        EXPECT_EQ(gaps, 0);
    }
    for (const double air_c : nc.numbers("air_c")) ASSERT_TRUE(air_c > -20 && air_c < 80) << air_c;
}

TEST_F(HourlyNc, EveryHourIsThatOfTheTable) {
    const Hdf5File nc(file("hourly.nc"));
    const auto ids = nc.texts("surface_id");
    std::map<std::string, std::size_t> number_of;
    for (std::size_t s = 0; s < ids.size(); ++s) number_of[ids[s]] = s;
    std::map<std::string, std::vector<double>> all;
    for (const std::string& part : light) all[part] = nc.numbers(part + "_w_m2");
    std::size_t compared = 0;
    for (const Row& row : rows_of(file("surface_hours.csv"))) {
        // "2023-07-21T15:00+02:00" of a year that is no leap year.
        const std::string end = row.at("hour_end");
        static const std::array<int, 12> before = {0,   31,  59,  90,  120, 151,
                                                   181, 212, 243, 273, 304, 334};
        const int day =
            before.at(std::stoul(end.substr(5, 2)) - 1) + std::stoi(end.substr(8, 2)) - 1;
        const int hour = 24 * day + std::stoi(end.substr(11, 2)) - 1;
        const std::size_t at =
            static_cast<std::size_t>(hour) * ids.size() + number_of.at(row.at("surface"));
        for (const std::string& part : light) {
            const double value = number(row, part + "_w_m2");
            ASSERT_NEAR(all[part].at(at), value, 1e-6 * value + 1e-9) << end;
        }
        ++compared;
    }
    EXPECT_GT(compared, 4000 * ids.size());
}

// The library's own program finds the same names and reads the times as dates.
TEST_F(HourlyNc, NcdumpReadsIt) {
    const std::string head = printed("ncdump -h '" + file("hourly.nc").string() + "'");
    for (const char* line :
         {"time = 8760 ;", "string surface_id(surface) ;", "float outside_c(time, surface) ;",
          "float air_c(time, room) ;", ":Conventions = \"CF-1.8\" ;"})
        EXPECT_NE(head.find(line), std::string::npos) << line << "\n" << head;
    EXPECT_EQ(printed("ncdump -k '" + file("hourly.nc").string() + "'"), "netCDF-4\n");
}

TEST(HourlyNcAlone, OfTheSunAloneHasNoRoomsAndIsTheSameAtAnyNumberOfThreads) {
    const Folder folder;
    const std::string site = write_site(folder, quick_site_toml());
    std::string first;
    for (const char* threads : {"1", "2"}) {
        const Outcome outcome =
            run_program({"run", site, "--only", "sun", "--netcdf", "--threads", threads});
        ASSERT_EQ(outcome.status, 0) << outcome.err;
        const std::string bytes = content_of(folder / "site-results/hourly.nc");
        if (first.empty()) first = bytes;
        EXPECT_EQ(bytes, first) << threads;
    }
    const Hdf5File nc(folder / "site-results/hourly.nc");
    EXPECT_EQ(nc.shape("direct_w_m2").at(0), 24u);
    EXPECT_TRUE(nc.has("surface_id"));
    for (const char* name : {"room_id", "outside_c", "inward_w", "air_c"})
        EXPECT_FALSE(nc.has(name));
}

/// Ends the process by 3 and tells why where a file may not grow above 100 kB.
[[noreturn]] void write_on_a_full_disk(const std::filesystem::path& file) {
    std::signal(SIGXFSZ, SIG_IGN);
    const rlimit limit{100'000, 100'000};
    setrlimit(RLIMIT_FSIZE, &limit);
    try {
        NetcdfOutput output(file, "results/hourly.nc");
        const std::size_t n = 1'000'000;
        const int id =
            output.variable("noise", NetcdfOutput::Type::f32, {output.dimension("n", n)});
        std::mt19937 random;
        std::vector<float> values(n);
        for (float& value : values) value = static_cast<float>(random());
        output.put(id, {0}, {n}, std::move(values));
        output.close();
    } catch (const InputError& error) {
        std::fprintf(stderr, "%s\n", error.what());
        std::_Exit(3);
    }
    std::_Exit(0);
}

TEST(HourlyNcAlone, AFullDiskIsToldWithTheNameOfTheFile) {
    testing::GTEST_FLAG(death_test_style) = "fast";
    const Folder folder;
    EXPECT_EXIT(write_on_a_full_disk(folder / "hourly.nc"), testing::ExitedWithCode(3),
                "^results/hourly.nc: expected a file that can be written, saw [^\n]+\n$");
}

TEST(HourlyNcAlone, AFolderThatIsNotThereIsRefused) {
    const Folder folder;
    EXPECT_THROW(NetcdfOutput(folder / "none/hourly.nc", "hourly.nc"), InputError);
}

}  // namespace
}  // namespace noonshell
