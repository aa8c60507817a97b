// Weather files of the user's own form: the keys of the site file, and whole runs.
#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <nlohmann/json.hpp>
#include <string>
#include <variant>

#include "cli/site_file.hpp"
#include "cli/site_resolution.hpp"
#include "tests/cli/program.hpp"
#include "tests/cli/small_site.hpp"
#include "tests/solar/netcdf_writer.hpp"

namespace noonshell {
namespace {

using namespace test;
using Json = nlohmann::json;
using Quantity = WeatherQuantity;

const std::string table_toml = R"([weather]
file = "met.csv"

[weather.time]
columns = ["time"]

[weather.columns]
dry_bulb = { column = "T", unit = "degC" }
relative_humidity = { column = "#3", unit = "%" }
wind_speed = { column = "v", unit = "km/h" }
global = { column = "G", unit = "W/m2" }
)";

SiteFile parse(const std::string& toml) {
    return parse_site_file(toml, "folder/site.toml");
}

std::string error_of(const std::string& toml) {
    try {
        parse(toml);
    } catch (const InputError& error) {
        return error.what();
    }
    return "no error";
}

std::string swapped(std::string text, const std::string& old_part, const std::string& new_part) {
    const std::size_t at = text.find(old_part);
    EXPECT_NE(at, std::string::npos) << old_part;
    return at == std::string::npos ? text : text.replace(at, old_part.size(), new_part);
}

// ---- Keys

TEST(WeatherFiles, ReadsTheKeysOfATable) {
    const SiteFile site =
        parse(swapped(table_toml, "columns = [\"time\"]",
                      "columns = [\"day\", \"#2\"]\nlayout = \"DD.MM.YYYY hh\"\nzone = \"+03:00\"\n"
                      "stamp = \"start\"\ninterval_min = 30\nvalues = \"instant\"") +
              "separator = \"tab\"\ndecimal = \",\"\nmissing = [\"-99.5\"]\n");
    const auto& file = std::get<WeatherTableFile>(site.weather.kind);
    EXPECT_EQ(file.file, "folder/met.csv");
    EXPECT_EQ(file.zone, "+03:00");
    EXPECT_EQ(file.longest_fill_h, 6);
    const WeatherTableFormat& format = file.format;
    ASSERT_EQ(format.time_columns.size(), 2u);
    EXPECT_EQ(format.time_columns[0].name, "day");
    EXPECT_EQ(format.time_columns[1].number, 2u);
    EXPECT_EQ(format.time_layout.text(), "DD.MM.YYYY hh");
    EXPECT_EQ(format.stamp, StampAt::start);
    EXPECT_EQ(format.interval_min, 30);
    EXPECT_FALSE(format.means);
    EXPECT_EQ(format.separator, '\t');
    EXPECT_EQ(format.decimal, ',');
    EXPECT_EQ(format.missing, std::vector<std::string>{"-99.5"});
    ASSERT_EQ(format.quantities.size(), 4u);
    EXPECT_EQ(format.quantities[1].quantity, Quantity::relative_humidity);
    EXPECT_EQ(format.quantities[1].column.number, 3u);
    EXPECT_STREQ(format.quantities[2].unit.name, "km/h");
}

TEST(WeatherFiles, TakesDefaultsAndTellsThem) {
    const SiteFile site = parse(table_toml);
    const auto& format = std::get<WeatherTableFile>(site.weather.kind).format;
    EXPECT_FALSE(format.stamp);
    EXPECT_TRUE(format.means);
    EXPECT_EQ(format.time_layout.text(), "YYYY-MM-DD hh:mm");
    for (const char* key : {"weather.time.layout", "weather.time.zone", "weather.time.stamp",
                            "weather.time.values", "weather.format"}) {
        const auto found = std::find_if(site.inputs.begin(), site.inputs.end(),
                                        [&](const InputRecord& r) { return r.key == key; });
        ASSERT_NE(found, site.inputs.end()) << key;
        EXPECT_EQ(found->origin, InputOrigin::by_default) << key;
    }
}

TEST(WeatherFiles, TellsTheFormatsApart) {
    const auto kind = [](const std::string& keys) {
        return parse("[weather]\n" + keys).weather.kind.index();
    };
    const std::size_t tmy3 = 1, netcdf = 3;
    EXPECT_EQ(kind("file = \"a.csv\"\n"), tmy3);
    EXPECT_EQ(kind("file = \"a.nc\"\n"), netcdf);
    EXPECT_EQ(kind("file = \"a.NC4\"\n"), netcdf);
    EXPECT_EQ(kind("file = \"a.bin\"\nformat = \"netcdf\"\n"), netcdf);
    EXPECT_EQ(kind("file = \"a.nc\"\nformat = \"tmy3\"\n"), tmy3);
    EXPECT_EQ(kind("file = \"a.grid\"\n[weather.netcdf]\nglobal = \"ssr\"\n"), netcdf);
}

TEST(WeatherFiles, ReadsTheKeysOfNetcdf) {
    const SiteFile site = parse(
        "[weather]\nfile = \"a.nc\"\nlongest_fill_h = 3\n[weather.netcdf]\ndry_bulb = \"t2m\"\n"
        "wind_east = \"u10\"\naccumulation = \"since start\"\nstamp = \"middle\"\n");
    const auto& file = std::get<WeatherGridFile>(site.weather.kind);
    EXPECT_EQ(file.longest_fill_h, 3);
    EXPECT_EQ(file.format.variables[0], "t2m");
    EXPECT_EQ(file.format.wind_east, "u10");
    EXPECT_EQ(file.format.accumulation, Accumulation::since_start);
    EXPECT_EQ(file.format.stamp, StampAt::middle);
}

TEST(WeatherFiles, NetcdfMayLieInSeveralFiles) {
    const SiteFile site = parse("[weather]\nfile = [\"a.nc\", \"b.nc\"]\n");
    const auto& several = std::get<WeatherGridFile>(site.weather.kind);
    ASSERT_EQ(several.files.size(), 2u);
    EXPECT_EQ(several.files[1], "folder/b.nc");
    EXPECT_EQ(error_of("[weather]\nfile = []\n"),
              "folder/site.toml:2:8: weather.file: expected the name of a file, saw an empty list");
    EXPECT_EQ(error_of("[weather]\nfile = [\"a.csv\", \"b.csv\"]\n"),
              "folder/site.toml:2:8: weather.file: expected one file of the format \"tmy3\", saw 2 "
              "files");
    EXPECT_NE(error_of("[weather]\nfile = [1]\n").find("an array of texts"), std::string::npos);
}

TEST(WeatherFiles, NamesWhatIsWrongInTheSiteFile) {
    const auto with = [](const std::string& old_part, const std::string& new_part) {
        return error_of(swapped(table_toml, old_part, new_part));
    };
    EXPECT_EQ(with("unit = \"degC\"", "unit = \"C\""),
              "folder/site.toml:8:35: weather.columns.dry_bulb.unit: expected one of \"degC\", "
              "\"degF\", \"K\", saw \"C\"");
    EXPECT_NE(with(", unit = \"degC\"", "").find("weather.columns.dry_bulb.unit: expected one of"),
              std::string::npos);
    EXPECT_NE(with("column = \"T\", ", "").find("weather.columns.dry_bulb.column: expected text"),
              std::string::npos);
    EXPECT_NE(with("dry_bulb =", "dry_blub =").find("nearest: \"dry_bulb\""), std::string::npos);
    EXPECT_NE(with("\"#3\"", "\"#0\"").find("a column from #1 to #10000"), std::string::npos);
    EXPECT_NE(with("columns = [\"time\"]", "columns = [\"time\"]\nlayout = \"hh:mm\"")
                  .find("weather.time.layout: expected a time layout with month and day"),
              std::string::npos);
    EXPECT_NE(with("columns = [\"time\"]", "columns = [\"time\"]\ninterval_min = 7")
                  .find("expected minutes that divide the hour, or 120 or 180, saw 7"),
              std::string::npos);
    EXPECT_NE(with("columns = [\"time\"]", "columns = []").find("weather.time.columns"),
              std::string::npos);
    EXPECT_NE(with("file = \"met.csv\"", "file = \"met.csv\"\nformat = \"tmy3\"")
                  .find("no time beside the format \"tmy3\""),
              std::string::npos);
    EXPECT_NE(error_of("[weather]\nfile = \"a.csv\"\nformat = \"columns\"\n")
                  .find("a table [weather.time]"),
              std::string::npos);
    EXPECT_NE(error_of("[weather]\nfile = \"a.nc\"\nclear_sky = \"turbidity\"\n")
                  .find("no clear_sky beside weather.file"),
              std::string::npos);
    EXPECT_NE(error_of("[weather]\nformat = \"tmy3\"\n[weather.design_day]\n"
                       "peak_dry_bulb_c = 40\n")
                  .find("no format beside"),
              std::string::npos);
}

TEST(WeatherFiles, ReadsClearSkiesByTurbidity) {
    const SiteFile day = parse(
        "[weather]\nclear_sky = \"turbidity\"\n[weather.design_day]\npeak_dry_bulb_c = 42\n"
        "linke_turbidity = 4.5\n");
    EXPECT_EQ(std::get<DesignDay>(day.weather.kind).sky, ClearSkyModel::turbidity);
    EXPECT_EQ(std::get<DesignDay>(day.weather.kind).linke_turbidity, 4.5);
    std::string months = "[weather]\nclear_sky = \"turbidity\"\n";
    for (const char* key : {"mean_high_c", "mean_low_c", "dew_point_c", "wind_m_s"})
        months += equal_months(key, "5");
    const std::string toml = months + equal_months("linke_turbidity", "3.5");
    const SiteFile year = parse(toml);
    EXPECT_EQ(std::get<TypicalYear>(year.weather.kind).sky, ClearSkyModel::turbidity);
    EXPECT_EQ(std::get<TypicalYear>(year.weather.kind).months[11].linke_turbidity, 3.5);
    EXPECT_NE(error_of(toml + equal_months("tau_b", "0.4")).find("no tau_b beside clear_sky"),
              std::string::npos);
    EXPECT_NE(error_of(months).find("weather.linke_turbidity"), std::string::npos);
    EXPECT_NE(error_of("[weather.design_day]\npeak_dry_bulb_c = 42\nlinke_turbidity = 4\n")
                  .find("no linke_turbidity beside clear_sky = \"optical depths\""),
              std::string::npos);
    EXPECT_NE(error_of(swapped(toml, "[3.5", "[0.5")).find("a number from 1 to 12"),
              std::string::npos);
}

// ---- Whole runs

/// Three invented days: light as level parts of a day, dry air.
std::string three_days(int first_day = 21) {
    std::string text = "time,T,RH,v,G\n";
    for (int hour = 1; hour <= 72; ++hour) {
        const int of_day = (hour - 1) % 24 + 1;
        const double angle = (of_day - 0.5 - 12) / 7 * 1.5707963;
        const int light = std::abs(of_day - 12.5) < 7 ? static_cast<int>(900 * std::cos(angle)) : 0;
        const std::string day = std::to_string(first_day + (hour - 1) / 24);
        text += "2023-07-" + day + " " + std::to_string(of_day) + ":00," +
                std::to_string(28 + light / 100) + ",20,12," + std::to_string(light) + "\n";
    }
    return text;
}

TEST(WeatherFiles, RunsOnATable) {
    const Folder folder;
    folder.write("met.csv", three_days());
    const std::string site =
        write_site(folder, place_toml + "[model]\nfile = \"site.step\"\nfacet_size_m = 3\n" +
                               table_toml + coarse_toml);
    const Outcome run = run_program({"run", site, "--out", (folder / "out").string()});
    ASSERT_EQ(run.status, 0) << run.err;
    EXPECT_NE(run.out.find("met.csv; light: direct and diffuse split from global (Erbs)"),
              std::string::npos)
        << run.out.substr(0, 400);
    const Json document = Json::parse(content_of(folder / "out/summary.json"));
    EXPECT_EQ(document["period"]["from"], "2023-07-21T00:00+02:00");
    EXPECT_EQ(document["period"]["to"], "2023-07-24T00:00+02:00");
    EXPECT_EQ(document["period"]["hours"], 72);
}

// A part of two years has the dates of both: no typical year.
TEST(WeatherFiles, TellsNewYearAsItStands) {
    std::string text = three_days(30);
    for (std::size_t at = 0; (at = text.find("2023-07-", at)) != std::string::npos; ++at)
        text.replace(at, 8, "2023-12-");
    for (std::size_t at = 0; (at = text.find("2023-12-32", at)) != std::string::npos; ++at)
        text.replace(at, 10, "2024-01-01");
    const Folder folder;
    folder.write("met.csv", text);
    const std::string site =
        write_site(folder, place_toml + "[model]\nfile = \"site.step\"\nfacet_size_m = 3\n" +
                               table_toml + coarse_toml);
    const Outcome run = run_program({"run", site, "--out", (folder / "out").string()});
    ASSERT_EQ(run.status, 0) << run.err;
    const Json document = Json::parse(content_of(folder / "out/summary.json"));
    EXPECT_EQ(document["period"]["from"], "2023-12-30T00:00+02:00");
    EXPECT_EQ(document["period"]["to"], "2024-01-02T00:00+02:00");
    EXPECT_TRUE(document["period"]["months_of_years"].is_null());
}

PlaceAndWeather resolve(const Folder& folder, const std::string& toml) {
    SiteFile site = read_site_file(folder.write("site.toml", toml));
    return resolve_place_and_weather(site);
}

TEST(WeatherFiles, TheZoneOfTheStampsMayBeAnother) {
    const Folder folder;
    folder.write("met.csv", three_days());
    const auto begin = [&](const std::string& zone) {
        return resolve(folder, place_toml + swapped(table_toml, "columns = [\"time\"]",
                                                    "columns = [\"time\"]\n" + zone))
            .weather.hour_start_utc[0];
    };
    using namespace std::chrono;
    EXPECT_EQ(begin(""), sys_days{2023y / July / 21} - hours(2));
    EXPECT_EQ(begin("zone = \"UTC\""), sys_days{2023y / July / 21});
    EXPECT_EQ(begin("zone = \"Asia/Riyadh\""), sys_days{2023y / July / 21} - hours(3));
    try {
        begin("zone = \"Asia/Riad\"");
        FAIL();
    } catch (const InputError& error) {
        EXPECT_NE(
            std::string(error.what()).find("site.toml:10:8: weather.time.zone: expected an IANA"),
            std::string::npos)
            << error.what();
    }
}

// A block of even light is not what the sun gives from morning to evening.
TEST(WeatherFiles, TellsLightThatDoesNotFit) {
    const Folder folder;
    std::string text = "time,T,RH,v,G,B,D\n";
    for (int hour = 1; hour <= 24; ++hour) {
        const bool sun = hour >= 8 && hour <= 17;
        text += "2023-07-21 " + std::to_string(hour) + ":00,30,20,12," +
                (sun ? "500,800,100" : "0,0,0") + "\n";
    }
    folder.write("met.csv", text);
    const PlaceAndWeather resolved =
        resolve(folder, place_toml + table_toml +
                            "direct_normal = { column = \"B\", unit = \"W/m2\" }\n"
                            "diffuse = { column = \"D\", unit = \"W/m2\" }\n");
    const auto told = std::count_if(
        resolved.warnings.begin(), resolved.warnings.end(),
        [](const Warning& warning) { return warning.code == "weather-light-differs"; });
    EXPECT_EQ(told, 1);
}

/// A clear year in a table of global light, its stamps so long after the ends of the hours.
std::string clear_year_table(double behind_min) {
    Site east;
    east.latitude_deg = 27;
    east.longitude_deg = 30 + behind_min / 4;  // there the sun is so much earlier
    east.utc_offset_h = 2;
    std::array<MonthNormals, 12> months;
    for (MonthNormals& month : months) {
        month.mean_high_c = 30;
        month.mean_low_c = 20;
    }
    const Weather year = typical_clear_year(east, months, 2023);
    std::string text = "time,T,RH,v,G\n";
    for (std::size_t h = 0; h < year.size(); ++h)
        text += clock_text(year.hour_start_utc[h] + std::chrono::hours(1), std::chrono::hours(2)) +
                ",25,20,12," + std::to_string(year.global_w_m2[h]) + "\n";
    return text;
}

TEST(WeatherFiles, TellsAClockThatIsHalfAnHourOff) {
    const Folder folder;
    const auto told = [&](double behind_min) {
        folder.write("met.csv", clear_year_table(behind_min));
        std::string text;
        for (const Warning& warning : resolve(folder, place_toml + table_toml).warnings)
            text += warning.code + ": " + warning.text + "\n";
        return text;
    };
    EXPECT_EQ(told(0), "");
    const std::string text = told(30);
    EXPECT_EQ(text.find("weather-clock-shifted: the light of "), 0u) << text;
    EXPECT_NE(text.find("set weather.time.stamp = \"middle\""), std::string::npos) << text;
}

// kJ/m2 read as Wh/m2.
TEST(WeatherFiles, TellsLightThatCannotBe) {
    const Folder folder;
    folder.write("met.csv", clear_year_table(0));
    const auto warnings = resolve(folder, place_toml + swapped(table_toml, "\"G\", unit = \"W/m2\"",
                                                               "\"G\", unit = \"kJ/m2\""))
                              .warnings;
    ASSERT_EQ(warnings.size(), 1u);
    EXPECT_EQ(warnings[0].code, "weather-light-implausible");
}

TEST(WeatherFiles, ReadsNetcdfForTheSite) {
    const Folder folder;
    const std::string cdl =
        "netcdf met {\ndimensions:\n time = 48 ;\n lat = 1 ;\n lon = 1 ;\nvariables:\n"
        " double time(time) ;\n  time:units = \"hours since 2023-07-20 22:00\" ;\n"
        " double lat(lat) ;\n  lat:units = \"degrees_north\" ;\n"
        " double lon(lon) ;\n  lon:units = \"degrees_east\" ;\n"
        " double t2m(time, lat, lon) ;\n  t2m:units = \"K\" ;\n"
        " double d2m(time) ;\n  d2m:standard_name = \"dew_point_temperature\" ;\n"
        "  d2m:units = \"K\" ;\n"
        " double wind(time) ;\n  wind:standard_name = \"wind_speed\" ;\n"
        "  wind:units = \"m s-1\" ;\n"
        " double ssrd(time) ;\n"
        "  ssrd:standard_name = \"surface_downwelling_shortwave_flux_in_air\" ;\n"
        "  ssrd:units = \"J m**-2\" ;\n"
        "data:\n lat = 28 ;\n lon = 30 ;\n" +
        data("time", 48, [](int i) { return i + 1; }) +
        data("t2m", 48, [](int i) { return 290 + i % 4; }) +
        data("d2m", 48, [](int) { return 283.15; }) + data("wind", 48, [](int) { return 4; }) +
        data("ssrd", 48, [](int i) { return i % 24 >= 8 && i % 24 < 16 ? 3600 * 500 : 0; }) + "}\n";
    write_netcdf(folder, cdl);
    const std::string toml =
        place_toml + "[weather]\nfile = \"met.nc\"\n[weather.netcdf]\ndry_bulb = \"t2m\"\n";
    const PlaceAndWeather resolved = resolve(folder, toml);
    const Weather& weather = resolved.weather;
    ASSERT_EQ(weather.size(), 48u);
    using namespace std::chrono;
    EXPECT_EQ(weather.hour_start_utc[0], sys_days{2023y / July / 20} + hours(22));
    EXPECT_NEAR(weather.dry_bulb_c[2], 292 - 273.15, 1e-9);
    EXPECT_NEAR(weather.dew_point_c[2], 10, 1e-9);
    EXPECT_NEAR(weather.global_w_m2[10], 500, 1e-9);
    EXPECT_GT(weather.direct_normal_w_m2[12], 50);
    const auto far =
        std::find_if(resolved.warnings.begin(), resolved.warnings.end(),
                     [](const Warning& warning) { return warning.code == "weather-cell-far"; });
    ASSERT_NE(far, resolved.warnings.end());
    EXPECT_NE(far->text.find("is 111 km from the site"), std::string::npos) << far->text;
}

// ---- Hills

TEST(WeatherFiles, HillsReachTheSite) {
    const Folder folder;
    folder.write("hills.csv", "azimuth_deg,elevation_deg\n0,5\n90,15\n180,5\n");
    const std::string toml =
        swapped(place_toml, "[site]\n", "[site]\nhorizon = \"hills.csv\"\n") + design_day_toml;
    const PlaceAndWeather resolved = resolve(folder, toml);
    EXPECT_EQ(resolved.site.horizon.elevation_deg(90), 15);
    EXPECT_EQ(resolved.site.horizon.elevation_deg(45), 10);
    EXPECT_TRUE(resolve(folder, place_toml + design_day_toml).site.horizon.empty());
    folder.write("hills.csv", "azimuth,elevation\n0,5\n");
    EXPECT_THROW(resolve(folder, toml), InputError);
    EXPECT_THROW(resolve(folder, swapped(toml, "hills.csv", "none.csv")), InputError);
}

}  // namespace
}  // namespace noonshell
