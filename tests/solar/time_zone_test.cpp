#include "solar/time_zone.hpp"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <string>
#include <thread>
#include <vector>

#include "geometry/diagnostics.hpp"

namespace noonshell {
namespace {

using testing::HasSubstr;

std::string error_of(const std::string& zone) {
    try {
        standard_utc_offset_h(zone, 2023);
    } catch (const InputError& error) {
        return error.what();
    }
    return "no error";
}

TEST(TimeZone, PlainOffsets) {
    EXPECT_DOUBLE_EQ(standard_utc_offset_h("+03:30", 2023), 3.5);
    EXPECT_DOUBLE_EQ(standard_utc_offset_h("-7", 2023), -7.0);
    EXPECT_DOUBLE_EQ(standard_utc_offset_h("UTC+5:45", 2023), 5.75);
    EXPECT_DOUBLE_EQ(standard_utc_offset_h("+0545", 2023), 5.75);
    EXPECT_DOUBLE_EQ(standard_utc_offset_h("-09:30", 2023), -9.5);
    EXPECT_DOUBLE_EQ(standard_utc_offset_h("-00:30", 2023), -0.5);
    EXPECT_DOUBLE_EQ(standard_utc_offset_h("UTC", 2023), 0.0);
    EXPECT_DOUBLE_EQ(standard_utc_offset_h("+14", 2023), 14.0);
    EXPECT_DOUBLE_EQ(standard_utc_offset_h("-12:00", 2023), -12.0);
}

TEST(TimeZone, OffsetsOutOfRange) {
    for (const char* zone : {"+15", "-13", "+14:30", "+03:60", "-12:01"}) {
        EXPECT_EQ(error_of(zone),
                  "expected an offset from -12:00 to +14:00, saw \"" + std::string(zone) + "\"");
    }
}

// Legal standard times, as in the IANA time zone database.
TEST(TimeZone, ZonesWithoutDaylightSaving) {
    EXPECT_DOUBLE_EQ(standard_utc_offset_h("Asia/Riyadh", 2023), 3.0);
    EXPECT_DOUBLE_EQ(standard_utc_offset_h("Asia/Kolkata", 2023), 5.5);
    EXPECT_DOUBLE_EQ(standard_utc_offset_h("Asia/Kathmandu", 2023), 5.75);
    EXPECT_DOUBLE_EQ(standard_utc_offset_h("America/Phoenix", 2023), -7.0);
    EXPECT_DOUBLE_EQ(standard_utc_offset_h("Etc/GMT+5", 2023), -5.0);  // sign turned by design
}

TEST(TimeZone, DaylightSavingIsTakenOff) {
    EXPECT_DOUBLE_EQ(standard_utc_offset_h("America/New_York", 2023), -5.0);
    EXPECT_DOUBLE_EQ(standard_utc_offset_h("Europe/Berlin", 2023), 1.0);
    EXPECT_DOUBLE_EQ(standard_utc_offset_h("Australia/Sydney", 2023), 10.0);  // saving at New Year
    EXPECT_DOUBLE_EQ(standard_utc_offset_h("Australia/Lord_Howe", 2023), 10.5);  // half an hour
    EXPECT_DOUBLE_EQ(standard_utc_offset_h("Asia/Tehran", 2021), 3.5);
}

TEST(TimeZone, NegativeSaving) {
    // Irish law calls summer time standard and saves an hour less in winter.
    EXPECT_DOUBLE_EQ(standard_utc_offset_h("Europe/Dublin", 2023), 0.0);
    // Morocco keeps UTC+1 but for the weeks of Ramadan.
    EXPECT_DOUBLE_EQ(standard_utc_offset_h("Africa/Casablanca", 2023), 1.0);
}

TEST(TimeZone, StandardTimeDependsOnTheYear) {
    EXPECT_DOUBLE_EQ(standard_utc_offset_h("Asia/Pyongyang", 2014), 9.0);
    EXPECT_DOUBLE_EQ(standard_utc_offset_h("Asia/Pyongyang", 2016), 8.5);
    EXPECT_DOUBLE_EQ(standard_utc_offset_h("Pacific/Apia", 2010), -11.0);
    EXPECT_DOUBLE_EQ(standard_utc_offset_h("Pacific/Apia", 2013), 13.0);
    // Britain had UTC+1 all year, by law its standard time.
    EXPECT_DOUBLE_EQ(standard_utc_offset_h("Europe/London", 1970), 1.0);
    // The whole of 1943 lay under war time.
    EXPECT_DOUBLE_EQ(standard_utc_offset_h("America/New_York", 1943), -5.0);
}

TEST(TimeZone, YearsBeyondTheRules) {
    EXPECT_DOUBLE_EQ(standard_utc_offset_h("Australia/Sydney", 2090), 10.0);
    EXPECT_DOUBLE_EQ(standard_utc_offset_h("America/New_York", 9999999), -5.0);
    EXPECT_DOUBLE_EQ(standard_utc_offset_h("Asia/Kolkata", -9999999),
                     standard_utc_offset_h("Asia/Kolkata", 1900));
}

TEST(TimeZone, UnknownZoneNamesTheNearest) {
    EXPECT_EQ(error_of("Asia/Riyad"),
              "expected an IANA time zone such as Asia/Riyadh or an offset such as +03:30, saw "
              "\"Asia/Riyad\"; nearest known: Asia/Riyadh");
    EXPECT_THAT(error_of("asia/dubai"), HasSubstr("nearest known: Asia/Dubai"));
    EXPECT_THAT(error_of("phoenix"), HasSubstr("nearest known: America/Phoenix"));
    EXPECT_THAT(error_of("America/New York"), HasSubstr("nearest known: America/New_York"));
}

TEST(TimeZone, OtherBadNames) {
    for (const char* zone :
         {"", "UTC+", "+3:3", "localtime", "../etc/passwd", "GMT+5", "+03:30 "}) {
        EXPECT_THAT(error_of(zone), HasSubstr("expected an IANA time zone")) << zone;
    }
    EXPECT_THAT(error_of(std::string(100000, 'x')), HasSubstr("expected an IANA time zone"));
}

TEST(TimeZone, ManyThreadsAtOnce) {
    std::vector<double> offset_h(8);
    std::vector<std::thread> threads;
    for (auto& result : offset_h) {
        threads.emplace_back([&result] { result = standard_utc_offset_h("Asia/Riyadh", 2023); });
    }
    for (auto& thread : threads) thread.join();
    for (const double result : offset_h) EXPECT_DOUBLE_EQ(result, 3.0);
}

}  // namespace
}  // namespace noonshell
