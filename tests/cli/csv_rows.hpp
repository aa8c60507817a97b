// Tables that the program writes, row by row.
#pragma once

#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <map>
#include <sstream>
#include <string>
#include <vector>

#include "tests/cli/program.hpp"

namespace noonshell::test {

using Row = std::map<std::string, std::string>;

inline std::vector<std::string> split_at_commas(const std::string& line) {
    std::vector<std::string> fields;
    std::istringstream stream(line);
    for (std::string field; std::getline(stream, field, ',');) fields.push_back(field);
    if (!line.empty() && line.back() == ',') fields.emplace_back();
    return fields;
}

/// Rows by column name; no quoted fields here.
inline std::vector<Row> rows_of(const std::filesystem::path& file) {
    std::istringstream stream(content_of(file));
    std::string line;
    std::vector<std::string> heads;
    std::vector<Row> rows;
    while (std::getline(stream, line)) {
        if (!line.empty() && line.back() == '\r') line.pop_back();
        const std::vector<std::string> fields = split_at_commas(line);
        if (heads.empty()) {
            heads = fields;
            continue;
        }
        EXPECT_EQ(fields.size(), heads.size()) << line;
        Row row;
        for (std::size_t i = 0; i < std::min(heads.size(), fields.size()); ++i)
            row[heads[i]] = fields[i];
        rows.push_back(row);
    }
    return rows;
}

inline double number(const Row& row, const std::string& column) {
    return std::stod(row.at(column));
}

}  // namespace noonshell::test
