#include "cli/table.hpp"

#include <algorithm>
#include <utility>

#include "cli/utf8.hpp"
#include "geometry/diagnostics.hpp"

namespace noonshell {

namespace {

constexpr std::size_t column_gap = 2;

std::string padded(const std::string& cell, std::size_t width, Align align) {
    const std::string blanks(width - display_width(cell), ' ');
    return align == Align::left ? cell + blanks : blanks + cell;
}

void end_line(std::string& text) {
    while (!text.empty() && text.back() == ' ') text.pop_back();
    text += '\n';
}

}  // namespace

TextTable::TextTable(std::vector<Column> columns) : columns_(std::move(columns)) {}

void TextTable::add_row(std::vector<std::string> cells) {
    NOONSHELL_CHECK_EQ(cells.size(), columns_.size());
    for (std::string& cell : cells) cell = printable(cell);
    rows_.push_back(std::move(cells));
}

std::string TextTable::text(std::size_t indent) const {
    std::vector<std::size_t> width;
    for (std::size_t c = 0; c < columns_.size(); ++c) {
        width.push_back(display_width(columns_[c].head));
        for (const auto& row : rows_) width[c] = std::max(width[c], display_width(row[c]));
    }
    const std::string margin(indent, ' '), gap(column_gap, ' ');
    std::string head = margin, rule = margin, body;
    for (std::size_t c = 0; c < columns_.size(); ++c) {
        head += padded(columns_[c].head, width[c], columns_[c].align) + gap;
        rule += std::string(width[c], '-') + gap;
    }
    end_line(head);
    end_line(rule);
    for (const auto& row : rows_) {
        std::string line = margin;
        for (std::size_t c = 0; c < columns_.size(); ++c) {
            line += padded(row[c], width[c], columns_[c].align) + gap;
        }
        end_line(line);
        body += line;
    }
    return head + rule + body;
}

}  // namespace noonshell
