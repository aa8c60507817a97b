// Safe text, its width, and tables. Widths: Unicode annex 11 (East Asian width).
#include <gtest/gtest.h>

#include <sstream>
#include <string>

#include "cli/run_page_parts.hpp"
#include "cli/table.hpp"
#include "cli/utf8.hpp"

namespace noonshell {
namespace {

const std::string mark = "\xEF\xBF\xBD";  // U+FFFD

TEST(Printable, KeepsValidTextOfAnyScript) {
    for (const char* text : {"unit-1/roof", "Kühlraum", "غرفة", "屋根", "крыша", "🏠"})
        EXPECT_EQ(printable(text), text);
}

TEST(Numbers, WhatRoundsToNothingHasNoSign) {
    EXPECT_EQ(number(-0.3), "0");
    EXPECT_EQ(number(-0.0, 1), "0.0");
    EXPECT_EQ(number(-0.06, 1), "-0.1");
    EXPECT_EQ(three_digits(-1e-9), "0");
    EXPECT_EQ(three_digits(-0.01234), "-0.0123");
}

TEST(Printable, ReplacesControlsAndBrokenBytes) {
    EXPECT_EQ(printable("a\033[31mb"), "a" + mark + "[31mb");
    EXPECT_EQ(printable(std::string_view("a\0b", 3)), "a" + mark + "b");
    EXPECT_EQ(printable("a\nb"), "a" + mark + "b");
    EXPECT_EQ(printable("\xFF"), mark);
    EXPECT_EQ(printable("\xE2\x82"), mark + mark);             // cut euro sign
    EXPECT_EQ(printable("\xC0\x80"), mark + mark);             // overlong NUL
    EXPECT_EQ(printable("\xED\xA0\x80"), mark + mark + mark);  // surrogate
    EXPECT_EQ(printable("\xE2\x80\xAE"
                        "x"),
              mark + "x");  // right-to-left override
}

TEST(DisplayWidth, CountsColumns) {
    EXPECT_EQ(display_width("roof"), 4u);
    EXPECT_EQ(display_width("Kühl"), 4u);
    EXPECT_EQ(display_width("屋根"), 4u);
    EXPECT_EQ(display_width("e\xCC\x81"), 1u);  // e with a combining acute accent
    EXPECT_EQ(display_width("🏠"), 2u);
}

TEST(TextTable, AlignsColumnsInAnyScript) {
    TextTable table({{"name"}, {"area", Align::right}});
    table.add_row({"roof", "9.00"});
    table.add_row({"屋根-long", "10.25"});
    table.add_row({"Kühlraum", "1"});
    std::istringstream lines(table.text());
    std::string line;
    std::size_t n = 0;
    while (std::getline(lines, line)) {
        ++n;
        // Indent 2, the widest name 9 columns, gap 2, the widest number 5.
        EXPECT_EQ(display_width(line), 18u) << line;
    }
    EXPECT_EQ(n, 5u);
}

TEST(TextTable, LeavesNoBlanksAtTheEndOfALine) {
    TextTable table({{"name"}, {"note"}});
    table.add_row({"a", "long note"});
    table.add_row({"b", ""});
    EXPECT_EQ(table.text().find(" \n"), std::string::npos);
}

}  // namespace
}  // namespace noonshell
