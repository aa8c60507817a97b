// Aligned plain-text tables for the terminal. No colour is ever used, so NO_COLOR is kept.
#pragma once

#include <string>
#include <vector>

namespace noonshell {

enum class Align { left, right };

/// Rows are filled cell by cell; columns are as wide as their widest cell and two spaces apart.
class TextTable {
  public:
    struct Column {
        std::string head;
        Align align = Align::left;
    };

    explicit TextTable(std::vector<Column> columns);

    /// One cell per column. Cells from the user's files are made printable.
    void add_row(std::vector<std::string> cells);

    bool empty() const { return rows_.empty(); }
    std::size_t n_rows() const { return rows_.size(); }

    /// Head, a rule and the rows, each line indented and ended by a newline, without blanks at the
    /// end of a line.
    std::string text(std::size_t indent = 2) const;

  private:
    std::vector<Column> columns_;
    std::vector<std::vector<std::string>> rows_;
};

}  // namespace noonshell
