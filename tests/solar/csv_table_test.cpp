// Comma-separated text against RFC 4180 (rules 1 to 7 of its section 2) and the habits of
// spreadsheets.
#include "solar/csv_table.hpp"

#include <gtest/gtest.h>

#include <filesystem>
#include <string>
#include <vector>

#include "tests/solar/invented_tmy3.hpp"

namespace noonshell {
namespace {

using Rows = std::vector<std::vector<std::string>>;

Rows rows_of(const CsvTable& table) {
    Rows rows;
    for (std::size_t i = 0; i < table.n_rows(); ++i) {
        rows.emplace_back();
        for (const auto field : table.row(i)) rows.back().emplace_back(field);
    }
    return rows;
}

Rows parse(std::string_view text) {
    return rows_of(CsvTable(text, "t.csv"));
}

std::string error_of(std::string_view text) {
    try {
        CsvTable(text, "t.csv");
    } catch (const InputError& error) {
        return error.what();
    }
    return "no error";
}

TEST(CsvTable, ReadsTheExamplesOfRfc4180) {
    const Rows two{{"aaa", "bbb", "ccc"}, {"zzz", "yyy", "xxx"}};
    EXPECT_EQ(parse("aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n"), two);          // rule 1
    EXPECT_EQ(parse("aaa,bbb,ccc\r\nzzz,yyy,xxx"), two);              // rule 2
    EXPECT_EQ(parse("\"aaa\",\"bbb\",\"ccc\"\r\nzzz,yyy,xxx"), two);  // rule 5
    EXPECT_EQ(parse("\"aaa\",\"b\r\nbb\",\"ccc\"\r\nzzz,yyy,xxx"),    // rule 6
              (Rows{{"aaa", "b\r\nbb", "ccc"}, {"zzz", "yyy", "xxx"}}));
    EXPECT_EQ(parse("\"aaa\",\"b\"\"bb\",\"ccc\""), (Rows{{"aaa", "b\"bb", "ccc"}}));  // rule 7
}

TEST(CsvTable, ReadsWhatSpreadsheetsWrite) {
    EXPECT_EQ(parse("a,b\rc,d\r"), (Rows{{"a", "b"}, {"c", "d"}}));
    EXPECT_EQ(parse("\xEF\xBB\xBF"
                    "a,b\n"),
              (Rows{{"a", "b"}}));
    EXPECT_EQ(parse(" a ,\t b c\t, \"d \" \n"), (Rows{{"a", "b c", "d "}}));
    EXPECT_EQ(parse("a,,\n,\n\nb"), (Rows{{"a", "", ""}, {"", ""}, {""}, {"b"}}));
    EXPECT_EQ(parse("5\"6,\"\"\n"), (Rows{{"5\"6", ""}}));
}

TEST(CsvTable, TurnsLatin1IntoUtf8AndLeavesUtf8Alone) {
    EXPECT_EQ(parse("MONTR\xC9"
                    "AL"),
              (Rows{{"MONTR\xC3\x89"
                     "AL"}}));
    EXPECT_EQ(parse("MONTR\xC3\x89"
                    "AL"),
              (Rows{{"MONTR\xC3\x89"
                     "AL"}}));
    // Overlong forms and surrogates are no UTF-8 (RFC 3629 section 3), so these bytes are Latin-1.
    EXPECT_EQ(parse("\xE0\x80\xA0"), (Rows{{"\xC3\xA0\xC2\x80\xC2\xA0"}}));
    EXPECT_EQ(parse("\xED\xA0\x80"), (Rows{{"\xC3\xAD\xC2\xA0\xC2\x80"}}));
}

TEST(CsvTable, KnowsLinesAndBlankRows) {
    const CsvTable table("a\n\"b\nc\"\n,, ,\n\nd\n", "t.csv");
    ASSERT_EQ(table.n_rows(), 5u);
    EXPECT_EQ(table.line(1), 2u);
    EXPECT_EQ(table.line(2), 4u);
    EXPECT_EQ(table.line(4), 6u);
    EXPECT_FALSE(table.blank(1));
    EXPECT_TRUE(table.blank(2));
    EXPECT_TRUE(table.blank(3));
    const InputPlace place = table.place(4, 0, "x");
    EXPECT_EQ(place.line, 6u);
    EXPECT_EQ(place.column, 1u);
}

TEST(CsvTable, KeepsItsFieldsWhenMoved) {
    CsvTable first("a,\"b\"\"\"", "t.csv");
    const CsvTable second = std::move(first);
    EXPECT_EQ(rows_of(second), (Rows{{"a", "b\""}}));
}

TEST(CsvTable, SaysWhatIsWrongAndWhere) {
    EXPECT_EQ(error_of(""), "t.csv: expected comma-separated text, saw an empty file");
    EXPECT_EQ(error_of("\xEF\xBB\xBF"), "t.csv: expected comma-separated text, saw an empty file");
    EXPECT_EQ(error_of(std::string_view("a,b\n\0", 5)),
              "t.csv: expected comma-separated text, saw a binary file (byte 0 at offset 4)");
    EXPECT_EQ(error_of("\xFF\xFE"
                       "a"),
              "t.csv: expected comma-separated text, saw UTF-16 text");
    EXPECT_EQ(error_of("a,b\nc,\"d\ne\n"),
              "t.csv:2:2: expected a closing quote, saw the end of the file");
    EXPECT_EQ(error_of("a,b\n\"c\"d\n"),
              "t.csv:2:1: expected a comma after the closing quote, saw \"d\"");
    // A character of two bytes is shown whole.
    EXPECT_EQ(error_of("\"c\"\xC3\x89\n"),
              "t.csv:1:1: expected a comma after the closing quote, saw \"\xC3\x89\"");
}

TEST(CsvTable, ReadsFilesAndRefusesWhatIsNone) {
    const auto file = testing_tmy3::write_temporary("a,b\n");
    EXPECT_EQ(rows_of(read_csv_table(file)), (Rows{{"a", "b"}}));
    EXPECT_THROW(read_csv_table(file, 3), InputError);
    EXPECT_THROW(read_csv_table(file.parent_path()), InputError);
    EXPECT_THROW(read_csv_table(file.string() + ".none"), InputError);
}

TEST(CsvNumber, TakesWholeFiniteDecimalsOnly) {
    EXPECT_EQ(parse_csv_number("-9900"), -9900.0);
    EXPECT_EQ(parse_csv_number("+1.25e1"), 12.5);
    EXPECT_EQ(parse_csv_number(".5"), 0.5);
    for (const char* bad :
         {"", "+", "-", "+-1", "++1", "1,5", "1 2", "12C", "nan", "inf", "1e999", "0x10", "--"})
        EXPECT_FALSE(parse_csv_number(bad)) << bad;
}

TEST(CsvField, IsShownOnOneShortLine) {
    EXPECT_EQ(shown_field(""), "nothing");
    EXPECT_EQ(shown_field("a\nb"), "\"a b\"");
    EXPECT_EQ(shown_field("a\fb\x7F"), "\"a b \"");
    EXPECT_EQ(shown_field(std::string(100, 'x')), '"' + std::string(40, 'x') + "...\"");
    // The character at the cut has two bytes: it goes as a whole.
    const std::string cut = std::string(39, 'x') + "\xC3\x89" + "yy";
    EXPECT_EQ(shown_field(cut), '"' + std::string(39, 'x') + "...\"");
}

}  // namespace
}  // namespace noonshell
