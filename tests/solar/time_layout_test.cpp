// Time stamps in text, by layout.
#include "solar/time_layout.hpp"

#include <gtest/gtest.h>

#include <string>

#include "geometry/diagnostics.hpp"
#include "solar/weather_samples.hpp"

namespace noonshell {
namespace {

/// What the stamp says, as "2023-07-21 14:05", or "none".
std::string read(const std::string& layout, const std::string& text) {
    const auto stamp = TimeLayout(layout).read(text, 2023);
    if (!stamp) return "none";
    const std::chrono::sys_seconds as_utc{stamp->local.time_since_epoch()};
    return clock_text(as_utc, std::chrono::seconds(0));
}

struct Case {
    const char *layout, *text, *seen;
};

TEST(TimeLayout, ReadsWhatTheLayoutSays) {
    for (const Case& c : {
             Case{"YYYY-MM-DD hh:mm", "2023-07-21 14:05", "2023-07-21 14:05"},
             Case{"YYYY-MM-DDThh:mm:ss", "2023-07-21T14:05:59", "2023-07-21 14:05"},
             Case{"YYYY-MM-DD hh:mm:ss", "2023-07-21 14:05:00.250", "2023-07-21 14:05"},
             Case{"M/D/YYYY h:mm", "7/1/2023 4:05", "2023-07-01 04:05"},
             Case{"M/D/YYYY h:mm", "07/21/2023 14:05", "2023-07-21 14:05"},
             Case{"DD.MM.YYYY hh:mm", "1.7.2023  4:05", "2023-07-01 04:05"},
             Case{"YYYYMMDDhhmm", "202307211405", "2023-07-21 14:05"},
             Case{"YYYYDDD hh", "2024060 7", "2024-02-29 07:00"},
             Case{"YYYY DDD hhmm", "2023 365 2300", "2023-12-31 23:00"},
             Case{"YYYY-MM-DD hh:mm", "2023-07-21 24:00", "2023-07-22 00:00"},
             Case{"MM-DD hh", "12-31 24", "2024-01-01 00:00"},
             Case{"\?\?\?\?-MM-DD hh", "1997-02-03 04", "2023-02-03 04:00"},
             Case{"MM/DD/YYYY hh:mm AM", "07/21/2023 12:30 AM", "2023-07-21 00:30"},
             Case{"MM/DD/YYYY hh:mm AM", "07/21/2023 12:30 pm", "2023-07-21 12:30"},
             Case{"MM/DD/YYYY hh:mm AM", "07/21/2023 1:30 PM", "2023-07-21 13:30"},
         })
        EXPECT_EQ(read(c.layout, c.text), c.seen) << c.layout << " of " << c.text;
}

TEST(TimeLayout, ReadsNothingElse) {
    for (const Case& c : {
             Case{"YYYY-MM-DD hh:mm", "2023-02-29 14:05", ""},
             Case{"YYYY-MM-DD hh:mm", "2023-13-01 14:05", ""},
             Case{"YYYY-MM-DD hh:mm", "2023-07-21 25:00", ""},
             Case{"YYYY-MM-DD hh:mm", "2023-07-21 24:01", ""},
             Case{"YYYY-MM-DD hh:mm", "2023-07-21 14:60", ""},
             Case{"YYYY-MM-DD hh:mm", "2023-07-21 14:05:00", ""},
             Case{"YYYY-MM-DD hh:mm", "2023-07-21T14:05", ""},
             Case{"YYYY-MM-DD hh:mm", "23-07-21 14:05", ""},
             Case{"YYYY-MM-DD hh:mm", "1949-07-21 14:05", ""},
             Case{"YYYY-MM-DD hh:mm", "2151-07-21 14:05", ""},
             Case{"YYYY-MM-DD hh:mm", "2023--7-21 14:05", ""},
             Case{"YYYY-MM-DD hh:mm", "", ""},
             Case{"YYYYMMDDhhmm", "20237211405", ""},
             Case{"YYYYDDD hh", "2023366 00", ""},
             Case{"MM/DD/YYYY hh:mm AM", "07/21/2023 13:30 PM", ""},
             Case{"MM/DD/YYYY hh:mm AM", "07/21/2023 1:30 XM", ""},
         })
        EXPECT_EQ(read(c.layout, c.text), "none") << c.layout << " of " << c.text;
}

TEST(TimeLayout, TakesItsOwnOffset) {
    const TimeLayout layout("YYYY-MM-DDThh:mm:ssZ");
    const auto minutes_of = [&](const std::string& offset) {
        const auto stamp = layout.read("2023-07-21T14:05:00" + offset, 2023);
        return stamp && stamp->utc_offset ? static_cast<int>(stamp->utc_offset->count()) : 9999;
    };
    EXPECT_EQ(minutes_of("Z"), 0);
    EXPECT_EQ(minutes_of("+02:00"), 120);
    EXPECT_EQ(minutes_of("-0330"), -210);
    EXPECT_EQ(minutes_of("+5"), 300);
    EXPECT_EQ(minutes_of(""), 9999);
    EXPECT_EQ(minutes_of("+15"), 9999);
    EXPECT_EQ(minutes_of("+02:"), 9999);
    EXPECT_FALSE(TimeLayout("YYYY-MM-DD hh").read("2023-07-21 14", 0)->utc_offset.has_value());
}

TEST(TimeLayout, RefusesLayoutsThatNameNoTime) {
    for (const char* layout : {"", "YYYY-MM-DD", "YYYY hh:mm", "MM hh", "YYYY-MM-DD DDD hh",
                               "YYYY-MM-DD hh:mm hh", "YY-MM-DD hh:mm", "YYYY-MMM-DD hh:mm"})
        EXPECT_THROW(TimeLayout{layout}, InputError) << layout;
}

}  // namespace
}  // namespace noonshell
