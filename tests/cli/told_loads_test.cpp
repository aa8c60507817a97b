// What `run` tells a reader who spends money by it: loads with their vapour, plants, heat accounts,
// treatments that save nothing, and warnings of odd openings and insulation.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <fstream>
#include <nlohmann/json.hpp>
#include <string>
#include <utility>

#include "tests/cli/program.hpp"
#include "tests/cli/small_site.hpp"

namespace noonshell {
namespace {

using namespace test;
using Json = nlohmann::json;

std::string page_of(const std::string& toml, const std::vector<std::string>& more = {}) {
    const Folder folder;
    std::vector<std::string> words{"run", write_site(folder, toml), "--out",
                                   (folder / "out").string()};
    words.insert(words.end(), more.begin(), more.end());
    const Outcome outcome = run_program(words, {});
    EXPECT_EQ(outcome.status, 0) << outcome.err;
    return outcome.out;
}

Json json_of(const std::string& toml) {
    return Json::parse(page_of(toml, {"--json"}));
}

bool tells(const std::string& page, const std::string& words) {
    return page.find(words) != std::string::npos;
}

bool warns(const Json& document, const std::string& code) {
    for (const Json& warning : document["warnings"])
        if (warning["code"] == code) return true;
    return false;
}

const std::string black_coat =
    "[[treatment]]\nname = \"black\"\nkind = \"coating\"\ncost_per_m2 = 10\naged_reflectance = "
    "0.03\nnew_reflectance = 0.05\n";

TEST(ToldLoads, ATreatmentThatHarmsIsNotRecommended) {
    const std::string page = page_of(quick_site_toml() + black_coat);
    EXPECT_FALSE(tells(page, "Most cooling saved"));
    EXPECT_TRUE(tells(page, "None of the treatments saves cooling here."));
    EXPECT_TRUE(tells(page, "no treatment saves cooling"));
    const Json document = json_of(quick_site_toml() + black_coat);
    EXPECT_TRUE(warns(document, "nothing-saved"));
    EXPECT_FALSE(warns(document, "nothing-to-rank"));
    for (const Json& surface : document["surfaces"]) {
        EXPECT_TRUE(surface["rank"].is_null());
        for (const Json& treatment : surface["treatments"])
            EXPECT_LT(treatment["saves_cooling_kwh"].get<double>(), 0);
    }
}

/// 100 changes of hot air an hour ask for more than the largest common size; the humid day's load
/// is told with its vapour.
TEST(ToldLoads, PlantsAndVapour) {
    std::string year = place_toml + "[model]\nfile = \"site.step\"\nfacet_size_m = 2\n" +
                       twelve_equal_months_toml + coarse_toml + "[room]\nair_change_per_h = 60\n";
    year.replace(year.find("dew_point_c"), 16, "dew_point_c = [19");
    const Json document = json_of(year);
    for (const Json& unit : document["units"]) {
        const double load_w = unit["peak_load_w"], sensible_w = unit["peak_cooling_w"];
        const double latent_w = unit["peak_latent_w"];
        EXPECT_GT(latent_w, 0);
        EXPECT_GE(load_w, sensible_w);
        EXPECT_LE(load_w, sensible_w + latent_w + 1e-6);
        const Json& day = unit["design_day"];
        EXPECT_NEAR(day["total_w"].get<double>(),
                    day["sensible_w"].get<double>() + day["latent_w"].get<double>(), 1e-6);
        double sum_w = 0;
        for (const Json& plant : unit["plants_to_buy_w"]) sum_w += plant.get<double>();
        EXPECT_EQ(sum_w, unit["plant_to_buy_w"].get<double>());
        const double needed_w = std::max(unit["needed_capacity_w"].get<double>(),
                                         day["needed_capacity_w"].get<double>());
        EXPECT_GE(sum_w, needed_w);
    }
}

TEST(ToldLoads, TheHeatAccountAddsUp) {
    const std::string toml = quick_site_toml() +
                             "[room]\ngains_w_m2 = 6\nventilation_per_h = 4\nfan_w_per_m3_s = "
                             "500\nair_change_per_h = 1\n"
                             "[[doorway]]\nbetween = [\"unit-1\", \"unit-2\"]\n";
    const Json document = json_of(toml);
    EXPECT_FALSE(warns(document, "doorway-too-large"));
    double doorways_kwh = 0, passed_kwh = 0;
    for (const Json& unit : document["units"]) {
        const Json& account = unit["heat_account"];
        double sum_kwh = 0;
        for (const auto& [key, value] : account.items()) {
            if (key == "stored_kwh") continue;
            sum_kwh += value.get<double>();
            passed_kwh += std::abs(value.get<double>());
        }
        EXPECT_NEAR(sum_kwh, account["stored_kwh"].get<double>(), 1e-4);
        EXPECT_EQ(account["cooling_kwh"].get<double>(), -unit["cooling_kwh"].get<double>());
        EXPECT_NEAR(account["gains_kwh"].get<double>(),
                    6 * unit["floor_area_m2"].get<double>() * 24 / 1000, 1e-6);
        doorways_kwh += account["doorways_kwh"].get<double>();
    }
    EXPECT_NEAR(doorways_kwh, 0, 1e-3 * passed_kwh);  // what one room gives the other takes
    EXPECT_TRUE(tells(page_of(toml, {"--verbose"}), "Heat into every room over the period"));
}

TEST(ToldLoads, OddDoorwaysAreWarnedOf) {
    const std::string joined = "[[doorway]]\nbetween = [\"unit-1\", \"unit-2\"]\n";
    EXPECT_TRUE(warns(json_of(quick_site_toml() + joined + "width_m = 20\nheight_m = 10\n"),
                      "doorway-too-large"));
    EXPECT_TRUE(warns(json_of(quick_site_toml() + joined + "width_m = 0.5\nheight_m = 4\n"),
                      "doorway-too-large"));
    const auto two = [&](const Vec3& second_m) {
        const Folder folder;
        const std::string site = write_site(folder, quick_site_toml() + joined);
        write_blocks({block("unit-1", twenty_foot_m), block("unit-2", twenty_foot_m, second_m)},
                     folder / "site.step");
        const Outcome outcome =
            run_program({"run", site, "--out", (folder / "out").string(), "--json"}, {});
        EXPECT_EQ(outcome.status, 0) << outcome.err;
        return Json::parse(outcome.out);
    };
    EXPECT_TRUE(warns(two({0, 0, 2.61}), "doorway-between-storeys"));
    EXPECT_TRUE(warns(two({0, 9, 0}), "doorway-between-apart"));
}

/// Air passes through several doorways of two rooms as through one of their widths together; what
/// cannot stand in the wall is told of all of them.
TEST(ToldLoads, DoorwaysOfTwoRoomsAddUp) {
    const std::string one = "[[doorway]]\nbetween = [\"unit-1\", \"unit-2\"]\nwidth_m = 0.9\n",
                      back = "[[doorway]]\nbetween = [\"unit-2\", \"unit-1\"]\nwidth_m = 0.9\n",
                      wide = "[[doorway]]\nbetween = [\"unit-1\", \"unit-2\"]\nwidth_m = 1.8\n";
    const std::string warmer = "[[own_room]]\nunits = [\"unit-1\"]\ncooling_set_point_c = 30\n";
    const auto through = [&](const std::string& doors) {
        return json_of(quick_site_toml() + warmer +
                       doors)["units"][0]["heat_account"]["doorways_kwh"]
            .get<double>();
    };
    const double together = through(one + back);
    EXPECT_LT(together, -0.5);
    EXPECT_NEAR(together, through(wide), 1e-3 * std::abs(together));
    EXPECT_GT(through(one), together + 0.1);
    std::string many;
    for (int door = 0; door < 9; ++door) many += door % 2 == 0 ? one : back;
    const Json document = json_of(quick_site_toml() + many);
    EXPECT_EQ(std::ranges::count(document["warnings"], "doorway-too-large",
                                 [](const Json& warning) { return warning["code"]; }),
              1);
}

/// A plant that leaves the room too warm is told with the size that would do, which then does.
TEST(ToldLoads, ASmallPlantIsWarnedOf) {
    const auto with_plant = [](double kw) {
        return json_of(quick_site_toml() + "[room]\ncooling = \"unit\"\ncooling_capacity_kw = " +
                       std::to_string(kw) + "\n");
    };
    const Json small = with_plant(0.3);
    EXPECT_TRUE(warns(small, "plant-too-small"));
    EXPECT_TRUE(std::ranges::any_of(small["warnings"], [](const Json& warning) {
        return warning["text"].get<std::string>().find("only what this plant takes out") !=
               std::string::npos;
    }));
    double needed_w = 0;
    for (const Json& unit : small["units"])
        needed_w = std::max(needed_w, unit["plant_to_buy_w"].get<double>());
    EXPECT_GT(needed_w, 300);
    EXPECT_FALSE(warns(with_plant(needed_w / 1000), "plant-too-small"));
}

/// Schedules of a week say nothing of the day that a lone design day is: that is told.
TEST(ToldLoads, ADesignDaysWeekdayIsTold) {
    const auto weekday = [](const std::string& room) {
        std::string told;
        const Json document = json_of(quick_site_toml() + room);
        for (const Json& input : document["inputs"])
            if (input["key"] == "room.first_weekday") told = input["value"];
        return told;
    };
    std::string week;
    for (int h = 0; h < 168; ++h) week += (h > 0 ? "," : "") + std::to_string(h < 24 ? 9 : 0);
    EXPECT_EQ(weekday("[room]\ngains_w_m2 = [" + week + "]\n"), "monday");
    EXPECT_EQ(weekday("[room]\ngains_w_m2 = 9\n"), "");
    EXPECT_EQ(weekday("[room]\ngains_w_m2 = 9\ngains_off_w_m2 = 0\ndays_off = [\"monday\"]\n"),
              "tuesday");
}

/// Nothing is 0 without a sign and without last digits.
TEST(ToldLoads, NothingIsPlainZero) {
    const Json document = json_of(quick_site_toml() + "[room]\ncooling = \"none\"\n");
    EXPECT_EQ(document.dump().find("-0.0,"), std::string::npos);
    for (const Json& unit : document["units"]) {
        EXPECT_EQ(unit["heat_account"]["gains_kwh"], 0.0);
        EXPECT_FALSE(std::signbit(unit["heat_account"]["cooling_kwh"].get<double>()));
    }
}

TEST(ToldLoads, InsulationWithoutABridgeIsWarnedOf) {
    const auto wall = [](const std::string& rest) {
        return quick_site_toml() +
               "[[construction]]\nname = \"lined\"\nsurfaces = [\"*/wall*\"]\n"
               "layers = [{ material = \"steel\", thickness_mm = 1.6 }, " +
               rest + "]\n";
    };
    const std::string wool = "{ material = \"mineral wool\", thickness_mm = 60";
    EXPECT_TRUE(warns(json_of(wall(wool + " }")), "no-bridge-named"));
    EXPECT_FALSE(warns(json_of(wall(wool + ", bridge = \"steel\" }")), "no-bridge-named"));
    EXPECT_FALSE(warns(json_of(wall(wool + " }, { material = \"steel\", thickness_mm = 0.5 }")),
                       "no-bridge-named"));
    EXPECT_TRUE(warns(json_of(wall("{ resistance_m2k_w = 2 }")), "no-bridge-named"));
    EXPECT_FALSE(warns(json_of(wall("{ resistance_m2k_w = 2, bridge = \"counted in\" }")),
                       "no-bridge-named"));
    EXPECT_FALSE(warns(json_of(wall("{ resistance_m2k_w = 0.2 }")), "no-bridge-named"));
}

/// Webs of steel across 60 mm of wool: limits far apart. Battens of wood: by [iso6946] near.
TEST(ToldLoads, ABridgeBeyondTheMethodIsWarnedOf) {
    const auto bridged = [](const std::string& by) {
        return json_of(quick_site_toml() +
                       "[[construction]]\nname = \"lined\"\nsurfaces = [\"*/wall*\"]\n"
                       "layers = [{ material = \"steel\", thickness_mm = 1.6 }, { material = "
                       "\"mineral wool\", thickness_mm = 60, " +
                       by + " }]\n");
    };
    EXPECT_TRUE(warns(bridged("bridge = \"steel\""), "bridge-beyond-method"));
    EXPECT_FALSE(
        warns(bridged("bridge = \"plywood\", bridge_share = 0.08"), "bridge-beyond-method"));
}

/// The U-value of a floor's layers is not that of a floor with the ground beneath it.
TEST(ToldLoads, FloorsOnTheGroundAreNamedAsSuch) {
    const auto floor_words = [](const std::string& ground) {
        std::string toml = quick_site_toml();
        const std::string model = "[model]\n";
        toml.insert(toml.find(model) + model.size(), ground);
        const Json document = json_of(toml);
        std::string words;
        for (const Json& one : document["constructions"]) {
            const std::string on = one["on"];
            if (on.starts_with("floors")) words += on + ";";
        }
        return words;
    };
    EXPECT_EQ(floor_words(""), "floors on the ground;");
    EXPECT_EQ(floor_words("ground_z_m = -1\n"), "floors;");
}

/// A design day does not tell how warm the ground is: its mean stands in, which is told.
TEST(ToldLoads, TheYearlyMeanOfTheAirIsAskedForWhereFloorsLieOnTheGround) {
    constexpr const char* code = "ground-without-yearly-mean";
    const auto told = [](const Json& document) {
        for (const Json& input : document["inputs"])
            if (input["key"] == "weather.yearly_mean_c")
                return std::pair(input["value"].get<double>(), input["from"].get<std::string>());
        return std::pair(0.0, std::string("not told"));
    };
    const Json by_day = json_of(quick_site_toml());
    EXPECT_TRUE(warns(by_day, code));
    EXPECT_NEAR(told(by_day).first, 42 - 0.5 * 12, 1);  // the middle of the day's range
    const Json by_year = json_of(quick_site_toml() + "[weather]\nyearly_mean_c = 18\n");
    EXPECT_FALSE(warns(by_year, code));
    EXPECT_EQ(told(by_year).first, 18);
    EXPECT_NE(told(by_day).second, told(by_year).second);
    const auto cooling_kwh = [](const Json& document) {
        double sum = 0;
        for (const Json& unit : document["units"]) sum += unit["cooling_kwh"].get<double>();
        return sum;
    };
    EXPECT_LT(cooling_kwh(by_year), cooling_kwh(by_day));
    std::string on_piers = quick_site_toml();
    const std::string model = "[model]\n";
    on_piers.insert(on_piers.find(model) + model.size(), "ground_z_m = -1\n");
    EXPECT_FALSE(warns(json_of(on_piers), code));
}

/// Gains on days of work alone: the lone design day is one, whatever weekday its date has, unless
/// the site says otherwise. 21 July 2023 was a Friday.
TEST(ToldLoads, ADesignDayIsADayOfWork) {
    const std::string room =
        "[room]\ngains_w_m2 = 10\ngains_off_w_m2 = 0\ndays_off = [\"friday\", \"monday\"]\n";
    const auto gains = [](const Json& document) {
        return document["units"][0]["heat_account"]["gains_kwh"].get<double>();
    };
    EXPECT_GT(gains(json_of(quick_site_toml() + room)), 1);
    EXPECT_EQ(gains(json_of(quick_site_toml() + room + "first_weekday = \"friday\"\n")), 0);
}

/// Level roofs: still unless wind is let in.
TEST(ToldLoads, ALevelGapStandsStillWithoutWind) {
    const std::string clad =
        quick_site_toml() +
        "[[treatment]]\nname = \"clad\"\nkind = \"vented cladding\"\nsurfaces = [\"*/roof*\"]\n"
        "cost_per_m2 = 10\nsheet = \"steel\"\nsheet_thickness_mm = 0.6\ngap_mm = 50\n";
    const auto open = [&](const std::string& mm2, const std::string& more) {
        return clad + "opening_mm2_per_m = " + mm2 + "\n" + more;
    };
    const std::string wind = "gap_wind_coefficient = 0.5\n";
    EXPECT_TRUE(tells(page_of(open("20000", "")), "clad on level surfaces (2): the air behind"));
    EXPECT_FALSE(tells(page_of(open("20000", wind)), "stands still"));
    const auto air = [](const Json& document) {
        return document["defence"].back()["cladding_air"];
    };
    EXPECT_EQ(air(json_of(open("20000", "")))["peak_air_speed_m_s"], 0);
    EXPECT_EQ(air(json_of(open("0", wind)))["peak_air_speed_m_s"], 0);
    const Json windy = air(json_of(open("20000", wind)));
    EXPECT_GT(windy["peak_air_speed_m_s"].get<double>(), 0.1);
    EXPECT_GT(windy["peak_carried_w"].get<double>(), 100);
}

/// A file of weather that ends within a day, by table: 61 hours.
TEST(ToldLoads, APeriodNeedNotBeWholeDays) {
    const Folder folder;
    std::ofstream table(folder / "part.csv");
    table << "time,ta,td,ws,ghi,dni,dhi\n";
    for (int h = 0; h < 61; ++h) {
        const int hour = h % 24, day = 1 + h / 24;
        const double sun = std::max(0.0, std::sin((hour - 6) * 3.14159 / 12));
        table << "2023-07-0" << day << " " << (hour < 10 ? "0" : "") << hour << ":00,"
              << 34 + 7 * std::sin((hour - 9) * 3.14159 / 12) << ",5,3," << 800 * sun << ","
              << (sun > 0 ? 700 : 0) * sun << "," << 100 * sun << "\n";
    }
    table.close();
    const std::string toml = place_toml +
                             "elevation_m = 0\n[model]\nfile = \"site.step\"\nfacet_size_m = 2\n" +
                             coarse_toml +
                             "[weather]\nfile = \"part.csv\"\nformat = "
                             "\"columns\"\n[weather.time]\ncolumns = [\"time\"]\n"
                             "layout = \"YYYY-MM-DD hh:mm\"\nstamp = \"start\"\n[weather.columns]\n"
                             "dry_bulb = { column = \"ta\", unit = \"degC\" }\n"
                             "dew_point = { column = \"td\", unit = \"degC\" }\n"
                             "wind_speed = { column = \"ws\", unit = \"m/s\" }\n"
                             "global = { column = \"ghi\", unit = \"W/m2\" }\n"
                             "direct_normal = { column = \"dni\", unit = \"W/m2\" }\n"
                             "diffuse = { column = \"dhi\", unit = \"W/m2\" }\n";
    const std::string site = write_site(folder, toml);
    for (const std::vector<std::string>& words :
         {std::vector<std::string>{"run", site, "--json"},
          {"run", site, "--json", "--fast"},
          {"plan", site, "--json", "--budget", "500", "--fast"}}) {
        std::vector<std::string> all = words;
        all.insert(all.end(), {"--out", (folder / "out").string()});
        const Outcome outcome = run_program(all, {});
        ASSERT_EQ(outcome.status, 0) << outcome.err;
        const Json document = Json::parse(outcome.out);
        if (words[0] == "run") {
            EXPECT_EQ(document["period"]["hours"], 61);
            EXPECT_LE(document["units"][0]["hours_too_hot_h"].get<double>(), 61);
            EXPECT_GT(document["units"][0]["hours_too_hot_h"].get<double>(), 20);
        }
    }
}

/// Thresholds are those of bare metal: walls of plywood have none, nor are they the hottest steel.
TEST(ToldLoads, OnlyMetalBurnsAsMetalDoes) {
    std::size_t metal = 0, others = 0;
    const Json document = json_of(quick_site_toml() +
                                  "[[construction]]\nname = \"wood\"\nsurfaces = [\"*/wall-?\"]\n"
                                  "outside_absorptance = 0.95\n"
                                  "layers = [{ material = \"plywood\", thickness_mm = 20 }]\n");
    for (const Json& surface : document["surfaces"]) {
        if (surface["exposed_area_m2"] == 0) continue;
        const bool is_wall = surface["kind"] == "wall";
        EXPECT_EQ(surface["heat"]["hot_to_touch"].is_null(), is_wall) << surface["id"];
        ++(is_wall ? others : metal);
    }
    EXPECT_EQ(metal, 2U);
    EXPECT_GT(others, 4U);
    for (const Json& stage : document["defence"])
        EXPECT_EQ(stage["peak_steel_surface"].get<std::string>().find("wall"), std::string::npos);
}

/// Times are whole heat steps, without what adding up left behind the point.
TEST(ToldLoads, HoursAreWholeSteps) {
    const Json document = json_of(quick_site_toml());
    for (const Json& surface : document["surfaces"]) {
        if (surface["heat"]["hot_to_touch"].is_null()) continue;
        for (const Json& touch : surface["heat"]["hot_to_touch"]) {
            const double steps = 6 * touch["hours_h"].get<double>();
            EXPECT_EQ(touch["hours_h"].get<double>(), std::nearbyint(steps) / 6);
        }
    }
}

}  // namespace
}  // namespace noonshell
