// What the report page is given: packed numbers read back, days laid out by an independent count,
// names that look like markup, the summary word for word.
#include <gtest/gtest.h>
#include <zlib.h>

#include <array>
#include <bit>
#include <chrono>
#include <cmath>
#include <limits>
#include <nlohmann/json.hpp>
#include <numeric>
#include <string>
#include <vector>

#include "cli/day_table.hpp"
#include "cli/packed_numbers.hpp"
#include "cli/report.hpp"
#include "cli/report_scene.hpp"
#include "tests/cli/program.hpp"
#include "tests/cli/small_site.hpp"

namespace noonshell {
namespace {

using namespace test;

/// RFC 4648, table 1.
std::vector<std::uint8_t> bytes_of_base64(const std::string& text) {
    std::vector<std::uint8_t> bytes;
    std::uint32_t held = 0;
    int bits = 0;
    for (const char c : text) {
        if (c == '=') break;
        std::uint32_t value = 0;
        if (c >= 'A' && c <= 'Z')
            value = static_cast<std::uint32_t>(c - 'A');
        else if (c >= 'a' && c <= 'z')
            value = static_cast<std::uint32_t>(c - 'a') + 26;
        else if (c >= '0' && c <= '9')
            value = static_cast<std::uint32_t>(c - '0') + 52;
        else
            value = c == '+' ? 62 : 63;
        held = held << 6 | value;
        bits += 6;
        if (bits < 8) continue;
        bits -= 8;
        bytes.push_back(static_cast<std::uint8_t>(held >> bits & 0xff));
    }
    return bytes;
}

/// The bytes plane by plane, as the header of packed_numbers describes them.
std::vector<std::uint8_t> planes_of(const Json& packed, std::size_t bytes_each) {
    const auto squeezed = bytes_of_base64(packed["bytes"].get<std::string>());
    std::vector<std::uint8_t> planes(packed["count"].get<std::size_t>() * bytes_each);
    uLongf size = planes.size();
    EXPECT_EQ(uncompress(planes.data(), &size, squeezed.data(), squeezed.size()), Z_OK);
    EXPECT_EQ(size, planes.size());
    return planes;
}

std::vector<std::uint32_t> words_of(const Json& packed, std::size_t bytes_each) {
    const auto planes = planes_of(packed, bytes_each);
    const std::size_t n = packed["count"].get<std::size_t>();
    std::vector<std::uint32_t> words(n);
    for (std::size_t i = 0; i < n; ++i) {
        for (std::size_t plane = 0; plane < bytes_each; ++plane)
            words[i] |= std::uint32_t{planes[plane * n + i]} << (8 * plane);
    }
    return words;
}

constexpr float gap = std::numeric_limits<float>::quiet_NaN();

TEST(PackedNumbers, StepsComeBackToHalfAStepAndGapsAsGaps) {
    const std::vector<float> values{0, 0.04F, -12.34F, gap, 1500, -0.05F, gap, gap, 700.7F};
    const Json packed = packed_steps(values, 0.1);
    EXPECT_EQ(packed["form"], "i16");
    EXPECT_EQ(packed["step"], 0.1);
    std::uint16_t now = 0;
    const auto changes = words_of(packed, 2);
    ASSERT_EQ(changes.size(), values.size());
    for (std::size_t i = 0; i < values.size(); ++i) {
        now = static_cast<std::uint16_t>(now + changes[i]);
        if (std::isnan(values[i]))
            EXPECT_EQ(now, 0x8000) << i;
        else
            EXPECT_NEAR(static_cast<std::int16_t>(now) * 0.1, values[i], 0.0501) << i;
    }
}

TEST(PackedNumbers, TakeCoarserStepsForWhatSixteenBitsDoNotHold) {
    const std::vector<float> values{-1e6F, 1e6F, 3};
    const Json packed = packed_steps(values, 0.1);
    const double step = packed["step"];
    EXPECT_LE(1e6 / step, 32767);
    const auto changes = words_of(packed, 2);
    EXPECT_NEAR(static_cast<std::int16_t>(changes[0]) * step, -1e6, step / 2);
}

TEST(PackedNumbers, FloatsAndWholeNumbersComeBackExactly) {
    const std::vector<float> floats{1.5F, -0.0F, 3.4e38F, 1e-45F};
    const auto bits = words_of(packed_floats(floats), 4);
    for (std::size_t i = 0; i < floats.size(); ++i)
        EXPECT_EQ(bits[i], std::bit_cast<std::uint32_t>(floats[i]));
    const std::vector<std::uint32_t> whole{0, 1, 255, 256, 0xffffffff};
    EXPECT_EQ(words_of(packed_whole(whole), 4), whole);
    EXPECT_EQ(words_of(packed_small(std::vector<std::uint8_t>{7, 0, 255}), 1),
              (std::vector<std::uint32_t>{7, 0, 255}));
    EXPECT_TRUE(words_of(packed_whole({}), 4).empty());
}

// 2023 is no leap year: 365 days; the hours of January are the first 744.
TEST(DayTable, LaysAYearOutInDaysAndInMeanDays) {
    Site site;
    site.utc_offset_h = 2;
    Weather weather;
    using namespace std::chrono;
    const sys_seconds begin = sys_days{2023y / January / 1} - 2h;
    for (int hour = 0; hour < 8760; ++hour) weather.hour_start_utc.push_back(begin + hours(hour));
    const ToldCalendar calendar(weather, 2);
    const auto number = [](std::size_t hour) { return static_cast<double>(hour); };

    const DayTable each(site, weather, calendar, DayTable::Days::each);
    ASSERT_EQ(each.days().size(), 365u);
    EXPECT_EQ(each.days()[31].date, "2023-02-01");
    EXPECT_EQ(each.days()[31].month, 1u);
    EXPECT_EQ(each.first_minute(), 0);
    const auto whole = each.table(number);
    for (std::size_t i = 0; i < whole.size(); ++i) ASSERT_EQ(whole[i], static_cast<float>(i));

    const DayTable means(site, weather, calendar, DayTable::Days::mean_of_months);
    ASSERT_EQ(means.days().size(), 12u);
    EXPECT_EQ(means.days()[6].date, "2023-07-15");
    // The mean of an hour over January's 31 days is that hour of its 16th day, number 15.
    EXPECT_FLOAT_EQ(means.table(number)[13], 15 * 24 + 13);
    // A sample is that of the day that lends its date.
    EXPECT_FLOAT_EQ(means.sample(number)[13], 14 * 24 + 13);
}

// Newfoundland's clocks are half an hour off the full hour.
TEST(DayTable, KeepsHoursThatBeginBetweenFullHours) {
    Site site;
    site.utc_offset_h = -3.5;
    Weather weather;
    using namespace std::chrono;
    for (int hour = 0; hour < 24; ++hour)
        weather.hour_start_utc.push_back(sys_days{2023y / July / 21} + hours(hour));
    const ToldCalendar calendar(weather, site.utc_offset_h);
    const DayTable table(site, weather, calendar, DayTable::Days::each);
    EXPECT_EQ(table.first_minute(), 30);
    ASSERT_EQ(table.days().size(), 2u);
    EXPECT_EQ(table.days()[0].date, "2023-07-20");
    const auto values = table.table([](std::size_t hour) { return static_cast<double>(hour); });
    EXPECT_TRUE(std::isnan(values[19]));
    EXPECT_EQ(values[20], 0);  // 20:30 is 00:00 UTC
    EXPECT_EQ(values[24 + 19], 23);
    EXPECT_TRUE(std::isnan(values[24 + 20]));
}

// A box of 6.058 x 2.438 x 2.591 m has twelve triangles, two for each of its six sides.
TEST(ReportScene, OfVeryManyFacetsPaintsWholeSurfaces) {
    const Folder folder;
    write_blocks({block("unit-1", twenty_foot_m)}, folder / "site.step");
    ModelSettings settings;
    settings.file = folder / "site.step";
    const Inspection inspection = inspect_model(settings.file, settings);
    const std::size_t n_facets = inspection.envelope.facets.size(), n_surfaces = 6;
    ASSERT_EQ(inspection.envelope.surfaces.size(), n_surfaces);
    FacetSun facets;
    facets.n_facets = n_facets;
    for (auto* part :
         {&facets.direct_wh_m2, &facets.sky_wh_m2, &facets.ground_wh_m2, &facets.bounced_wh_m2})
        part->assign(n_facets, 250'000);
    SurfaceSun surfaces;
    for (auto* part : {&surfaces.direct_wh_m2, &surfaces.sky_wh_m2, &surfaces.ground_wh_m2,
                       &surfaces.bounced_wh_m2})
        part->assign(n_surfaces, 500'000);

    const Json fine = report_scene(inspection, facets, surfaces);
    EXPECT_EQ(fine["facet_surface"]["count"], n_facets);
    EXPECT_EQ(words_of(fine["facet_sun_kwh_m2"], 2)[0], 10'000u) << "1000 in steps of 0.1";
    const Json coarse = report_scene(inspection, facets, surfaces, n_facets - 1);
    EXPECT_EQ(words_of(coarse["facet_surface"], 4), (std::vector<std::uint32_t>{0, 1, 2, 3, 4, 5}));
    EXPECT_EQ(words_of(coarse["facet_sun_kwh_m2"], 2)[0], 20'000u);
    std::vector<int> triangles(n_surfaces);
    for (const std::uint32_t surface : words_of(coarse["triangle_facet"], 4))
        ++triangles.at(surface);
    EXPECT_EQ(triangles, (std::vector<int>(n_surfaces, 2)));
}

class ReportFile : public ::testing::Test {
  protected:
    void SetUp() override {
        if (report_page().empty()) GTEST_SKIP() << "this program was built without the report page";
    }

    Json data_of(const std::string& html) {
        const std::string before = "id=\"run-data\">";
        const std::size_t begin = html.find(before) + before.size();
        return Json::parse(html.substr(begin, html.find("</script>", begin) - begin));
    }
};

TEST_F(ReportFile, HoldsTheSummaryWordForWordAndAsManyNumbersAsItSays) {
    const Folder folder;
    const std::string site = write_site(folder, quick_site_toml());
    const Outcome outcome = run_program({"run", site, "--out", folder / "out"});
    ASSERT_EQ(outcome.status, 0) << outcome.err;
    const Json data = data_of(content_of(folder / "out/report.html"));
    EXPECT_EQ(data["summary"], Json::parse(content_of(folder / "out/summary.json")));
    const std::size_t n = data["summary"]["surfaces"].size();
    EXPECT_EQ(data["days"]["dates"], Json::array({"2023-07-21"}));
    EXPECT_EQ(data["hours"]["surface_outside_c"]["count"], n * 24);
    EXPECT_EQ(data["months"]["direct_kwh_m2"]["count"], n * 12);
    EXPECT_EQ(data["masks"]["surfaces"].size(), n);
    EXPECT_EQ(data["scene"]["triangle_facet"]["count"].get<std::size_t>() * 3,
              data["scene"]["triangles"]["count"].get<std::size_t>());
    EXPECT_FALSE(data.contains("plan"));

    // Hours add up to the period: each is a mean of 1 h, told in steps of 0.1 W/m2.
    std::uint16_t now = 0;
    std::vector<double> wh_m2(n);
    const auto changes = words_of(data["hours"]["surface_sun_w_m2"], 2);
    for (std::size_t i = 0; i < changes.size(); ++i) {
        now = static_cast<std::uint16_t>(now + changes[i]);
        wh_m2[i / 24] += static_cast<std::int16_t>(now) * 0.1;
    }
    for (std::size_t s = 0; s < n; ++s) {
        const double kwh_m2 = data["summary"]["surfaces"][s]["sun"]["total_kwh_m2"];
        EXPECT_NEAR(wh_m2[s] / 1000, kwh_m2, 24 * 0.05 / 1000 + 1e-9);
    }
}

TEST_F(ReportFile, OfTheSunAloneHasNoHeat) {
    const Folder folder;
    const std::string site = write_site(folder, quick_site_toml());
    ASSERT_EQ(run_program({"run", site, "--out", folder / "out", "--only", "sun"}).status, 0);
    const Json data = data_of(content_of(folder / "out/report.html"));
    EXPECT_EQ(data["hours"].size(), 2u) << "outdoor air and sun";
    EXPECT_TRUE(data["hours"].contains("surface_sun_w_m2"));
}

TEST_F(ReportFile, NamesThatLookLikeMarkupStayInsideTheirBlock) {
    const Folder folder;
    const std::string name = "</script><script>alert(1)</script><!--";
    write_blocks({block("unit-1", twenty_foot_m), block(name, {6, 2.4, 0.05}, {0, 0, 3.5})},
                 folder / "site.step");
    const std::string site = folder.write("site.toml", quick_site_toml() + "# " + name + "\n");
    ASSERT_EQ(run_program({"run", site, "--out", folder / "out", "--only", "sun"}).status, 0);
    const std::string html = content_of(folder / "out/report.html");
    EXPECT_EQ(html.find(name), std::string::npos);
    const Json data = data_of(html);
    EXPECT_EQ(data["bodies"][1]["id"], name);
    EXPECT_EQ(data["site_file"]["lines"].back(), "# " + name);
}

}  // namespace
}  // namespace noonshell
