// The site file: values arrive in SI, what is left out is recorded, what is wrong is named with its
// line and column.
#include "cli/site_file.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <ostream>
#include <string>
#include <variant>

namespace noonshell {
namespace {

SiteFile parse(const std::string& toml) {
    return parse_site_file(toml, "folder/site.toml");
}

const InputRecord* record(const SiteFile& site, const std::string& key) {
    const auto found = std::find_if(site.inputs.begin(), site.inputs.end(),
                                    [&key](const InputRecord& r) { return r.key == key; });
    return found == site.inputs.end() ? nullptr : &*found;
}

TEST(SiteFile, ReadsTheLeastThatWorks) {
    const SiteFile site = parse(R"([site]
north_deg = 23.0
ground_albedo = 0.35

[model]
file = "station.step"
units = ["unit-*"]
shades = ["canopy*", "fin"]

[weather]
file = "year.csv"
)");
    EXPECT_DOUBLE_EQ(site.site.north_deg, 23);
    EXPECT_DOUBLE_EQ(site.model.envelope.north_deg, 23);
    EXPECT_DOUBLE_EQ(site.site.ground_albedo, 0.35);
    EXPECT_FALSE(site.site.latitude_deg.has_value());
    EXPECT_EQ(site.model.file, "folder/station.step");
    EXPECT_EQ(site.model.patterns.shades, (std::vector<std::string>{"canopy*", "fin"}));
    EXPECT_EQ(std::get<WeatherFile>(site.weather.kind).file, "folder/year.csv");
    EXPECT_FALSE(site.treatments.empty());
}

// No default needs more than a few digits: longer ones are the last bits of a product.
TEST(SiteFile, DefaultsAreTellable) {
    for (const InputRecord& taken : parse("[site]\nnorth_deg = 23.0\n").inputs) {
        if (taken.origin != InputOrigin::by_default || !std::holds_alternative<double>(taken.value))
            continue;
        EXPECT_LE(to_text(taken.value).size(), 6u) << taken.key << " " << to_text(taken.value);
    }
}

TEST(SiteFile, RecordsEveryValueWithItsOrigin) {
    const SiteFile site = parse("[site]\nnorth_deg = 23.0\n");
    const InputRecord* given = record(site, "site.north_deg");
    ASSERT_NE(given, nullptr);
    EXPECT_EQ(given->origin, InputOrigin::site_file);
    EXPECT_EQ(given->source, "site.toml:2:13");
    EXPECT_EQ(std::get<double>(given->value), 23.0);
    for (const char* key :
         {"site.ground_albedo", "site.context_reflectance", "model.facet_size_m",
          "room.cooling_set_point_c", "run.sun_step_min", "plan.electricity_price_per_kwh"}) {
        const InputRecord* taken = record(site, key);
        ASSERT_NE(taken, nullptr) << key;
        EXPECT_EQ(taken->origin, InputOrigin::by_default) << key;
        EXPECT_FALSE(taken->source.empty()) << key;
    }
}

TEST(SiteFile, ConvertsToSiOnce) {
    const SiteFile site = parse(R"(
[[material]]
name = "foam"
conductivity_w_mk = 0.03
density_kg_m3 = 30
specific_heat_j_kgk = 1400

[[construction]]
name = "lined wall"
surfaces = ["*/wall*"]
layers = [{ material = "steel", thickness_mm = 1.6 }, { resistance_m2k_w = 0.18 },
          { material = "foam", thickness_mm = 50 }]

[[treatment]]
name = "screen"
kind = "vented cladding"
cost_per_m2 = 40
sheet = "aluminium"
sheet_thickness_mm = 0.7
gap_mm = 40
opening_mm2_per_m = 15000

[run]
sun_step_min = 5
heat_step_min = 7.5
output = "out"
)");
    const Construction& wall = site.constructions.at(0).construction;
    ASSERT_EQ(wall.layers.size(), 3u);
    EXPECT_DOUBLE_EQ(wall.layers[0].thickness_m, 0.0016);
    EXPECT_DOUBLE_EQ(wall.layers[1].resistance(), 0.18);
    EXPECT_DOUBLE_EQ(wall.layers[2].resistance(), 0.050 / 0.03);
    const VentedCladding& screen = site.treatments.at(0).cladding.value();
    EXPECT_DOUBLE_EQ(screen.sheet.thickness_m, 0.0007);
    EXPECT_EQ(screen.sheet.material.name, "aluminium");
    EXPECT_DOUBLE_EQ(screen.gap_depth_m, 0.040);
    EXPECT_DOUBLE_EQ(screen.opening_m2_per_m, 0.015);
    EXPECT_DOUBLE_EQ(site.run.sun_step_s, 300);
    EXPECT_DOUBLE_EQ(site.run.heat_step_s, 450);
    EXPECT_EQ(site.run.output, "folder/out");
}

TEST(SiteFile, FinishesGiveWhatIsNotSaid) {
    const SiteFile site = parse(R"(
[[outside_finish]]
name = "limewash"
new_reflectance = 0.75
aged_reflectance = 0.5
emittance = 0.93

[[construction]]
name = "zinc wall"
outside_finish = "galvanised steel"
layers = [{ material = "steel", thickness_mm = 1.6 }]

[[construction]]
name = "washed wall"
outside_finish = "limewash"
outside_emittance = 0.8
layers = [{ material = "concrete", thickness_mm = 100 }]

[[treatment]]
name = "wash"
kind = "coating"
cost_per_m2 = 3
outside_finish = "limewash"
)");
    // [ashrae2021] ch. 18 table 15, galvanised and weathered; ch. 26 table 2, bright.
    const Construction& zinc = site.constructions.at(0).construction;
    EXPECT_DOUBLE_EQ(zinc.outside_absorptance, 0.80);
    EXPECT_DOUBLE_EQ(zinc.outside_emittance, 0.25);
    const Construction& washed = site.constructions.at(1).construction;
    EXPECT_DOUBLE_EQ(washed.outside_absorptance, 0.5);
    EXPECT_DOUBLE_EQ(washed.outside_emittance, 0.8);
    const Treatment& wash = site.treatments.at(0);
    EXPECT_DOUBLE_EQ(wash.new_reflectance, 0.75);
    EXPECT_DOUBLE_EQ(wash.aged_reflectance, 0.5);
    EXPECT_DOUBLE_EQ(wash.emittance, 0.93);
    const InputRecord* told = record(site, "construction[1].outside_absorptance");
    ASSERT_NE(told, nullptr);
    EXPECT_EQ(told->source.find("[ashrae2021] ch. 18 table 15"), 0U) << told->source;
}

TEST(SiteFile, ReadsNormalsAsTablesAndAsArrays) {
    std::string tables, arrays = "[weather]\n";
    for (int m = 0; m < 12; ++m)
        tables += "[[weather.month]]\nmean_high_c = " + std::to_string(20 + m) +
                  "\nmean_low_c = 5\ndew_point_c = 3\nwind_m_s = 3\ntau_b = 0.4\ntau_d = 2.1\n";
    arrays += "mean_high_c = [20, 21, 22, 23, 24, 25, 26, 27, 28, 29, 30, 31]\n";
    for (const char* key :
         {"mean_low_c = 5", "dew_point_c = 3", "wind_m_s = 3", "tau_b = 0.4", "tau_d = 2.1"}) {
        const std::string line = key;
        const std::string name = line.substr(0, line.find(' '));
        const std::string value = line.substr(line.rfind(' ') + 1);
        arrays += name + " = [" + value;
        for (int m = 1; m < 12; ++m) arrays += ", " + value;
        arrays += "]\n";
    }
    const auto a = std::get<TypicalYear>(parse(tables).weather.kind);
    const auto b = std::get<TypicalYear>(parse(arrays).weather.kind);
    for (std::size_t m = 0; m < 12; ++m) {
        EXPECT_DOUBLE_EQ(a.months[m].mean_high_c, 20.0 + static_cast<double>(m));
        EXPECT_DOUBLE_EQ(a.months[m].mean_high_c, b.months[m].mean_high_c);
        EXPECT_DOUBLE_EQ(a.months[m].tau_d, b.months[m].tau_d);
    }
}

TEST(SiteFile, ReadsRoomsOfTheirOwnAndDoorways) {
    const SiteFile site = parse(
        "[room]\ngains_w_m2 = 7\nmoisture_g_hm2 = 3\ncooling = \"unit\"\n"
        "cooling_capacity_kw = 5\nleakage_area_cm2 = 200\n"
        "[[own_room]]\nunits = [\"bunk-*\"]\ncooling_set_point_c = 28\n"
        "[[own_room]]\nunits = [\"store\"]\ncooling = \"none\"\ngains_w_m2 = 0\n"
        "air_change_per_h = 2\n"
        "[[doorway]]\nbetween = [\"bunk-1\", \"store\"]\nwidth_m = 1.2\n");
    ASSERT_EQ(site.room.own.size(), 2u);
    const RoomSettings& bunk = site.room.own[0].settings;
    EXPECT_EQ(bunk.cooling_set_point_c, 28);
    EXPECT_EQ(bunk.gains_w_m2[5], 7);
    EXPECT_NEAR(bunk.moisture_kg_hm2[5], 0.003, 1e-15);
    EXPECT_EQ(bunk.plant.rated_capacity_w, 5000);
    EXPECT_EQ(bunk.leakage.leakage_area_cm2, 200);
    const RoomSettings& store = site.room.own[1].settings;
    EXPECT_FALSE(store.cooled);
    EXPECT_EQ(store.gains_w_m2[5], 0);
    EXPECT_EQ(store.leakage.leakage_area_cm2, 0);
    EXPECT_EQ(store.leakage.air_change_per_h, 2);
    ASSERT_EQ(site.room.doorways.size(), 1u);
    EXPECT_EQ(site.room.doorways[0].doorway.width_m, 1.2);
    EXPECT_EQ(site.room.doorways[0].unit_b, "store");
}

TEST(SiteFile, ReadsGainsOfDaysOffAndOfAWholeWeek) {
    const SiteFile rest = parse(
        "[room]\ngains_w_m2 = 7\ngains_off_w_m2 = 2\ndays_off = [\"friday\", \"saturday\"]\n"
        "first_weekday = \"sunday\"");
    for (std::size_t h = 0; h < 168; ++h)
        EXPECT_EQ(rest.room.settings.gains_w_m2[h], h / 24 == 4 || h / 24 == 5 ? 2.0 : 7.0);
    EXPECT_EQ(rest.room.first_weekday, 6u);
    std::string week;
    for (int h = 0; h < 168; ++h) week += std::to_string(h % 97) + ",";
    const SiteFile whole = parse("[room]\nventilation_per_h = [" + week +
                                 "]\n"
                                 "gains_w_m2 = 1");
    for (std::size_t h = 0; h < 168; ++h)
        EXPECT_EQ(whole.room.settings.ventilation.air_change_per_h[h], static_cast<double>(h % 97));
}

TEST(SiteFile, SetPointsAndFreshAirMayFollowTheHours) {
    std::string day, week;
    for (int h = 0; h < 24; ++h) day += (h > 0 ? "," : "") + std::to_string(h < 8 ? 35 : 26);
    for (int h = 0; h < 168; ++h) week += (h > 0 ? "," : "") + std::to_string(h % 5);
    const SiteFile site =
        parse("[room]\ncooling_set_point_c = [" + day + "]\nfresh_air_per_h = [" + week +
              "]\nfresh_air_fan_w_per_m3_s = 900\n"
              "[[own_room]]\nunits = [\"a\"]\nheating_set_point_c = 18\n"
              "[[own_room]]\nunits = [\"b\"]\ncooling_set_point_c = 28\n");
    const RoomSettings &a = site.room.own[0].settings, &b = site.room.own[1].settings;
    ASSERT_TRUE(a.cooling_set_points_c);
    for (std::size_t h = 0; h < 168; ++h) {
        EXPECT_EQ((*a.cooling_set_points_c)[h], h % 24 < 8 ? 35 : 26);
        EXPECT_EQ(a.ventilation.fresh_air_per_h[h], static_cast<double>(h % 5));
    }
    EXPECT_EQ(a.heating_set_point_c, 18);
    EXPECT_EQ(a.ventilation.fresh_air_fan_w_per_m3_s, 900);
    EXPECT_FALSE(b.cooling_set_points_c);
    EXPECT_EQ(b.cooling_set_point_c, 28);
}

/// Days off and what holds on them are each as in [room] unless an own room says otherwise.
TEST(SiteFile, OwnRoomsHaveTheDaysOffOfTheGeneralRoom) {
    const SiteFile site = parse(
        "[room]\ngains_w_m2 = 7\ngains_off_w_m2 = 2\nmoisture_g_hm2 = 3\nmoisture_off_g_hm2 = 1\n"
        "days_off = [\"friday\"]\n"
        "[[own_room]]\nunits = [\"a\"]\ngains_w_m2 = 20\n"
        "[[own_room]]\nunits = [\"b\"]\ngains_off_w_m2 = 5\n"
        "[[own_room]]\nunits = [\"c\"]\ndays_off = [\"sunday\"]\n"
        "[[own_room]]\nunits = [\"d\"]\ndays_off = []\n");
    const auto expect = [&](std::size_t room, std::size_t day_off, double on, double off) {
        for (std::size_t h = 0; h < 168; ++h) {
            const RoomSettings& own = site.room.own[room].settings;
            EXPECT_EQ(own.gains_w_m2[h], h / 24 == day_off ? off : on) << room << " " << h;
            EXPECT_NEAR(own.moisture_kg_hm2[h], h / 24 == day_off ? 0.001 : 0.003, 1e-15);
        }
    };
    ASSERT_EQ(site.room.own.size(), 4u);
    constexpr std::size_t friday = 4, sunday = 6, no_day = 7;
    expect(0, friday, 20, 2);
    expect(1, friday, 7, 5);
    expect(2, sunday, 7, 2);
    expect(3, no_day, 7, 2);
}

TEST(SiteFile, ReadsGainsAsOneNumberOrByHour) {
    for (const double gain : parse("room.gains_w_m2 = 7").room.settings.gains_w_m2)
        EXPECT_EQ(gain, 7.0);
    const SiteFile site = parse(
        "[room]\ngains_w_m2 = [0,1,2,3,4,5,6,7,8,9,10,11,12,13,14,15,16,17,18,19,20,21,22,23]");
    for (std::size_t h = 0; h < 168; ++h)
        EXPECT_EQ(site.room.settings.gains_w_m2[h], static_cast<double>(h % 24));
}

struct BadFile {
    const char* name;
    std::string toml;
    std::size_t line, column;
    const char* expected;  // part of it
    const char* seen;      // part of it
};

void PrintTo(const BadFile& bad, std::ostream* out) {
    *out << bad.toml;
}

std::string name_of_case(const testing::TestParamInfo<BadFile>& bad) {
    return bad.param.name;
}

class BadSiteFile : public testing::TestWithParam<BadFile> {};

TEST_P(BadSiteFile, IsRefusedWithItsPlace) {
    const BadFile& bad = GetParam();
    try {
        parse(bad.toml);
        FAIL() << "accepted";
    } catch (const InputError& error) {
        EXPECT_EQ(error.place().file, "folder/site.toml");
        EXPECT_EQ(error.place().line, bad.line) << error.what();
        EXPECT_EQ(error.place().column, bad.column) << error.what();
        EXPECT_NE(error.expected().find(bad.expected), std::string::npos) << error.what();
        EXPECT_NE(error.seen().find(bad.seen), std::string::npos) << error.what();
        EXPECT_EQ(std::string(error.what()).find('\n'), std::string::npos) << error.what();
    }
}

const std::string material_head = "[[material]]\nname = \"m\"\n";
const std::string wall_head = "[[construction]]\nname = \"w\"\n";
const std::string coat_head = "[[treatment]]\nname = \"t\"\nkind = \"coating\"\ncost_per_m2 = 1\n";
const std::string film_head =
    "[[treatment]]\nname = \"f\"\nkind = \"window film\"\ncost_per_m2 = 5\n";

INSTANTIATE_TEST_SUITE_P(
    Places, BadSiteFile,
    testing::Values(
        BadFile{"syntax", "[site\n", 1, 6, "']' in a table header", "'\\n'"},
        BadFile{"twice", "[run]\noutput = \"a\"\noutput = \"b\"\n", 3, 10, "TOML", "output"},
        BadFile{"unknown_table", "[sit]\nx = 1\n", 1, 2, "\"site\"", "\"sit\""},
        BadFile{"unknown_key", "[site]\n  latitude = 3\n", 2, 3, "\"latitude_deg\"",
                "\"latitude\""},
        BadFile{"first_unknown_key", "[site]\nzzz = 1\naaa = 1\n", 2, 1, "known key", "\"zzz\""},
        BadFile{"unknown_in_layer", wall_head + "layers = [{ materiel = \"steel\" }]\n", 3, 13,
                "\"material\"", "\"materiel\""},
        BadFile{"material_like_none", wall_head + "layers = [{ material = \"rock wool\" }]\n", 3,
                24, "gypsum board; mineral wool; eps", "rock wool"},
        BadFile{"unknown_material", wall_head + "layers = [{ material = \"stel\" }]\n", 3, 24,
                "\"steel\"", "\"stel\""},
        BadFile{"latitude", "[site]\nlatitude_deg = 90.5\n", 2, 16, "from -90 to 90", "90.5"},
        BadFile{"longitude", "[site]\nlongitude_deg = -181\n", 2, 17, "from -180 to 180", "-181"},
        BadFile{"albedo", "[site]\nground_albedo = 1.2\n", 2, 17, "from 0 to 1", "1.2"},
        BadFile{"not_a_number", "[site]\nnorth_deg = nan\n", 2, 13, "number", "nan"},
        BadFile{"infinite", "[site]\nelevation_m = inf\n", 2, 15, "number", "inf"},
        BadFile{"text_for_number", "[site]\nnorth_deg = \"10\"\n", 2, 13, "number", "\"10\""},
        BadFile{"number_for_text", "[model]\nfile = 7\n", 2, 8, "text", "7"},
        BadFile{"text_for_patterns", "[model]\nunits = \"u*\"\n", 2, 9, "array", "\"u*\""},
        BadFile{"number_in_patterns", "[model]\nunits = [\"u*\", 3]\n", 2, 16, "texts", "3"},
        BadFile{"table_for_number", "[site.north_deg]\nx = 1\n", 1, 1, "number", "table"},
        BadFile{"value_for_table", "site = 3\n", 1, 8, "table", "3"},
        BadFile{"facet_size", "[model]\nfacet_size_m = 0\n", 2, 16, "number", "0"},
        BadFile{"zero_thickness",
                wall_head + "layers = [{ material = \"steel\", thickness_mm = 0 }]\n", 3, 48,
                "above 0", "0"},
        BadFile{"negative_thickness",
                wall_head + "layers = [{ material = \"steel\", thickness_mm = -2 }]\n", 3, 48,
                "above 0", "-2"},
        BadFile{"no_layers", wall_head, 1, 1, "layer", "nothing"},
        BadFile{"empty_layers", wall_head + "layers = []\n", 3, 10, "layer", "nothing"},
        BadFile{"zero_conductivity", material_head + "conductivity_w_mk = 0\n", 3, 21, "above 0",
                "0"},
        BadFile{"no_density", material_head + "conductivity_w_mk = 1\n", 1, 1, "above 0",
                "nothing"},
        BadFile{"sun_step", "[run]\nsun_step_min = 7\n", 2, 16, "divide 60", "7"},
        BadFile{"tiny_step", "[run]\nsun_step_min = 1e-9\n", 2, 16, "from 0.1", "1e-09"},
        BadFile{"heat_step", "[run]\nheat_step_min = 30\n", 2, 17, "15", "30"},
        BadFile{"rays", "[run]\nrays_per_facet = 500\n", 2, 18, "power of two", "500"},
        BadFile{"fraction_of_points", "[run]\npoints_per_facet = 1.5\n", 2, 20, "whole", "1.5"},
        BadFile{"two_weathers", "[weather]\nfile = \"a\"\n[weather.design_day]\n", 3, 1, "one of",
                "both"},
        BadFile{"eleven_months", "[weather]\nmean_high_c = [1,2,3,4,5,6,7,8,9,10,11]\n", 2, 15,
                "12 numbers", "11"},
        BadFile{"day_of_month", "[weather.design_day]\nmonth = 2\nday = 30\n", 3, 7, "28", "30"},
        BadFile{"no_peak", "[weather.design_day]\nmonth = 7\n", 1, 1, "number", "nothing"},
        BadFile{"fill_without_file", "[weather]\nlongest_fill_h = 3\n", 2, 18, "no longest_fill_h",
                "set"},
        BadFile{"needs_nobody", coat_head + "needs = [\"x\"]\n", 5, 9, "names of treatments", "x"},
        BadFile{
            "set_points_by_hour",
            "[room]\nheating_set_point_c = [20,20,20,20,20,20,20,20,20,20,20,20,20,20,20,20,20,20,"
            "20,20,20,27,20,20]\n",
            2, 23, "no higher", "27 from 21:00 on monday"},
        BadFile{"set_points", "[room]\nheating_set_point_c = 27\n", 2, 23, "no higher", "27"},
        BadFile{"twenty_three_gains", "[room]\ngains_w_m2 = [1, 2, 3]\n", 2, 14,
                "one number, an array of 24 for a day or of 168 for a week", "an array of 3"},
        BadFile{
            "thirty_gains",
            "[room]\ngains_w_m2 = [1,1,1,1,1,1,1,1,1,1,1,1,1,1,1,1,1,1,1,1,1,1,1,1,1,1,1,1,1,1]\n",
            2, 14, "of 24 for a day or of 168", "an array of 30"},
        BadFile{"no_gains_listed", "[room]\ngains_w_m2 = []\n", 2, 14, "one number, an array",
                "an array of 0"},
        BadFile{"days_off_without_values", "[room]\ndays_off = [\"friday\"]\n", 2, 12,
                "gains_off_w_m2", "neither"},
        BadFile{"own_room_of_nobody", "[[own_room]]\ngains_w_m2 = 1\n", 1, 1, "units", "nothing"},
        BadFile{"own_room_limits", "[[own_room]]\nunits = [\"a\"]\ncomfort_limit = \"en\"\n", 3, 1,
                "nearest", "comfort_limit"},
        BadFile{"doorway_to_nowhere", "[[doorway]]\nbetween = [\"a\"]\n", 2, 11, "two units",
                "nothing"},
        BadFile{"no_weekday", "[room]\nfirst_weekday = \"freeday\"\n", 2, 17, "\"friday\"",
                "\"freeday\""},
        BadFile{"kind_of_cooling", "[room]\ncooling = \"big\"\n", 2, 11, "\"ideal\"", "\"big\""},
        BadFile{"unit_without_capacity", "[room]\ncooling = \"unit\"\n", 1, 1, "above 0",
                "nothing"},
        BadFile{"capacity_of_an_ideal_plant", "[room]\ncooling_capacity_kw = 3\n", 2, 23, "unit",
                "another kind"},
        BadFile{"two_kinds_of_leak", "[room]\nair_change_per_h = 1\nleakage_area_cm2 = 50\n", 2, 20,
                "leakage_area_cm2", "both"},
        BadFile{"shelter_without_area", "[room]\nshelter_class = 2\n", 2, 17, "leakage_area_cm2",
                "fixed change"},
        BadFile{"shelter_class", "[room]\nleakage_area_cm2 = 50\nshelter_class = 6\n", 3, 17,
                "from 1 to 5", "6"},
        BadFile{"kind_of_treatment", "[[treatment]]\nname = \"t\"\nkind = \"paint\"\n", 3, 8,
                "\"coating\"", "\"paint\""},
        BadFile{"no_cost", "[[treatment]]\nname = \"t\"\nkind = \"coating\"\n", 1, 1, "number",
                "nothing"},
        BadFile{"negative_cost", "[[treatment]]\nname=\"t\"\nkind=\"coating\"\ncost_per_m2 = -1\n",
                4, 15, "0 or more", "-1"},
        BadFile{"foreign_key", coat_head + "gap_mm = 50\n", 5, 10, "no gap_mm", "set"},
        BadFile{"ageing_upward", coat_head + "new_reflectance = 0.5\naged_reflectance = 0.6\n", 6,
                20, "no higher", "0.6"},
        BadFile{"g_value_of_a_coating", coat_head + "pane_g_value = 0.4\n", 5, 16,
                "no pane_g_value", "set"},
        BadFile{"film_without_g_value", film_head, 1, 1, "number", "nothing"},
        BadFile{"g_value_above_one", film_head + "pane_g_value = 1.2\n", 5, 16, "0 to 1", "1.2"},
        BadFile{"more_sun_than_there_is",
                film_head + "pane_g_value = 0.6\npane_solar_reflectance = 0.5\n", 5, 16,
                "at most 1", "1.1"},
        BadFile{"paint_on_glass", film_head + "pane_g_value = 0.4\naged_reflectance = 0.6\n", 6, 20,
                "no aged_reflectance", "set"},
        BadFile{"layers_on_glass",
                film_head + "pane_g_value = 0.4\nlayers = [{ material = \"eps\", thickness_mm = "
                            "9 }]\n",
                6, 10, "no layers", "set"},
        BadFile{"name_twice", coat_head + coat_head, 6, 8, "not used before", "\"t\""},
        BadFile{"unknown_finish", coat_head + "outside_finish = \"white paynt\"\n", 5, 18,
                "a known finish (nearest: \"white paint\")", "white paynt"},
        BadFile{"shipped_finish", "[[outside_finish]]\nname = \"brick\"\nnew_reflectance = 0.5\n",
                2, 8, "no shipped finish", "brick"},
        BadFile{"finish_gets_whiter",
                "[[outside_finish]]\nname = \"x\"\nnew_reflectance = 0.5\n"
                "aged_reflectance = 0.6\n",
                4, 20, "no higher", "0.6"},
        BadFile{"finish_of_glass", film_head + "pane_g_value = 0.4\noutside_finish = \"brick\"\n",
                6, 18, "no outside_finish", "set"},
        BadFile{"price", "[plan]\nelectricity_price_per_kwh = -0.1\n", 2, 29, "0 or more", "-0.1"}),
    name_of_case);

}  // namespace
}  // namespace noonshell
