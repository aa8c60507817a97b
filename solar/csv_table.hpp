// A text file of fields between commas or other separators as rows, and the numbers in them.
#pragma once

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "geometry/diagnostics.hpp"

namespace noonshell {

/// Rows of fields that point into text which the table owns; movable, not copyable. Follows RFC
/// 4180 (quoted fields, "" for a quote, line breaks inside quotes) and what spreadsheets do beside
/// it: a byte order mark, LF, CRLF or CR, no break after the last row, blanks around a field (taken
/// off), rows of unequal length, Latin-1 in place of UTF-8 (turned into UTF-8).
class CsvTable {
  public:
    /// `name` is the file that messages speak of; `separator` stands between fields; a blank: any
    /// number of blanks and tabs, those at the ends of a row aside. Throws InputError for empty
    /// text, text with bytes that no text file holds, an open quote or text after a closing quote.
    CsvTable(std::string_view text, std::string name, char separator = ',');
    CsvTable(CsvTable&&) noexcept = default;
    CsvTable& operator=(CsvTable&&) noexcept = default;
    CsvTable(const CsvTable&) = delete;
    CsvTable& operator=(const CsvTable&) = delete;

    const std::string& name() const { return name_; }
    std::size_t n_rows() const { return row_line_.size(); }
    std::span<const std::string_view> row(std::size_t row) const {
        return std::span(fields_).subspan(row_begin_[row], row_begin_[row + 1] - row_begin_[row]);
    }
    /// Line of the file on which the row begins, from 1.
    std::size_t line(std::size_t row) const { return row_line_[row]; }
    /// True for an empty line and for one of nothing but separators.
    bool blank(std::size_t row) const;
    /// Place of a field for messages; `column` from 0, printed from 1.
    InputPlace place(std::size_t row, std::size_t column, std::string entity = {}) const;

  private:
    std::string name_;
    std::vector<char> text_;  ///< moves without changing its address, as a short string would not
    std::vector<std::string_view> fields_;
    std::vector<std::size_t> row_begin_;  ///< row r: fields [row_begin_[r], row_begin_[r + 1])
    std::vector<std::size_t> row_line_;
};

/// Reads a whole file of at most `max_bytes`. Throws InputError when it cannot be opened or read,
/// is a folder or is larger.
std::string read_text_file(const std::filesystem::path& file, std::size_t max_bytes = 256u << 20);

/// The comma-separated table in such a file. Throws whatever read_text_file and CsvTable throw.
CsvTable read_csv_table(const std::filesystem::path& file, std::size_t max_bytes = 256u << 20);

/// The separator of a table in text: of semicolon, tab and comma the one that stands on most of the
/// first lines, in this order where they are equal; a comma where there is none of them.
char likely_separator(std::string_view text);

/// A finite decimal number that fills the whole field, with a point; nothing for anything else.
std::optional<double> parse_csv_number(std::string_view field);

/// A field with blanks in place of its line breaks and other control characters.
std::string on_one_line(std::string_view field);

/// A field as messages show it: quoted, on one line, cut after 40 bytes; "nothing" when empty.
std::string shown_field(std::string_view field);

}  // namespace noonshell
