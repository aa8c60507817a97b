// Tables of any columns: units by hand, clocks, intervals, separators; and the same year as a
// TMY3 file gives.
#include "solar/weather_table.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "solar/humidity.hpp"
#include "tests/solar/desert_site.hpp"
#include "tests/solar/invented_tmy3.hpp"
#include "tests/solar/plain_table.hpp"

namespace noonshell {
namespace {

using namespace std::chrono;
using namespace testing_table;
using test::desert;
using testing_tmy3::InventedTmy3;

TEST(WeatherTable, ReadsHoursThatEndAtTheirStamps) {
    const Weather weather = read(joined(plain_lines()));
    ASSERT_EQ(weather.size(), 48u);
    EXPECT_EQ(weather.hour_start_utc[0], sys_days{2023y / July / 20} + hours(22));
    EXPECT_EQ(weather.hour_start_utc[47], sys_days{2023y / July / 22} + hours(21));
    EXPECT_EQ(weather.dry_bulb_c[9], 5);
    EXPECT_EQ(weather.wind_speed_m_s[9], 3);
    EXPECT_EQ(weather.direct_normal_w_m2[9], 700);
    EXPECT_EQ(weather.diffuse_w_m2[9], 90);
    EXPECT_GT(weather.global_w_m2[9], 90 + 300);
    EXPECT_NEAR(weather.dew_point_c[9], dew_point_c(5, 40), 1e-12);
    EXPECT_NEAR(weather.pressure_pa[0], 100129, 30);  // standard atmosphere at 100 m
    EXPECT_TRUE(weather.wind_direction_deg.empty());
    EXPECT_TRUE(weather.longwave_down_w_m2.empty());
    EXPECT_FALSE(weather.periodic);
    EXPECT_TRUE(weather.warnings.empty());
    EXPECT_EQ(weather.source, "met.csv; light: global from direct and diffuse");
}

// ---- Units, each by hand arithmetic

TEST(WeatherTable, TurnsUnitsIntoSi) {
    struct UnitCase {
        WeatherMeasure measure;
        const char* name;
        double value, interval_s, si;
    };
    for (const UnitCase& c : {
             UnitCase{WeatherMeasure::temperature, "degF", 104, 3600, 40},
             UnitCase{WeatherMeasure::temperature, "degF", -40, 3600, -40},
             UnitCase{WeatherMeasure::temperature, "K", 300, 3600, 26.85},
             UnitCase{WeatherMeasure::irradiance, "kJ/m2", 3600, 3600, 1000},
             UnitCase{WeatherMeasure::irradiance, "kJ/m2", 600, 600, 1000},
             UnitCase{WeatherMeasure::irradiance, "Wh/m2", 100, 600, 600},
             UnitCase{WeatherMeasure::irradiance, "kWh/m2", 0.8, 3600, 800},
             UnitCase{WeatherMeasure::irradiance, "MJ/m2", 1.8, 3600, 500},
             UnitCase{WeatherMeasure::irradiance, "J/m2", 900000, 1800, 500},
             UnitCase{WeatherMeasure::irradiance, "kW/m2", 0.5, 60, 500},
             UnitCase{WeatherMeasure::speed, "km/h", 36, 3600, 10},
             UnitCase{WeatherMeasure::speed, "knots", 10, 3600, 5.14444444},
             UnitCase{WeatherMeasure::speed, "mph", 10, 3600, 4.4704},
             UnitCase{WeatherMeasure::pressure, "hPa", 1013.25, 3600, 101325},
             UnitCase{WeatherMeasure::pressure, "mbar", 1013.25, 3600, 101325},
             UnitCase{WeatherMeasure::pressure, "kPa", 101.325, 3600, 101325},
             UnitCase{WeatherMeasure::pressure, "mmHg", 760, 3600, 101325},
             UnitCase{WeatherMeasure::humidity, "1", 0.45, 3600, 45},
             UnitCase{WeatherMeasure::direction, "rad", 3.14159265358979, 3600, 180},
         }) {
        const auto unit = weather_unit(c.measure, c.name);
        ASSERT_TRUE(unit) << c.name;
        EXPECT_NEAR(unit->to_si(c.value, c.interval_s), c.si, 1e-6 * std::abs(c.si)) << c.name;
    }
    EXPECT_FALSE(weather_unit(WeatherMeasure::temperature, "W/m2"));
    EXPECT_FALSE(weather_unit(WeatherMeasure::speed, "m/S"));
    EXPECT_EQ(weather_unit_names(WeatherMeasure::humidity),
              (std::vector<std::string_view>{"%", "1"}));
}

TEST(WeatherTable, ReadsEveryQuantityInItsUnit) {
    WeatherTableFormat format;
    format.time_columns = {{"", 1}};
    format.means = false;
    const auto numbered = [](Quantity quantity, std::size_t number, const char* unit) {
        return QuantityColumn{quantity, {"", number}, *weather_unit(info(quantity).measure, unit)};
    };
    format.quantities = {
        numbered(Quantity::dry_bulb, 2, "degF"),       numbered(Quantity::dew_point, 3, "K"),
        numbered(Quantity::wind_speed, 4, "knots"),    numbered(Quantity::wind_direction, 5, "deg"),
        numbered(Quantity::pressure, 6, "kPa"),        numbered(Quantity::global, 7, "kJ/m2"),
        numbered(Quantity::direct_normal, 8, "Wh/m2"), numbered(Quantity::diffuse, 9, "MJ/m2"),
        numbered(Quantity::longwave_down, 10, "W/m2"), numbered(Quantity::cloud_cover, 11, "oktas"),
    };
    std::string text = "a station\n\nno names here, 12\n";
    for (int hour = 1; hour <= 24; ++hour)
        text += stamp(hour, 60) + ",95,283.15,10,270,98.5,1800,400,0.36,345,2,unread\n";
    const Weather weather = read(text, format);
    EXPECT_EQ(weather.size(), 24u);
    EXPECT_NEAR(weather.dry_bulb_c[0], 35, 1e-12);
    EXPECT_NEAR(weather.dew_point_c[0], 10, 1e-12);
    EXPECT_NEAR(weather.wind_speed_m_s[0], 5.144444, 1e-6);
    EXPECT_EQ(weather.wind_direction_deg[0], 270);
    EXPECT_EQ(weather.pressure_pa[0], 98500);
    EXPECT_NEAR(weather.global_w_m2[0], 500, 1e-9);
    EXPECT_NEAR(weather.direct_normal_w_m2[0], 400, 1e-9);
    EXPECT_NEAR(weather.diffuse_w_m2[0], 100, 1e-9);
    EXPECT_EQ(weather.longwave_down_w_m2[0], 345);
    EXPECT_EQ(weather.cloud_cover[0], 0.25);
    EXPECT_TRUE(weather.periodic);  // one day, to be repeated
}

// ---- Clocks

TEST(WeatherTable, StampsMayStandAtTheStartOrMiddleOfTheInterval) {
    const std::string text = joined(plain_lines());
    WeatherTableFormat format = plain_format();
    format.stamp = StampAt::start;
    const Weather start = read(text, format);
    EXPECT_EQ(start.hour_start_utc[0], sys_days{2023y / July / 20} + hours(23));
    EXPECT_EQ(start.direct_normal_w_m2[7], 700);
    // Readings at the beginning of hours: the end of an hour is the beginning of the next.
    EXPECT_EQ(start.dry_bulb_c[7], 4.5);
    format.stamp = StampAt::middle;
    const Weather middle = read(text, format);
    EXPECT_EQ(middle.hour_start_utc[0], sys_days{2023y / July / 20} + hours(22) + minutes(30));
    EXPECT_EQ(middle.dry_bulb_c[7], (4 + 4.5) / 2);
}

// [cf2023] section 7.1: times without bounds may be taken to stand in the middle of their cells.
// Stamps at half past are; a setting goes before, and half hours are intervals of their own.
TEST(WeatherTable, HourlyStampsAtHalfPastAreMiddles) {
    const auto text_of = [](int step_min, int n) {
        std::string text = "time,T,RH,v,DNI,DHI\n";
        for (int i = 0; i < n; ++i) {
            const std::string time = stamp(i, step_min, "2023-07-21 00:30");
            text += time + ",20,40,3," + std::to_string(i) + ",0\n";
        }
        return text;
    };
    WeatherTableFormat format = plain_format();
    const Weather hours_of = read(text_of(60, 48), format);
    EXPECT_EQ(hours_of.hour_start_utc[0], sys_days{2023y / July / 20} + hours(22));
    EXPECT_EQ(hours_of.direct_normal_w_m2[7], 7);
    EXPECT_NE(hours_of.source.find("stamps at half past taken as middles"), std::string::npos);
    ASSERT_TRUE(hours_of.stamps);
    EXPECT_EQ(hours_of.stamps->at, StampAt::middle);
    EXPECT_EQ(read(text_of(180, 16), format).hour_start_utc[0],
              sys_days{2023y / July / 20} + hours(21));
    EXPECT_EQ(read(text_of(30, 96), format).hour_start_utc[0],
              sys_days{2023y / July / 20} + hours(22));
    format.stamp = StampAt::end;
    EXPECT_EQ(read(text_of(60, 48), format).hour_start_utc[0],
              sys_days{2023y / July / 20} + hours(21) + minutes(30));
}

// Means of hours stand for their middles: at the end of the hour half way to the next mean.
TEST(WeatherTable, MeansAreCarriedToTheEndOfTheHour) {
    WeatherTableFormat format = plain_format();
    format.means = true;
    const Weather weather = read(joined(plain_lines()), format);
    EXPECT_EQ(weather.dry_bulb_c[9], (5 + 5.5) / 2);
    EXPECT_EQ(weather.dry_bulb_c[47], 24);  // nothing follows: held
    EXPECT_EQ(weather.direct_normal_w_m2[8], 700);
}

TEST(WeatherTable, OffsetsOfTheStampsGoBeforeTheOneOfTheFile) {
    std::string text = "time,T,RH,v,DNI,DHI\n";
    for (int hour = 1; hour <= 24; ++hour) text += stamp(hour, 60) + "-07:00,20,40,3,0,0\n";
    WeatherTableFormat format = plain_format();
    format.time_layout = TimeLayout("YYYY-MM-DD hh:mmZ");
    EXPECT_EQ(read(text, format).hour_start_utc[0], sys_days{2023y / July / 21} + hours(7));
}

TEST(WeatherTable, DateAndTimeMayBeColumnsOfTheirOwn) {
    std::string text = "day;hour;T;RH;v;DNI;DHI\n";
    for (int hour = 1; hour <= 24; ++hour)
        text += "21.07.2023;" + std::to_string(hour) + ";20;40;3;0;0\n";
    WeatherTableFormat format = plain_format();
    format.time_columns = {{"day", 0}, {"hour", 0}};
    format.time_layout = TimeLayout("DD.MM.YYYY hh");
    const Weather weather = read(text, format);
    EXPECT_EQ(weather.size(), 24u);
    EXPECT_EQ(weather.hour_start_utc[23], sys_days{2023y / July / 21} + hours(21));
}

// ---- Intervals

/// Ten-minute intervals over `hours_long`, T = interval number, DNI = 60 x (number in the hour).
std::string ten_minutes(int hours_long, int first = 1) {
    std::string text = "time,T,RH,v,DNI,DHI\n";
    for (int i = first; i <= 6 * hours_long; ++i)
        text += stamp(i, 10) + "," + std::to_string(i * 0.1) + ",40,3," +
                std::to_string(60 * ((i - 1) % 6)) + ",50\n";
    return text;
}

// Per hour DNI 0, 60, ... 300: mean 150. The last ten-minute mean of hour h has its middle 5 min
// before the hour's end, the next one 5 min behind it.
TEST(WeatherTable, ShorterIntervalsAreAveragedToHours) {
    WeatherTableFormat format = plain_format();
    format.means = true;
    const Weather weather = read(ten_minutes(30), format);
    ASSERT_EQ(weather.size(), 30u);
    EXPECT_NEAR(weather.direct_normal_w_m2[4], 150, 1e-12);
    EXPECT_NEAR(weather.dry_bulb_c[4], (3.0 + 3.1) / 2, 1e-9);
    format.means = false;
    EXPECT_NEAR(read(ten_minutes(30), format).dry_bulb_c[4], 3.0, 1e-9);
}

TEST(WeatherTable, PartsOfHoursAtTheEndsAreLeftOut) {
    const Weather weather = read(ten_minutes(30, 4));
    EXPECT_EQ(weather.size(), 29u);
    EXPECT_EQ(weather.hour_start_utc[0], sys_days{2023y / July / 20} + hours(23));
}

TEST(WeatherTable, HalfOfAnHourIsEnoughForItsMean) {
    std::string text = ten_minutes(30);
    const auto cut = [&text](int step) {
        const std::size_t at = text.find(stamp(step, 10));
        text.erase(at, text.find('\n', at) + 1 - at);
    };
    for (const int step : {26, 27, 28}) cut(step);  // of the 5th hour: 0, 240 and 300 are left
    EXPECT_NEAR(read(text).direct_normal_w_m2[4], (0 + 240 + 300) / 3.0, 1e-9);
    const auto tells_of_light = [&] {
        return std::ranges::any_of(read(text).warnings, [](const Warning& warning) {
            return warning.text.find("of direct_normal") != std::string::npos;
        });
    };
    EXPECT_FALSE(tells_of_light());
    cut(25);
    EXPECT_TRUE(tells_of_light());
}

TEST(WeatherTable, RefusesIntervalsThatDoNotDivideTheHour) {
    std::string text = "time,T,RH,v,DNI,DHI\n";
    for (int i = 1; i <= 300; ++i) text += stamp(i, 7) + ",20,40,3,0,0\n";
    EXPECT_EQ(
        error_of(text),
        "met.csv:3:1: time stamp: expected intervals of an hour, of minutes that divide it or of 2 "
        "or 3 hours, saw 420 s after the one before");
    text = "time,T,RH,v,DNI,DHI\n";
    for (int i = 1; i <= 24; ++i) text += stamp(i, 240) + ",20,40,3,0,0\n";
    EXPECT_NE(error_of(text).find("saw 14400 s after the one before"), std::string::npos);
}

// Intervals of 3 hours, stamped at either end, as means: hours that keep the mean of each interval
// (energy), follow the sun within it, and are dark while it is down; at 27 N in July it is so from
// 19:00 to 5:00. Air runs on straight lines between the middles of the intervals.
TEST(WeatherTable, IntervalsOfThreeHoursAreTakenApart) {
    for (const bool at_start : {false, true}) {
        std::string text = "time,T,RH,v,GHI,LW\n";
        for (int i = 0; i < 16; ++i) {
            const int of_day = i % 8;
            const double light = of_day < 2 || of_day > 5     ? 0
                                 : of_day == 2 || of_day == 5 ? 300
                                                              : 800;
            text += stamp(i + (at_start ? 0 : 1), 180) + "," + std::to_string(20 + i) + ",40,3," +
                    std::to_string(light) + ",380\n";
        }
        WeatherTableFormat format = plain_format();
        format.means = true;
        if (at_start) format.stamp = StampAt::start;
        format.quantities.resize(3);
        format.quantities.push_back(column(Quantity::global, "GHI", "W/m2"));
        format.quantities.push_back(column(Quantity::longwave_down, "LW", "W/m2"));
        for (const std::optional<int> minutes : {std::optional<int>{}, std::optional<int>{180}}) {
            format.interval_min = minutes;
            const Weather weather = read(text, format);
            ASSERT_EQ(weather.size(), 48u);
            EXPECT_EQ(weather.hour_start_utc[0], sys_days{2023y / July / 20} + hours(22));
            for (std::size_t i = 0; i < 16; ++i) {
                double light = 0;
                for (std::size_t k = 0; k < 3; ++k) light += weather.global_w_m2[3 * i + k] / 3;
                const std::size_t of_day = i % 8;
                EXPECT_NEAR(light,
                            of_day < 2 || of_day > 5     ? 0
                            : of_day == 2 || of_day == 5 ? 300
                                                         : 800,
                            1e-9);
                EXPECT_NEAR(weather.longwave_down_w_m2[3 * i], 380, 1e-9);
            }
            EXPECT_LT(weather.global_w_m2[6], weather.global_w_m2[8]);  // the sun rises
            EXPECT_GT(weather.global_w_m2[15], weather.global_w_m2[17]);
            // The middle of interval 4 is at 13:30; at 14:00, 0.5 h of 3 on.
            EXPECT_NEAR(weather.dry_bulb_c[13], 24 + 0.5 / 3, 1e-9);
        }
    }
}

// ---- Text

TEST(WeatherTable, FindsSeparatorAndDecimalComma) {
    std::string text = "Messstation 7;;;;;\nTIME; t ;rh;V;dni;dhi\n;degC;%;m/s;W/m2;W/m2\n";
    for (int hour = 1; hour <= 24; ++hour) text += stamp(hour, 60) + ";20,5;40;3,25;700;90\n";
    const Weather weather = read(text);
    EXPECT_EQ(weather.dry_bulb_c[0], 20.5);
    EXPECT_EQ(weather.wind_speed_m_s[0], 3.25);
    std::ranges::replace(text, ';', '\t');
    EXPECT_EQ(read(text).dry_bulb_c[0], 20.5);
}

TEST(WeatherTable, AStatedDecimalSignIsKept) {
    std::string text = "time;T;RH;v;DNI;DHI\n";
    for (int hour = 1; hour <= 24; ++hour) text += stamp(hour, 60) + ";20.5;40;3;0;0\n";
    WeatherTableFormat format = plain_format();
    format.decimal = ',';
    EXPECT_EQ(error_of(text, format), "met.csv:2:2: dry_bulb: expected a number, saw \"20.5\"");
}

TEST(WeatherTable, NamesWhatIsNotThere) {
    auto lines = plain_lines();
    lines[0] = "time,T,RH,wind,DNI,DHI";
    EXPECT_EQ(error_of(joined(lines)),
              "met.csv:1: v: expected a heading with a column of this name, saw none; the line "
              "begins \"time\"");
    lines[0] = "time,T,RH,v,T,DHI";
    EXPECT_NE(error_of(joined(lines)).find("DNI"), std::string::npos);
    lines[0] = "time,T,RH,v,DNI,t";
    EXPECT_NE(error_of(joined(lines)), "no error");
    lines = plain_lines();
    lines[7] = "yesterday,1,2,3,4,5";
    EXPECT_EQ(error_of(joined(lines)),
              "met.csv:8:1: time stamp: expected a time as YYYY-MM-DD hh:mm from 1950 to 2150, saw "
              "\"yesterday\"");
    lines = plain_lines();
    lines[7] = stamp(7, 60) + ",3.5,40";
    EXPECT_EQ(error_of(joined(lines)),
              "met.csv:8:3: expected at least 6 fields, saw a line cut short after 3");
    EXPECT_NE(error_of("time,T,RH,v,DNI,DHI\n"), "no error");
    EXPECT_NE(error_of(""), "no error");
    lines = plain_lines();
    lines.resize(20);
    EXPECT_EQ(error_of(joined(lines)), "met.csv: expected at least 24 whole hours, saw 19");
}

TEST(WeatherTable, NamesQuantitiesThatAreMissing) {
    const auto without = [](std::initializer_list<Quantity> left_out) {
        WeatherTableFormat format = plain_format();
        std::erase_if(format.quantities, [&](const QuantityColumn& q) {
            return std::ranges::count(left_out, q.quantity) > 0;
        });
        return error_of(joined(plain_lines()), format);
    };
    EXPECT_NE(without({Quantity::dry_bulb}).find("dry_bulb: expected"), std::string::npos);
    EXPECT_NE(without({Quantity::relative_humidity}).find("dew_point: expected"),
              std::string::npos);
    EXPECT_NE(without({Quantity::wind_speed}).find("wind_speed: expected"), std::string::npos);
    EXPECT_NE(without({Quantity::diffuse}).find("global: expected"), std::string::npos);
}

// ---- Whole years

/// The invented TMY3 year with its months in one year, as a table of other form.
std::string other_form(const InventedTmy3& year) {
    std::string text = "Datum;Stunde;G;B;D;T;Td;p;Richtung;Wind\n";
    for (std::size_t r = 2; r < year.rows.size(); ++r) {
        const auto& row = year.rows[r];
        const std::string& date = row[InventedTmy3::date];
        text += date.substr(3, 2) + "." + date.substr(0, 2) + ";" +
                row[InventedTmy3::time].substr(0, 2);
        for (const auto column :
             {InventedTmy3::ghi, InventedTmy3::dni, InventedTmy3::dhi, InventedTmy3::dry,
              InventedTmy3::dew, InventedTmy3::pressure, InventedTmy3::wdir, InventedTmy3::wspd}) {
            std::string field = row[column];
            std::ranges::replace(field, '.', ',');
            text += ";" + field;
        }
        text += "\n";
    }
    return text;
}

WeatherTableFormat other_format(int year) {
    WeatherTableFormat format;
    format.time_columns = {{"Datum", 0}, {"Stunde", 0}};
    format.time_layout = TimeLayout("DD.MM hh");
    format.utc_offset_h = -7;
    format.year = year;
    format.means = false;
    format.quantities = {column(Quantity::global, "G", "W/m2"),
                         column(Quantity::direct_normal, "B", "W/m2"),
                         column(Quantity::diffuse, "D", "W/m2"),
                         column(Quantity::dry_bulb, "T", "degC"),
                         column(Quantity::dew_point, "Td", "degC"),
                         column(Quantity::pressure, "p", "mbar"),
                         column(Quantity::wind_direction, "Richtung", "deg"),
                         column(Quantity::wind_speed, "Wind", "m/s")};
    return format;
}

TEST(WeatherTable, GivesWhatTheReaderOfTypicalYearsGives) {
    const InventedTmy3 year;
    const Tmy3File tmy3 = read_tmy3(testing_tmy3::write_temporary(year.text()));
    Site site;
    site.latitude_deg = tmy3.place.latitude_deg;
    site.longitude_deg = tmy3.place.longitude_deg;
    const Weather weather =
        hourly_weather(site, parse_weather_table(other_form(year), "jahr.csv", other_format(2023)));
    ASSERT_EQ(weather.size(), 8760u);
    EXPECT_TRUE(weather.periodic);
    EXPECT_TRUE(weather.warnings.empty());
    EXPECT_EQ(weather.dry_bulb_c, tmy3.weather.dry_bulb_c);
    EXPECT_EQ(weather.dew_point_c, tmy3.weather.dew_point_c);
    EXPECT_EQ(weather.wind_speed_m_s, tmy3.weather.wind_speed_m_s);
    EXPECT_EQ(weather.wind_direction_deg, tmy3.weather.wind_direction_deg);
    EXPECT_EQ(weather.pressure_pa, tmy3.weather.pressure_pa);
    EXPECT_EQ(weather.global_w_m2, tmy3.weather.global_w_m2);
    EXPECT_EQ(weather.direct_normal_w_m2, tmy3.weather.direct_normal_w_m2);
    EXPECT_EQ(weather.diffuse_w_m2, tmy3.weather.diffuse_w_m2);
}

// A year of 8760 hours told by the dates of a leap year steps over 29 February.
TEST(WeatherTable, StepsOverALeapDayThatIsNotThere) {
    const Weather weather = hourly_weather(
        desert(), parse_weather_table(other_form(InventedTmy3()), "jahr.csv", other_format(2024)));
    ASSERT_EQ(weather.size(), 8760u);
    EXPECT_TRUE(weather.periodic);
    EXPECT_TRUE(weather.warnings.empty());
    EXPECT_EQ(weather.hour_start_utc[59 * 24], sys_days{2024y / March / 1} + hours(7));
    EXPECT_EQ(weather.hour_start_utc[59 * 24 - 1], sys_days{2024y / February / 28} + hours(30));
}

TEST(WeatherTable, TwoYearsArePeriodic) {
    std::string text = "time,T,RH,v,DNI,DHI\n";
    for (int hour = 1; hour <= (365 + 366) * 24; ++hour)
        text += stamp(hour, 60, "2023-03-01 00:00") + ",20,40,3,0,0\n";
    const Weather weather = read(text);
    EXPECT_EQ(weather.size(), 731u * 24);
    EXPECT_TRUE(weather.periodic);
}

}  // namespace
}  // namespace noonshell
