// The built program: exit status, one clear line, clean stdout.
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>
#include <ostream>
#include <string>

#include "tests/cli/program.hpp"
#include "tests/cli/small_site.hpp"

namespace noonshell {
namespace {

using namespace test;
using Json = nlohmann::json;

TEST(Commands, HelpAndVersionGoToStandardOutput) {
    for (const char* option : {"--help", "--version"}) {
        const Outcome outcome = run_program({option});
        EXPECT_EQ(outcome.status, 0);
        EXPECT_FALSE(outcome.out.empty());
        EXPECT_TRUE(outcome.err.empty()) << outcome.err;
    }
    const Outcome help = run_program({"run", "--help"});
    EXPECT_EQ(help.status, 0);
    for (const char* option : {"--out", "--json", "--threads", "--quiet", "--verbose"})
        EXPECT_NE(help.out.find(option), std::string::npos) << option;
}

TEST(Commands, WrongUsageEndsWithTwo) {
    const std::vector<std::vector<std::string>> wrong = {
        {},
        {"dance"},
        {"run"},
        {"inspect"},
        {"run", "a.toml", "b.toml"},
        {"run", "a.toml", "--bugdet", "5"},
        {"run", "a.toml", "--threads", "0"},
        {"run", "a.toml", "--threads", "two"},
        {"run", "a.toml", "--quiet", "--verbose"},
        {"run", "a.toml", "--out"},
        {"run", "a.toml", "--out", ""},
    };
    for (const auto& arguments : wrong) {
        const Outcome outcome = run_program(arguments);
        EXPECT_EQ(outcome.status, 2) << testing::PrintToString(arguments);
        EXPECT_TRUE(outcome.out.empty()) << outcome.out;
        expect_one_error_line(outcome, "");
    }
}

TEST(Commands, AnUnknownCommandIsNamedBesideTheKnownOnes) {
    for (const std::vector<std::string>& arguments :
         {std::vector<std::string>{"dance", "x"}, {"--quiet", "dance"}}) {
        const Outcome outcome = run_program(arguments);
        EXPECT_EQ(outcome.status, 2);
        expect_one_error_line(outcome, "\"dance\" is no command; known: inspect, run");
    }
    const Outcome option = run_program({"--dance"});
    EXPECT_EQ(option.status, 2);
    expect_one_error_line(option, "\"--dance\" is no option");
    const Outcome threads = run_program({"--threads", "0", "dance"});
    EXPECT_EQ(threads.status, 2);
    expect_one_error_line(threads, "--threads");
}

TEST(Commands, HelpFailsWhenStandardOutputIsFull) {
    for (const char* option : {"--help", "--version"}) {
        const Outcome outcome = run_program({option}, {.out_file = "/dev/full"});
        EXPECT_EQ(outcome.status, 3);
        expect_one_error_line(outcome, "standard output");
    }
}

TEST(Inspect, PrintsAPageAndOneDocument) {
    const Folder folder;
    write_two_units(folder / "site.step");
    const std::string file = (folder / "site.step").string();
    const Outcome page = run_program({"inspect", file});
    EXPECT_EQ(page.status, 0) << page.err;
    for (const char* part : {"unit-1", "guessed", "millimet", "assumed", "Contacts"})
        EXPECT_NE(page.out.find(part), std::string::npos) << part << " not in\n" << page.out;

    const Outcome json = run_program({"inspect", file, "--json"});
    EXPECT_EQ(json.status, 0) << json.err;
    EXPECT_TRUE(json.err.empty()) << json.err;
    const Json document = Json::parse(json.out);
    ASSERT_EQ(document["bodies"].size(), 2u);
    ASSERT_EQ(document["units"].size(), 2u);
    // Closed forms of a 6.058 x 2.438 x 2.591 m box.
    for (const Json& body : document["bodies"]) {
        EXPECT_NEAR(body["volume_m3"].get<double>(), 6.058 * 2.438 * 2.591, 1e-6);
        EXPECT_NEAR(body["area_m2"].get<double>(),
                    2 * (6.058 * 2.438 + 6.058 * 2.591 + 2.438 * 2.591), 1e-6);
        EXPECT_EQ(body["faces"], 6);
        EXPECT_EQ(body["role"], "unit");
        EXPECT_EQ(body["solid"], true);
    }
    for (const Json& unit : document["units"])
        EXPECT_NEAR(unit["floor_area_m2"].get<double>(), 6.058 * 2.438, 1e-6);
    // The long walls face each other 20 mm apart.
    double between = 0;
    for (const Json& contact : document["contacts"]) {
        if (contact["b"] == "ground") continue;
        between += contact["area_m2"].get<double>();
        EXPECT_NEAR(contact["gap_m"].get<double>(), 0.020, 1e-6);
    }
    EXPECT_NEAR(between, 6.058 * 2.591, 1e-6);
}

TEST(Inspect, TakesPatternsAndNorthFromASiteFile) {
    const Folder folder;
    write_two_units(folder / "site.step");
    const std::string site = folder.write(
        "site.toml",
        "[site]\nnorth_deg = 90\n[model]\nunits = [\"unit-1\"]\nshades = [\"unit-2\"]");
    const Outcome outcome =
        run_program({"inspect", (folder / "site.step").string(), "--site", site, "--json"});
    ASSERT_EQ(outcome.status, 0) << outcome.err;
    const Json document = Json::parse(outcome.out);
    EXPECT_EQ(document["north_deg"], 90.0);
    EXPECT_EQ(document["bodies"][1]["role"], "shade");
    EXPECT_EQ(document["units"].size(), 1u);
    for (const Json& surface : document["surfaces"]) {
        // +Y points east, so +X points south.
        if (surface["kind"] == "wall" && surface["normal"][0].get<double>() > 0.9) {
            EXPECT_NEAR(surface["azimuth_deg"].get<double>(), 180, 1e-9);
        }
    }
}

TEST(Inspect, ShowsNamesThatCouldHarmATerminal) {
    const Folder folder;
    write_blocks({block("unit \033[31m<red>", twenty_foot_m)}, folder / "site.step");
    const Outcome outcome = run_program({"inspect", (folder / "site.step").string()});
    EXPECT_EQ(outcome.status, 0) << outcome.err;
    EXPECT_EQ(outcome.out.find('\033'), std::string::npos);
    EXPECT_NE(outcome.out.find("<red>"), std::string::npos) << outcome.out;
}

TEST(Inspect, TellsWhereASiteFileGoes) {
    const Folder folder;
    const std::string site = folder.write("site.toml", quick_site_toml());
    const Outcome outcome = run_program({"inspect", site});
    EXPECT_EQ(outcome.status, 3);
    expect_one_error_line(
        outcome, "site.toml: expected a STEP file, and a site file as --site SITE.toml beside it");
}

TEST(Inspect, PrintsTheBodiesOfAModelWithoutAUnitAndEndsWithFour) {
    const Folder folder;
    write_blocks({block("crate", {0.5, 0.5, 0.5})}, folder / "site.step");
    const Outcome outcome = run_program({"inspect", (folder / "site.step").string(), "--json"});
    EXPECT_EQ(outcome.status, 4);
    expect_one_error_line(outcome, "unit");
    EXPECT_NE(
        outcome.err.find("site.step: expected at least one unit (a room), saw 1 body of context"),
        std::string::npos)
        << outcome.err;
    EXPECT_NE(outcome.err.find("units = [\"...\"] under [model]"), std::string::npos);
    EXPECT_EQ(Json::parse(outcome.out)["bodies"][0]["name"], "crate");
}

TEST(Inspect, FailsWhenStandardOutputIsFull) {
    const Folder folder;
    write_two_units(folder / "site.step");
    const Outcome outcome =
        run_program({"inspect", (folder / "site.step").string()}, {.out_file = "/dev/full"});
    EXPECT_EQ(outcome.status, 3);
    expect_one_error_line(outcome, "standard output");
}

/// The name of a case, for the list of tests.
template <class Case>
std::string name_of_case(const testing::TestParamInfo<Case>& named) {
    return named.param.name;
}

struct BadModel {
    const char* name;
    const char* content;  // null: no such file
};

void PrintTo(const BadModel& bad, std::ostream* out) {
    *out << bad.name;
}

class BadStepFile : public testing::TestWithParam<BadModel> {};

TEST_P(BadStepFile, EndsWithThreeAndLeavesNothing) {
    const Folder folder;
    if (GetParam().content != nullptr) folder.write("site.step", GetParam().content);
    const std::string site = folder.write("site.toml", quick_site_toml());
    const auto before = bytes_below(folder.path());
    for (const auto& arguments : std::vector<std::vector<std::string>>{
             {"inspect", (folder / "site.step").string(), "--json"},
             {"run", site, "--json", "--out", (folder / "out").string()}}) {
        const Outcome outcome = run_program(arguments);
        EXPECT_EQ(outcome.status, 3) << arguments[0];
        EXPECT_TRUE(outcome.out.empty()) << outcome.out;
        expect_one_error_line(outcome, "site.step");
        EXPECT_NE(outcome.err.find("expected"), std::string::npos) << outcome.err;
        EXPECT_NE(outcome.err.find("saw"), std::string::npos) << outcome.err;
    }
    expect_same_files(before, folder.path());
}

INSTANTIATE_TEST_SUITE_P(
    Models, BadStepFile,
    testing::Values(
        BadModel{"missing", nullptr}, BadModel{"empty", ""},
        BadModel{"not_step", "solid box\nfacet normal 0 0 1\n"},
        BadModel{"no_solid",
                 "ISO-10303-21;\nHEADER;\nFILE_DESCRIPTION((''),'2;1');\n"
                 "FILE_NAME('a','2020-01-01T00:00:00',(''),(''),'','','');\n"
                 "FILE_SCHEMA(('AUTOMOTIVE_DESIGN { 1 0 10303 214 1 1 1 1 }'));\nENDSEC;\nDATA;\n"
                 "#1=CARTESIAN_POINT('',(0.,0.,0.));\nENDSEC;\nEND-ISO-10303-21;\n"}),
    name_of_case<BadModel>);

TEST(BadStepFile, CutInTheMiddleEndsWithThree) {
    const Folder folder;
    write_two_units(folder / "whole.step");
    const std::string whole = content_of(folder / "whole.step");
    for (const double share : {0.02, 0.3, 0.7, 0.99}) {
        const std::string cut = folder.write(
            "site.step",
            whole.substr(0, static_cast<std::size_t>(share * static_cast<double>(whole.size()))));
        const Outcome outcome = run_program({"inspect", cut});
        EXPECT_EQ(outcome.status, 3) << share;
        expect_one_error_line(outcome, "site.step");
    }
}

TEST(RunInput, ModelWithoutAUnitEndsWithFour) {
    const Folder folder;
    const std::string site = folder.write("site.toml", quick_site_toml());
    write_blocks({block("crate", {0.5, 0.5, 0.5})}, folder / "site.step");
    const Outcome outcome = run_program({"run", site, "--out", (folder / "out").string()});
    EXPECT_EQ(outcome.status, 4);
    expect_one_error_line(outcome, "unit");
    EXPECT_FALSE(std::filesystem::exists(folder / "out"));
}

struct BadSite {
    const char* name;
    std::string toml;
    const char* part;
};

void PrintTo(const BadSite& bad, std::ostream* out) {
    *out << bad.toml;
}

class BadRunInput : public testing::TestWithParam<BadSite> {};

TEST_P(BadRunInput, EndsWithThreeAndLeavesNothing) {
    const Folder folder;
    const std::string site = write_site(folder, GetParam().toml);
    const auto before = bytes_below(folder.path());
    const Outcome outcome =
        run_program({"run", site, "--json", "--out", (folder / "out").string()});
    EXPECT_EQ(outcome.status, 3);
    EXPECT_TRUE(outcome.out.empty()) << outcome.out;
    expect_one_error_line(outcome, GetParam().part);
    expect_same_files(before, folder.path());
}

const std::string model_toml = "[model]\nfile = \"site.step\"\n";

INSTANTIATE_TEST_SUITE_P(
    Sites, BadRunInput,
    testing::Values(
        BadSite{"unknown_key", "[site]\nlatitude = 27\n",
                "site.toml:2:1: [site]: expected a known key (nearest: \"latitude_deg\"), saw "
                "unknown key \"latitude\""},
        BadSite{"latitude", "[site]\nlatitude_deg = 127\n",
                "site.toml:2:16: site.latitude_deg: expected a number from -90 to 90, saw 127"},
        BadSite{"zero_thickness",
                quick_site_toml() + "[[construction]]\nname = \"w\"\nlayers = [{ material = "
                                    "\"steel\", thickness_mm = 0 }]\n",
                "thickness_mm: expected a number above 0"},
        BadSite{"time_zone",
                "[site]\nlatitude_deg = 27\nlongitude_deg = 30\ntime_zone = \"Africa/Cario\"\n" +
                    model_toml + design_day_toml,
                "site.toml:4:13: site.time_zone: expected"},
        BadSite{"nearest_zone",
                "[site]\nlatitude_deg = 27\nlongitude_deg = 30\ntime_zone = \"Africa/Cario\"\n" +
                    model_toml + design_day_toml,
                "Africa/Cairo"},
        BadSite{"no_latitude", "[site]\nlongitude_deg = 30\n" + model_toml + design_day_toml,
                "site.latitude_deg: expected a number"},
        BadSite{"no_zone",
                "[site]\nlatitude_deg = 27\nlongitude_deg = 30\n" + model_toml + design_day_toml,
                "site.time_zone: expected"},
        BadSite{"no_weather", place_toml + model_toml, "weather: expected a file"},
        BadSite{"no_model", place_toml + design_day_toml, "model.file: expected"},
        BadSite{"no_weather_file", place_toml + model_toml + "[weather]\nfile = \"none.csv\"\n",
                "none.csv"},
        BadSite{"weather_is_the_model",
                place_toml + model_toml + "[weather]\nfile = \"site.step\"\n", "site.step"},
        // Found by the library, which does not know the file.
        BadSite{
            "dew_point",
            place_toml + model_toml + design_day_toml + "daily_range_k = 20\ndew_point_c = 35\n",
            "site.toml: [weather] design day: dew_point_c: expected"},
        BadSite{"light_twice",
                quick_site_toml() + "[[construction]]\nname = \"w\"\nlayers = [{ material = "
                                    "\"steel\", thickness_mm = 2 }]\noutside_absorptance = 0.7\n"
                                    "solar_transmittance = 0.4\n",
                "site.toml:18:23: construction[1].solar_transmittance: expected at most 0.3, as "
                "outside_absorptance 0.7 is taken in already, saw 0.4"},
        BadSite{"light_through_steel",
                quick_site_toml() + "[[construction]]\nname = \"w\"\nlayers = [{ material = "
                                    "\"steel\", thickness_mm = 2 }]\nsolar_transmittance = 0.2\n",
                "construction[1].solar_transmittance: expected 0, as a layer is of metal, saw "
                "0.2"},
        BadSite{"shipped_material",
                quick_site_toml() + "[[material]]\nname = \"steel\"\nconductivity_w_mk = 0.01\n"
                                    "density_kg_m3 = 50\nspecific_heat_j_kgk = 1000\n",
                "expected a name that no shipped material has, saw \"steel\""},
        BadSite{"opening_wider_than_its_gap",
                quick_site_toml() + "[[treatment]]\nname = \"c\"\nkind = \"vented cladding\"\n"
                                    "surfaces = [\"*\"]\ncost_per_m2 = 1\ngap_mm = 30\n"
                                    "opening_mm2_per_m = 30001\n",
                "opening_mm2_per_m: expected a number from 0 to 30000, saw 30001"},
        BadSite{"month_with_a_point",
                place_toml + model_toml +
                    "[weather.design_day]\npeak_dry_bulb_c = 42\n"
                    "month = 7.0\n",
                "weather.design_day.month: expected a whole number from 1 to 12, saw 7.0"},
        BadSite{"toml_fault", "[site]\nlatitude_deg 27\n", "expected '=' in a key-value pair, saw"},
        BadSite{"toml_again", "[site]\n[site]\n", "expected TOML, saw a fault in a"},
        BadSite{"not_toml", "this is not TOML", "site.toml:1:"}),
    name_of_case<BadSite>);

// Millimetres taken for metres: a thousand times too long, a million times too many facets.
TEST(RunInput, FacetsWithoutNumberNameTheModelAndItsUnit) {
    const Folder folder;
    const std::string site = folder.write("site.toml", place_toml + model_toml + design_day_toml);
    write_blocks({block("unit-1", 1000 * twenty_foot_m)}, folder / "site.step");
    const Outcome outcome = run_program({"run", site, "--out", (folder / "out").string()});
    EXPECT_EQ(outcome.status, 3);
    for (const char* part :
         {"site.step: length unit: expected another one (the whole model measures ",
          "[model] facet_size_m of at least ", "in a model of 6058 x 2438 x 2591 m",
          "saw 0.5 m in millimet"})
        expect_one_error_line(outcome, part);
    const Outcome looked_at = run_program({"inspect", (folder / "site.step").string()});
    EXPECT_EQ(looked_at.status, 0);
    for (const char* part : {"Surfaces (6)", "too many facets at", "the whole model measures "})
        EXPECT_NE(looked_at.out.find(part), std::string::npos) << part;
}

TEST(InspectPage, ALongNameLosesItsMiddle) {
    const Folder folder;
    const std::string name = "begin-" + std::string(3000, 'w') + "-end";
    write_blocks({block(name, twenty_foot_m)}, folder / "wide.step");
    const Outcome outcome = run_program({"inspect", (folder / "wide.step").string()});
    EXPECT_EQ(outcome.status, 0);
    EXPECT_EQ(outcome.out.find(std::string(60, 'w')), std::string::npos);
    EXPECT_NE(outcome.out.find("begin-"), std::string::npos);
    EXPECT_NE(outcome.out.find("w-end "), std::string::npos);
    EXPECT_NE(outcome.out.find("w-end/roof"), std::string::npos);
}

TEST(RunInput, AModelInPlaceOfASiteFileIsKnown) {
    const Folder folder;
    write_two_units(folder / "site.step");
    const Outcome outcome = run_program({"run", (folder / "site.step").string()});
    EXPECT_EQ(outcome.status, 3);
    expect_one_error_line(outcome, "site.step: expected a readable site file (TOML), saw a STEP");
}

TEST(RunInput, MissingSiteFileEndsWithThree) {
    const Outcome outcome = run_program({"run", "/nowhere/site.toml"});
    EXPECT_EQ(outcome.status, 3);
    expect_one_error_line(outcome, "/nowhere/site.toml: expected a readable site file");
}

}  // namespace
}  // namespace noonshell
